"""Holds a run against an earlier report: what was known then no longer counts for the status."""

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.finding import Severity
from underfoot.checking.matching import is_worse, match_findings, match_renamed
from underfoot.checking.report import (
    UNREADABLE,
    Earlier,
    HeldAgainst,
    LimitUsed,
    Measure,
    PlanContent,
    PlanReport,
    ReportedFinding,
)


class EarlierFinding(Struct, frozen=True, kw_only=True):
    """A finding as an earlier report has it, without the words."""

    rule: str
    room: str | None
    items: tuple[str, ...]
    severity: Severity
    measured: Measure | None
    limit: LimitUsed | None
    waived: bool
    mark: str | None = None


class EarlierPlan(Struct, frozen=True, kw_only=True):
    """What an earlier report has of one plan.

    `may_be_errors` are by rule the points that could not be judged and that may be errors. Where
    `content` is told, a plan is known again that was moved, and what is in it that was renamed.
    """

    findings: Sequence[EarlierFinding] = ()
    may_be_errors: Mapping[str, int] = MappingProxyType({})
    content: PlanContent | None = None
    reference: str | None = None


EarlierPlans = Mapping[str, EarlierPlan]


class Holding:
    """Holds the plans of a run, one by one, against an earlier report.

    `earlier` has the findings of each plan by the path that reports give it; `name` is how the
    earlier report is called; `absent` are those of its plans that are no longer there. A finding
    that only a waiver let stand is new once the waiver does not hold any more. `told` says how the
    earlier report names a plan.
    """

    def __init__(
        self,
        earlier: EarlierPlans,
        name: str,
        absent: Collection[str] = (),
        told: Callable[[str], str] = str,
    ) -> None:
        self.earlier = earlier
        self.name = name
        self.absent = absent
        self.told = told
        self.met: set[str] = set()
        self.cleared = 0
        self.states: Counter[str] = Counter()

    def hold(self, plan: PlanReport) -> PlanReport:
        """Mark every finding as known, worse or new, and the points not judged as known or more."""
        path = self._path_then(plan)
        self.met.add(path)
        if plan.verdict == UNREADABLE:
            return plan
        then = self.earlier.get(path, EarlierPlan())
        matched = match_renamed(
            match_findings(then.findings, plan.findings), then.content, plan.content
        )
        self.cleared += sum(not finding.waived for finding in matched.cleared)
        states = {now.number: _state(old, now) for old, now in matched.left}
        findings = tuple(
            replace(finding, earlier=states.get(finding.number, Earlier(state="new")))
            for finding in plan.findings
        )
        self.states.update(
            finding.earlier.state
            for finding in findings
            if finding.earlier is not None and finding.waiver is None
        )
        checks = tuple(
            replace(row, may_be_errors_then=then.may_be_errors.get(row.rule, 0))
            for row in plan.checks
        )
        return replace(plan, findings=findings, checks=checks)

    def _path_then(self, plan: PlanReport) -> str:
        """Return the path under which the earlier report has a plan, which may have been moved.

        One that was moved is gone from where it was, and is the same to the byte or, by its
        reference and the rooms that it draws, the only one that it can be.
        """
        path = self.told(plan.path)
        now = plan.content
        if path in self.earlier or now is None:
            return path
        gone = [
            (old, then)
            for old in sorted(self.absent)
            if old not in self.met and (then := self.earlier[old]).content is not None
        ]
        for old, then in gone:
            if then.content is not None and then.content.source == now.source:
                return old
        alike = [
            old
            for old, then in gone
            if plan.reference is not None
            and then.reference == plan.reference
            and then.content is not None
            and sorted(then.content.outlines.values()) == sorted(now.outlines.values())
        ]
        return alike[0] if len(alike) == 1 else path

    def sum_up(self) -> HeldAgainst:
        """Say what has come of it; all plans have been held."""
        missing = sorted(set(self.earlier) - self.met)
        return HeldAgainst(
            name=self.name,
            gone=tuple(path for path in missing if path in self.absent),
            left_out=tuple(path for path in missing if path not in self.absent),
            cleared=self.cleared,
            new=self.states["new"],
            worse=self.states["worse"],
            known=self.states["known"],
        )


def _state(old: EarlierFinding, now: ReportedFinding) -> Earlier:
    if old.waived and now.waiver is None:
        return Earlier(state="new", was=old.measured)
    return Earlier(state="worse" if is_worse(old, now) else "known", was=old.measured)
