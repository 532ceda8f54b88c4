"""Strips forgotten: in a room, on a circuit, in the whole plan."""

from __future__ import annotations

import random

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import heated_rooms
from underfoot_rules.mutations.expand_rows import copy_plan, open_rows


def _take_strips_out(plan: Data, name: str) -> None:
    """Leave a room's leads their places, and none of its strips."""
    room = plan["rooms"][name]
    strips = room.pop("elements", {})
    room.pop("coverings", None)
    for lead in (room.get("leads") or {}).values():
        way = [stop for stop in lead["route"] if str(stop).partition(".")[0] not in strips]
        lead["route"] = way if len(way) > 1 else [*way, [40, 40], [60, 40]]


def forget_strips(data: Data, rng: random.Random) -> Damaged | None:
    """Draw leads and sensor of a room, and not its strips."""
    plan = open_rows(data)
    rooms = heated_rooms(plan)
    if len(rooms) < 2 or data.get("tests") or data.get("waivers"):
        return None
    name = rng.choice(rooms)
    _take_strips_out(plan, name)
    return Damaged(data=plan)


def forget_all_strips(data: Data, rng: random.Random) -> Damaged | None:
    """Hand in a plan before any strip is drawn."""
    if data.get("tests") or data.get("waivers"):
        return None
    plan = open_rows(data)
    for name in plan["rooms"]:
        _take_strips_out(plan, name)
    return Damaged(data=plan)


def leave_circuit_over(data: Data, rng: random.Random) -> Damaged | None:
    """Write a circuit down for strips that were then put on another."""
    circuits = data.get("circuits") or {}
    heads = [name for name, told in circuits.items() if "shares" not in told]
    if not heads:
        return None
    plan = copy_plan(data)
    plan["circuits"]["C-over"] = dict(circuits[rng.choice(heads)])
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="nothing-heated", name="strips-forgotten",
             says="Leads and sensor of a room were drawn, and its strips forgotten.",
             apply=forget_strips),
    Mutation(rule="nothing-heated", name="plan-without-strips",
             says="The plan was handed in before any strip was drawn.", apply=forget_all_strips,
             not_set="a plan without strips leaves nothing to look for"),
    Mutation(rule="nothing-heated", name="circuit-left-over",
             says="A circuit was written down for strips that went on another.",
             apply=leave_circuit_over),
)  # fmt: skip
