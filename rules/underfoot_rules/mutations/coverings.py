"""Floors that are held, bedded or dried in another way than film and covering bear."""

import random
from collections.abc import Callable

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import choose_covering, choose_with, films_in, heated_rooms
from underfoot_rules.mutations.damaging import mutation, pick


def _glue_down(plan: Data, rng: random.Random) -> None:
    """Glue a covering to what lies below it, be it the sheet or an overlay."""
    covering, _ = choose_covering(plan, rng)
    plan["materials"]["coverings"][covering]["fixing"] = "glued"


@mutation("covering-bond", "covering-glued")
def glue_to_sheet(plan: Data, rng: random.Random) -> None:
    """The covering was glued, straight to the sheet below it."""
    _glue_down(plan, rng)


def _change_overlay(plan: Data, rng: random.Random, change: Callable[[Data], None]) -> None:
    change(plan["rooms"][choose_with(plan, rng, "overlay")])


@mutation("covering-bond", "overlay-glued")
def glue_overlay(plan: Data, rng: random.Random) -> None:
    """The boards below the covering were glued to the sheet."""
    _change_overlay(plan, rng, lambda room: room["overlay"].update(fixing="glued"))


@mutation("covering-fixing", "overlay-screwed")
def screw_overlay(plan: Data, rng: random.Random) -> None:
    """The boards below the covering were screwed down."""
    how = rng.choice(("screwed", "nailed"))
    _change_overlay(plan, rng, lambda room: room["overlay"].update(fixing=how))


@mutation("film-standard", "glued-to-boards")
def glue_to_boards(plan: Data, rng: random.Random) -> None:
    """The covering was glued to the boards, over a film for loose-laid floors."""
    _glue_down(plan, rng)


@mutation("film-standard", "other-make")
def take_other_standard(plan: Data, rng: random.Random) -> None:
    """The film came in the make for the other way of laying."""
    films = sorted({film for room in heated_rooms(plan) for film in films_in(plan, room)})
    told = plan["materials"]["films"][pick(rng, films)]
    is_loose = told.get("standard", "").endswith("2-106")
    told["standard"] = "IEC 60335-2-96" if is_loose else "IEC 60335-2-106"


@mutation("load-spreading", "overlay-left-out")
def leave_out_overlay(plan: Data, rng: random.Random) -> None:
    """The boards below the soft covering were left out, to save height."""
    _change_overlay(plan, rng, lambda room: room.pop("overlay"))


@mutation("load-spreading", "overlay-softened")
def soften_overlay(plan: Data, rng: random.Random) -> None:
    """Something softer or thinner was taken for the boards below the covering."""
    change = rng.choice(({"material": "foam"}, {"material": "cork"}, {"thickness": 3}))
    _change_overlay(plan, rng, lambda room: room["overlay"].update(change))


@mutation("load-spreading", "thin-covering")
def choose_thin_covering(plan: Data, rng: random.Random) -> None:
    """The thinnest plank of the shelf was chosen."""
    covering, _ = choose_covering(plan, rng)
    plan["materials"]["coverings"][covering]["thickness"] = rng.choice((3, 4, 5, 5.5))


@mutation("moisture-reading", "laid-on-wet")
def lay_on_wet(plan: Data, rng: random.Random) -> None:
    """The floor was laid before the subfloor was dry."""
    room = choose_with(plan, rng, "subfloor")
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
