"""Circuits put on the wrong thermostat, and sensors that feel the wrong floor."""

from __future__ import annotations

import random

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import choose_room, new_id
from underfoot_rules.mutations.drawn import Drawn, middle
from underfoot_rules.mutations.expand_rows import copy_plan, open_rows


def _choose_pair(plan: Data, rng: random.Random) -> tuple[str, str] | None:
    """Choose two heated rooms whose thermostats are set to the same floor limit."""
    opened = open_rows(plan)["rooms"]
    rooms = [name for name, told in opened.items() if told.get("elements")]
    pairs = [
        (one, other)
        for one in rooms
        for other in rooms
        if one != other
        and all((opened[name].get("thermostat") or {}).get("floor_limit") for name in (one, other))
        and opened[one]["thermostat"]["floor_limit"] == opened[other]["thermostat"]["floor_limit"]
    ]
    return rng.choice(pairs) if pairs else None


def swap_thermostats(data: Data, rng: random.Random) -> Damaged | None:
    """Name each of two rooms in the other's circuits."""
    plan = copy_plan(data)
    pair = _choose_pair(plan, rng)
    if pair is None:
        return None
    one, other = pair
    for told in plan["circuits"].values():
        if told.get("thermostat") in pair:
            told["thermostat"] = other if told["thermostat"] == one else one
    return Damaged(data=plan)


def save_thermostat(data: Data, rng: random.Random) -> Damaged | None:
    """Put a room's circuits on the thermostat next door, and hang none."""
    return _put_next_door(data, rng, leave=rng.random() < 0.3)


def leave_thermostat(data: Data, rng: random.Random) -> Damaged | None:
    """Put a room's circuits on the thermostat next door, and leave its own on the wall."""
    return _put_next_door(data, rng, leave=True)


def _put_next_door(data: Data, rng: random.Random, *, leave: bool) -> Damaged | None:
    plan = copy_plan(data)
    pair = _choose_pair(plan, rng)
    if pair is None:
        return None
    one, other = pair
    for told in plan["circuits"].values():
        if told.get("thermostat") == one:
            told["thermostat"] = other
    if not leave:
        del plan["rooms"][one]["thermostat"]
    return Damaged(data=plan)


def _halve(data: Data, rng: random.Random) -> tuple[Data, Drawn, str] | None:
    """Put one of a room's circuits on a thermostat in a hall beside it."""
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    used = sorted({str(strip.circuit) for strip in room.strips.values() if strip.circuit})
    told = room.data.get("thermostat")
    if len(used) < 2 or told is None or room.sensor is None or told.get("room"):
        return None
    circuit = rng.choice(used)
    hall = new_id(plan, "rooms", "hall-added")
    own = {key: told[key] for key in ("height", "switches", "floor_limit") if key in told}
    plan["rooms"][hall] = {
        "use": "hall",
        "outline": [[0, 0], [2100, 0], [2100, 1300], [0, 1300]],
        "thermostat": {"at": [0, 600], **own},
    }
    plan["circuits"][circuit]["thermostat"] = hall
    return plan, room, circuit


def zone_without_sensor(data: Data, rng: random.Random) -> Damaged | None:
    """Make one circuit a zone of its own, with a thermostat that has no sensor."""
    found = _halve(data, rng)
    return Damaged(data=found[0]) if found else None


def set_in_other_zone(data: Data, rng: random.Random) -> Damaged | None:
    """Make one circuit a zone of its own, and set the room's sensor below it."""
    found = _halve(data, rng)
    if found is None:
        return None
    plan, room, circuit = found
    strips = [strip for strip in room.strips.values() if strip.circuit == circuit]
    x, y = middle(rng.choice(strips))
    room.data["sensor"]["at"] = [round(x, 1), round(y, 1)]
    return Damaged(data=plan)


def share_sensor(data: Data, rng: random.Random) -> Damaged | None:
    """Wire one sensor to the thermostats of two zones."""
    found = _halve(data, rng)
    if found is None:
        return None
    plan, room, circuit = found
    plan["rooms"][plan["circuits"][circuit]["thermostat"]]["thermostat"]["reads"] = [room.id]
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(
        rule="floor-unlimited",
        name="thermostats-swapped",
        says="The thermostats of two rooms were wired to each other's floor.",
        apply=swap_thermostats,
    ),
    Mutation(
        rule="floor-unlimited",
        name="thermostat-saved",
        says="A room's floor was put on the thermostat next door, to save one.",
        apply=save_thermostat,
    ),
    Mutation(
        rule="floor-unlimited",
        name="zone-without-sensor",
        says="One circuit was made a zone of its own, whose thermostat has no floor sensor.",
        apply=zone_without_sensor,
    ),
    Mutation(
        rule="thermostat-idle",
        name="thermostat-left-over",
        says="A room's floor was put on the thermostat next door, and its own left on the wall.",
        apply=leave_thermostat,
    ),
    Mutation(
        rule="sensor-other-strip",
        name="sensor-in-the-other-zone",
        says="The sensor was set below the zone of another thermostat.",
        apply=set_in_other_zone,
    ),
    Mutation(
        rule="sensor-other-strip",
        name="sensor-shared",
        says="One sensor was wired to the thermostats of two zones.",
        apply=share_sensor,
    ),
)
