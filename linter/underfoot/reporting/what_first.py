"""What matters first: plans by gravity, and of each the findings to begin with."""

from collections import Counter
from collections.abc import Container, Sequence

from msgspec import Struct

from underfoot.checking.report import GRAVITY, Brief, PlanReport, ReportedFinding

# So many are what somebody begins with.
MOST_FIRST = 5
# A note asks for nothing.
_ASKS = ("error", "warning")
# A reviewer has answered it.
_ANSWERED = "accepted"


class First(Struct, frozen=True, kw_only=True):
    """A finding to begin with, and how `many` the plan has of its rule and severity."""

    finding: ReportedFinding
    many: int


def gravity(plan: Brief) -> tuple[int, ...]:
    """Sort plans: what could not be checked, then by verdict, then by how much was found."""
    counts = plan.counts
    return (
        not (plan.problems or plan.faults),
        -GRAVITY.index(plan.verdict),
        -counts.error,
        -counts.may_be_errors,
        -counts.warning,
        -counts.undecided,
        -counts.note,
    )


def worst_findings(plan: PlanReport, electrical: Container[str]) -> tuple[First, ...]:
    """Return one finding of each rule, the worst first; of equals what can shock or burn.

    `electrical` are the rules about that. What is waived or accepted asks for nothing.
    """
    asking = [each for each in plan.findings if _asks(each)]
    many = Counter((each.severity, each.rule) for each in asking)
    firsts: dict[tuple[str, str], ReportedFinding] = {}
    for each in asking:
        firsts.setdefault((each.severity, each.rule), each)
    return tuple(
        First(finding=each, many=many[each.severity, each.rule])
        for each in sorted(firsts.values(), key=lambda each: _rank(each, electrical))
    )


def _asks(finding: ReportedFinding) -> bool:
    decision = finding.decision
    is_answered = decision is not None and not decision.lapsed and decision.decision == _ANSWERED
    return finding.severity in _ASKS and finding.waiver is None and not is_answered


def _rank(finding: ReportedFinding, electrical: Container[str]) -> tuple[int, bool, int]:
    return _ASKS.index(finding.severity), finding.rule not in electrical, finding.number


def by_gravity(plans: Sequence[Brief]) -> list[int]:
    """Return the places of plans, the gravest first; equals stay as they came."""
    return sorted(range(len(plans)), key=lambda place: gravity(plans[place]))
