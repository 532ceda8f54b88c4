"""What every report says in the same words: verdicts, counts, settings, waivers, bases."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from msgspec import Struct

from underfoot.checking.finding import Basis
from underfoot.checking.numbers import format_quantity
from underfoot.checking.report import (
    EVERY_RULE,
    INSUFFICIENT,
    NO_OBJECTION,
    REVISE,
    UNREADABLE,
    WITH_COMMENTS,
    Brief,
    Changed,
    DecisionUsed,
    Earlier,
    HeldAgainst,
    PlanReport,
    Reason,
    ReportedFinding,
    ReviewUsed,
    RulesAsked,
    WaiverUsed,
    is_laxer,
)
from underfoot.checking.words import with_article
from underfoot.reporting.layout import count_of

if TYPE_CHECKING:
    from underfoot.checking.rule import AnyRule
    from underfoot.checking.settings import Settings
    from underfoot.checking.summing import Summary
    from underfoot.reading.review_file import StatedDecision

VERDICTS = (REVISE, INSUFFICIENT, WITH_COMMENTS, NO_OBJECTION, UNREADABLE)
STANDARD_INPUT = "-"
_MEANS = {
    REVISE: "work must not start as drawn.",
    INSUFFICIENT: "work must not start before what is missing is written down and judged.",
    WITH_COMMENTS: "put them right, or have a reviewer agree.",
    NO_OBJECTION: "nothing was found that speaks against the plan.",
    UNREADABLE: "the plan was not checked.",
}
# What lies in the floor already is not kept from being laid, but from being switched on.
_LIES_THERE = ("laid", "covered", "handed over")
_MEANS_ONCE_LAID = {
    REVISE: "isolate; do not energise until put right.",
    INSUFFICIENT: "isolate; do not energise until what is missing is written down and judged.",
}
CRASHED = (
    "A crash is a fault of the tool, not of the plan: please report it. What crashed has not "
    "judged this plan."
)


_MOST_NAMED = 8


def say_path(path: str) -> str:
    """Name a plan's place."""
    return "standard input" if path == STANDARD_INPUT else path


def say_verdict(plan: PlanReport) -> str:
    """Say what a plan's verdict means for the work, and what it leaves open."""
    means = _MEANS[plan.verdict]
    if plan.status in _LIES_THERE:
        means = _MEANS_ONCE_LAID.get(plan.verdict, means)
    if plan.faults:
        crashed = f"{count_of(len(plan.faults), 'rule')} crashed and could not say anything."
        if plan.verdict == REVISE or plan.counts.may_be_errors:
            means = f"{means} {crashed}"
        else:
            means = crashed if plan.verdict == INSUFFICIENT else f"but {crashed}"
    elif plan.verdict == NO_OBJECTION and plan.counts.undecided:
        means = f"but {count_of(plan.counts.undecided, 'point')} could not be judged."
    return means if plan.asked is None else f"{means} {say_asked(plan.asked)}"


def say_asked(asked: RulesAsked) -> str:
    """Say that not all rules were asked, and which were."""
    named = ", ".join(asked.rules[:_MOST_NAMED])
    more = len(asked.rules) - _MOST_NAMED
    if more > 0:
        named += f" and {more} more"
    were = "was" if len(asked.rules) == 1 else "were"
    return f"ONLY {len(asked.rules)} OF {asked.of} RULES {were} asked: {named}. No whole check."


def say_counts(plan: Brief) -> str:
    """Count a plan's findings: ``2 errors · 1 waived · 3 points not judged``."""
    if plan.verdict == UNREADABLE:
        return count_of(plan.problems, "problem")
    counts = plan.counts
    parts = [
        count_of(number, thing)
        for number, thing in (
            (counts.error, "error"),
            (counts.warning, "warning"),
            (counts.note, "note"),
        )
        if number
    ]
    if counts.waived:
        parts.append(f"{counts.waived} waived")
    if not parts:
        parts.append("no findings")
    if counts.undecided:
        parts.append(f"{count_of(counts.undecided, 'point')} not judged")
        if counts.may_be_errors:
            parts[-1] += f" ({say_may_be(counts.may_be_errors)})"
    return " · ".join(parts)


def say_checked(plan: PlanReport) -> str:
    """Say how much of a plan was checked, and by how many rules."""
    points = sum(row.checked for row in plan.checks)
    found = sum(row.found for row in plan.checks)
    undecided = plan.counts.undecided
    idle = sum(not row.checked for row in plan.checks)
    said = (
        f"{count_of(points, 'point')} by {count_of(len(plan.checks) - idle, 'rule')}: "
        f"{points - found - undecided} in order, {found} with a finding, {undecided} not judged."
    )
    if idle:
        said += f" {count_of(idle, 'rule')} found nothing in the plan to look at."
    if plan.today:
        said += f" Dates were judged as of {plan.today}."
    return said


def say_may_be(points: int) -> str:
    """Say of how many points an error may come: ``2 may be errors``."""
    return "1 may be an error" if points == 1 else f"{points} may be errors"


class NotJudged(Struct, frozen=True, kw_only=True):
    """Why points could not be judged, by which rules, and what to write to have them judged."""

    why: str
    points: int
    rules: tuple[str, ...]
    writes: tuple[str, ...]
    may_be_error: bool


def points_not_judged(plan: PlanReport) -> list[NotJudged]:
    """List why points could not be judged: first what may be an error, then by how many points."""
    gathered: dict[tuple[bool, str], list[tuple[str, Reason]]] = {}
    for row in plan.checks:
        for reason in row.reasons:
            key = (reason.worst == "error", reason.why)
            gathered.setdefault(key, []).append((row.rule, reason))
    listed = [
        NotJudged(
            why=why,
            points=sum(reason.points for _, reason in told),
            rules=tuple(dict.fromkeys(rule for rule, _ in told)),
            writes=tuple(dict.fromkeys(reason.write for _, reason in told if reason.write)),
            may_be_error=may_be_error,
        )
        for (may_be_error, why), told in gathered.items()
    ]
    return sorted(listed, key=lambda each: (not each.may_be_error, -each.points, each.why))


def say_change(change: Changed) -> str:
    """Say what settings changed of a rule."""
    if change.what == "off":
        return "switched off, so that nothing was checked by it"
    if change.what == "severity":
        return f"counts as {with_article(change.value)}"
    if change.what == "undecided":
        least = "at least " if change.rule == EVERY_RULE else ""
        return f"what it cannot judge counts as {least}{with_article(change.value)}"
    if change.what == "materials_from":
        return f"materials may come from {change.value} alone"
    if change.what == "may_waive":
        return "protects life, and yet a plan may waive it"
    if change.default is None:
        return f"{change.what} {change.value}"
    return f"{change.what} {change.value}, not {change.default}"


def say_waiving(rule: AnyRule, settings: Settings | None = None) -> str:
    """Say of a rule that protects life whether a plan may waive it."""
    allowed = settings and rule.id not in settings.never_waive and settings.may_waive.get(rule.id)
    if allowed:
        return f"Protects life, and yet a plan may waive it: {allowed.said}."
    return "Protects life: a plan may waive it only where the settings allow that (`may_waive`)."


def say_waiver(waiver: WaiverUsed) -> str:
    """Say why a finding stands, who agreed, and for how long."""
    until = f"until {waiver.until}" if waiver.until else "with no end date"
    return f"{waiver.reason} (agreed by {waiver.agreed_by}, {until})"


def say_decision(decision: DecisionUsed) -> str:
    """Say what was decided, why, by whom and when, and why it does not hold where it does not."""
    reason = f": {decision.reason}" if decision.reason else ""
    said = f"{decision.decision}{reason} ({decision.by}, {decision.date})"
    if decision.note:
        said += f" – {decision.note}"
    return f"{said} – NO LONGER APPLIES: {decision.lapsed}" if decision.lapsed else said


def say_review(plan: PlanReport, review: ReviewUsed) -> str:
    """Say what the review beside a plan has decided, and whether it was about this very plan."""
    if review.problems:
        first = review.problems[0]
        place = f"line {first.line}: " if first.line > 1 else ""
        return f"it cannot be read, so that nothing of it is shown: {place}{first.message}"
    decided = sum(
        finding.decision is not None and finding.decision.lapsed is None
        for finding in plan.findings
    )
    overall = review.overall
    parts = [
        "nothing is decided overall" if overall is None else f"overall {say_decision(overall)}",
        *_say_laxer(plan, overall),
        f"{decided} of {count_of(len(plan.findings), 'finding')} decided",
    ]
    gone = len(review.no_longer_found)
    if gone:
        parts.append(f"{gone} decided and no longer found")
    changed = ", ".join(review.changed)
    # Said already where the decision on the whole plan does not hold for that reason.
    if changed and (overall is None or changed not in (overall.lapsed or "")):
        parts.append(f"not what was reviewed (changed since: {changed})")
    return "; ".join(parts)


def _say_laxer(plan: PlanReport, overall: DecisionUsed | None) -> list[str]:
    if overall is None or overall.lapsed or not is_laxer(overall.decision, plan.verdict):
        return []
    return [f"the check says {plan.verdict}"]


def say_earlier(finding: ReportedFinding, earlier: Earlier) -> str:
    """Say how a finding stands against the earlier report."""
    if earlier.state == "new":
        return "new"
    then, now = earlier.was, finding.measured
    if then is None or then == now:
        return "known" if earlier.state == "known" else "worse than before"
    apart = now.value if now is not None and now.unit == then.unit else None
    was = format_quantity(then.value, then.unit, apart)
    return f"known: it was {was}" if earlier.state == "known" else f"worse: it was {was}"


def say_run(report: Summary) -> str:
    """Say in one line what came of a run."""
    verdicts = Counter(plan.verdict for plan in report.plans)
    parts = [f"{verdicts[verdict]} {verdict}" for verdict in VERDICTS if verdicts[verdict]]
    said = count_of(len(report.plans), "plan")
    if parts:
        said += f": {', '.join(parts)}"
    totals = [
        count_of(sum(getattr(plan.counts, kind) for plan in report.plans), kind)
        for kind in ("error", "warning", "note")
    ]
    totals.append(f"{sum(plan.counts.waived for plan in report.plans)} waived")
    undecided = sum(plan.counts.undecided for plan in report.plans)
    said += f"; {', '.join(totals)}; {count_of(undecided, 'point')} not judged"
    faults = sum(plan.faults for plan in report.plans)
    if faults:
        said += f"; {count_of(faults, 'crash', 'crashes')} of rules"
    if report.rules_asked is not None:
        said += f"; only {len(report.rules_asked.rules)} of {report.rules_asked.of} rules asked"
    if report.problems:
        said += f"; {len(report.problems)} not checked as asked"
    if report.earlier is not None:
        gone = len(report.earlier.gone)
        said += f"; against {report.earlier.name}: {say_held(report.earlier)}"
        said += f", {count_of(gone, 'plan')} gone" if gone else ""
    return said


def say_held(held: HeldAgainst) -> str:
    """Count what is new, worse, known and cleared against the earlier report."""
    return f"{held.new} new, {held.worse} worse, {held.known} known, {held.cleared} cleared"


def say_basis(basis: Basis) -> str:
    """Say what a limit rests on."""
    return basis.text if basis.text.startswith(basis.kind) else f"{basis.kind}: {basis.text}"


def as_sentence(text: str) -> str:
    """Begin with a capital and end with a stop."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "?", "!")) else text + "."


def say_about(finding: ReportedFinding | StatedDecision) -> str:
    """Say what a finding, or what was decided of one, is about."""
    parts = (finding.room, ", ".join(finding.items))
    return " · ".join(part for part in parts if part) or "the whole plan"
