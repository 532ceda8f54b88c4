"""Chooses what to damage, and takes things out of a plan whole."""

import random
from typing import Any

import shapely

from underfoot.api.rules import Data
from underfoot_rules.mutations.damaging import pick
from underfoot_rules.mutations.drawn import Drawn, Spot, Strip, draw
from underfoot_rules.mutations.expand_rows import expand, open_rows
from underfoot_rules.mutations.loads import list_coverings


def choose_room(plan: Data, rng: random.Random) -> Drawn:
    """Open a plan's rows and draw one of its heated rooms."""
    expand(plan)
    names = [name for name, room in plan["rooms"].items() if room.get("elements")]
    return draw(plan, pick(rng, names))


def choose_with(plan: Data, rng: random.Random, key: str) -> str:
    """Choose a heated room that has something under a key."""
    return pick(rng, (room for room in heated_rooms(plan) if plan["rooms"][room].get(key)))


def choose_strip(room: Drawn, rng: random.Random) -> Strip:
    """Choose one strip."""
    return rng.choice(list(room.strips.values()))


def sides_butted(room: Drawn, strip: Strip) -> tuple[bool, bool]:
    """Tell whether another strip butts on the side that `across` leaves, and on the other."""
    found = [False, False]
    for other in room.strips.values():
        if other.id == strip.id or other.shape.distance(strip.shape) > 1:
            continue
        dx = (other.start[0] + other.end[0] - strip.start[0] - strip.end[0]) / 2
        dy = (other.start[1] + other.end[1] - strip.start[1] - strip.end[1]) / 2
        aside = dx * strip.across[0] + dy * strip.across[1]
        if abs(aside) > strip.width / 2:
            found[int(aside > 0)] = True
    return found[0], found[1]


def choose_end_strip(room: Drawn, rng: random.Random) -> tuple[Strip, int]:
    """Choose a strip with a neighbour on one side alone, and the way (±1) to its free side."""
    found = []
    for strip in room.strips.values():
        low, high = sides_butted(room, strip)
        if low != high:
            found.append((strip, -1 if high else 1))
    return pick(rng, found)


def drop_strip(plan: Data, room: str, strip: str) -> bool:
    """Take a strip out of a plan whose rows are open; False where its circuit would be empty."""
    told = plan["rooms"][room]
    circuit = told["elements"].pop(strip).get("circuit")
    leads = told.get("leads") or {}

    def joins(stop: Any) -> bool:
        return isinstance(stop, str) and stop.partition(".")[0] == strip

    for name, lead in list(leads.items()):
        if not any(map(joins, lead["route"])):
            continue
        if lead["route"][0] != "junction-box":
            return False
        lead["route"] = [stop for stop in lead["route"] if not joins(stop)]
        if lead["route"][-1] == "junction-box" or not isinstance(lead["route"][-1], str):
            del leads[name]
    if any(joins(lead["route"][0]) for lead in leads.values()):
        return False
    return any(
        each.get("circuit") == circuit
        for other in plan["rooms"].values()
        for each in (other.get("elements") or {}).values()
    )


def new_id(room: Data, kind: str, stem: str) -> str:
    """Return an id that a room's things of a kind do not have."""
    taken = room.get(kind) or {}
    number = 1
    while f"{stem}-{number}" in taken:
        number += 1
    return f"{stem}-{number}"


def add(data: Data, kind: str, stem: str, thing: Any) -> str:
    """Add a thing under an id that those of its kind do not have, and return the id."""
    name = new_id(data, kind, stem)
    data.setdefault(kind, {})[name] = thing
    return name


def stand(room: Data, stem: str, middle: Spot, size: tuple[float, float], thing: Data) -> None:
    """Add a fixture about a spot, in whole millimetres."""
    at = [round(place - side / 2) for place, side in zip(middle, size, strict=True)]
    add(room, "fixtures", stem, {"at": at, "size": list(size), **thing})


def place_thermostat(room: Drawn) -> None:
    """Write down where a room's own thermostat hangs: over the box, if nothing else is said."""
    thermostat = room.data.get("thermostat")
    if thermostat and "at" not in thermostat and "room" not in thermostat:
        thermostat["at"] = list(room.box or ())


def floor_to_cover(plan: Data, room: str) -> Any:
    """Return the floor that insulation and membrane must cover."""
    drawn = draw(open_rows(plan), room)
    stops = [
        f.shape
        for f in drawn.fixtures.values()
        if f.kind == "structure" or (f.stands and f.on_subfloor)
    ]
    return drawn.outline.difference(shapely.union_all(stops))


def heated_rooms(data: Data) -> list[str]:
    """List the rooms with strips, rows open or not."""
    return [
        name for name, room in data["rooms"].items() if room.get("elements") or room.get("rows")
    ]


def films_in(data: Data, room: str) -> list[str]:
    """List the films of a room, each once."""
    told = data["rooms"][room]
    things = (*(told.get("elements") or {}).values(), *(told.get("rows") or {}).values())
    return list(dict.fromkeys(thing["film"] for thing in things))


def lose_room_thing(plan: Data, rng: random.Random, key: str) -> str:
    """Take a thing out of one heated room that has it."""
    room = choose_with(plan, rng, key)
    del plan["rooms"][room][key]
    return room


def choose_covering(plan: Data, rng: random.Random) -> tuple[str, list[str]]:
    """Choose a covering in use; give the heated rooms that have it."""
    rooms: dict[str, list[str]] = {}
    for room in heated_rooms(plan):
        for covering in list_coverings(plan["rooms"][room]):
            rooms.setdefault(covering, []).append(room)
    name = pick(rng, rooms)
    return name, rooms[name]
