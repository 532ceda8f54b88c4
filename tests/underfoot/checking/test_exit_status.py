"""The exit status: every row of the table, and which row goes before which."""

from typing import Any, Literal, get_args

import pytest
from msgspec.structs import replace

from underfoot.checking.exit_status import REFUSE_AT, RefuseAt, exit_status
from underfoot.checking.finding import Basis, Severity
from underfoot.checking.report import (
    INSUFFICIENT,
    NO_OBJECTION,
    REVISE,
    UNREADABLE,
    WITH_COMMENTS,
    CheckRow,
    Counts,
    Earlier,
    PlanReport,
    Reason,
    Report,
    ReportedFinding,
    RuleFault,
    WaiverUsed,
)
from underfoot.commands import options
from underfoot.reading.problem import Problem


def finding(
    severity: Severity, *, waiver: WaiverUsed | None = None, earlier: Earlier | None = None
) -> ReportedFinding:
    return ReportedFinding(
        number=1,
        rule="rcd",
        severity=severity,
        message="It is missing.",
        room=None,
        items=("C1",),
        measured=None,
        limit=None,
        line=1,
        column=1,
        path="circuits.C1",
        shape=None,
        remedy="Fit it.",
        why="It saves lives.",
        basis=Basis(kind="own default", text="made for this test"),
        waiver=waiver,
        earlier=earlier,
    )


def judged(name: str, verdict: str, *findings: ReportedFinding, **more: Any) -> PlanReport:
    return PlanReport(path=f"{name}.yaml", verdict=verdict, findings=findings, **more)


AGREED = WaiverUsed(reason="old house", agreed_by="owner", until=None)
ONLY_WARNINGS = CheckRow(
    rule="voltage-drop",
    checked=4,
    found=0,
    undecided=4,
    why="no length",
    reasons=(Reason(why="no length", points=4, write=None, worst="warning"),),
)
MAY_BE = CheckRow(
    rule="cable-capacity",
    checked=2,
    found=0,
    undecided=1,
    why="no size",
    reasons=(Reason(why="no size", points=1, write="Write it."),),
)
CRASH = (RuleFault(rule="rcd", message="KeyError"),)
RIGHT = judged("right", NO_OBJECTION, counts=Counts(undecided=4), checks=(ONLY_WARNINGS,))
LACKING = judged(
    "lacking",
    INSUFFICIENT,
    counts=Counts(undecided=1, may_be_errors=1),
    checks=(ONLY_WARNINGS, MAY_BE),
)
NOTED = judged("noted", NO_OBJECTION, finding("note"), counts=Counts(note=1))
WARNED = judged("warned", WITH_COMMENTS, finding("warning"), counts=Counts(warning=1))
WRONG = judged("wrong", REVISE, finding("error"), counts=Counts(error=1))
WAIVED = judged("waived", NO_OBJECTION, finding("error", waiver=AGREED), counts=Counts(waived=1))
UNREAD = judged("unread", UNREADABLE, problems=(Problem(message="the file is empty"),))
CRASHED = judged("crashed", NO_OBJECTION, faults=CRASH)


def status(*plans: PlanReport, refuse_at: RefuseAt = "error") -> int:
    return exit_status(Report(version="0", plans=plans), refuse_at)


@pytest.mark.parametrize(
    ("plan", "by_severity"),
    [
        # At error, unjudged, warning, note, never.
        (RIGHT, (0, 0, 0, 0, 0)),
        (WAIVED, (0, 0, 0, 0, 0)),
        (NOTED, (0, 0, 0, 1, 0)),
        (WARNED, (0, 0, 1, 1, 0)),
        (LACKING, (0, 1, 1, 1, 0)),
        (WRONG, (1, 1, 1, 1, 0)),
        (UNREAD, (2, 2, 2, 2, 2)),
        (CRASHED, (2, 2, 2, 2, 2)),
    ],
)
def test_every_row(plan: PlanReport, by_severity: tuple[int, ...]) -> None:
    assert get_args(RefuseAt) == ("error", "unjudged", "warning", "note", "never")
    for refuse_at, expected in zip(get_args(RefuseAt), by_severity, strict=True):
        assert status(plan, refuse_at=refuse_at) == expected
        assert status(RIGHT, plan, RIGHT, refuse_at=refuse_at) == expected


def test_the_commands_offer_every_level() -> None:
    assert options.REFUSE_AT == get_args(RefuseAt) == REFUSE_AT


def test_what_was_not_judged_before_does_not_count_against_an_earlier_report() -> None:
    for then, expected in ((0, 1), (1, 0), (2, 0)):
        row = replace(MAY_BE, may_be_errors_then=then)
        assert status(replace(LACKING, checks=(row,)), refuse_at="unjudged") == expected


def test_error_is_the_default() -> None:
    assert exit_status(Report(version="0", plans=(WARNED,))) == 0
    assert exit_status(Report(version="0", plans=(WRONG,))) == 1


def test_what_could_not_be_checked_goes_before_what_was_found() -> None:
    assert status(WRONG, UNREAD) == 2
    assert status(WRONG, CRASHED) == 2


def test_no_plan_is_no_pass() -> None:
    assert status() == 2


def test_a_problem_of_the_run_is_no_pass() -> None:
    report = Report(
        version="0", plans=(RIGHT,), problems=(Problem(message="there is no such file or folder"),)
    )
    assert exit_status(report, "never") == 2


@pytest.mark.parametrize(("state", "expected"), [("known", 0), ("worse", 1), ("new", 1)])
def test_what_was_known_does_not_count(
    state: Literal["known", "worse", "new"], expected: int
) -> None:
    known = finding("error", earlier=Earlier(state=state))
    assert status(judged("a", REVISE, known)) == expected


def test_known_helps_no_plan_that_could_not_be_checked() -> None:
    known = finding("error", earlier=Earlier(state="known"))
    assert status(judged("a", REVISE, known, faults=CRASH)) == 2
