"""Sets, hangs and names thermostats: dials, heights, ratings, what each switches."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

from underfoot.api.facts import CircuitFacts, Facts
from underfoot.api.plan import Plan
from underfoot.api.rules import Edit, Mender, Proposal, ToMend, below, format_quantity, join_names
from underfoot_rules.menders.in_force import limits_of
from underfoot_rules.menders.laid import is_handed_over
from underfoot_rules.menders.spelled import put, spell, stands, take_out
from underfoot_rules.menders.written import Path, change
from underfoot_rules.thermostat.floor_limit import Late, find_late, list_heated_by
from underfoot_rules.thermostat.surface_limit import find_surface_limit
from underfoot_rules.thermostat.switching import find_circuits_in, find_unswitched, list_breakers

# What thermostats and contactors are made to switch, A: common practice in the trade, no source.
THERMOSTATS_A = (16.0, 20.0)
CONTACTORS_A = (20.0, 25.0, 32.0, 40.0, 63.0)
_USUAL_A = 16.0


def set_dial(found: ToMend) -> Iterator[Proposal]:
    """Propose the warmest that the dial may be set to."""
    room = found.room or ""
    dial_c = _find_dial(found.facts, room)
    path = (*_thermostat(room), "floor_limit")
    if dial_c is not None and stands(found.data, path[:-1]) and not is_handed_over(found.facts):
        yield Proposal(
            says=f"Set the floor limit of room {room} to {format_quantity(dial_c, 'degC')}.",
            edits=(put(found.data, path, dial_c, "degC"),),
        )


def _find_dial(facts: Facts, room: str) -> float | None:
    """Find the warmest that a room's dial may be, by its floors and by where its sensor lies."""
    limits = limits_of("floor-limit", facts)
    rooms = list_heated_by(room, facts)
    surfaces = [find_surface_limit(each, limits["room"], limits["bathroom"]) for each in rooms]
    if not surfaces:
        return None
    dial_c = min(each.warmest_c for each in surfaces)
    late = find_late(facts.rooms[room], dial_c, facts, limits)
    return float(math.floor(late.most_c)) if isinstance(late, Late) else dial_c


def hang_at_height(found: ToMend) -> Iterator[Proposal]:
    """Propose the usual height."""
    room = found.room or ""
    usual = found.facts.limits["thermostat-height"]["height"]
    path = (*_thermostat(room), "height")
    if stands(found.data, path) and not is_handed_over(found.facts):
        yield Proposal(
            says=f"Hang the thermostat of room {room} at {format_quantity(usual, 'mm')}.",
            edits=(put(found.data, path, usual, "mm"),),
        )


def take_stronger_one(found: ToMend) -> Iterator[Proposal]:
    """Propose a thermostat or contactor that switches enough, or a contactor for a thermostat."""
    facts, room = found.facts, found.room or ""
    circuits = facts.switched.get(room, ())
    thermostat = facts.plan.rooms[room].thermostat
    if thermostat is None or is_handed_over(facts):
        return
    if thermostat.contactor is None:
        total_a = math.fsum(circuit.current_a for circuit in circuits)
        least_a = max([total_a, *list_breakers(circuits, facts.plan).values()])
        for rating in [each for each in THERMOSTATS_A if not below(each, least_a)][:1]:
            yield Proposal(
                says=f"Take a thermostat for room {room} that switches {rating:g} A.",
                edits=(put(found.data, (*_thermostat(room), "switches"), rating, "A"),),
            )
        if below(THERMOSTATS_A[-1], least_a):
            yield from _take_contactor(found, room, circuits)
        return
    poles_a = choose_contactor_rating(_fullest(circuits, facts.plan))
    if poles_a is not None:
        path = (*_thermostat(room), "contactor", "rating")
        yield Proposal(
            says=f"Take a contactor for room {room} that is rated {poles_a:g} A.",
            edits=(put(found.data, path, poles_a, "A"),),
        )


def part_contacts(found: ToMend) -> Iterator[Proposal]:
    """Propose a contactor with a pole for each circuit that has protection of its own."""
    if not is_handed_over(found.facts):
        yield from _take_contactor(
            found, found.room or "", found.facts.switched.get(found.room or "", ())
        )


def _take_contactor(
    found: ToMend, room: str, circuits: Sequence[CircuitFacts]
) -> Iterator[Proposal]:
    path = (*_thermostat(room), "contactor")
    contactor = _contactor(circuits, found.facts)
    if contactor is None or not stands(found.data, path[:-1]):
        return
    poles, rating = contactor["poles"], contactor["rating"]
    says = f"Let the thermostat of room {room} switch a contactor of "
    says += f"{poles} poles, one a circuit" if poles > 1 else "one pole"
    if stands(found.data, path):
        yield Proposal(
            says=f"{says}.",
            edits=(change(found.data, (*path, "poles"), poles),),
        )
    else:
        yield Proposal(
            says=f"{says}, rated {rating}.",
            edits=(change(found.data, path, contactor),),
        )


def _contactor(circuits: Sequence[CircuitFacts], facts: Facts) -> dict[str, Any] | None:
    """Choose a contactor with a pole a protection, the smallest made that carries the fullest."""
    rating = choose_contactor_rating(_fullest(circuits, facts.plan))
    if rating is None:
        return None
    return {"poles": len({each.protection for each in circuits}), "rating": f"{rating:g} A"}


def choose_contactor_rating(fullest_a: float) -> float | None:
    """Choose the smallest rating made that carries what goes through the fullest pole."""
    return next((each for each in CONTACTORS_A if not below(each, fullest_a)), None)


def _fullest(circuits: Sequence[CircuitFacts], plan: Plan) -> float:
    """Return the most that goes through one pole, or that its breaker lets through, in A."""
    poles: dict[str, list[float]] = {}
    for circuit in circuits:
        poles.setdefault(circuit.protection, []).append(circuit.current_a)
    breakers = list_breakers(circuits, plan).values()
    return max([*map(math.fsum, poles.values()), *breakers], default=0.0)


def give_it_work(found: ToMend) -> Iterator[Proposal]:
    """Propose that it switches the circuits of its room, else that it is left out."""
    facts, room = found.facts, found.room or ""
    if is_handed_over(facts):
        return
    here = find_circuits_in(facts.rooms[room], facts.circuits)
    own = [each.id for each in here if each.rooms == (room,)]
    if own and len(own) == len(here):
        yield _put_on(found, room, own)
    if stands(found.data, _thermostat(room)):
        yield Proposal(
            says=f"Leave out the thermostat of room {room}, which switches nothing.",
            edits=(take_out(_thermostat(room)),),
        )


def switch_room(found: ToMend) -> Iterator[Proposal]:
    """Propose the room's own thermostat for circuits that have none, drawn where it has none."""
    facts, room = found.facts, found.room or ""
    if is_handed_over(facts):
        return
    unswitched = find_unswitched(facts.rooms[room], facts.circuits, facts.plan)
    without = [each.id for each in unswitched if each.circuit.thermostat is None]
    places = dict.fromkeys(each.circuit.thermostat for each in unswitched)
    missing = [place for place in places if place is not None]
    if without and facts.plan.rooms[room].thermostat is None and room not in missing:
        missing.append(room)
    steps = [_draw(found, place, unswitched) for place in missing]
    if without:
        steps.append(_put_on(found, room, without))
    yield _join(steps)


def read_own_floor(found: ToMend) -> Iterator[Proposal]:
    """Propose that circuits go on the thermostat of the room that they heat."""
    facts, room = found.facts, found.room or ""
    circuits = [facts.circuits[name] for name in found.items]
    thermostat = circuits[0].circuit.thermostat
    if is_handed_over(facts) or facts.plan.rooms[room].sensor is None:
        return
    if thermostat == room:
        reads = (*_thermostat(room), "reads")
        if stands(found.data, reads):
            yield Proposal(
                says=f"Let the thermostat of room {room} read the sensor of its own room.",
                edits=(take_out(reads),),
            )
        return
    if any(len(each.rooms) > 1 for each in circuits):
        return
    steps = [_put_on(found, room, list(found.items))]
    if facts.plan.rooms[room].thermostat is None:
        steps.insert(0, _draw(found, room, circuits))
    yield _join(steps)


def _put_on(found: ToMend, room: str, circuits: list[str]) -> Proposal:
    named = f"circuit{'s' if len(circuits) > 1 else ''} {join_names(circuits)}"
    return Proposal(
        says=f"Let the thermostat of room {room} switch {named}.",
        edits=tuple(
            change(found.data, ("circuits", name, "thermostat"), room) for name in circuits
        ),
    )


def _draw(found: ToMend, room: str, circuits: Sequence[CircuitFacts]) -> Proposal:
    """Hang a thermostat above the junction box, set to what the floor may have."""
    facts = found.facts
    limits = limits_of("floor-limit", facts)
    height = facts.limits["thermostat-height"]["height"]
    surface = find_surface_limit(facts.rooms[room], limits["room"], limits["bathroom"])
    told: dict[str, Any] = {
        "height": spell(height, "mm", 0),
        "switches": f"{_USUAL_A:g} A",
        "floor_limit": f"{surface.warmest_c:g} degC",
    }
    contactor = _contactor(circuits, facts)
    total_a = math.fsum(each.current_a for each in circuits)
    if contactor is not None and (contactor["poles"] > 1 or total_a > _USUAL_A):
        told["contactor"] = contactor
    return Proposal(
        says=f"Hang a thermostat in room {room}, {format_quantity(height, 'mm')} above the floor, "
        f"its floor limit set to {format_quantity(surface.warmest_c, 'degC')}.",
        edits=(Edit(op="add", path=_thermostat(room), value=told),),
    )


def _join(steps: Sequence[Proposal]) -> Proposal:
    return Proposal(
        says=" ".join(each.says for each in steps),
        edits=tuple(edit for each in steps for edit in each.edits),
    )


def _thermostat(room: str) -> Path:
    return ("rooms", room, "thermostat")


MENDERS = (
    Mender(rule="floor-limit", propose=set_dial),
    Mender(rule="thermostat-height", propose=hang_at_height),
    Mender(rule="thermostat-rating", propose=take_stronger_one),
    Mender(rule="contact-protection", propose=take_stronger_one),
    Mender(rule="thermostat-circuits", propose=part_contacts),
    Mender(rule="thermostat-idle", propose=give_it_work),
    Mender(rule="thermostat-missing", propose=switch_room),
    Mender(rule="floor-unlimited", propose=read_own_floor),
)
