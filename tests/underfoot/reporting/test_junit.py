"""The report as JUnit XML, read back by junitparser."""

from typing import Any

import pytest
from junitparser import Error, Failure, JUnitXml, Skipped, TestCase, TestSuite
from msgspec.structs import replace

from tests.underfoot.reporting.reports import (
    ALL,
    ATTIC,
    BEDROOM,
    CRASHED,
    KITCHEN,
    LANDING,
    STUDY,
    VERSION,
    WAIVED,
    wall_finding,
)
from tests.underfoot.reporting.whole import write_junit
from underfoot.checking.caution import CAUTION
from underfoot.checking.exit_status import RefuseAt, exit_status
from underfoot.checking.report import (
    CheckRow,
    DecisionUsed,
    Earlier,
    Measure,
    PlanReport,
    Report,
    ReviewUsed,
)


def read(report: Report, refuse_at: RefuseAt = "error") -> dict[str, TestSuite]:
    text = "".join(write_junit(report, refuse_at))
    suites = list(JUnitXml.fromstring(text.encode()))
    named = {str(suite.name): suite for suite in suites}
    assert len(named) == len(suites)
    return named


def cases(suite: TestSuite) -> dict[str, TestCase]:
    listed = list(suite)
    named = {str(case.name): case for case in listed}
    assert len(named) == len(listed)
    return named


def result(case: TestCase) -> Any:
    assert len(case.result) <= 1
    return case.result[0] if case.result else None


def one(plan: PlanReport, refuse_at: RefuseAt = "error") -> dict[str, TestCase]:
    return cases(read(Report(version=VERSION, plans=(plan,)), refuse_at)[plan.path])


def test_one_case_for_each_rule_and_plan() -> None:
    suites = read(ALL)
    assert list(suites) == [*(plan.path for plan in ALL.plans), "the run"]
    for plan in (BEDROOM, KITCHEN, STUDY):
        assert list(cases(suites[plan.path])) == [row.rule for row in plan.checks]
        assert all(case.classname == plan.path for case in suites[plan.path])
    names = [(case.classname, case.name) for suite in suites.values() for case in suite]
    assert len(names) == len(set(names))


def test_a_finding_fails_its_case_once() -> None:
    failed = result(one(KITCHEN)["wall-clearance"])
    assert isinstance(failed, Failure)
    assert failed.message == (
        "Strip A1 lies 42 mm from the wall; the least allowed is 50 mm. (2 findings)"
    )
    for line in (
        "1  error  kitchen · A1",
        "plans/kitchen.yaml:58:7",
        "To do: Move A1 by 16 mm to the right (+x).",
        "2  error  kitchen · A2",
        "Basis: common practice in the trade, no source",
    ):
        assert line in failed.text
    assert "A4" not in failed.text
    output = one(KITCHEN)["wall-clearance"].system_out
    assert "5  error  kitchen · A4" in output
    assert "Waived: boxed-in pipe agreed on site (agreed by design lead, until 2027" in output


@pytest.mark.parametrize(
    ("refuse_at", "expected"),
    [("error", None), ("warning", Failure), ("note", Failure), ("never", None)],
)
def test_what_does_not_refuse_does_not_fail(refuse_at: RefuseAt, expected: type | None) -> None:
    case = one(STUDY, refuse_at)["sensor-depth"]
    came = result(case)
    assert came is None if expected is None else isinstance(came, expected)
    assert expected or "The sensor lies 310 mm" in case.system_out


@pytest.mark.parametrize("refuse_at", ["error", "unjudged", "warning", "note", "never"])
@pytest.mark.parametrize("plan", [KITCHEN, BEDROOM, STUDY, LANDING, ATTIC, CRASHED])
def test_a_suite_fails_where_the_status_does(plan: PlanReport, refuse_at: RefuseAt) -> None:
    suite = read(Report(version=VERSION, plans=(plan,)), refuse_at)[plan.path]
    bad = [result(case) for case in suite if isinstance(result(case), Failure | Error)]
    assert bool(bad) == (exit_status(Report(version=VERSION, plans=(plan,)), refuse_at) != 0)


def test_waived_is_skipped_with_its_reason() -> None:
    row = CheckRow(rule="wall-clearance", checked=9, found=1, undecided=0, why=None)
    waived = one(replace(KITCHEN, findings=(replace(WAIVED, number=1),), checks=(row,)))
    came = result(waived["wall-clearance"])
    assert isinstance(came, Skipped)
    assert came.message == (
        "waived: boxed-in pipe agreed on site (agreed by design lead, until 2027-03-01)"
    )


def test_what_a_rule_has_nothing_to_look_at_is_skipped() -> None:
    came = result(one(BEDROOM)["joint-crossing"])
    assert isinstance(came, Skipped)
    assert came.message == "the plan has nothing that this rule is about"


def test_what_could_not_be_judged_at_all_is_skipped_and_in_part_is_said() -> None:
    came = result(one(BEDROOM)["voltage-drop"])
    assert isinstance(came, Skipped)
    assert came.message == "not judged: no length of the cable is given"
    row = CheckRow(
        rule="voltage-drop", checked=3, found=0, undecided=1, why="no length of the cable is given"
    )
    case = one(replace(BEDROOM, checks=(row,)))["voltage-drop"]
    assert result(case) is None
    assert case.system_out == "1 point not judged: no length of the cable is given"


def test_what_may_be_an_error_fails_where_that_is_asked_for() -> None:
    refused = read(Report(version=VERSION, plans=(LANDING,)), "unjudged")[LANDING.path]
    came = {case.name: result(case) for case in refused}
    failure = came["cable-capacity"]
    assert isinstance(failure, Failure)
    assert failure.message == (
        "not judged, and may be an error: no length of the cable is given; lead W1 has no size"
    )
    assert failure.text is not None
    assert "To do (may be an error): Write its `length`." in failure.text
    assert isinstance(came["voltage-drop"], Skipped)
    left = one(LANDING)["cable-capacity"]
    assert isinstance(result(left), Skipped)
    assert "Write its `size`." in (left.system_out or "")
    known = replace(
        LANDING, checks=tuple(replace(row, may_be_errors_then=2) for row in LANDING.checks)
    )
    (suite,) = read(Report(version=VERSION, plans=(known,)), "unjudged").values()
    assert not [case for case in suite if isinstance(result(case), Failure)]


def test_a_crashed_rule_is_an_error_and_its_plan_still_has_its_cases() -> None:
    crashed = one(CRASHED)
    assert sorted(crashed) == ["sensor-depth", "wall-clearance"]
    came = result(crashed["wall-clearance"])
    assert isinstance(came, Error)
    assert came.text == "KeyError at laying/wall_clearance.py:33: 'x'"


def test_an_unreadable_plan_is_an_error_with_every_problem() -> None:
    came = result(one(ATTIC)["the plan can be read"])
    assert isinstance(came, Error)
    assert "plans/attic.yaml:31:7: unknown key `lenght`" in came.text
    assert "plans/catalogue.yaml:14:5: must be text with a unit" in came.text


def test_a_problem_of_the_run_is_an_error() -> None:
    came = result(cases(read(ALL)["the run"])["what was named to be checked"])
    assert isinstance(came, Error)
    assert "plans/attik.yaml" in came.text


def test_what_was_known_does_not_fail() -> None:
    known = tuple(
        replace(finding, earlier=Earlier(state="known", was=Measure(value=41.0, unit="mm")))
        for finding in KITCHEN.findings
    )
    case = one(replace(KITCHEN, findings=known))["wall-clearance"]
    assert result(case) is None
    assert "Earlier: known: it was 41 mm" in case.system_out


def test_the_counts_add_up() -> None:
    text = "".join(write_junit(ALL))
    whole = JUnitXml.fromstring(text.encode())
    # 3 rules of the bedroom, 6 of the kitchen, 1 of the study, 2 of the hall, the attic, the run.
    assert (whole.tests, whole.failures, whole.errors, whole.skipped) == (14, 2, 3, 5)
    for key in ("tests", "failures", "errors", "skipped"):
        assert getattr(whole, key) == sum(getattr(suite, key) for suite in whole)
    for suite in whole:
        came = [result(case) for case in suite]
        assert suite.tests == len(came)
        assert suite.failures == sum(isinstance(each, Failure) for each in came)
        assert suite.errors == sum(isinstance(each, Error) for each in came)
        assert suite.skipped == sum(isinstance(each, Skipped) for each in came)


def test_every_suite_carries_the_caution_and_what_plan_it_was() -> None:
    for suite in read(ALL).values():
        assert {each.name: each.value for each in suite.properties()}["caution"] == CAUTION
    kitchen = {p.name: p.value for p in read(ALL)[KITCHEN.path].properties()}
    assert kitchen["verdict"] == "revise and resubmit"
    assert kitchen["revision"] == "P1"


def test_plans_that_are_shown_alike_are_told_apart() -> None:
    assert list(read(Report(version=VERSION, plans=(STUDY, STUDY)))) == [
        STUDY.path,
        f"{STUDY.path} (2)",
    ]


def test_hostile_text_stays_text() -> None:
    odd = "<b>&amp; \" ' ]]> \x00 \x1b[2J \u202e \ufffe \U000e0041 Ω 床"
    finding = replace((wall_finding(1, "A1", 7)), message=odd, remedy=odd)
    plan = replace(KITCHEN, path='plans/<&".yaml', title=odd, findings=(finding,))
    failed = result(one(plan)["wall-clearance"])
    shown = "<b>&amp; \" ' ]]> \\x00 \\x1b[2J \\u202e \\ufffe \\U000e0041 Ω 床"
    assert failed.message == shown
    assert f"To do: {shown}" in failed.text


def test_equal_reports_give_equal_bytes_and_no_clock() -> None:
    text = "".join(write_junit(ALL))
    assert text == "".join(write_junit(ALL))
    assert "time" not in text


def test_what_a_reviewer_decided_is_told() -> None:
    decision = DecisionUsed(
        decision="question", reason="seen on site", by="design lead", date="2026-10-01"
    )
    finding = replace(STUDY.findings[0], decision=decision)
    review = ReviewUsed(file="plans/study.review.yaml", overall=decision)
    suite = read(
        Report(version=VERSION, plans=(replace(STUDY, findings=(finding,), review=review),))
    )[STUDY.path]
    told = {each.name: each.value for each in suite.properties()}["review"]
    assert told.startswith("plans/study.review.yaml: overall question: seen on site")
    assert "Decided: question: seen on site (design lead, 2026-10-01)" in (
        cases(suite)["sensor-depth"].system_out
    )


def test_with_failing_cases_alone_the_rest_is_counted() -> None:
    text = "".join(write_junit(ALL, only_failing=True))
    whole = JUnitXml.fromstring(text.encode())
    suites = {str(suite.name): suite for suite in whole}
    assert list(suites) == [KITCHEN.path, ATTIC.path, CRASHED.path, "left out of this report",
                            "the run"]  # fmt: skip
    assert (whole.tests, whole.failures, whole.errors, whole.skipped) == (6, 2, 3, 0)
    for suite in (suites[KITCHEN.path], suites[ATTIC.path], suites[CRASHED.path]):
        assert all(isinstance(result(case), Failure | Error) for case in suite)
    (case,) = suites["left out of this report"]
    assert result(case) is None
    # Of the 14 cases 5 fail and 5 are skipped; the bedroom and the study have none that fails.
    assert "Left out: 4 cases that passed and 5 skipped; 2 plans had no case that failed." in (
        case.system_out
    )
    assert "500 plans" in case.system_out
