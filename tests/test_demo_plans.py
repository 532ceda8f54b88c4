"""Every demo plan gives the report that stands beside it, and shows what it is meant to show."""

import pytest
import yaml

from tests.demo_plans import PLANS, ROOT, demo_reports, expected_file, kept_text_of, text_of
from underfoot.checking.report import PlanReport
from underfoot_rules import STANDARD

DECLARED = yaml.safe_load((ROOT / "tests/underfoot_rules/demo_faults.yaml").read_text("utf-8"))


@pytest.fixture(autouse=True)
def _from_the_root(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


def declared_of(report: PlanReport) -> list[tuple[str, str, str, tuple[str, ...], bool]]:
    rows = DECLARED[report.path.removeprefix("plans/")]
    return sorted(
        (
            row["rule"],
            row["severity"],
            row["room"] or "",
            tuple(str(item) for item in row["items"]),
            bool(row.get("waived")),
        )
        for row in rows
    )


def test_every_plan_is_declared() -> None:
    assert {report.path.removeprefix("plans/") for report in demo_reports()} == set(DECLARED)
    assert len(DECLARED) >= 12


@pytest.mark.parametrize("name", sorted(DECLARED))
def test_findings_are_those_declared_by_hand(name: str) -> None:
    report = next(one for one in demo_reports() if one.path == f"plans/{name}")
    assert not report.problems
    assert not report.faults
    found = sorted(
        (one.rule, one.severity, one.room or "", one.items, one.waiver is not None)
        for one in report.findings
    )
    assert found == declared_of(report)


@pytest.mark.parametrize("name", sorted(DECLARED))
def test_the_report_is_the_one_beside_the_plan(name: str) -> None:
    report = next(one for one in demo_reports() if one.path == f"plans/{name}")
    expected = expected_file(report.path)
    assert kept_text_of(report) == expected.read_text("utf-8"), (
        "if the change is meant: python -m tests.demo_plans, and read the difference"
    )


def test_what_is_kept_leaves_out_no_more_than_the_sums() -> None:
    for report in demo_reports():
        whole, kept = text_of(report), kept_text_of(report)
        start = whole.index("CHECKED  ")
        end = whole.index("\n\n", start) + 2
        assert kept == whole[:start] + whole[end:]
        assert f"{sum(row.checked for row in report.checks)} points" in whole[start:end]


def test_no_report_is_left_of_a_plan_that_is_gone() -> None:
    wanted = {expected_file(report.path) for report in demo_reports()}
    assert set(PLANS.rglob("*.report.txt")) == wanted


def test_every_rule_occurs_wrong_and_right() -> None:
    wrong = {finding.rule for report in demo_reports() for finding in report.findings}
    right = {
        row.rule
        for report in demo_reports()
        for row in report.checks
        if row.checked > row.found + row.undecided
    }
    rules = {rule.id for rule in STANDARD.rules}
    assert rules - wrong == set()
    assert rules - right == set()


def test_a_plan_in_which_nothing_is_found_says_enough_to_be_judged() -> None:
    for report in demo_reports():
        if report.counts.error == report.counts.warning == 0:
            assert report.verdict == "no objection", report.path


def test_one_plan_says_too_little() -> None:
    lacking = {one.path for one in demo_reports() if one.verdict == "insufficient information"}
    assert lacking == {"plans/box-room.yaml"}


def test_right_plans_have_neither_error_nor_warning() -> None:
    right = [report for report in demo_reports() if report.verdict == "no objection"]
    assert len(right) >= 8
    assert all(report.counts.error == report.counts.warning == 0 for report in right)
