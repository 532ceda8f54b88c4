"""The test sheet: every reading of every stage with its band, and a blank to write it in."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from underfoot.checking.facts import CircuitFacts, Facts
from underfoot.checking.facts.metering import Metered, meter_circuits_at_box, meter_strips
from underfoot.checking.facts.visits import STAGES, list_tests, visit_of
from underfoot.checking.rule import LimitUse
from underfoot.checking.settings import Settings
from underfoot.schedule.document import Cell, Column, Part, Table
from underfoot.schedule.strips import word

STRIP = "strip"
"""What a row is called that asks for a strip's own reading; all others as the plan's keys."""

UNITS = {
    STRIP: "ohm",
    "load_resistance": "ohm",
    "insulation_resistance": "Mohm",
    "test_voltage": "V",
    "rcd_trip_time": "ms",
    "ambient": "degC",
}
_SYMBOLS = {"ohm": "Ω", "Mohm": "MΩ", "degC": "°C"}
SHEET = "readings"

COLUMNS = (
    word("circuit"),
    word("stage"),
    Column(key="what", title="what", spoken=True),
    word("strip"),
    Column(key="least", title="at least", decimals=2, trims=True, rounds="up"),
    Column(key="most", title="at most", decimals=2, trims=True, rounds="down"),
    word("unit"),
    word("note"),
    word("recorded"),
    Column(key="reading", title="reading", blank=True),
)


class Bounds(Struct, frozen=True, kw_only=True):
    """What the rules in force ask of readings; None where no rule does."""

    insulation_mohm: float | None
    test_v: float | None
    trip_ms: float | None
    drift_percent: float | None


def find_bounds(settings: Settings | None, *, is_selv: bool) -> Bounds:
    """Find what readings are held against, in the limits in force."""

    def served(use: LimitUse) -> float | None:
        found = None if settings is None else settings.served(use)
        return None if found is None else found.value

    selv = is_selv
    return Bounds(
        insulation_mohm=served(
            "insulation resistance with SELV" if selv else "insulation resistance"
        ),
        test_v=served("insulation test voltage with SELV" if selv else "insulation test voltage"),
        trip_ms=served("RCD trip time"),
        drift_percent=served("change of the load resistance"),
    )


def schedule_tests(facts: Facts, settings: Settings | None) -> Part:
    """Ask for all readings of every circuit with strips, stage by stage."""
    is_selv = facts.plan.supply.is_selv
    bounds = find_bounds(settings, is_selv=is_selv)
    rows = tuple(
        row
        for circuit in facts.circuits.values()
        if circuit.elements
        for row in _ask_circuit(facts, circuit, bounds, is_selv=is_selv)
    )
    return Part(
        key="tests",
        title="Test sheet",
        says=(
            "Isolate, lock off and prove dead before any reading but that of the RCD, which the "
            "electrician tries. Stages: made up, the strips cut and joined; laid, taped down, "
            "before the membrane; covered.",
            "Resistances are the strips' own: where it is read at the box or the board, take off "
            "what the note says, the copper on the way.",
            "Saved as CSV or XLSX and filled in, the sheet comes back into the plan: underfoot "
            "schedule PLAN --readings FILE --write.",
        ),
        tables=(
            Table(
                key=SHEET,
                title="Readings",
                columns=COLUMNS,
                rows=rows,
                if_empty="No circuit has strips.",
            ),
        ),
    )


class Asked(Struct, frozen=True, kw_only=True):
    """One thing to be read or written at a visit, what it must keep to, what is recorded."""

    what: str
    strip: str | None = None
    least: float | None = None
    most: float | None = None
    note: str | None = None
    recorded: str | None = None

    def make_row(self, circuit: str, stage: str) -> tuple[Cell, ...]:
        """Give its cells, the last of them the blank."""
        unit = UNITS.get(self.what)
        shown = None if unit is None else _SYMBOLS.get(unit, unit)
        return (circuit, stage, self.what, self.strip, self.least, self.most, shown, self.note,
                self.recorded, None)  # fmt: skip


def _ask_circuit(
    facts: Facts, circuit: CircuitFacts, bounds: Bounds, *, is_selv: bool
) -> Iterator[tuple[Cell, ...]]:
    for stage in STAGES:
        asked = [*_ask_visit(facts, circuit, stage, bounds)]
        if stage != "made up":
            asked += _ask_safety(facts, circuit, stage, bounds, is_selv=is_selv)
        yield from (each.make_row(circuit.id, stage) for each in asked)


def _ask_visit(facts: Facts, circuit: CircuitFacts, stage: str, bounds: Bounds) -> Iterator[Asked]:
    """Ask for the day, who tests, and the resistances."""
    visits = list_tests(facts, circuit.id, stage)
    last = visits[-1] if visits else None
    day = last.date.isoformat() if last and last.date else None
    yield Asked(what="date", note="as 2026-09-28", recorded=day)
    yield Asked(what="tested_by", recorded=last.tested_by if last else None)
    if stage == "made up":
        for element in circuit.elements:
            alone = meter_strips((element,))
            read = [(test.strips_ohm or {}).get(element.id) for test in visits]
            yield Asked(
                what=STRIP,
                strip=element.id,
                least=alone.least_ohm,
                most=alone.most_ohm,
                note=f"{element.length:g} mm, by itself",
                recorded=next((f"{ohm:g}" for ohm in reversed(read) if ohm is not None), None),
            )
    band = meter_strips(circuit.elements)
    at_box = facts.once(meter_circuits_at_box)[circuit.id]
    before = _find_earlier(facts, circuit.id, stage)
    least, most = _narrow(band, before, bounds)
    yield Asked(
        what="load_resistance",
        least=least,
        most=most,
        note=_say_load(stage, band, at_box, before, bounds),
        recorded=_recorded(facts, circuit.id, stage, "load_resistance_ohm"),
    )


def _ask_safety(
    facts: Facts, circuit: CircuitFacts, stage: str, bounds: Bounds, *, is_selv: bool
) -> Iterator[Asked]:
    """Ask for the insulation, how it was tested, and the RCD; SELV has none."""
    visits = list_tests(facts, circuit.id, stage)
    last = visits[-1] if visits else None
    yield Asked(
        what="insulation_resistance",
        least=bounds.insulation_mohm,
        note="both conductors against grid or earth",
        recorded=_recorded(facts, circuit.id, stage, "insulation_resistance_mohm"),
    )
    yield Asked(
        what="test_voltage",
        least=bounds.test_v,
        note="DC, of the insulation test",
        recorded=_recorded(facts, circuit.id, stage, "test_voltage_v"),
    )
    yield Asked(what="against", note="grid or earth", recorded=last.against if last else None)
    yield Asked(
        what="thermostat_disconnected",
        note="yes or no",
        recorded=_yes(last.thermostat_disconnected) if last else None,
    )
    if not is_selv:
        rated_ma = facts.protections[circuit.protection].circuit.rcd_ma
        yield Asked(
            what="rcd_trip_time",
            most=bounds.trip_ms,
            note=f"at {rated_ma:g} mA" if rated_ma else "at its rated residual current",
            recorded=_recorded(facts, circuit.id, stage, "rcd_trip_time_ms"),
        )
    yield Asked(
        what="ambient",
        note="round the floor",
        recorded=_recorded(facts, circuit.id, stage, "ambient_c"),
    )


def _find_earlier(facts: Facts, circuit: str, stage: str) -> tuple[tuple[str, float], ...]:
    """Find what was read at the first stage and the one before, by stage."""
    stages = STAGES[: STAGES.index(stage)]
    read = [
        (each, ohm)
        for each in stages
        if (test := visit_of(facts, circuit, each, "load_resistance_ohm")) is not None
        and (ohm := test.load_resistance_ohm)
    ]
    return tuple(dict.fromkeys((*read[:1], *read[-1:])))


def _narrow(
    band: Metered, before: Sequence[tuple[str, float]], bounds: Bounds
) -> tuple[float, float]:
    """Narrow the film's band to what readings before allow, unless nothing would be left."""
    share = (bounds.drift_percent or 0.0) / 100
    if not share:
        return band.least_ohm, band.most_ohm
    least = max([band.least_ohm, *(ohm * (1 - share) for _, ohm in before)])
    most = min([band.most_ohm, *(ohm * (1 + share) for _, ohm in before)])
    return (least, most) if least <= most else (band.least_ohm, band.most_ohm)


def _say_load(
    stage: str,
    band: Metered,
    at_box: Metered | None,
    before: Sequence[tuple[str, float]],
    bounds: Bounds,
) -> str:
    said = [f"as rated {band.rated_ohm:.2f} Ω"]
    if at_box is not None and len(at_box.strips) == len(band.strips):
        said.append(f"at the box take off {at_box.rated_ohm - band.rated_ohm:.2f} Ω of leads")
    if stage != "made up" and bounds.drift_percent is not None:
        read = " and ".join(f"{ohm:g} Ω ({each})" for each, ohm in before)
        said.append(f"within {bounds.drift_percent:g} % of {read or 'the stage before'}")
    return "; ".join(said)


def _recorded(facts: Facts, circuit: str, stage: str, field: str) -> str | None:
    test = visit_of(facts, circuit, stage, field)
    value = None if test is None else getattr(test, field)
    return None if value is None else f"{value:g}"


def _yes(value: bool | None) -> str | None:
    return None if value is None else "yes" if value else "no"
