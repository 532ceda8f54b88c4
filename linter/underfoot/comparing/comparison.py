"""Findings of two revisions: cleared, left, brought in, and changed in measure."""

from msgspec import Struct

from underfoot.checking.check import CheckedPlan
from underfoot.checking.exit_status import RefuseAt, counts_for_status
from underfoot.checking.matching import (
    Step,
    compare_measures,
    is_worse,
    match_findings,
    match_renamed,
)
from underfoot.checking.report import UNREADABLE, Changed, PlanReport, ReportedFinding
from underfoot.comparing.change import Change
from underfoot.comparing.plan_changes import list_changes
from underfoot.plan import Plan


class Side(Struct, frozen=True, kw_only=True):
    """One revision: its report, and the plan where it could be read."""

    report: PlanReport
    plan: Plan | None


class Cleared(Struct, frozen=True, kw_only=True):
    """A finding that is gone; `doubt` says where that may be for another reason than a mended plan.

    That is where its rule is not checked any more, or can judge less than it could.
    """

    finding: ReportedFinding
    doubt: str | None = None


class Left(Struct, frozen=True, kw_only=True):
    """A finding of both revisions, and which way its measure went."""

    old: ReportedFinding
    new: ReportedFinding
    step: Step

    @property
    def is_as_it_was(self) -> bool:
        """Neither measure, severity nor waiver changed."""
        return (
            self.step == "same"
            and self.old.severity == self.new.severity
            and (self.old.waiver is None) == (self.new.waiver is None)
        )

    @property
    def is_worse(self) -> bool:
        """Worse in measure or severity, or its waiver holds no longer."""
        if self.old.waiver is not None and self.new.waiver is None:
            return True
        return is_worse(self.old, self.new)


class Unjudged(Struct, frozen=True, kw_only=True):
    """Points that a rule could judge before, or that were not there, and that may be errors."""

    rule: str
    points: int
    why: str


class Comparison(Struct, frozen=True, kw_only=True):
    """Two revisions held side by side; one side is None where there is no such plan.

    `settings_then` and `settings_now` are what the settings of each side change, where the two
    differ.
    """

    name: str
    old: Side | None
    new: Side | None
    cleared: tuple[Cleared, ...] = ()
    left: tuple[Left, ...] = ()
    brought_in: tuple[ReportedFinding, ...] = ()
    unjudged: tuple[Unjudged, ...] = ()
    changes: tuple[Change, ...] = ()
    settings_then: tuple[Changed, ...] = ()
    settings_now: tuple[Changed, ...] = ()

    @property
    def is_readable(self) -> bool:
        """Both sides could be read and no rule crashed on one."""
        return all(
            side.report.verdict != UNREADABLE and not side.report.faults
            for side in (self.old, self.new)
            if side is not None
        )


def compare(name: str, old: CheckedPlan | None, new: CheckedPlan | None) -> Comparison:
    """Hold two revisions side by side; `name` is how the pair is called."""
    then, now = _side(old), _side(new)
    if not all(side is None or side.plan is not None for side in (then, now)):
        return Comparison(name=name, old=then, new=now)
    # A plan that is gone has cleared nothing.
    found_then = old.report.findings if old is not None and new is not None else ()
    found_now = new.report.findings if new is not None else ()
    matched = match_findings(found_then, found_now)
    if old is not None and new is not None:
        matched = match_renamed(matched, old.report.content, new.report.content)
    changes: tuple[Change, ...] = ()
    settings: tuple[tuple[Changed, ...], tuple[Changed, ...]] = ((), ())
    if old is not None and new is not None:
        if old.facts is not None and new.facts is not None:
            changes = list_changes(old.facts, new.facts)
        settings = _differing_settings(old.report, new.report)
    return Comparison(
        name=name,
        old=then,
        new=now,
        cleared=tuple(
            Cleared(finding=finding, doubt=_doubt(finding.rule, old, new))
            for finding in matched.cleared
            if old is not None and new is not None
        ),
        left=tuple(
            Left(old=was, new=now, step=compare_measures(was, now)) for was, now in matched.left
        ),
        brought_in=matched.brought_in,
        unjudged=_list_unjudged(old, new),
        changes=changes,
        settings_then=settings[0],
        settings_now=settings[1],
    )


def _side(examined: CheckedPlan | None) -> Side | None:
    return None if examined is None else Side(report=examined.report, plan=examined.plan)


def refuses(comparison: Comparison, refuse_at: RefuseAt) -> bool:
    """Tell whether something that was not there before, or is worse, counts."""
    fresh = [*comparison.brought_in, *(each.new for each in comparison.left if each.is_worse)]
    if comparison.unjudged and refuse_at in ("unjudged", "warning", "note"):
        return True
    return any(counts_for_status(finding, refuse_at) for finding in fresh)


def _list_unjudged(old: CheckedPlan | None, new: CheckedPlan | None) -> tuple[Unjudged, ...]:
    """List by rule how many more points than before could not be judged and may be errors."""
    if new is None:
        return ()
    then = {} if old is None else {row.rule: row.may_be_errors for row in old.report.checks}
    return tuple(
        Unjudged(rule=row.rule, points=more, why=row.why or "")
        for row in new.report.checks
        if (more := row.may_be_errors - then.get(row.rule, 0)) > 0
    )


def _doubt(rule: str, old: CheckedPlan, new: CheckedPlan) -> str | None:
    """Say why a finding may be gone though nothing was mended."""
    now = next((row for row in new.report.checks if row.rule == rule), None)
    if now is None:
        return "its rule was not checked this time"
    then = next((row.undecided for row in old.report.checks if row.rule == rule), 0)
    if now.undecided > then:
        why = f" ({now.why})" if now.why else ""
        return f"its rule could judge less than before{why}"
    return None


def _differing_settings(
    old: PlanReport, new: PlanReport
) -> tuple[tuple[Changed, ...], tuple[Changed, ...]]:
    def told(change: Changed) -> tuple[str, str, str]:
        return (change.rule, change.what, change.value)

    then, now = {told(each) for each in old.changed}, {told(each) for each in new.changed}
    return (
        tuple(each for each in old.changed if told(each) not in now),
        tuple(each for each in new.changed if told(each) not in then),
    )
