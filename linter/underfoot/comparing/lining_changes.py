"""What became of the boards and sheets of a room.

Courses and runs are told by how they are laid: board by board, one other setting would be a
hundred changes. What is laid piece by piece is told by the piece.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from underfoot.checking.facts import RoomFacts
from underfoot.comparing.change import SAME, Change, compare_areas
from underfoot.comparing.differing import list_differences
from underfoot.plan import Courses, Pieces


def list_lining_changes(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    """Yield what changed in how boards and sheets are laid; a layer that is there on one side too.

    A room without insulation or membrane on one side is told with the room's other values.
    """
    if old.drawn.insulation is not None and new.drawn.insulation is not None:
        yield from _layers(old, new)
    if old.drawn.membrane is not None and new.drawn.membrane is not None:
        yield from _sheets(old, new)


def _layers(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    assert old.drawn.insulation is not None
    assert new.drawn.insulation is not None
    before, after = old.drawn.insulation.layers, new.drawn.insulation.layers
    for place in range(max(len(before), len(after))):
        was = before[place] if place < len(before) else None
        now = after[place] if place < len(after) else None
        name = str(place + 1)
        if was is None or now is None:
            what = "added" if was is None else "taken away"
            yield Change(room=new.id, kind="layer of boards", item=name, what=what, text=what)  # type: ignore[arg-type]
        elif isinstance(was, Courses) and isinstance(now, Courses):
            yield from _values(new.id, "layer of boards", name, was, now)
        elif isinstance(was, Pieces) and isinstance(now, Pieces):
            yield from _pieces(new.id, "board", _boards(old, place), _boards(new, place))
        else:
            text = "laid in courses now, was laid piece by piece"
            if isinstance(was, Courses):
                text = "laid piece by piece now, was laid in courses"
            yield Change(room=new.id, kind="layer of boards", item=name, what="changed", text=text)


def _boards(facts: RoomFacts, layer: int) -> dict[str, Any]:
    laid = facts.boards[layer]
    return dict(zip(laid.names, laid.corners, strict=True))


def _sheets(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    assert old.drawn.membrane is not None
    assert new.drawn.membrane is not None
    before, after = old.drawn.membrane.runs, new.drawn.membrane.runs
    for place in range(max(len(before), len(after))):
        was = before[place] if place < len(before) else None
        now = after[place] if place < len(after) else None
        name = "" if max(len(before), len(after)) == 1 else str(place + 1)
        if was is None or now is None:
            what = "added" if was is None else "taken away"
            yield Change(room=new.id, kind="run of sheets", item=name, what=what, text=what)  # type: ignore[arg-type]
        else:
            yield from _values(new.id, "run of sheets", name, was, now)
    yield from _pieces(new.id, "sheet", _single_sheets(old), _single_sheets(new))


def _single_sheets(facts: RoomFacts) -> dict[str, Any]:
    assert facts.drawn.membrane is not None
    single = {piece.id for piece in facts.drawn.membrane.pieces}
    return {
        name: corners
        for name, corners in zip(facts.sheets.names, facts.sheets.corners, strict=True)
        if name in single
    }


def _values(room: str, kind: str, item: str, old: Any, new: Any) -> Iterator[Change]:
    for name, was, is_now in list_differences(old, new):
        yield Change(
            room=room, kind=kind, item=item, what="changed", text=f"{name}: {is_now}, was {was}"
        )


def _pieces(
    room: str, kind: str, old: Mapping[str, Any], new: Mapping[str, Any]
) -> Iterator[Change]:
    for item in old:
        if item not in new:
            yield Change(room=room, kind=kind, item=item, what="taken away", text="taken away")
    for item, corners in new.items():
        if item not in old:
            yield Change(room=room, kind=kind, item=item, what="added", text="added")
        elif not np.allclose(old[item], corners, rtol=0.0, atol=SAME):
            for what, text, by in compare_areas(old[item].tolist(), corners.tolist()):
                yield Change(room=room, kind=kind, item=item, what=what, text=text, by=by)
