"""What the engine found -> the finished report of a plan: order, numbers, words, the verdict."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import partial
from typing import Any

from msgspec.structs import replace

from underfoot.checking.caution import DEFERS
from underfoot.checking.content_marks import Marking
from underfoot.checking.engine import Outcome, RuleFinding, Tally
from underfoot.checking.finding import SEVERITIES, Basis, Finding, Severity
from underfoot.checking.geojson import geojson
from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.numbers import format_limit, format_quantity
from underfoot.checking.origin import Origin
from underfoot.checking.report import (
    EVERY_RULE,
    INSUFFICIENT,
    NO_OBJECTION,
    REVISE,
    WITH_COMMENTS,
    Changed,
    CheckRow,
    Counts,
    LimitUsed,
    Measure,
    PlanReport,
    Reason,
    ReportedFinding,
    RuleFault,
    WaiverUsed,
)
from underfoot.checking.settings import InForce, Settings
from underfoot.checking.waivers import covers
from underfoot.plan import Plan

Positions = Mapping[str, tuple[int, int]]

# A plan may be dated for the day on which it is issued.
_SOON_DAYS = 365


def build_report(
    path: str,
    plan: Plan,
    outcome: Outcome,
    positions: Positions,
    settings: Settings,
    today: date,
    *,
    in_brief: bool = False,
) -> PlanReport:
    """Put findings in their total order, number them and word them; `in_brief` no more."""
    ordered = put_in_order(outcome.raised, plan, positions)
    findings = tuple(
        _reported(number, raised, positions, settings, outcome)
        for number, raised in enumerate(ordered, 1)
    )
    if not in_brief:
        marking = Marking(plan)
        findings = tuple(map(partial(_in_full, marking), findings, ordered))
    standing = [each.severity for each in findings if each.waiver is None]
    checks = tuple(map(_row, outcome.tallies))
    unjudged = [row for row in checks if row.undecided]
    may_be_errors = sum(row.may_be_errors for row in unjudged)
    job = plan.job
    return PlanReport(
        path=path,
        title=job.title if job else None,
        reference=job.reference if job else None,
        revision=job.revision if job else None,
        status=plan.status,
        verdict=_verdict(standing, may_be_errors, outcome),
        counts=Counts(
            error=standing.count("error"),
            warning=standing.count("warning"),
            note=standing.count("note"),
            waived=len(findings) - len(standing),
            undecided=sum(row.undecided for row in unjudged),
            may_be_errors=may_be_errors,
        ),
        checks=checks,
        findings=findings,
        faults=tuple(
            RuleFault(rule=fault.rule, message=fault.message, trace=fault.trace)
            for fault in outcome.faults
        ),
        changed=changes(settings),
        today=today.isoformat() if _date_mattered(plan, today) else None,
        names={room.id: room.name for room in plan.rooms.values() if room.name},
    )


def put_in_order(
    found: Iterable[RuleFinding], plan: Plan, positions: Positions
) -> list[RuleFinding]:
    """Put findings in the order in which every report numbers them from 1."""
    rooms = {room: place for place, room in enumerate(plan.rooms)}
    return sorted(found, key=lambda each: _order(each, positions, rooms))


def _date_mattered(plan: Plan, today: date) -> bool:
    """Tell whether another day might give another report: where something ends or is to come."""
    if any(waiver.until for waiver in plan.waivers):
        return True
    if any(test.date is not None and test.date > today for test in plan.tests):
        return True
    stated = plan.job.dated if plan.job is not None else None
    return stated is not None and (stated - today).days > _SOON_DAYS


def changes(settings: Settings) -> tuple[Changed, ...]:
    """List everything in force that is not the default, by rule."""
    rows = [
        Changed(
            rule=rule,
            what=key,
            value=format_limit(limit.value, limit.unit, limit.choices),
            default=format_limit(limit.default, limit.unit, limit.choices),
            origin=origin,
        )
        for rule, key, limit, origin in settings.changed_limits
    ]
    rows += [
        Changed(rule=rule, what="severity", value=severity, default=None, origin=origin)
        for rule, (severity, origin) in settings.severities.items()
    ]
    rows += [
        Changed(rule=rule, what="off", value="switched off", default=None, origin=o)
        for rule, o in settings.off.items()
    ]
    rows += [
        Changed(rule=rule, what="undecided", value=severity, default=None, origin=origin)
        for rule, (severity, origin) in settings.undecided.items()
    ]
    if settings.undecided_floor is not None:
        severity, origin = settings.undecided_floor
        rows.append(
            Changed(rule=EVERY_RULE, what="undecided", value=severity, default=None, origin=origin)
        )
    if settings.materials_from is not None:
        names, origin = settings.materials_from.catalogues, settings.materials_from.origin
        rows.append(
            Changed(
                rule=MAKERS_FIGURES.id,
                what="materials_from",
                value=", ".join(names),
                default=None,
                origin=origin,
            )
        )
    rows += [
        Changed(rule=rule, what="may_waive", value="allowed", default=None, origin=o)
        for rule, o in may_waive(settings)
    ]
    return tuple(sorted(rows, key=lambda row: (row.rule, row.what)))


def may_waive(settings: Settings) -> tuple[tuple[str, Origin], ...]:
    """List the rules that protect life and that a plan may waive all the same."""
    return tuple(
        (rule, origin)
        for rule, origin in sorted(settings.may_waive.items())
        if rule not in settings.never_waive
    )


def position(path: str, positions: Positions) -> tuple[int, int]:
    """Find a path's line and column, or those of the nearest thing around it."""
    while path:
        found = positions.get(path)
        if found is not None:
            return found
        path = path.rpartition(".")[0]
    return positions.get("", (1, 1))


def _row(tally: Tally) -> CheckRow:
    if not tally.undecided:
        return CheckRow(rule=tally.rule, checked=tally.checked, found=tally.found)
    reasons = Counter((each.why, each.write, each.worst) for each in tally.undecided)
    return CheckRow(
        rule=tally.rule,
        checked=tally.checked,
        found=tally.found,
        undecided=len(tally.undecided),
        why="; ".join(tally.reasons),
        reasons=tuple(
            Reason(why=why, points=points, write=write, worst=worst)
            for (why, write, worst), points in reasons.items()
        ),
    )


def _order(raised: RuleFinding, positions: Positions, rooms: Mapping[str, int]) -> tuple[Any, ...]:
    subject = raised.subject
    line, column = position(raised.finding.path or subject.path, positions)
    room = len(rooms) if subject.room is None else rooms.get(subject.room, len(rooms))
    severity = SEVERITIES.index(raised.severity)
    return (severity, room, line, column, raised.rule.id, subject.items)


def _verdict(standing: Sequence[Severity], may_be_errors: int, outcome: Outcome) -> str:
    if "error" in standing:
        return REVISE
    # A rule that crashed has judged nothing.
    if may_be_errors or any(fault.worst == "error" for fault in outcome.faults):
        return INSUFFICIENT
    return WITH_COMMENTS if "warning" in standing else NO_OBJECTION


def _reported(
    number: int,
    raised: RuleFinding,
    positions: Positions,
    settings: Settings,
    outcome: Outcome,
) -> ReportedFinding:
    rule, subject, finding = raised.rule, raised.subject, raised.finding
    path = finding.path or subject.path
    line, column = position(path, positions)
    unit = rule.unit
    measured = limit = None
    if unit is not None and finding.measured is not None:
        measured = Measure(value=_exact(finding.measured), unit=unit)
    if unit is not None and (finding.least is not None or finding.most is not None):
        limit = LimitUsed(
            least=None if finding.least is None else _exact(finding.least),
            most=None if finding.most is None else _exact(finding.most),
            unit=unit,
        )
    words = _words(finding, unit)
    return ReportedFinding(
        number=number,
        rule=rule.id,
        severity=raised.severity,
        message=_fill(finding.message, words),
        room=subject.room,
        items=subject.items,
        measured=measured,
        limit=limit,
        line=line,
        column=column,
        path=path,
        shape=None,
        is_cold=finding.is_cold,
        remedy=_fill(finding.remedy, words),
        why=rule.why,
        basis=_basis(raised, settings.limits.get(rule.id, {})),
        waiver=_waiver(raised, outcome),
        details=finding.details,
        related=finding.related,
        related_at=tuple(position(each, positions) for each in finding.related),
    )


def _in_full(marking: Marking, reported: ReportedFinding, raised: RuleFinding) -> ReportedFinding:
    """Add where a finding is in the drawing, and what it is known again by."""
    finding = raised.finding
    return replace(
        reported,
        shape=None if finding.shape is None else geojson(finding.shape),
        offer=None if finding.offer is None else geojson(finding.offer),
        mark=marking.mark_of(raised.rule.id, raised.subject),
    )


def say_message(raised: RuleFinding) -> str:
    """Say what a finding says, its figures filled in, without a report round it."""
    return _fill(raised.finding.message, _words(raised.finding, raised.rule.unit))


def _exact(value: float) -> float:
    # The last bits differ between machines; a value that misses its limit misses it by 1e-6.
    return round(value, 7) + 0.0


def _words(finding: Finding, unit: str | None) -> dict[str, str]:
    words: dict[str, str] = {}
    if unit is None:
        return words
    bound = finding.least if finding.least is not None else finding.most
    if finding.measured is not None:
        words["{measured}"] = format_quantity(finding.measured, unit, bound)
    if bound is not None:
        words["{limit}"] = format_quantity(bound, unit, finding.measured)
    return words


def _fill(text: str, words: Mapping[str, str]) -> str:
    for mark, word in words.items():
        text = text.replace(mark, word)
    return text


def _basis(raised: RuleFinding, limits: Mapping[str, InForce]) -> Basis:
    basis = raised.finding.basis or raised.rule.basis
    key = raised.finding.limit_key
    origin = limits[key].origin if key is not None and key in limits else None
    if origin is not None:
        basis = Basis(kind="settings", text=origin.said)
    if raised.rule.electrical:
        basis = Basis(kind=basis.kind, text=f"{basis.text}; {DEFERS}")
    return basis


def _waiver(raised: RuleFinding, outcome: Outcome) -> WaiverUsed | None:
    for state in outcome.waivers:
        waiver = state.waiver
        if state.lapsed is None and covers(waiver, raised.rule.id, raised.subject):
            until = waiver.until.isoformat() if waiver.until else None
            return WaiverUsed(
                reason=waiver.reason or "", agreed_by=waiver.agreed_by or "", until=until
            )
    return None
