"""Strips, pairs of conductors and circuits: what each is, draws, and reads on an ohmmeter."""

from collections.abc import Iterator

from msgspec import Struct

from underfoot.checking.facts import (
    CircuitFacts,
    Facts,
    LaidLead,
    element_current_a,
)
from underfoot.checking.facts.metering import (
    METERED_AT_C,
    Metered,
    meter_circuits_at_box,
    meter_leads_at_box,
    meter_protections_at_board,
    meter_strips,
)
from underfoot.checking.facts.protection import ProtectionFacts
from underfoot.checking.facts.wiring import Drop, find_all_wirings, find_currents_behind, solve_drop
from underfoot.checking.numbers import format_size
from underfoot.checking.words import name_runs
from underfoot.physics.network import compute_drop_percent
from underfoot.plan import Cable, Circuit
from underfoot.schedule.document import Cell, Column, Part, Table

_NO_CIRCUIT = "none"
_READ = (
    Column(key="rated_ohm", title="as rated", unit="Ω", decimals=2),
    Column(key="least_ohm", title="at least", unit="Ω", decimals=2, rounds="up"),
    Column(key="most_ohm", title="at most", unit="Ω", decimals=2, rounds="down"),
)
_LENGTH = Column(key="length_mm", title="length", unit="mm", decimals=0)
_POWER = Column(key="power_w", title="power", unit="W", decimals=1)
_CURRENT = Column(key="current_a", title="current", unit="A", decimals=3)


def word(key: str, title: str | None = None) -> Column:
    """Make a column of words."""
    return Column(key=key, title=title or key)


def schedule_strips(facts: Facts) -> Part:
    """Work out every strip, lead, circuit and protection of a plan."""
    supply_v = facts.plan.supply.voltage_v
    return Part(
        key="strips",
        title="Strips and circuits",
        says=(
            f"Power and current are at the supply's {supply_v:g} V. Resistances are those of the "
            "film at its rated output, which hardly changes with its temperature, and of copper "
            f"at {METERED_AT_C:g} °C, the floor off; from least to most is what the film's "
            "tolerance allows, each strip at its own edge.",
            "The check holds a recorded load resistance against the strips alone. What is read "
            "at the box or at the board has the leads' and the cable's copper in it: take that "
            "off before the reading is written down.",
        ),
        tables=(
            _list_strips(facts),
            _list_leads(facts),
            _list_circuits(facts),
            _list_resistances(facts),
            _list_protections(facts),
        ),
    )


def _read(metered: Metered | None) -> tuple[Cell, Cell, Cell]:
    if metered is None:
        return (None, None, None)
    return (metered.rated_ohm, metered.least_ohm, metered.most_ohm)


def _list_strips(facts: Facts) -> Table:
    supply_v = facts.plan.supply.voltage_v
    rows: list[tuple[Cell, ...]] = []
    for room in facts.heated_rooms:
        for element in room.elements:
            current_a = element_current_a(element, supply_v)
            circuit = element.circuit if element.circuit in facts.circuits else _NO_CIRCUIT
            rows.append(
                (
                    room.id,
                    element.id,
                    circuit,
                    element.film.id,
                    element.length,
                    current_a * supply_v,
                    current_a,
                    *_read(meter_strips((element,))),
                )
            )
    return Table(
        key="strips",
        named_by=("strip",),
        title="Strips, each read by itself at its connectors",
        columns=(word("room"), word("strip"), word("circuit"), word("film"), _LENGTH, _POWER,
                 _CURRENT, *_READ),
        rows=tuple(rows),
        says=tuple(_say_films(facts)),
        if_empty="No strips are drawn.",
    )  # fmt: skip


def _say_films(facts: Facts) -> Iterator[str]:
    supply_v = facts.plan.supply.voltage_v
    for film in facts.films_in_use.values():
        if film.tolerance is None:
            yield (
                f"{film.id} gives no tolerance: its band is that of IEC 60335-1, 10.1 table 1, "
                "from memory."
            )
        if film.voltage_v != supply_v:
            yield f"{film.id} is rated at {film.voltage_v:g} V; the supply has {supply_v:g} V."


def _list_leads(facts: Facts) -> Table:
    seen = facts.once(meter_leads_at_box)
    currents: dict[str, float] = {}
    for protection in facts.protections:
        currents |= find_currents_behind(facts, protection)
    rows: list[tuple[Cell, ...]] = []
    says: dict[str, None] = {}
    for room in facts.rooms.values():
        for laid in room.leads:
            lead = laid.lead
            metered = seen.get(lead.id)
            rows.append(
                (
                    room.id,
                    lead.id,
                    lead.circuit,
                    None if lead.size_mm2 is None else format_size(lead.size_mm2, lead.size_text),
                    find_lead_length(laid),
                    currents.get(lead.id),
                    name_runs(metered.strips) if metered else None,
                    *_read(metered),
                )
            )
            says |= _say_unknown(metered)
    begin = "A lead that begins at a strip is read through the lead before it."
    return Table(
        key="leads",
        named_by=("lead",),
        title="Pairs of conductors, each read at the box, all others off it",
        columns=(word("room"), word("lead"), word("circuit"), word("size"),
                 Column(key="length_m", title="length", unit="m", decimals=2), _CURRENT,
                 word("strips"), *_READ),
        rows=tuple(rows),
        says=(*([begin] if any(row[-1] is None for row in rows) else []), *says),
        if_empty="No leads are drawn.",
    )  # fmt: skip


def find_lead_length(laid: LaidLead) -> float | None:
    """Return how long a lead is over the floor, in m; None where it is not drawn."""
    return None if laid.line is None else laid.line.length / 1000


def _list_circuits(facts: Facts) -> Table:
    return Table(
        key="circuits",
        named_by=("circuit",),
        title="Circuits",
        columns=(word("circuit"), word("rooms"),
                 Column(key="strips", title="strips", decimals=0),
                 Column(key="film_m", title="film", unit="m", decimals=2), _POWER, _CURRENT,
                 word("thermostat", "thermostat of")),
        rows=tuple(
            (
                circuit.id,
                ", ".join(circuit.rooms),
                len(circuit.elements),
                sum(element.length for element in circuit.elements) / 1000,
                circuit.power_w,
                circuit.current_a,
                circuit.circuit.thermostat,
            )
            for circuit in facts.circuits.values()
            if circuit.elements
        ),
        if_empty="No circuit has strips.",
    )  # fmt: skip


def _list_resistances(facts: Facts) -> Table:
    at_box, at_board = facts.once(meter_circuits_at_box), facts.once(meter_protections_at_board)
    rows: list[tuple[Cell, ...]] = []
    says: dict[str, None] = {}
    for protection in facts.protections.values():
        for circuit in protection.circuits:
            seen = at_box[circuit.id]
            rows.append((circuit.id, "strips alone", *_read(meter_strips(circuit.elements))))
            rows.append((circuit.id, "the box", *_read(seen)))
            says |= _say_not_read(circuit, seen) | _say_unknown(seen)
        seen = at_board[protection.id]
        names = ", ".join(circuit.id for circuit in protection.circuits)
        rows.append((names, "the board", *_read(seen)))
        says |= _say_unknown(seen)
    return Table(
        key="resistances",
        named_by=("circuit", "at"),
        title="Resistance of each circuit, all its strips side by side, by where it is read",
        columns=(word("circuit"), word("at", "read at"), *_READ),
        rows=tuple(rows),
        says=tuple(says),
        if_empty="No circuit has strips.",
    )


def _list_protections(facts: Facts) -> Table:
    rows: list[tuple[Cell, ...]] = []
    says: dict[str, None] = {}
    for protection in facts.protections.values():
        drop = find_drop(facts, protection)
        circuit, cable = protection.circuit, protection.circuit.cable
        rows.append(
            (
                ", ".join(each.id for each in protection.circuits),
                circuit.breaker_a,
                say_rcd(circuit),
                circuit.phase,
                say_cable(cable),
                None if cable is None or cable.length is None else cable.length / 1000,
                protection.current_a,
                drop.percent,
                drop.strip,
            )
        )
        says |= dict.fromkeys(drop.says)
    return Table(
        key="protection",
        named_by=("circuits",),
        title="Protection and cables",
        columns=(word("circuits"),
                 Column(key="breaker_a", title="breaker", unit="A", decimals=0),
                 word("rcd", "RCD"), word("phase"), word("cable"),
                 Column(key="cable_m", title="length", unit="m", decimals=1), _CURRENT,
                 Column(key="drop_percent", title="drop", unit="%", decimals=2),
                 word("farthest", "to strip")),
        rows=tuple(rows),
        says=(*says, "The drop is reckoned with copper at 70 °C, as hot as it may get."),
        if_empty="No circuit has strips.",
    )  # fmt: skip


class DropSeen(Struct, frozen=True, kw_only=True):
    """The voltage lost on the way to the strip that gets the least, and what qualifies it."""

    percent: float | None
    strip: str | None
    says: tuple[str, ...]


def find_drop(facts: Facts, protection: ProtectionFacts) -> DropSeen:
    """Find the voltage drop behind a protection as the rules reckon it."""
    supply_v = facts.plan.supply.voltage_v
    drop = solve_drop(facts.once(find_all_wirings)[protection.id], supply_v)
    if drop is None:
        why = f"No lead joins the strips of {protection.whose} to the junction box."
        return DropSeen(percent=None, strip=None, says=(why,))
    return DropSeen(
        percent=compute_drop_percent(supply_v, drop.strip_v),
        strip=drop.strip,
        says=tuple(_qualify(protection, drop)),
    )


def _qualify(protection: ProtectionFacts, drop: Drop) -> list[str]:
    whose = protection.whose
    said = [
        f"Of {whose} the drop and the reading are at least so much: {each.why}."
        for each in drop.unknown
    ]
    if drop.unfed:
        said.append(f"No lead feeds {name_runs(drop.unfed)} of {whose}: not in the reading.")
    return said


def say_cable(cable: Cable | None) -> str | None:
    """Say a cable's size and method."""
    if cable is None:
        return None
    method = f"method {cable.method}" if cable.method else None
    size = None if cable.size_mm2 is None else format_size(cable.size_mm2, cable.size_text)
    parts = (size, method)
    return ", ".join(part for part in parts if part) or None


def say_rcd(circuit: Circuit) -> str | None:
    """Say at what a circuit's RCD trips, and its type."""
    if circuit.rcd_ma is None:
        return None
    kind = f", type {circuit.rcd_type}" if circuit.rcd_type else ""
    return f"{circuit.rcd_ma:g} mA{kind}"


def _say_unknown(metered: Metered | None) -> dict[str, None]:
    unknown = () if metered is None else metered.unknown
    return {f"Taken as nothing: {each.why}.": None for each in unknown}


def _say_not_read(circuit: CircuitFacts, metered: Metered | None) -> dict[str, None]:
    read = () if metered is None else metered.strips
    missing = [element.id for element in circuit.elements if element.id not in read]
    if not missing:
        return {}
    return {f"No lead joins {name_runs(missing)} of circuit {circuit.id} to its box.": None}
