"""What became of the boards and sheets of a room.

Courses and runs are told by how they are laid: board by board, one other setting would be a
hundred changes. What is laid piece by piece is told by the piece.
"""

from collections.abc import Iterator, Mapping
from itertools import zip_longest
from typing import Any

import numpy as np

from underfoot.checking.facts import RoomFacts
from underfoot.comparing.change import ADDED, SAME, TAKEN_AWAY, ThingChange, compare_areas, tell
from underfoot.comparing.differing import say_differences
from underfoot.plan import Courses, Insulation, Membrane, Pieces


def list_lining_changes(old: RoomFacts, new: RoomFacts) -> Iterator[ThingChange]:
    """Tell what changed in how boards and sheets are laid; a layer that is there on one side too.

    A room without insulation or membrane on one side is told with the room's other values.
    """
    before, after = old.drawn, new.drawn
    if before.insulation is not None and after.insulation is not None:
        yield from _layers(old, new, before.insulation, after.insulation)
    if before.membrane is not None and after.membrane is not None:
        yield from _sheets(old, new, before.membrane, after.membrane)


def _layers(
    old: RoomFacts, new: RoomFacts, before: Insulation, after: Insulation
) -> Iterator[ThingChange]:
    for place, (was, now) in enumerate(zip_longest(before.layers, after.layers)):
        kind, name = "layer of boards", str(place + 1)
        if was is None or now is None:
            yield kind, name, ADDED if was is None else TAKEN_AWAY
        elif isinstance(was, Courses) and isinstance(now, Courses):
            yield from tell(kind, name, say_differences(was, now))
        elif isinstance(was, Pieces) and isinstance(now, Pieces):
            yield from _pieces("board", _boards(old, place), _boards(new, place))
        else:
            text = "laid in courses now, was laid piece by piece"
            if isinstance(was, Courses):
                text = "laid piece by piece now, was laid in courses"
            yield kind, name, ("changed", text, None)


def _boards(facts: RoomFacts, layer: int) -> dict[str, Any]:
    laid = facts.boards[layer]
    return dict(zip(laid.names, laid.corners, strict=True))


def _sheets(
    old: RoomFacts, new: RoomFacts, before: Membrane, after: Membrane
) -> Iterator[ThingChange]:
    is_one = max(len(before.runs), len(after.runs)) == 1
    for place, (was, now) in enumerate(zip_longest(before.runs, after.runs), 1):
        kind, name = "run of sheets", "" if is_one else str(place)
        if was is None or now is None:
            yield kind, name, ADDED if was is None else TAKEN_AWAY
        else:
            yield from tell(kind, name, say_differences(was, now))
    yield from _pieces("sheet", _single_sheets(old, before), _single_sheets(new, after))


def _single_sheets(facts: RoomFacts, membrane: Membrane) -> dict[str, Any]:
    single = {piece.id for piece in membrane.pieces}
    return {
        name: corners
        for name, corners in zip(facts.sheets.names, facts.sheets.corners, strict=True)
        if name in single
    }


def _pieces(kind: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[ThingChange]:
    yield from ((kind, item, TAKEN_AWAY) for item in old if item not in new)
    for item, corners in new.items():
        if item not in old:
            yield kind, item, ADDED
        elif not np.allclose(old[item], corners, rtol=0.0, atol=SAME):
            yield from tell(kind, item, compare_areas(old[item].tolist(), corners.tolist()))
