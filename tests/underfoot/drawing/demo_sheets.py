"""The sheets of the demo rooms, each drawn once for all tests."""

from functools import cache
from xml.etree import ElementTree

import pytest

from tests.underfoot.drawing.rooms import SVG, crowd, every_room, right
from underfoot.drawing import LAYERS, SheetOptions, draw_room

ROOMS = tuple(every_room())
EACH_ROOM = pytest.mark.parametrize("place", range(len(ROOMS)), ids=[name for name, *_ in ROOMS])


@cache
def plain(place: int) -> str:
    """Draw the sheet of a demo room on which nothing was found."""
    _, plan, facts = ROOMS[place]
    return draw_room(facts, plan, right(plan))


@cache
def crowded(place: int) -> str:
    """Draw the sheet of a demo room with far too many findings."""
    _, plan, facts = ROOMS[place]
    return draw_room(facts, plan, crowd(facts))


@cache
def crowded_whole(place: int) -> str:
    """Draw the same with boards and membrane too."""
    _, plan, facts = ROOMS[place]
    return draw_room(facts, plan, crowd(facts), SheetOptions(layers=LAYERS))


def layer(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    """Find the groups of a layer."""
    return [each for each in root.iter(f"{SVG}g") if each.get("data-layer") == name]


def words(root: ElementTree.Element) -> str:
    """Return all that is written."""
    return "\n".join("".join(each.itertext()) for each in root.iter(f"{SVG}text"))
