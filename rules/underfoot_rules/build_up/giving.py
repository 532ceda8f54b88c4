"""What a heated floor gives its room, and what would make it give enough."""

import math
from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from underfoot.api.facts import (
    Facts,
    HeatedPart,
    RoomFacts,
    cut_out,
    film_output,
    find_heated_parts,
)
from underfoot.api.physics import heat
from underfoot.api.rules import Limits, above, below, format_quantity
from underfoot_rules.in_the_way import say_apart
from underfoot_rules.trying import try_output
from underfoot_rules.warmth import Floor, SurfaceMost, limit_surface


class Given(Struct, frozen=True, kw_only=True):
    """What a part gives the room: installed less what goes down, and at most at its limit, W."""

    floor: Floor
    installed_w: float
    at_limit_w: float
    kept: SurfaceMost

    @property
    def kept_said(self) -> str:
        """The warmest that the surface gets, and in words why."""
        return f"{format_quantity(self.kept.limit_c, 'degC')} ({self.kept.said})"

    @property
    def output_w(self) -> float:
        """What the part gives."""
        return min(self.installed_w, self.at_limit_w)


def cap_surface(room: RoomFacts, part: HeatedPart, facts: Facts, limits: Limits) -> SurfaceMost:
    """Find what the surface stays below: its limit, or a dial that is set lower.

    A sensor below the film reads no less than the surface, so that the dial's figure is a bound;
    the surface in truth stays well below it. Where the floor is not everywhere the same, or another
    room's thermostat switches it, the dial says nothing about this part.
    """
    most = limit_surface(room, part, limits)
    thermostat = room.drawn.thermostat
    if thermostat is None or thermostat.floor_limit_c is None or len(find_heated_parts(room)) > 1:
        return most
    own = {c.circuit.thermostat for c in facts.circuits.values() if room.id in c.rooms}
    if own == {room.id} and thermostat.floor_limit_c < most.limit_c:
        return SurfaceMost(limit_c=thermostat.floor_limit_c, said="the dial of the floor limit")
    return most


def heated_area_m2(room: RoomFacts) -> float:
    """Return the heated floor's area in the room, gaps of up to 10 mm closed."""
    heated = room.heated
    return float((heated & room.outline if room.outside.any() else heated).area) / 1e6


def give(
    room: RoomFacts, floors: Sequence[tuple[Floor, heat.FloorTemperatures, SurfaceMost]]
) -> tuple[Given, ...]:
    """Work out what each part gives, settled so and kept below that."""
    strips_m2 = sum(floor.part.area_m2 for floor, _, _ in floors)
    widened = heated_area_m2(room) / strips_m2
    return tuple(
        Given(
            floor=floor,
            installed_w=state.split.up_w_m2 * floor.part.area_m2,
            at_limit_w=_give_at(floor, most.limit_c) * widened,
            kept=most,
        )
        for floor, state, most in floors
    )


def give_at_most(room: RoomFacts, inside_c: float, facts: Facts, limits: Limits) -> float:
    """Return what a floor of which nothing is known but its film gives at the very most, W."""
    installed_w = limit_w = 0.0
    strips_m2 = sum(part.area_m2 for part in find_heated_parts(room))
    for part in find_heated_parts(room):
        installed_w += film_output(part.film, facts.plan.supply.voltage_v) * part.area_m2
        rise_k = max(0.0, cap_surface(room, part, facts, limits).limit_c - inside_c)
        limit_w += heat.compute_surface_output(rise_k) * part.area_m2
    if not strips_m2:
        return 0.0
    return min(installed_w, limit_w * heated_area_m2(room) / strips_m2)


def total(given: tuple[Given, ...]) -> float:
    """Add up what all parts give, W."""
    return sum(part.output_w for part in given)


def _give_at(floor: Floor, surface_c: float) -> float:
    """Return what a part's strips give the room at a surface temperature, W."""
    rise_k = max(0.0, surface_c - floor.stack.room.temperature_c)
    return heat.compute_surface_output(rise_k) * floor.part.area_m2


def advise(
    room: RoomFacts, given: tuple[Given, ...], needed_w: float, facts: Facts, limits: Limits
) -> str:
    """Name only ways that would do: more film where floor is left, a stronger one, insulation."""
    if not facts.is_advised:
        return ""
    short_w = needed_w - total(given)
    missing = say_missing(short_w)
    part = max(given, key=lambda each: each.floor.part.area_m2)
    area_m2, film = part.floor.part.area_m2, part.floor.part.film.id
    left_m2 = float(find_free_floor(room).area) / 1e6 - heated_area_m2(room)
    more_m2 = short_w * area_m2 / part.output_w if part.output_w > 0 else left_m2 + 1
    ways = (
        [f"lay about {format_quantity(more_m2, 'm2')} more of {film}"] if more_m2 < left_m2 else []
    )
    if part.at_limit_w <= part.installed_w:
        stop = f"and no stronger film helps: the surface may be no warmer than {part.kept_said}"
        raising = _raise_dial(room, given, needed_w, facts, limits)
        ways = [raising, *ways] if raising is not None else ways
        return f"{missing}, {stop}. {_joined([*ways, 'lose less', OTHER_HEATER])}."
    at_limit_w = sum(each.at_limit_w for each in given)
    if len(given) == 1 and at_limit_w >= needed_w:
        output_w_m2 = part.floor.output_w_m2 + short_w / area_m2 / _upward_part(part)
        rated = part.floor.part.film.rated_w_m2 / part.floor.output_w_m2
        stronger_w_m2, covered = _tens_up(output_w_m2 * rated), part.floor.part.covering
        bears = None if covered is None else covered.covering.most_output_w_m2
        if bears is None or not above(stronger_w_m2 / rated, bears):
            ways.append(_stronger(facts, room, film, stronger_w_m2))
    full_w = sum(each.floor.output_w_m2 * each.floor.part.area_m2 for each in given)
    if min(full_w, at_limit_w) >= needed_w and part.floor.stack.whole:
        ways.append("insulate better below")
    most_w = min(full_w, at_limit_w)
    if not ways and most_w > 1.1 * total(given):
        return (
            f"{missing}. Insulate better below, which brings the floor to "
            f"{format_quantity(most_w, 'W')} "
            f"at the very most, and {OTHER_HEATER}."
        )
    return f"{missing}. {_joined([*ways, OTHER_HEATER])}."


def _stronger(facts: Facts, room: RoomFacts, film: str, rated_w_m2: float) -> str:
    brought = try_output(facts, room, film, rated_w_m2, "heat-demand")
    if brought:
        others = [fault for fault in brought if fault.rule != "heat-demand"]
        return f"use a stronger film{say_apart(others)}"
    return f"use a film of {format_quantity(rated_w_m2, 'W/m2')} or so"


OTHER_HEATER = "add another heater and write it as `other_heat`"


def say_missing(short_w: float) -> str:
    """Say in words how much heat is missing."""
    return f"The floor is {format_quantity(short_w, 'W')} short"


def _raise_dial(
    room: RoomFacts, given: tuple[Given, ...], needed_w: float, facts: Facts, limits: Limits
) -> str | None:
    """Say how far the dial may be turned up, where it is the dial alone that stops the floor."""
    own = {c.circuit.thermostat for c in facts.circuits.values() if room.id in c.rooms}
    heated = {name for each in own for c in facts.switched.get(each or "", ()) for name in c.rooms}
    if heated != {room.id} or not all(each.floor.stack.whole for each in given):
        return None  # other floors hang on the same dial, or what goes down is not known
    if not all(_is_stated(each.floor.part) for each in given):
        return None  # nobody knows what the covering bears
    most_c = min(limit_surface(room, each.floor.part, limits).limit_c for each in given)
    surface_c = math.floor(10.0 * most_c + 1e-6) / 10.0
    raised_w = sum(min(each.installed_w, _give_at(each.floor, surface_c)) for each in given)
    if below(raised_w, needed_w):
        return None
    return f"raise the floor limit's dial to {format_quantity(surface_c, 'degC')} at most"


def _is_stated(part: HeatedPart) -> bool:
    return part.covering is not None and part.covering.covering.warmest_surface_c is not None


def _joined(ways: list[str]) -> str:
    text = " or ".join((", ".join(ways[:-1]), ways[-1])) if len(ways) > 1 else ways[0]
    return text[0].upper() + text[1:]


def _upward_part(part: Given) -> float:
    """How much of each further watt goes up."""
    stack = part.floor.stack
    more = stack.settle(part.floor.output_w_m2 + 1.0).split.up_w_m2
    return more - stack.settle(part.floor.output_w_m2).split.up_w_m2


def _tens_up(value: float) -> float:
    return float(-(-value // 10) * 10)


def find_free_floor(room: RoomFacts) -> Any:
    """Return the outline less the standing fixtures."""
    return cut_out(room.outline, (polygon for _, polygon in room.standing))
