"""Each revision of a room by itself, with a sign at every finding that leads to it and back."""

from collections.abc import Mapping

from markupsafe import Markup
from msgspec import Struct

from underfoot.checking.facts import Facts
from underfoot.comparing import Comparison
from underfoot.comparing.comparison import Side
from underfoot.drawing import Untold, draw_alone
from underfoot.page.drawn_room import width_of
from underfoot.page.linked_signs import link_signs, numbers_of
from underfoot.page.slim_drawing import slim


class Signed(Struct, frozen=True, kw_only=True):
    """A room as one revision has it, drawn; `numbers` are the findings with a sign in it.

    `untold` is what had no place in the drawing.
    """

    which: str
    drawing: Markup
    numbers: frozenset[int]
    untold: tuple[Untold, ...]


def entries_of(pair: Comparison) -> dict[str, dict[int, str]]:
    """Return for each side the entry in the list that each of its findings has, by its number.

    What was left stands there once, for both.
    """
    new = {each.number: f"new-{each.number}" for each in pair.brought_in}
    new |= {each.new.number: f"new-{each.new.number}" for each in pair.left}
    old = {each.finding.number: f"old-{each.finding.number}" for each in pair.cleared}
    old |= {each.old.number: f"new-{each.new.number}" for each in pair.left}
    return {"old": old, "new": new}


def draw_signed(
    pair_id: str, which: str, side: Side, facts: Facts, room: str, entries: Mapping[int, str]
) -> Signed:
    """Draw a room of one side with its signs."""
    drawn = facts.rooms[room]
    place = list(facts.plan.rooms).index(room)
    body = draw_alone(
        drawn,
        facts.plan,
        side.report,
        prefix=f"{pair_id}-{which}-{place}-",
        width=width_of(drawn),
    )
    shown = numbers_of(body.svg) & entries.keys()
    linked = link_signs(
        slim(body.svg),
        lambda number: f"{pair_id}-{entries[number]}" if number in shown else f"{pair_id}-findings",
        lambda number: sign_id(pair_id, which, number),
    )
    words = f'role="group" aria-label="{which} revision, findings by number"'
    return Signed(
        which=which,
        drawing=Markup(linked.replace("<svg ", f"<svg {words} ", 1)),
        numbers=shown,
        untold=body.untold,
    )


def sign_id(pair_id: str, which: str, number: int) -> str:
    """Return the id of a sign in the drawing of one side."""
    return f"{pair_id}-{which}-sign-{number}"
