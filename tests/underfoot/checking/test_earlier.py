"""A run held against an earlier report."""

import pytest
from msgspec.structs import replace

from tests.there import there
from tests.underfoot.reporting.reports import ATTIC, BEDROOM, KITCHEN, SENSOR, VERSION, wall_finding
from tests.underfoot.reporting.whole import hold_against
from underfoot.checking.earlier import EarlierFinding, EarlierPlan
from underfoot.checking.exit_status import exit_status
from underfoot.checking.report import Earlier, Measure, PlanReport, Report, ReportedFinding


def then(finding: ReportedFinding, **changes: object) -> EarlierFinding:
    seen = EarlierFinding(
        rule=finding.rule,
        room=finding.room,
        items=finding.items,
        severity=finding.severity,
        measured=finding.measured,
        limit=finding.limit,
        waived=finding.waiver is not None,
    )
    return replace(seen, **changes)  # type: ignore[arg-type]


def states(report: Report) -> list[str]:
    return [finding.earlier.state for finding in report.plans[0].findings if finding.earlier]


KNOWN = [then(finding) for finding in KITCHEN.findings]


NOT_JUDGED = {"cable-capacity": 2}


def held(
    *plans: PlanReport,
    earlier: list[EarlierFinding],
    absent: tuple[str, ...] = (),
    may_be_errors: dict[str, int] = NOT_JUDGED,
) -> Report:
    then = {
        KITCHEN.path: EarlierPlan(findings=earlier, may_be_errors=may_be_errors),
        "plans/old.yaml": EarlierPlan(findings=[KNOWN[0]]),
        "plans/other.yaml": EarlierPlan(),
    }
    return hold_against(Report(version=VERSION, plans=plans), then, "earlier.json", absent)


def test_nothing_new_passes() -> None:
    report = held(KITCHEN, earlier=KNOWN)
    assert states(report) == ["known"] * 5
    assert exit_status(report, "note") == 0
    assert report.plans[0].verdict == KITCHEN.verdict


@pytest.mark.parametrize(
    ("before", "status"), [({}, 1), ({"cable-capacity": 1}, 1), (NOT_JUDGED, 0)]
)
def test_more_points_that_may_be_errors_count(before: dict[str, int], status: int) -> None:
    report = held(KITCHEN, earlier=KNOWN, may_be_errors=before)
    assert exit_status(report, "unjudged") == status
    assert exit_status(report, "error") == 0


def test_what_is_not_in_the_earlier_report_counts() -> None:
    report = held(KITCHEN, earlier=KNOWN[1:])
    assert states(report) == ["new", "known", "known", "known", "known"]
    assert exit_status(report) == 1


def test_a_plan_that_is_not_in_the_earlier_report_is_new_whole() -> None:
    report = hold_against(Report(version=VERSION, plans=(KITCHEN,)), {}, "earlier.json")
    assert states(report) == ["new"] * 5


def test_worse_counts_and_says_what_was() -> None:
    # The wall is 42 mm away, of 50; it was 45.
    report = held(
        KITCHEN, earlier=[replace(KNOWN[0], measured=Measure(value=45.0, unit="mm")), *KNOWN[1:]]
    )
    assert report.plans[0].findings[0].earlier == Earlier(
        state="worse", was=Measure(value=45.0, unit="mm")
    )
    assert exit_status(report) == 1


def test_better_is_known() -> None:
    report = held(
        KITCHEN, earlier=[replace(KNOWN[0], measured=Measure(value=40.0, unit="mm")), *KNOWN[1:]]
    )
    assert report.plans[0].findings[0].earlier == Earlier(
        state="known", was=Measure(value=40.0, unit="mm")
    )


def test_moved_lines_and_new_numbers_are_no_change() -> None:
    moved = tuple(
        replace(finding, number=10 - finding.number, line=finding.line + 7, column=1)
        for finding in reversed(KITCHEN.findings)
    )
    report = held(replace(KITCHEN, findings=moved), earlier=KNOWN)
    assert states(report) == ["known"] * 5


def test_a_waiver_that_no_longer_holds_makes_a_new_finding() -> None:
    unwaived = tuple(replace(finding, waiver=None) for finding in KITCHEN.findings)
    report = held(replace(KITCHEN, findings=unwaived), earlier=KNOWN)
    assert states(report) == ["known"] * 4 + ["new"]
    assert exit_status(report) == 1


def test_what_was_cleared_is_counted_but_not_what_was_waived() -> None:
    gone = [then(wall_finding(7, "A7", 1)), then(wall_finding(8, "A8", 1), waived=True)]
    report = held(KITCHEN, earlier=KNOWN + gone)
    assert there(report.earlier).cleared == 1


def test_an_unreadable_plan_clears_nothing() -> None:
    report = hold_against(
        Report(version=VERSION, plans=(ATTIC,)),
        {ATTIC.path: EarlierPlan(findings=[then(SENSOR)])},
        "earlier.json",
    )
    assert there(report.earlier).cleared == 0
    assert exit_status(report) == 2


@pytest.mark.parametrize("plan", [KITCHEN, BEDROOM])
def test_plans_gone_are_told_from_plans_left_out(plan: PlanReport) -> None:
    report = held(plan, earlier=KNOWN, absent=("plans/old.yaml",))
    assert report.earlier is not None
    assert report.earlier.gone == ("plans/old.yaml",)
    left = {"plans/other.yaml", KITCHEN.path} - {plan.path}
    assert set(report.earlier.left_out) == left
