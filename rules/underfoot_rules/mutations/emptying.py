"""Strips forgotten: in a room, on a circuit, in the whole plan."""

import random

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import heated_rooms
from underfoot_rules.mutations.damaging import given, mutation, pick
from underfoot_rules.mutations.expand_rows import expand


def _take_strips_out(plan: Data, name: str) -> None:
    """Leave a room's leads their places, and none of its strips."""
    room = plan["rooms"][name]
    strips = room.pop("elements", {})
    room.pop("coverings", None)
    for lead in (room.get("leads") or {}).values():
        way = [stop for stop in lead["route"] if str(stop).partition(".")[0] not in strips]
        lead["route"] = way if len(way) > 1 else [*way, [40, 40], [60, 40]]


@mutation("nothing-heated", "strips-forgotten")
def forget_strips(plan: Data, rng: random.Random) -> None:
    """Leads and sensor of a room were drawn, and its strips forgotten."""
    expand(plan)
    rooms = heated_rooms(plan)
    given(len(rooms) >= 2 and not plan.get("tests") and not plan.get("waivers"))
    _take_strips_out(plan, rng.choice(rooms))


@mutation(
    "nothing-heated",
    "plan-without-strips",
    not_set="a plan without strips leaves nothing to look for",
)
def forget_all_strips(plan: Data, rng: random.Random) -> None:
    """The plan was handed in before any strip was drawn."""
    given(not plan.get("tests") and not plan.get("waivers"))
    expand(plan)
    for name in plan["rooms"]:
        _take_strips_out(plan, name)


@mutation("nothing-heated", "circuit-left-over")
def leave_circuit_over(plan: Data, rng: random.Random) -> None:
    """A circuit was written down for strips that went on another."""
    circuits = plan.get("circuits") or {}
    head = pick(rng, (told for told in circuits.values() if "shares" not in told))
    plan["circuits"]["C-over"] = dict(head)
