"""A floor that gives the room less than it loses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from underfoot.api import (
    CannotTell,
    Facts,
    Finding,
    FloorTemperatures,
    HeatLoss,
    Limit,
    Limits,
    RoomFacts,
    Rule,
    Subject,
    below,
    compute_surface_output,
    find_heat_loss,
    written,
)
from underfoot_rules.basis import standard
from underfoot_rules.warmth import (
    Floor,
    SurfaceMost,
    assumed,
    keep_surface,
    limit_surface,
    name_part,
    tell_layers,
    work_out,
)


class _Given(NamedTuple):
    """What a part gives the room: installed less the loss, and at most at its limit, W."""

    floor: Floor
    installed_w: float
    at_limit_w: float
    kept: SurfaceMost

    @property
    def kept_said(self) -> str:
        return f"{written(self.kept.limit_c, 'degC')} ({self.kept.said})"

    @property
    def output_w(self) -> float:
        return min(self.installed_w, self.at_limit_w)


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every room with strips."""
    return facts.room_subjects


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare what the floor gives the room with the room's heat loss and a margin."""
    room: RoomFacts = subject.thing
    loss = find_heat_loss(room, assumed(limits))
    if isinstance(loss, CannotTell):
        return loss
    floors = work_out(room.heated_parts, room, facts, limits)
    if isinstance(floors, CannotTell):
        return floors
    needed_w = loss.loss_w * (1 + limits["margin"] / 100)
    kept = [(floor, keep_surface(room, floor.part, facts, limits)) for floor in floors]
    least = greatest = _give(room, [(floor, floor.settled, most) for floor, most in kept])
    if not all(floor.stack.whole for floor in floors):
        other = _give(room, [(floor, floor.settled_at_most, most) for floor, most in kept])
        least, greatest = sorted((least, other), key=_total)
    if not below(_total(least), needed_w):
        return None
    if below(_total(greatest), needed_w):
        return _finding(facts, room, greatest, loss, needed_w, limits)
    return CannotTell(
        "the subfloor's layers are not given (`subfloor.layers`)",
        "Write what it is made of, layer by layer: `subfloor.layers`.",
    )


def _give(
    room: RoomFacts, floors: Sequence[tuple[Floor, FloorTemperatures, SurfaceMost]]
) -> tuple[_Given, ...]:
    strips_m2 = sum(floor.part.area_m2 for floor, _, _ in floors)
    widened = float(room.heated.area) / 1e6 / strips_m2
    return tuple(
        _Given(
            floor,
            state.split.up_w_m2 * floor.part.area_m2,
            _give_at(floor, most.limit_c) * widened,
            most,
        )
        for floor, state, most in floors
    )


def _give_at(floor: Floor, surface_c: float) -> float:
    """Give what a part's strips give the room at a surface temperature, W."""
    rise_k = max(0.0, surface_c - floor.stack.room.temperature_c)
    return compute_surface_output(rise_k) * floor.part.area_m2


def _total(given: tuple[_Given, ...]) -> float:
    return sum(part.output_w for part in given)


def _finding(
    facts: Facts,
    room: RoomFacts,
    given: tuple[_Given, ...],
    loss: HeatLoss,
    needed_w: float,
    limits: Limits,
) -> Finding:
    margin = limits["margin"]
    total_w = _total(given)
    whole = all(part.floor.stack.whole for part in given)
    at_most = "" if whole else "at most "
    rows = list(loss.rows)
    rows.append(("asked for", f"{written(needed_w, 'W')}: the loss and {written(margin, '%')}"))
    for part in given:
        if len(given) > 1:
            rows.append(("part", name_part(part.floor)))
        rows += tell_layers(part.floor, facts.plan.supply.voltage_v)
        area = written(part.floor.part.area_m2, "m2")
        rows.append(("installed less what goes down", f"{at_most}{written(part.installed_w, 'W')}"
                     f" from {area} of film"))  # fmt: skip
        rows.append(("at the surface limit", f"{written(part.at_limit_w, 'W')}, kept at "
                     f"{part.kept_said}"))  # fmt: skip
    return Finding(
        message=f"The floor gives room {room.id} {at_most}{{measured}}; its heat loss of "
        f"{written(loss.loss_w, 'W')} with a margin of {written(margin, '%')} asks for {{limit}}.",
        remedy=_remedy(room, given, needed_w, _raise_limit(room, given, needed_w, facts, limits)),
        measured=total_w,
        least=needed_w,
        limit_key="margin",
        details=tuple(rows),
    )


def _raise_limit(
    room: RoomFacts, given: tuple[_Given, ...], needed_w: float, facts: Facts, limits: Limits
) -> str | None:
    """Say where the floor limit should be set, where that alone would do."""
    own = {c.circuit.thermostat for c in facts.circuits.values() if room.id in c.rooms}
    heated = {name for each in own for c in facts.switched.get(each or "", ()) for name in c.rooms}
    if heated != {room.id} or not all(each.floor.stack.whole for each in given):
        return None  # other floors hang on the same limit, or what goes down is not known
    most_c = min(limit_surface(room, each.floor.part, limits).limit_c for each in given)
    surface_c = math.floor(10.0 * most_c + 1e-6) / 10.0
    raised_w = sum(min(each.installed_w, _give_at(each.floor, surface_c)) for each in given)
    if below(raised_w, needed_w):
        return None
    return f"raise the floor limit to {written(surface_c, 'degC')}"


def _remedy(
    room: RoomFacts, given: tuple[_Given, ...], needed_w: float, raising: str | None
) -> str:
    """Name only ways that would do: more film where floor is left, a stronger one, insulation."""
    short_w = needed_w - _total(given)
    missing = f"{written(short_w, 'W')} {'is' if round(short_w) == 1 else 'are'} missing"
    part = max(given, key=lambda each: each.floor.part.area_m2)
    area_m2, film = part.floor.part.area_m2, part.floor.part.film.id
    left_m2 = float(room.free_floor.area - room.heated.area) / 1e6
    more_m2 = short_w * area_m2 / part.output_w if part.output_w > 0 else left_m2 + 1
    ways = [f"lay about {written(more_m2, 'm2')} more of {film}"] if more_m2 < left_m2 else []
    if part.at_limit_w <= part.installed_w:
        stop = f"and no stronger film helps: the surface may be no warmer than {part.kept_said}"
        ways = [raising, *ways] if raising is not None else ways
        return f"{missing}, {stop}. {_joined([*ways, 'lose less', 'add another heater'])}."
    at_limit_w = sum(each.at_limit_w for each in given)
    if len(given) == 1 and at_limit_w >= needed_w:
        output_w_m2 = part.floor.output_w_m2 + short_w / area_m2 / _upward_part(part)
        ways.append(f"use a film of {written(_tens_up(output_w_m2), 'W/m2')} or so")
    full_w = sum(each.floor.output_w_m2 * each.floor.part.area_m2 for each in given)
    if min(full_w, at_limit_w) >= needed_w and part.floor.stack.whole:
        ways.append("insulate better below")
    most_w = min(full_w, at_limit_w)
    if not ways and most_w > 1.1 * _total(given):
        return (
            f"{missing}. Insulate better below, which brings the floor to {written(most_w, 'W')} "
            "at the very most, and add another heater."
        )
    return f"{missing}. {_joined([*ways, 'add another heater'])}."


def _joined(ways: list[str]) -> str:
    text = " or ".join((", ".join(ways[:-1]), ways[-1])) if len(ways) > 1 else ways[0]
    return text[0].upper() + text[1:]


def _upward_part(part: _Given) -> float:
    """How much of each further watt goes up."""
    stack = part.floor.stack
    more = stack.settle(part.floor.output_w_m2 + 1.0).split.up_w_m2
    return more - stack.settle(part.floor.output_w_m2).split.up_w_m2


def _tens_up(value: float) -> float:
    return float(-(-value // 10) * 10)


RULE = Rule(
    id="heat-demand",
    topic="build_up",
    severities=("warning",),
    finds="a floor that gives the room less than its heat loss with a margin",
    why="A floor that is too weak runs all day and the room still stays cold in frost.",
    unit="W",
    basis=standard(
        "heat loss by EN 12831-1, output by ISO 11855-2; the margin is a figure of this "
        "project's own"
    ),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("margin", 10, "%", "what the output must have over the heat loss", "higher"),),
)
