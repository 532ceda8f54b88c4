"""What comes first: plans by gravity, and of each the findings to begin with."""

from msgspec.structs import replace

from tests.underfoot.reporting.reports import CURRENT, KITCHEN, WAIVED
from underfoot.checking.report import (
    INSUFFICIENT,
    NO_OBJECTION,
    REVISE,
    UNREADABLE,
    WITH_COMMENTS,
    Brief,
    Counts,
    DecisionUsed,
    ReportedFinding,
)
from underfoot.reporting.what_first import by_gravity, worst_findings


def brief(verdict: str, problems: int = 0, faults: int = 0, **counts: int) -> Brief:
    return Brief(
        path="", verdict=verdict, title=None, counts=Counts(**counts), problems=problems,
        faults=faults,
    )  # fmt: skip


def test_plans_stand_by_what_matters_most() -> None:
    plans = [
        brief(UNREADABLE, problems=1),
        brief(NO_OBJECTION, faults=1),
        brief(REVISE, error=2),
        brief(REVISE, error=1, warning=9),
        brief(INSUFFICIENT, may_be_errors=2, undecided=2),
        brief(INSUFFICIENT, may_be_errors=1, undecided=8),
        brief(WITH_COMMENTS, warning=2),
        brief(WITH_COMMENTS, warning=1, undecided=2),
        brief(WITH_COMMENTS, warning=1, undecided=1, note=8),
        brief(NO_OBJECTION, note=1),
        brief(NO_OBJECTION),
    ]
    assert by_gravity(plans) == list(range(len(plans)))
    assert by_gravity(plans[::-1]) == list(range(len(plans)))[::-1]
    # Equals stay as they came.
    assert by_gravity([plans[10], plans[2], plans[10]]) == [1, 0, 2]


def finding(number: int, rule: str, severity: str, decision: str = "") -> ReportedFinding:
    decided = DecisionUsed(decision=decision, reason="r", by="B", date="2026-10-01")
    return replace(
        CURRENT, number=number, rule=rule, severity=severity,
        decision=decided if decision else None,
    )  # fmt: skip


def test_one_finding_of_each_rule_the_worst_first() -> None:
    asks = [
        finding(1, "gap", "error"),
        finding(2, "rcd", "error"),
        finding(3, "gap", "error"),
        finding(4, "rcd", "warning"),
        finding(5, "paper", "warning", decision="to be mended"),
    ]
    lapsed = finding(6, "date", "warning", decision="accepted")
    assert lapsed.decision is not None
    lapsed = replace(lapsed, decision=replace(lapsed.decision, lapsed="the plan differs"))
    asks_nothing = [
        finding(7, "note", "note"),
        finding(8, "seam", "error", decision="accepted"),
        replace(WAIVED, number=9),
    ]
    plan = replace(KITCHEN, findings=(*asks, lapsed, *asks_nothing))
    firsts = worst_findings(plan, {"rcd"})
    assert [(each.finding.number, each.many) for each in firsts] == [
        (2, 1), (1, 2), (4, 1), (5, 1), (6, 1),
    ]  # fmt: skip
    assert worst_findings(replace(plan, findings=tuple(asks_nothing)), {"rcd"}) == ()
