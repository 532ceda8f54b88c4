"""What a reviewer decided about findings, carried from one state of a plan to the next.

A decision belongs to a finding's identity: rule, room and items. It waives nothing.
"""

from collections.abc import Sequence

from msgspec.structs import replace

from underfoot.checking.content_hash import find_changes
from underfoot.checking.earlier import EarlierFinding
from underfoot.checking.finding import SEVERITIES
from underfoot.checking.matching import identity_of, is_worse, match_findings
from underfoot.checking.numbers import format_quantity
from underfoot.checking.report import (
    DecisionUsed,
    Measure,
    PlanReport,
    ReportedFinding,
    ReviewUsed,
)
from underfoot.checking.words import with_article
from underfoot.reading.problem import Problem
from underfoot.reading.review_file import (
    ReviewedContent,
    ReviewFile,
    StatedDecision,
    StatedOverall,
)

DECISIONS = ("accepted", "to be mended", "question")
OPEN = "open"
NO_LONGER_FOUND = "no longer found"


def _as_finding(stated: StatedDecision) -> EarlierFinding:
    (severity,) = (each for each in SEVERITIES if each == stated.severity)
    measured = (
        None
        if stated.measured is None
        else Measure(value=stated.measured[0], unit=stated.measured[1])
    )
    return EarlierFinding(
        rule=stated.rule,
        room=stated.room,
        items=stated.items,
        severity=severity,
        measured=measured,
        limit=None,
        waived=False,
    )


def _pair(
    stated: Sequence[StatedDecision], findings: Sequence[ReportedFinding]
) -> tuple[dict[int, StatedDecision], list[StatedDecision]]:
    """Pair what was decided with the findings by their number; give also what is left over."""
    seen = [_as_finding(each) for each in stated]
    of = {id(finding): each for finding, each in zip(seen, stated, strict=True)}
    matched = match_findings(seen, findings)
    return (
        {now.number: of[id(old)] for old, now in matched.left},
        [of[id(old)] for old in matched.cleared],
    )


def why_lapsed(stated: StatedDecision, now: ReportedFinding) -> str | None:
    """Say why a decision does not hold for the finding as it is now; None where it does.

    What is to be mended, or asked, still is where it got worse; what was accepted was not this.
    """
    old = _as_finding(stated)
    if stated.decision != "accepted" or not is_worse(old, now):
        return None
    if SEVERITIES.index(now.severity) < SEVERITIES.index(old.severity):
        return f"it was {with_article(old.severity)} then, and is {with_article(now.severity)} now"
    then, measured = old.measured, now.measured
    if then is None or measured is None or then.unit != measured.unit:
        return "what it measures has changed"
    was = format_quantity(then.value, then.unit, measured.value)
    return (
        f"it was {was} then, and is "
        f"{format_quantity(measured.value, measured.unit, then.value)} now"
    )


def start_review(plan: str, content: ReviewedContent, report: PlanReport) -> ReviewFile:
    """Begin a review of a plan, nothing decided yet."""
    return ReviewFile(
        plan=plan, reviewed=content, findings=tuple(_fresh(each) for each in report.findings)
    )


def carry_over(review: ReviewFile, content: ReviewedContent, report: PlanReport) -> ReviewFile:
    """Bring a review to the plan at hand, findings in the report's order.

    What was decided about a finding that is still there stays, unless it was accepted and is
    worse. All else that was decided goes to the past, with the reason; so does the overall
    decision where anything of the content has changed. A note, or a comment in the file, goes
    where its entry goes.
    """
    kept, gone = _pair(review.findings, report.findings)
    findings: list[StatedDecision] = []
    past = list(review.past_findings)
    for finding in report.findings:
        stated = kept.get(finding.number)
        if stated is None:
            findings.append(_fresh(finding))
            continue
        why = why_lapsed(stated, finding)
        if why is not None:
            past.append(replace(stated, because=why))
            findings.append(_fresh(finding))
        else:
            findings.append(_refreshed(stated, finding))
    past += [
        replace(stated, because=NO_LONGER_FOUND)
        for stated in gone
        if stated.decision is not None or stated.note is not None or stated.comments
    ]
    overall, past_overall = review.overall, review.past_overall
    changed = find_changes(review.reviewed, content)
    if overall is not None and changed:
        because = f"changed since: {', '.join(changed)}"
        past_overall = (*past_overall, replace(overall, because=because))
        overall = None
    return replace(
        review,
        reviewed=content,
        overall=overall,
        findings=tuple(findings),
        past_findings=tuple(past),
        past_overall=past_overall,
    )


def decide(
    review: ReviewFile,
    places: Sequence[int],
    decision: str,
    *,
    reason: str | None,
    by: str | None,
    day: str,
) -> ReviewFile:
    """Write a decision on the findings at these places of the review; ``open`` takes it back."""
    findings = list(review.findings)
    for place in places:
        cleared = replace(findings[place], decision=None, reason=None, by=None, date=None)
        findings[place] = (
            cleared
            if decision == OPEN
            else replace(cleared, decision=decision, reason=reason, by=by, date=day)
        )
    return replace(review, findings=tuple(findings))


def decide_overall(
    review: ReviewFile, decision: str, *, reason: str | None, by: str, day: str
) -> ReviewFile:
    """Write the overall decision; what stood there before is past."""
    before = review.overall
    after = StatedOverall(decision=decision, by=by, date=day, reason=reason)
    if before is None:
        return replace(review, overall=after)
    if (before.decision, before.by, before.date, before.reason) == (decision, by, day, reason):
        return review
    past = (*review.past_overall, replace(before, because=f"decided anew on {day}"))
    return replace(review, overall=after, past_overall=past)


def show_decisions(
    report: PlanReport, review: ReviewFile, name: str, changed: tuple[str, ...]
) -> PlanReport:
    """Add to a report what was decided; `changed` names what is not as it was reviewed."""
    kept, gone = _pair(review.findings, report.findings)
    findings = tuple(
        replace(finding, decision=_used(kept[finding.number], finding))
        if finding.number in kept and kept[finding.number].decision is not None
        else finding
        for finding in report.findings
    )
    overall = review.overall
    return replace(
        report,
        findings=findings,
        review=ReviewUsed(
            file=name,
            overall=None
            if overall is None
            else DecisionUsed(
                decision=overall.decision,
                reason=overall.reason,
                by=overall.by,
                date=overall.date,
                note=overall.note,
                lapsed=None if not changed else f"changed since: {', '.join(changed)}",
            ),
            changed=changed,
            no_longer_found=tuple(
                identity_of(_as_finding(each)) for each in gone if each.decision is not None
            ),
        ),
    )


def show_broken_review(report: PlanReport, name: str, problems: tuple[Problem, ...]) -> PlanReport:
    """Say in a report that the review beside the plan cannot be read."""
    return replace(report, review=ReviewUsed(file=name, problems=problems))


def _used(stated: StatedDecision, finding: ReportedFinding) -> DecisionUsed:
    return DecisionUsed(
        decision=stated.decision or OPEN,
        reason=stated.reason,
        by=stated.by or "",
        date=stated.date or "",
        note=stated.note,
        lapsed=why_lapsed(stated, finding),
    )


def _fresh(finding: ReportedFinding) -> StatedDecision:
    return StatedDecision(
        rule=finding.rule,
        severity=finding.severity,
        room=finding.room,
        items=finding.items,
        measured=_measured(finding),
        says=finding.message,
    )


def _refreshed(stated: StatedDecision, finding: ReportedFinding) -> StatedDecision:
    """Keep a decision with the measure that it was taken on, so that small steps add up."""
    if stated.decision is not None:
        return stated
    fresh = _fresh(finding)
    return replace(fresh, note=stated.note, comments=stated.comments)


def _measured(finding: ReportedFinding) -> tuple[float, str] | None:
    measured = finding.measured
    return None if measured is None else (float(measured.value), measured.unit)
