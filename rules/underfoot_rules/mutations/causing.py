"""Puts together what a damage causes: its own finding first, then all that comes with it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Literal

from underfoot.api import Damaged, Data, Expected, Severity
from underfoot_rules.mutations.at_walls import hanging_faults, outside_faults
from underfoot_rules.mutations.comparing import UnclearError
from underfoot_rules.mutations.conductors import conductor_faults
from underfoot_rules.mutations.drawn import Drawn, draw
from underfoot_rules.mutations.expand_rows import open_rows
from underfoot_rules.mutations.feeding import feed_faults
from underfoot_rules.mutations.film_heat import film_faults, sensed_faults
from underfoot_rules.mutations.floor_left import floor_faults
from underfoot_rules.mutations.layers_of_floor import layer_faults
from underfoot_rules.mutations.leads_on_floor import lead_faults, way_faults
from underfoot_rules.mutations.loads import load_faults, wrong_films
from underfoot_rules.mutations.sensor_on_floor import bath_faults, sensor_faults
from underfoot_rules.mutations.strips_missing import missing_faults
from underfoot_rules.mutations.strips_on_floor import strip_faults
from underfoot_rules.mutations.supplying import supply_faults
from underfoot_rules.mutations.switched import switching_faults
from underfoot_rules.mutations.warmth import demand_faults, heat_faults

Heat = Literal["as it was", "less power", "another floor"]


def list_faults(
    plan: Data, rooms: tuple[str, ...] | None = None, heat: Heat = "another floor"
) -> tuple[Expected, ...]:
    """List what the drawing and the loads of a plan show to be wrong.

    Those of the drawing in the rooms named (all where None), those of the loads in all; those of
    heat as far as a damage has changed what they hang on. UnclearError where something is too
    close to tell.
    """
    opened = open_rows(plan)
    drawn = {name: draw(opened, name) for name in opened["rooms"]}
    found = _leave_to_the_cause(dict.fromkeys(_list(opened, drawn, rooms, heat)), drawn)
    return tuple(sorted(found, key=lambda each: (each.rule, each.room or "", each.items)))


def _leave_to_the_cause(found: Iterable[Expected], drawn: dict[str, Drawn]) -> list[Expected]:
    """Leave out what a room without strips, or a plan without any, speaks for."""
    listed = list(found)
    causes = [each for each in listed if each.rule == "nothing-heated" and each.severity == "error"]
    bare = {each.room for each in causes}
    if any(each.room is None and not each.items for each in causes):
        bare |= {name for name, room in drawn.items() if not room.strips}
    told = ("lead-loose-end", "thermostat-idle")
    return [each for each in listed if each.rule not in told or each.room not in bare]


def _list(
    plan: Data, drawn: dict[str, Drawn], rooms: tuple[str, ...] | None, heat: Heat
) -> Iterator[Expected]:
    wrong = wrong_films(plan, drawn)
    for name, room in drawn.items():
        if rooms is not None and name not in rooms:
            continue
        yield from lead_faults(plan, room)
        yield from bath_faults(plan, room, drawn)
        yield from hanging_faults(room, drawn)
        yield from outside_faults(room)
        if not room.strips:
            continue
        yield from strip_faults(room)
        yield from sensor_faults(plan, room)
        yield from layer_faults(plan, room)
        yield from way_faults(room)
        if heat == "another floor":
            yield from heat_faults(plan, room, wrong)
            yield from sensed_faults(plan, room)
            if not any(strip.film in wrong for strip in room.strips.values()):
                yield from film_faults(plan, room)
        elif heat == "less power":
            yield from demand_faults(plan, room, wrong)
        yield from floor_faults(plan, room)
    yield from missing_faults(plan, drawn)
    yield from feed_faults(plan, drawn)
    yield from load_faults(plan, drawn)
    yield from conductor_faults(plan, drawn)
    yield from supply_faults(plan, drawn, wrong)
    yield from switching_faults(plan, drawn)


def cause(
    plan: Data, rule: str, room: str | None, *items: str, severity: Severity | None = None
) -> Damaged:
    """Give a damage that causes one finding and no other."""
    return Damaged(plan, (Expected(rule, room, items, severity),))


def cause_drawn(
    plan: Data,
    rule: str,
    rooms: tuple[str, ...] | None = None,
    *,
    heat: Heat = "as it was",
    wanted: Callable[[Expected], bool] = lambda _: True,
) -> Damaged | None:
    """Give a damage to the drawing or the loads with all that follows from it.

    None where `rule` would not speak, or where it is too close to tell. `wanted` may ask for a
    certain finding of the rule.
    """
    try:
        found = list_faults(plan, rooms, heat)
    except UnclearError:
        return None
    own = tuple(each for each in found if each.rule == rule and wanted(each))
    rest = tuple(each for each in found if each not in own)
    return Damaged(plan, (*own, *rest)) if own else None


def cause_with(
    plan: Data,
    own: Iterable[Expected],
    rooms: tuple[str, ...] | None = None,
    *,
    heat: Heat = "as it was",
) -> Damaged | None:
    """Give a damage that causes `own` findings, and what else the drawing and the loads show.

    None where there are none, or where the rest is too close to tell.
    """
    first = tuple(own)
    try:
        rest = list_faults(plan, rooms, heat)
    except UnclearError:
        return None
    return Damaged(plan, (*first, *rest)) if first else None
