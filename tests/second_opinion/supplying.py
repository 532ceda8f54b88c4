"""What is wrong with a supply, its source, its RCDs and the earth of grids, as written."""

from collections.abc import Iterator, Mapping

import shapely
from shapely import Point

from tests.second_opinion.comparing import UnclearError, exceeds, falls_short
from tests.second_opinion.conductors import lead_current
from tests.second_opinion.load_limits import fed_wrong, is_selv
from tests.second_opinion.saying import error, expect, warning
from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.drawn import Drawn
from underfoot_rules.mutations.expand_rows import mm
from underfoot_rules.mutations.loads import Load, loads, protections, volts

WET = ("bath", "shower", "open shower")

# Common practice in the trade, no source: no RCD of less is made.
LEAST_RCD = 5.0


def supply_faults(plan: Data, drawn: Mapping[str, Drawn], wrong: set[str]) -> Iterator[Expected]:
    """Judge supply, source, RCDs and grids; `wrong` are films whose power is not known."""
    found = loads(plan, drawn)
    if found and not wrong:
        yield from _of_capacity(plan, found)
    if any(room.strips for room in drawn.values()):
        yield from _of_selv(plan, drawn, found)
    for load in found.values():
        if not fed_wrong((load,), wrong) and _draws_too_much(plan, drawn, load):
            yield error("circuit-current", None, load.id)
    if is_selv(plan):
        return
    yield from _of_rcds(plan, found)
    for room in drawn.values():
        yield from _of_grid(plan, room)


def _draws_too_much(plan: Data, drawn: Mapping[str, Drawn], load: Load) -> bool:
    """Hold a circuit on the mains against 10 A, and what goes through one lead by its film."""
    films = {strip.film: plan["materials"]["films"][strip.film] for strip in load.strips}
    bears_a = [
        read_quantity(told["largest_current"], "A")
        for told in films.values()
        if "largest_current" in told
    ]
    if bears_a:
        through_a = [
            lead_current(plan, room, lead.id)
            for room in drawn.values()
            for lead in room.leads.values()
            if lead.circuit == load.id
        ]
        if exceeds(max(through_a, default=load.current_a), min(bears_a), 0.001):
            return True
    return volts(plan) > 50 and exceeds(load.current_a, 10, 0.001)


def _of_capacity(plan: Data, found: Mapping[str, Load]) -> Iterator[Expected]:
    supply = plan["supply"]
    available = supply.get("available")
    if not available:
        return
    available_a = read_quantity(available, "A")
    if supply.get("phases") != 3:
        if exceeds(sum(load.current_a for load in found.values()), available_a, 0.001):
            yield error("supply-capacity", None)
        return
    sums: dict[str, float] = {}
    for name, group in protections(found).items():
        phase = plan["circuits"][name].get("phase")
        if phase is None:
            raise UnclearError
        sums[phase] = sums.get(phase, 0.0) + sum(load.current_a for load in group)
    for phase, current_a in sums.items():
        if exceeds(current_a, available_a, 0.001):
            yield error("supply-capacity", None, phase)


def _of_selv(
    plan: Data, drawn: Mapping[str, Drawn], found: Mapping[str, Load]
) -> Iterator[Expected]:
    supply = plan["supply"]
    source = supply.get("source") or {}
    if source.get("kind") not in (None, "battery") and "rating" in source:
        load_va = sum(load.current_a for load in found.values()) * volts(plan)
        if found and exceeds(load_va, read_quantity(source["rating"], "VA"), 0.01):
            yield error("source-rating", None)
    if supply.get("system") != "SELV":
        return
    if not is_selv(plan):
        yield error("selv-source", None)
    elif source["kind"] != "battery" and "61558-2-6" not in source.get("standard", ""):
        other = "61558-2-" in source.get("standard", "")
        yield expect("selv-source", None, severity="error" if other else "warning")
    if volts(plan) > 50:
        return
    for room in drawn.values():
        if room.strips and is_wet(room):
            yield from _of_bathroom(room, volts(plan))


def is_wet(room: Drawn) -> bool:
    """Tell whether a room is a bathroom, by its use or by what is drawn in it."""
    return room.data.get("use") == "bathroom" or any(
        fixture.kind in WET for fixture in room.fixtures.values()
    )


def _of_bathroom(room: Drawn, supply_v: float) -> Iterator[Expected]:
    baths = [fixture for fixture in room.fixtures.values() if fixture.kind in WET]
    if supply_v <= 12:
        return
    if not baths:
        raise UnclearError
    for bath in baths:
        reach, origin = 0.0, bath.shape
        if bath.kind == "open shower":
            reach, origin = 1200.0, Point(bath.outlet) if bath.outlet else bath.shape
        nearest = min(float(shapely.distance(s.shape, origin)) for s in room.strips.values())
        if falls_short(nearest, reach, 0.5) if reach else nearest <= 0:
            yield error("selv-voltage", room.id)
            return
    if supply_v > 25:
        yield warning("selv-voltage", room.id)


def _of_rcds(plan: Data, found: Mapping[str, Load]) -> Iterator[Expected]:
    groups: dict[str, list[str]] = {}
    for name in protections(found):
        groups.setdefault(plan["circuits"][name].get("rcd_group", f"alone {name}"), []).append(name)
    for group, names in groups.items():
        told = [
            circuit
            for name, circuit in plan["circuits"].items()
            if name in names or circuit.get("rcd_group") == group
        ]
        residual = next((each["rcd"] for each in told if each.get("rcd")), None)
        items = tuple(sorted(names))
        if any(each.get("rcd_type") == "AC" for each in told):
            yield warning("rcd-type", None, *items)
        if residual is None or exceeds(read_quantity(residual, "mA"), 30, 0.0):
            for name in names:
                yield error("rcd", None, name)
        # A figure that cannot be meant has no share that could be worked out.
        if residual is not None and not falls_short(read_quantity(residual, "mA"), LEAST_RCD, 0.0):
            yield from _of_leakage(plan, found, items, read_quantity(residual, "mA"))


def _of_leakage(
    plan: Data, found: Mapping[str, Load], names: tuple[str, ...], rated_ma: float
) -> Iterator[Expected]:
    leaks_ma = 0.0
    for load in found.values():
        if load.told.get("shares", load.id) not in names:
            continue
        for strip in load.strips:
            told = plan["materials"]["films"][strip.film].get("leakage")
            if told is None:
                continue
            if told.endswith("m2"):
                leaks_ma += read_quantity(told, "mA/m2") * strip.length * strip.width / 1e6
            else:
                leaks_ma += read_quantity(told, "mA/m") * strip.length / 1e3
    if exceeds(leaks_ma, 0.3 * rated_ma, 0.001):
        trips = exceeds(leaks_ma, 0.5 * rated_ma, 0.001)
        yield expect("rcd-leakage", None, *names, severity="error" if trips else "warning")


def _of_grid(plan: Data, room: Drawn) -> Iterator[Expected]:
    """Ask for a grid where film or room does, and for the earth of every grid."""
    grid: Data | None = room.data.get("grid")
    for film in dict.fromkeys(strip.film for strip in room.strips.values()):
        told = plan["materials"]["films"][film]
        if told.get("protection_class") == "III":  # which nothing but SELV may feed
            yield error("protective-grid", room.id, film)
            continue
        asked = is_wet(room) or told.get("protection_class") != "II"
        if asked if grid is None else _is_bad(grid, asked=asked):
            yield error("protective-grid", room.id, film)


def _is_bad(grid: Data, *, asked: bool) -> bool:
    if not grid.get("earthed") or "protective_conductor" not in grid:
        return True
    if read_quantity(grid["protective_conductor"], "mm2") < 1.5:
        return True
    return asked and "mesh" in grid and mm(grid["mesh"]) > 30
