"""The names on the overlay, each where it covers nothing."""

from collections.abc import Sequence

from underfoot.checking.facts import RoomFacts
from underfoot.comparing.page.things import Changed, middle_of
from underfoot.drawing import pens
from underfoot.drawing.labels import Label, draw_label, place_labels
from underfoot.drawing.lettering import SMALL, shorten
from underfoot.drawing.occupancy import Taken, nothing_taken, patch_of, take, take_line
from underfoot.drawing.sheets import View
from underfoot.drawing.svg import Point, group

OLD_INK = "#b84a00"
NEW_INK = "#0b63a5"
BULB = 1.6
_LONGEST_NAME = 40.0
# Among more strips names would hide what they name.
_MOST_NAMED = 300


def draw_names(
    view: View,
    old: RoomFacts | None,
    new: RoomFacts | None,
    changed: Changed,
    moves: Sequence[tuple[Point, Point]],
    taken: Taken,
) -> str:
    """Name what changed, with a sign for what is gone or new: ``– A7``, ``+ A8``; then the rest.

    What is lettered is marked in `taken`.
    """
    for way in moves:
        take_line(taken, way)
    for side in (old, new):
        if side is not None and side.drawn.sensor is not None:
            x, y = view.place(side.drawn.sensor.at)
            take(taken, patch_of(x - BULB, y - BULB, 2 * BULB, 2 * BULB))
    gone, kept = [], []
    for (kind, item), whats in changed.items():
        if kind == "strip" and len(changed) > _MOST_NAMED:
            continue
        is_gone = "taken away" in whats
        facts = old if is_gone else new
        middle = None if facts is None else _named_at(facts, kind, item)
        if middle is None:
            continue
        sign = "– " if is_gone else "+ " if "added" in whats else ""
        name = shorten(f"{sign}{item or kind}", _LONGEST_NAME, SMALL, bold=True)
        places = _places_about(view.place(middle))
        if is_gone:
            gone.append(
                Label(layer=kind, item=item, versions=((name,),), middles=places, colour=OLD_INK)
            )
        else:
            kept.append(
                Label(layer=kind, item=item, versions=((name,),), middles=places, colour=NEW_INK)
            )
    lettered = [("new", kept), ("old", gone), ("stayed", _names_that_stayed(view, new, changed))]
    return "".join(
        group(
            *(draw_label(each) for each in place_labels(labels, taken, nothing_taken())[0]),
            class_=name,
        )
        for name, labels in lettered
    )


def _names_that_stayed(view: View, facts: RoomFacts | None, changed: Changed) -> list[Label]:
    if facts is None:
        return []
    things = []
    if len(facts.place_of) <= _MOST_NAMED:
        things += [("strip", name) for name in facts.place_of]
    things += [("fixture", name) for name in facts.drawn.fixtures]
    labels = []
    for kind, name in things:
        middle = middle_of(facts, kind, name)
        if (kind, name) in changed or middle is None:
            continue
        shown = shorten(name, _LONGEST_NAME, SMALL)
        labels.append(
            Label(
                layer=kind,
                item=name,
                versions=((shown,),),
                middles=_places_about(view.place(middle))[:5],
                bold_first=False,
                colour=pens.SOFT,
            )
        )
    return labels


def _places_about(middle: Point) -> tuple[Point, ...]:
    x, y = middle
    return tuple(
        (x + dx, y + dy)
        for dx, dy in (
            (0, 0), (0, -5), (0, 5), (0, -10), (0, 10), (10, -2), (-10, -2), (10, 4), (-10, 4),
            (0, -16), (0, 16), (15, 0), (-15, 0),
        )
    )  # fmt: skip


def _named_at(facts: RoomFacts, kind: str, item: str) -> Point | None:
    if kind == "lead":
        ways = [laid.places for laid in facts.leads if laid.lead.id == item and laid.places]
        return ways[0][len(ways[0]) // 2] if ways else None
    if kind == "joint" and item in facts.drawn.joints:
        return facts.drawn.joints[item].line[0]
    if kind == "opening" and item in facts.drawn.openings:
        return facts.drawn.openings[item].line[0]
    return middle_of(facts, kind, item)
