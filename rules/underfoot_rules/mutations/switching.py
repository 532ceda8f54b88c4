"""Circuits put on the wrong thermostat, and sensors that feel the wrong floor."""

import random

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import choose_room, new_id
from underfoot_rules.mutations.damaging import given, mutation, pick
from underfoot_rules.mutations.drawn import Drawn, middle
from underfoot_rules.mutations.expand_rows import open_rows


def _choose_pair(plan: Data, rng: random.Random) -> tuple[str, str]:
    """Choose two heated rooms whose thermostats are set to the same floor limit."""
    opened = open_rows(plan)["rooms"]
    rooms = [name for name, told in opened.items() if told.get("elements")]
    pairs = (
        (one, other)
        for one in rooms
        for other in rooms
        if one != other
        and all((opened[name].get("thermostat") or {}).get("floor_limit") for name in (one, other))
        and opened[one]["thermostat"]["floor_limit"] == opened[other]["thermostat"]["floor_limit"]
    )
    return pick(rng, pairs)


@mutation("floor-unlimited", "thermostats-swapped")
def swap_thermostats(plan: Data, rng: random.Random) -> None:
    """The thermostats of two rooms were wired to each other's floor."""
    one, other = _choose_pair(plan, rng)
    for told in plan["circuits"].values():
        if told.get("thermostat") in (one, other):
            told["thermostat"] = other if told["thermostat"] == one else one


@mutation("floor-unlimited", "thermostat-saved")
def save_thermostat(plan: Data, rng: random.Random) -> None:
    """A room's floor was put on the thermostat next door, to save one."""
    _put_next_door(plan, rng, leave=rng.random() < 0.3)


@mutation("floor-unlimited", "zone-without-sensor")
def zone_without_sensor(plan: Data, rng: random.Random) -> None:
    """One circuit was made a zone of its own, whose thermostat has no floor sensor."""
    _halve(plan, rng)


def _put_next_door(plan: Data, rng: random.Random, *, leave: bool) -> None:
    one, other = _choose_pair(plan, rng)
    for told in plan["circuits"].values():
        if told.get("thermostat") == one:
            told["thermostat"] = other
    if not leave:
        del plan["rooms"][one]["thermostat"]


def _halve(plan: Data, rng: random.Random) -> tuple[Drawn, str]:
    """Put one of a room's circuits on a thermostat in a hall beside it."""
    room = choose_room(plan, rng)
    used = sorted({str(strip.circuit) for strip in room.strips.values() if strip.circuit})
    told = given(room.data.get("thermostat"))
    given(len(used) >= 2 and room.sensor and not told.get("room"))
    circuit = rng.choice(used)
    hall = new_id(plan, "rooms", "hall-added")
    own = {key: told[key] for key in ("height", "switches", "floor_limit") if key in told}
    plan["rooms"][hall] = {
        "use": "hall",
        "outline": [[0, 0], [2100, 0], [2100, 1300], [0, 1300]],
        "thermostat": {"at": [0, 600], **own},
    }
    plan["circuits"][circuit]["thermostat"] = hall
    return room, circuit


@mutation("thermostat-idle", "thermostat-left-over")
def leave_thermostat(plan: Data, rng: random.Random) -> None:
    """A room's floor was put on the thermostat next door, and its own left on the wall."""
    _put_next_door(plan, rng, leave=True)


@mutation("sensor-other-strip", "sensor-in-the-other-zone")
def set_in_other_zone(plan: Data, rng: random.Random) -> None:
    """The sensor was set below the zone of another thermostat."""
    # Make one circuit a zone of its own, and set the room's sensor below it.
    room, circuit = _halve(plan, rng)
    strips = [strip for strip in room.strips.values() if strip.circuit == circuit]
    x, y = middle(rng.choice(strips))
    room.data["sensor"]["at"] = [round(x, 1), round(y, 1)]


@mutation("sensor-other-strip", "sensor-shared")
def share_sensor(plan: Data, rng: random.Random) -> None:
    """One sensor was wired to the thermostats of two zones."""
    room, circuit = _halve(plan, rng)
    plan["rooms"][plan["circuits"][circuit]["thermostat"]]["thermostat"]["reads"] = [room.id]
