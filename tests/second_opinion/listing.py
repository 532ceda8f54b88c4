"""Lists what is wrong with a plan, as far as the arithmetic beside the rules knows."""

from collections.abc import Iterable, Iterator

from tests.second_opinion.at_openings import opening_faults
from tests.second_opinion.at_walls import hanging_faults, outside_faults
from tests.second_opinion.comparing import UnclearError
from tests.second_opinion.conductors import conductor_faults
from tests.second_opinion.feeding import feed_faults
from tests.second_opinion.film_heat import film_faults, sensed_faults
from tests.second_opinion.floor_left import floor_faults
from tests.second_opinion.layers_of_floor import layer_faults
from tests.second_opinion.leads_on_floor import lead_faults, way_faults
from tests.second_opinion.load_limits import load_faults, wrong_films
from tests.second_opinion.readings import reading_faults
from tests.second_opinion.sensor_on_floor import bath_faults, sensor_faults
from tests.second_opinion.strips_missing import missing_faults
from tests.second_opinion.strips_on_floor import strip_faults
from tests.second_opinion.supplying import supply_faults
from tests.second_opinion.switched import switching_faults
from tests.second_opinion.warmth import heat_faults
from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.drawn import PAIRS, Drawn, draw
from underfoot_rules.mutations.expand_rows import open_rows


def list_faults(
    plan: Data, rooms: tuple[str, ...] | None = None, *, heat: bool = True
) -> tuple[Expected, ...]:
    """List what the drawing and the loads of a plan show to be wrong.

    Those of the drawing and of heat (if wanted) in the rooms named, all where None; those of the
    loads and readings in all. UnclearError where something is too close to tell.
    """
    opened = open_rows(plan)
    drawn = {name: draw(opened, name) for name in opened["rooms"]}
    if not all(_knows_size(told) for room in drawn.values() for told in _list_leads(room)):
        raise UnclearError
    found = _leave_to_the_cause(dict.fromkeys(_list(opened, drawn, rooms, heat)), drawn)
    return tuple(sorted(found, key=lambda each: (each.rule, each.room or "", each.items)))


def _list_leads(room: Drawn) -> Iterable[Data]:
    leads: Data = room.data.get("leads") or {}
    return leads.values()


def _knows_size(lead: Data) -> bool:
    return read_quantity(lead.get("size", "1.5 mm2"), "mm2") in PAIRS


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
    plan: Data, drawn: dict[str, Drawn], rooms: tuple[str, ...] | None, heat: bool
) -> Iterator[Expected]:
    wrong = wrong_films(plan, drawn)
    for name, room in drawn.items():
        if rooms is not None and name not in rooms:
            continue
        yield from lead_faults(plan, room)
        yield from bath_faults(plan, room, drawn)
        yield from hanging_faults(room, drawn)
        yield from outside_faults(room)
        yield from opening_faults(room, drawn)
        if not room.strips:
            continue
        yield from strip_faults(room)
        yield from sensor_faults(plan, room)
        yield from layer_faults(plan, room)
        yield from way_faults(room)
        if heat:
            yield from heat_faults(plan, room, wrong)
            yield from sensed_faults(plan, room)
            if not any(strip.film in wrong for strip in room.strips.values()):
                yield from film_faults(plan, room)
        yield from floor_faults(plan, room)
    yield from missing_faults(plan, drawn)
    yield from feed_faults(plan, drawn)
    yield from load_faults(plan, drawn)
    yield from conductor_faults(plan, drawn)
    yield from supply_faults(plan, drawn, wrong)
    yield from switching_faults(plan, drawn)
    yield from reading_faults(plan, drawn)
