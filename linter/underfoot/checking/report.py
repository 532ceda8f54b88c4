"""The finished report: findings in order and numbered, wording and lines decided, the verdict."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from underfoot.checking.engine import Outcome, Raised
from underfoot.checking.finding import SEVERITIES, Basis, Finding, Severity
from underfoot.checking.numbers import written, written_limit
from underfoot.checking.settings import InForce, Origin, Settings
from underfoot.checking.waivers import covers
from underfoot.plan import Plan
from underfoot.reading.problem import Problem

CAUTION = (
    "This check is an aid and certifies nothing. It does not replace the maker's manual, the "
    "local wiring regulations and building code, or the judgement of a licensed electrician, "
    "who tests and signs. Isolate, lock off and prove dead before any work."
)
DEFERS = "the local wiring regulations and a licensed electrician decide"

Positions = Mapping[str, tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Measure:
    """A value in the unit of its rule."""

    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class LimitUsed:
    """The limit that a finding was held against."""

    least: float | None
    most: float | None
    unit: str


@dataclass(frozen=True, slots=True)
class WaiverUsed:
    """The agreement under which a finding stands."""

    reason: str
    agreed_by: str
    until: str | None


@dataclass(frozen=True, slots=True)
class ReportedFinding:
    """One finding as every format prints it. `shape` is a GeoJSON geometry in millimetres."""

    number: int
    rule: str
    severity: Severity
    message: str
    room: str | None
    items: tuple[str, ...]
    measured: Measure | None
    limit: LimitUsed | None
    line: int
    column: int
    path: str
    shape: Mapping[str, Any] | None
    remedy: str
    why: str
    basis: Basis
    waiver: WaiverUsed | None = None
    details: tuple[tuple[str, str], ...] = ()
    related: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckRow:
    """What one rule was about in this plan; `reasons` says of how many points what was missing."""

    rule: str
    checked: int
    found: int
    undecided: int
    why: str | None
    reasons: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Changed:
    """Something that settings changed: a limit, a severity, a rule switched off."""

    rule: str
    what: str
    value: str
    default: str | None
    origin: Origin


@dataclass(frozen=True, slots=True)
class Counts:
    """Findings by severity without the waived ones, which stand under `waived` alone."""

    error: int = 0
    warning: int = 0
    note: int = 0
    waived: int = 0
    undecided: int = 0


@dataclass(frozen=True, slots=True)
class RuleFault:
    """A rule that crashed while this plan was checked."""

    rule: str
    message: str


@dataclass(frozen=True, slots=True)
class PlanReport:
    """All that is said of one plan. `today` is set where the date mattered."""

    path: str
    verdict: str
    title: str | None = None
    reference: str | None = None
    revision: str | None = None
    status: str | None = None
    counts: Counts = field(default_factory=Counts)
    checks: tuple[CheckRow, ...] = ()
    problems: tuple[Problem, ...] = ()
    findings: tuple[ReportedFinding, ...] = ()
    faults: tuple[RuleFault, ...] = ()
    changed: tuple[Changed, ...] = ()
    today: str | None = None


@dataclass(frozen=True, slots=True)
class Report:
    """The plans checked in one run, and how many files were passed over."""

    version: str
    plans: tuple[PlanReport, ...]
    passed_over: int = 0
    problems: tuple[Problem, ...] = ()
    caution: str = CAUTION


NO_OBJECTION = "no objection"
WITH_COMMENTS = "no objection with comments"
REVISE = "revise and resubmit"
UNREADABLE = "unreadable"


def unreadable(path: str, problems: Sequence[Problem]) -> PlanReport:
    """Report a plan that could not be read."""
    return PlanReport(path=path, verdict=UNREADABLE, problems=tuple(problems))


def finish(
    path: str,
    plan: Plan,
    outcome: Outcome,
    positions: Positions,
    settings: Settings,
    today: date,
) -> PlanReport:
    """Put findings in their total order, number them and word them."""
    rooms = {room: place for place, room in enumerate(plan.rooms)}
    worded = [
        (_order(raised, positions, rooms), raised) for raised in outcome.raised
    ]
    worded.sort(key=lambda pair: pair[0])
    findings = tuple(
        _reported(number, raised, positions, settings, outcome)
        for number, (_, raised) in enumerate(worded, 1)
    )
    standing = [each.severity for each in findings if each.waiver is None]
    checks = tuple(
        CheckRow(
            tally.rule,
            tally.checked,
            tally.found,
            len(tally.undecided),
            "; ".join(tally.reasons) or None,
            tuple(Counter(why for _, why in tally.undecided).items()),
        )
        for tally in outcome.tallies
    )
    job = plan.job
    return PlanReport(
        path=path,
        title=job.title if job else None,
        reference=job.reference if job else None,
        revision=job.revision if job else None,
        status=plan.status,
        verdict=_verdict(standing),
        counts=Counts(
            error=standing.count("error"),
            warning=standing.count("warning"),
            note=standing.count("note"),
            waived=len(findings) - len(standing),
            undecided=sum(row.undecided for row in checks),
        ),
        checks=checks,
        findings=findings,
        faults=tuple(RuleFault(fault.rule, fault.message) for fault in outcome.faults),
        changed=changes(settings),
        today=today.isoformat() if any(w.until for w in plan.waivers) else None,
    )


def changes(settings: Settings) -> tuple[Changed, ...]:
    """List everything in force that is not the default, by rule."""
    rows = [
        Changed(
            rule,
            key,
            written_limit(limit.value, limit.unit, limit.choices),
            written_limit(limit.default, limit.unit, limit.choices),
            limit.origin,
        )
        for rule, limits in settings.limits.items()
        for key, limit in limits.items()
        if limit.origin is not None
    ]
    rows += [
        Changed(rule, "severity", severity, None, origin)
        for rule, (severity, origin) in settings.severities.items()
    ]
    rows += [Changed(rule, "off", "switched off", None, o) for rule, o in settings.off.items()]
    rows += [
        Changed(rule, "undecided", severity, None, origin)
        for rule, (severity, origin) in settings.undecided.items()
    ]
    return tuple(sorted(rows, key=lambda row: (row.rule, row.what)))


def position(path: str, positions: Positions) -> tuple[int, int]:
    """Find a path's line and column, or those of the nearest thing around it."""
    while path:
        found = positions.get(path)
        if found is not None:
            return found
        path = path.rpartition(".")[0]
    return positions.get("", (1, 1))


def _order(raised: Raised, positions: Positions, rooms: Mapping[str, int]) -> tuple[Any, ...]:
    subject = raised.subject
    line, column = position(raised.finding.path or subject.path, positions)
    room = len(rooms) if subject.room is None else rooms.get(subject.room, len(rooms))
    severity = SEVERITIES.index(raised.severity)
    return (severity, room, line, column, raised.rule.id, subject.items)


def _verdict(standing: Sequence[Severity]) -> str:
    if "error" in standing:
        return REVISE
    return WITH_COMMENTS if "warning" in standing else NO_OBJECTION


def _reported(
    number: int,
    raised: Raised,
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
        measured = Measure(_exact(finding.measured), unit)
    if unit is not None and (finding.least is not None or finding.most is not None):
        limit = LimitUsed(
            None if finding.least is None else _exact(finding.least),
            None if finding.most is None else _exact(finding.most),
            unit,
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
        shape=None if finding.shape is None else geojson(finding.shape),
        remedy=_fill(finding.remedy, words),
        why=rule.why,
        basis=_basis(raised, settings.limits.get(rule.id, {})),
        waiver=_waiver(raised, outcome),
        details=finding.details,
        related=finding.related,
    )


def _exact(value: float) -> float:
    # The last bits differ between machines; a value that misses its limit misses it by 1e-6.
    return round(value, 7) + 0.0


def _words(finding: Finding, unit: str | None) -> dict[str, str]:
    words: dict[str, str] = {}
    if unit is None:
        return words
    bound = finding.least if finding.least is not None else finding.most
    if finding.measured is not None:
        words["{measured}"] = written(finding.measured, unit, bound)
    if bound is not None:
        words["{limit}"] = written(bound, unit, finding.measured)
    return words


def _fill(text: str, words: Mapping[str, str]) -> str:
    for mark, word in words.items():
        text = text.replace(mark, word)
    return text


def _basis(raised: Raised, limits: Mapping[str, InForce]) -> Basis:
    basis = raised.finding.basis or raised.rule.basis
    key = raised.finding.limit_key
    origin = limits[key].origin if key is not None and key in limits else None
    if origin is not None:
        basis = Basis("settings", f"{origin.because} ({origin.file}:{origin.line})")
    if raised.rule.electrical:
        basis = Basis(basis.kind, f"{basis.text}; {DEFERS}")
    return basis


def _waiver(raised: Raised, outcome: Outcome) -> WaiverUsed | None:
    for state in outcome.waivers:
        waiver = state.waiver
        if state.lapsed is None and covers(waiver, raised.rule.id, raised.subject):
            until = waiver.until.isoformat() if waiver.until else None
            return WaiverUsed(waiver.reason or "", waiver.agreed_by or "", until)
    return None


def geojson(shape: Any) -> dict[str, Any]:
    """Give a shapely geometry as a GeoJSON geometry, to a thousandth of a millimetre.

    Outer rings run anticlockwise (RFC 7946, 3.1.6).
    """
    from shapely import geometry
    from shapely.geometry import polygon

    if shape.geom_type == "Polygon":
        shape = polygon.orient(shape)
    elif shape.geom_type == "MultiPolygon":
        shape = geometry.MultiPolygon([polygon.orient(part) for part in shape.geoms])
    mapped = geometry.mapping(shape)
    if "geometries" in mapped:
        return {
            "type": mapped["type"],
            "geometries": [geojson(part) for part in shape.geoms],
        }
    return {"type": mapped["type"], "coordinates": _rounded(mapped["coordinates"])}


def _rounded(value: Any) -> Any:
    if isinstance(value, (tuple, list)):
        return [_rounded(part) for part in value]
    return round(float(value), 3) + 0.0
