"""Chooses what to damage, and takes things out of a plan whole."""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import wraps
from typing import TypeVarTuple

from underfoot.api.rules import Damaged, Data, Expected, Severity
from underfoot_rules.mutations.drawn import Drawn, Strip, draw
from underfoot_rules.mutations.expand_rows import copy_plan, open_rows
from underfoot_rules.mutations.loads import list_coverings

Chosen = TypeVarTuple("Chosen")
Damage = Callable[[Data, random.Random], Damaged | None]


def damages(
    choose: Callable[..., tuple[*Chosen] | None], *given: str
) -> Callable[[Callable[[*Chosen, random.Random], Damaged | None]], Damage]:
    """Make a damage of a function that damages what is chosen of a copy of the plan.

    Where nothing can be chosen there is no damage. `given` is handed on to `choose`.
    """

    def of(damage: Callable[[*Chosen, random.Random], Damaged | None]) -> Damage:
        @wraps(damage)
        def choose_and_damage(data: Data, rng: random.Random) -> Damaged | None:
            chosen = choose(data, rng, *given)
            return None if chosen is None else damage(*chosen, rng)

        return choose_and_damage

    return of


def choose_room(data: Data, rng: random.Random) -> tuple[Data, Drawn] | None:
    """Open a plan's rows and draw one of its heated rooms."""
    plan = open_rows(data)
    names = [name for name, room in plan["rooms"].items() if room.get("elements")]
    return (plan, draw(plan, rng.choice(names))) if names else None


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


def choose_end_strip(room: Drawn, rng: random.Random) -> tuple[Strip, int] | None:
    """Choose a strip with a neighbour on one side alone, and the way (±1) to its free side."""
    found = []
    for strip in room.strips.values():
        low, high = sides_butted(room, strip)
        if low != high:
            found.append((strip, -1 if high else 1))
    return rng.choice(found) if found else None


def drop_strip(plan: Data, room: str, strip: str) -> bool:
    """Take a strip out of a plan whose rows are open; False where its circuit would be empty."""
    told = plan["rooms"][room]
    circuit = told["elements"].pop(strip).get("circuit")
    for name, lead in list((told.get("leads") or {}).items()):
        named = [stop for stop in lead["route"] if isinstance(stop, str)]
        if strip not in [stop.partition(".")[0] for stop in named]:
            continue
        if lead["route"][0] != "junction-box":
            return False
        lead["route"] = [
            stop
            for stop in lead["route"]
            if not isinstance(stop, str) or stop.partition(".")[0] != strip
        ]
        if lead["route"][-1] == "junction-box" or not isinstance(lead["route"][-1], str):
            del told["leads"][name]
    if any(
        isinstance(lead["route"][0], str) and lead["route"][0].partition(".")[0] == strip
        for lead in (told.get("leads") or {}).values()
    ):
        return False
    return any(
        each.get("circuit") == circuit
        for other in plan["rooms"].values()
        for each in (other.get("elements") or {}).values()
    )


def new_id(room: Data, kind: str, stem: str) -> str:
    """Give an id that a room's things of a kind do not have."""
    taken = room.get(kind) or {}
    number = 1
    while f"{stem}-{number}" in taken:
        number += 1
    return f"{stem}-{number}"


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


def lose_room_thing(data: Data, rng: random.Random, key: str) -> tuple[Data, str] | None:
    """Copy a plan and take a thing out of one heated room that has it."""
    plan = copy_plan(data)
    names = [name for name in heated_rooms(plan) if plan["rooms"][name].get(key)]
    if not names:
        return None
    room = rng.choice(names)
    del plan["rooms"][room][key]
    return plan, room


def choose_covering(data: Data, rng: random.Random) -> tuple[Data, str, list[str]] | None:
    """Choose a covering in use; give the heated rooms that have it."""
    plan = copy_plan(data)
    rooms: dict[str, list[str]] = {}
    for room in heated_rooms(plan):
        for covering in list_coverings(plan["rooms"][room]):
            rooms.setdefault(covering, []).append(room)
    if not rooms:
        return None
    name = rng.choice(list(rooms))
    return plan, name, rooms[name]


def cause(
    plan: Data, rule: str, room: str | None, *items: str, severity: Severity | None = None
) -> Damaged:
    """Return a damage that surely causes one finding and no other."""
    return Damaged(
        data=plan, expected=(Expected(rule=rule, room=room, items=items, severity=severity),)
    )
