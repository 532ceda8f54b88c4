"""Floors that are held, bedded or dried in another way than film and covering bear."""

from __future__ import annotations

import random
from collections.abc import Callable

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import choose_covering, damages, films_in, heated_rooms
from underfoot_rules.mutations.expand_rows import copy_plan


@damages(choose_covering)
def glue_down(plan: Data, covering: str, _: list[str], rng: random.Random) -> Damaged | None:
    """Glue a covering to what lies below it, be it the sheet or an overlay."""
    plan["materials"]["coverings"][covering]["fixing"] = "glued"
    return Damaged(data=plan)


def _change_overlay(
    data: Data, rng: random.Random, change: Callable[[Data], None]
) -> Damaged | None:
    plan = copy_plan(data)
    rooms = [room for room in heated_rooms(plan) if plan["rooms"][room].get("overlay")]
    if not rooms:
        return None
    room = rng.choice(rooms)
    change(plan["rooms"][room])
    return Damaged(data=plan)


def glue_overlay(data: Data, rng: random.Random) -> Damaged | None:
    """Glue the overlay to the sheet below it."""
    return _change_overlay(data, rng, lambda room: room["overlay"].update(fixing="glued"))


def screw_overlay(data: Data, rng: random.Random) -> Damaged | None:
    """Screw or nail the overlay down, through the strips."""
    how = rng.choice(("screwed", "nailed"))
    return _change_overlay(data, rng, lambda room: room["overlay"].update(fixing=how))


def leave_out_overlay(data: Data, rng: random.Random) -> Damaged | None:
    """Leave out the boards below a soft covering."""
    return _change_overlay(data, rng, lambda room: room.pop("overlay"))


def soften_overlay(data: Data, rng: random.Random) -> Damaged | None:
    """Take something softer or thinner in place of the overlay's boards."""
    change = rng.choice(({"material": "foam"}, {"material": "cork"}, {"thickness": 3}))
    return _change_overlay(data, rng, lambda room: room["overlay"].update(change))


@damages(choose_covering)
def choose_thin_covering(
    plan: Data, covering: str, _: list[str], rng: random.Random
) -> Damaged | None:
    """Choose the thinnest plank of the shelf."""
    plan["materials"]["coverings"][covering]["thickness"] = rng.choice((3, 4, 5, 5.5))
    return Damaged(data=plan)


def take_other_standard(data: Data, rng: random.Random) -> Damaged | None:
    """Order the film in its other make, for the other way of laying."""
    plan = copy_plan(data)
    films = sorted({film for room in heated_rooms(plan) for film in films_in(plan, room)})
    if not films:
        return None
    told = plan["materials"]["films"][rng.choice(films)]
    is_loose = told.get("standard", "").endswith("2-106")
    told["standard"] = "IEC 60335-2-96" if is_loose else "IEC 60335-2-106"
    return Damaged(data=plan)


def lay_on_wet(data: Data, rng: random.Random) -> Damaged | None:
    """Lay the floor before the subfloor is dry."""
    plan = copy_plan(data)
    rooms = [room for room in heated_rooms(plan) if plan["rooms"][room].get("subfloor")]
    if not rooms:
        return None
    room = rng.choice(rooms)
    subfloor = plan["rooms"][room]["subfloor"]
    if subfloor.get("kind") == "concrete":
        how = rng.choice(({}, {"screed": "cement"}, {"screed": "calcium sulphate"}))
        subfloor.update(how)
        method = rng.choice(("CM", "by weight"))
        least = 0.6 if how.get("screed") == "calcium sulphate" else 2.1
        if method == "by weight" and least > 1:
            least = 3.6
        value = f"{least + rng.uniform(0, 4):.1f} %"
        subfloor["moisture"] = {"value": value, "method": method}
        if how.get("screed") != "cement" and rng.random() < 0.5 and least < 1:
            subfloor["moisture"] = value
    else:
        subfloor["moisture"] = {"value": f"{rng.uniform(13, 22):.1f} %", "method": "by weight"}
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="covering-bond", name="covering-glued",
             says="The covering was glued, straight to the sheet below it.", apply=glue_down),
    Mutation(rule="covering-bond", name="overlay-glued",
             says="The boards below the covering were glued to the sheet.", apply=glue_overlay),
    Mutation(rule="covering-fixing", name="overlay-screwed",
             says="The boards below the covering were screwed down.", apply=screw_overlay),
    Mutation(rule="film-standard", name="glued-to-boards",
             says="The covering was glued to the boards, over a film for loose-laid floors.",
             apply=glue_down),
    Mutation(rule="film-standard", name="other-make",
             says="The film came in the make for the other way of laying.",
             apply=take_other_standard),
    Mutation(rule="load-spreading", name="overlay-left-out",
             says="The boards below the soft covering were left out, to save height.",
             apply=leave_out_overlay),
    Mutation(rule="load-spreading", name="overlay-softened",
             says="Something softer or thinner was taken for the boards below the covering.",
             apply=soften_overlay),
    Mutation(rule="load-spreading", name="thin-covering",
             says="The thinnest plank of the shelf was chosen.", apply=choose_thin_covering),
    Mutation(rule="moisture-reading", name="laid-on-wet",
             says="The floor was laid before the subfloor was dry.", apply=lay_on_wet),
)  # fmt: skip
