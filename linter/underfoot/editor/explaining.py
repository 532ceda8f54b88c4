"""What a plan's things come to, in words: a strip, a row, a circuit, a film, a room."""

from collections.abc import Iterable, Sequence

import shapely

from underfoot.checking.facts import CircuitFacts, Facts, RoomFacts
from underfoot.checking.facts.circuit import (
    element_conductance_band,
    element_current_a,
    element_power_w,
)
from underfoot.checking.facts.coverage import measure_coverage
from underfoot.checking.numbers import format_quantity
from underfoot.checking.settings import Settings
from underfoot.physics import heat
from underfoot.plan import Element, Fabric, Film, Room
from underfoot.reporting.layout import count_of

# A surface that borders on the open air has the outside's temperature beyond it.
_OUTSIDE = "outside"


def explain(facts: Facts, settings: Settings, kind: str, name: str) -> str | None:
    """Say of a thing of the plan what it comes to, in Markdown; None where nothing is known."""
    plan = facts.plan
    if kind in ("strip", "stop", "any") and name in facts.elements:
        return explain_strip(facts, facts.elements[name])
    if kind in ("row", "stop", "any"):
        strips = [each for each in facts.elements.values() if each.row == name]
        if strips:
            return explain_row(facts, name, strips)
    if kind in ("circuit", "any") and name in facts.circuits:
        return explain_circuit(facts, facts.circuits[name])
    if kind in ("film", "any") and name in plan.materials.films:
        return explain_film(facts, plan.materials.films[name])
    if kind in ("room", "any") and name in facts.rooms:
        return explain_room(facts.rooms[name], settings)
    return None


def explain_strip(facts: Facts, strip: Element) -> str:
    """A strip's length, power, current, expected resistance and circuit."""
    supply_v = facts.plan.supply.voltage_v
    rows = [
        ("film", f"{strip.film.id}, {_mm(strip.film.width)} wide"),
        ("length", _mm(strip.length)),
        ("power", format_quantity(element_power_w(strip), "W")),
        ("current", f"{_amps(element_current_a(strip, supply_v))} at {_volts(supply_v)}"),
        ("expected resistance", say_resistance([strip])),
        ("circuit", strip.circuit or "none given"),
    ]
    return _tell(f"Strip {strip.id}", rows)


def explain_row(facts: Facts, name: str, strips: Sequence[Element]) -> str:
    """A row's strips together."""
    supply_v = facts.plan.supply.voltage_v
    rows = [
        ("strips", _say_strips(strips)),
        ("power", format_quantity(sum(map(element_power_w, strips)), "W")),
        ("current", _amps(sum(element_current_a(each, supply_v) for each in strips))),
        ("circuit", _names(each.circuit or "none given" for each in strips)),
    ]
    return _tell(f"Row {name}", rows)


def explain_circuit(facts: Facts, circuit: CircuitFacts) -> str:
    """What a circuit carries, and what the meter should read."""
    plan = circuit.circuit
    rows = [("strips", _say_strips(circuit.elements))]
    if circuit.elements:
        rows += [
            ("rooms", _names(circuit.rooms)),
            ("power", format_quantity(circuit.power_w, "W")),
            ("current", f"{_amps(circuit.current_a)} at {_volts(facts.plan.supply.voltage_v)}"),
            ("expected resistance", say_resistance(circuit.elements)),
        ]
    if plan.breaker_a is not None:
        rows.append(("breaker", format_quantity(plan.breaker_a, "A")))
    if plan.rcd_ma is not None:
        rows.append(("RCD", format_quantity(plan.rcd_ma, "mA")))
    if circuit.protection != circuit.id:
        rows.append(("shares", f"the protection of {circuit.protection}"))
    return _tell(f"Circuit {circuit.id}", rows)


def explain_film(facts: Facts, film: Film) -> str:
    """A film's rating, and how much of it the plan lays."""
    strips = [each for each in facts.elements.values() if each.film.id == film.id]
    rows = [
        ("width", _mm(film.width)),
        (
            "output",
            f"{format_quantity(film.rated_w_m2, 'W/m2')}, "
            f"{format_quantity(film.rated_w_m, 'W/m')} at {_volts(film.voltage_v)}",
        ),
    ]
    if film.cut_every is not None:
        rows.append(("cut every", _mm(film.cut_every)))
    if film.longest_strip is not None:
        rows.append(("longest strip", _mm(film.longest_strip)))
    rows.append(("laid in this plan", _say_strips(strips)))
    return _tell(f"Film {film.id}", rows)


def explain_room(room: RoomFacts, settings: Settings) -> str:
    """A room's floor, how much of it is heated, and what is asked of its heating."""
    floor_m2 = float(shapely.area(room.outline)) / 1e6
    rows = [("floor", format_quantity(floor_m2, "m2"))]
    if room.elements:
        heated = shapely.intersection(room.heated, room.outline)
        heated_m2 = float(shapely.area(heated)) / 1e6
        share = 100 * heated_m2 / floor_m2 if floor_m2 else 0.0
        rows.append(("heated", f"{format_quantity(heated_m2, 'm2')}, {share:.0f} % of the floor"))
        reachable = _say_reachable(room, settings)
        if reachable:
            rows.append(("of the floor that could be heated", reachable))
        power_w = sum(map(element_power_w, room.elements))
        rows.append(
            (
                "installed",
                f"{format_quantity(power_w, 'W')}, "
                f"{format_quantity(power_w / floor_m2, 'W/m2')} of floor"
                if floor_m2
                else "",
            )
        )
    rows.append(("heat demand", _say_demand(room.drawn, floor_m2)))
    return _tell(f"Room {room.id}", rows)


def _say_reachable(room: RoomFacts, settings: Settings) -> str:
    """The heated share of the floor that strips may reach, where rules say how far that goes."""
    limits = [settings.served(use) for use in ("planned wall clearance", "fixture clearance")]
    legs = settings.served("clear height")
    wall, fixture = (None if each is None else each.value for each in limits)
    if wall is None or fixture is None or legs is None:
        return ""
    coverage = measure_coverage(room, wall, fixture, legs.value)
    return f"{coverage.share:.0f} %"


def _say_demand(room: Room, floor_m2: float) -> str:
    loss_w = room.heat_loss_w
    how = "as given"
    if loss_w is None:
        loss_w = None if room.fabric is None else _lose(room, room.fabric, floor_m2)
        how = "of what its fabric lists"
    if loss_w is None:
        return "not given in full by the plan alone (`heat_loss`, or `fabric`)"
    told = f"{format_quantity(loss_w, 'W')}, {how}"
    if room.other_heat_w:
        left_w = max(loss_w - room.other_heat_w, 0.0)
        told += (
            f", less {format_quantity(room.other_heat_w, 'W')} of other heaters: "
            f"{format_quantity(left_w, 'W')}"
        )
    return told


def _lose(room: Room, fabric: Fabric, floor_m2: float) -> float | None:
    """What a room loses by what the plan itself gives; None where it does not give all."""
    if fabric.inside_c is None or not fabric.surfaces:
        return None
    air_w = 0.0
    if fabric.air_changes_per_h:
        if room.height is None or fabric.outside_c is None:
            return None
        volume_m3 = floor_m2 * room.height / 1000
        air_w = heat.compute_ventilation(
            volume_m3, fabric.air_changes_per_h, fabric.inside_c, fabric.outside_c
        )
    losses = []
    for surface in fabric.surfaces:
        beyond_c = surface.beyond_c
        if beyond_c is None and surface.beyond == _OUTSIDE:
            beyond_c = fabric.outside_c
        if beyond_c is None or surface.area_m2 is None or surface.u_value_w_m2k is None:
            return None
        losses.append(
            heat.compute_transmission(
                surface.area_m2, surface.u_value_w_m2k, fabric.inside_c, beyond_c
            )
        )
    return heat.add_room_loss(losses, air_w)


def say_resistance(strips: Sequence[Element]) -> str:
    """The resistance of strips side by side, with the range that the films' tolerance allows."""
    middle = sum(element_power_w(each) / each.film.voltage_v**2 for each in strips)
    bands = [element_conductance_band(each) for each in strips]
    least, most = sum(each[0] for each in bands), sum(each[1] for each in bands)
    if not middle or not least or not most:
        return "none"
    told = format_quantity(1 / middle, "ohm")
    if most - least > 1e-12:
        told += f" ({format_quantity(1 / most, 'ohm')} to {format_quantity(1 / least, 'ohm')})"
    return told


def _say_strips(strips: Sequence[Element]) -> str:
    metres = format_quantity(sum(each.length for each in strips) / 1000, "m")
    return f"{count_of(len(strips), 'strip')}, {metres} in all" if strips else "no strip"


def _names(names: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(names))


def _mm(value: float) -> str:
    return format_quantity(value, "mm")


def _amps(value: float) -> str:
    return f"{value:.2f} A"


def _volts(value: float) -> str:
    return format_quantity(value, "V")


def _tell(title: str, rows: Iterable[tuple[str, str]]) -> str:
    lines = [f"**{title}**", "", *(f"- {name}: {text}" for name, text in rows if text)]
    return "\n".join(lines)
