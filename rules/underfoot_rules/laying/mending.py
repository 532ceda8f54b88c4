"""Says how a strip is best mended: moved, moved with its row or block, cut shorter, left out."""

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import chain
from typing import Any

import numpy as np
import shapely

from underfoot.api.facts import Facts, RoomFacts, hangs_on
from underfoot.api.physics import separation
from underfoot.api.plan import Element
from underfoot.api.rules import below, format_quantity, join_names, move_text, point_text
from underfoot_rules.laying.may_lie import find_fixtures_over, may_lie
from underfoot_rules.laying.ways import Chosen, Step, Way, as_said, choose, move_ways

# Moves tried where the shortest one will not do: every 10 mm along and across, so far.
_STRIDE, _FARTHEST = 10.0, 300.0
# What is left of a strip must be worth its two connections.
_SHORTEST = 500.0
# Many strips are moved no farther than this for one of them.
_TOGETHER = 500.0
# A block of more strips is not moved for one of them.
_BLOCK = 200


@hangs_on("outline", "elements")
def clearing_move(room: RoomFacts, place: int, clearance: float) -> Step | None:
    """Return the shortest move that brings a strip inside the room by `clearance`."""
    return separation.clearing_move(room.strips[place], room.outline, clearance)


def advise_mending(
    facts: Facts,
    room: RoomFacts,
    place: int,
    steps: Iterable[Step | None],
    goal: str,
) -> str:
    """Say how one strip is made to keep all clearances, `steps` being the moves to try first.

    `goal` says what it is to be clear of. A figure is tried before it is given: moved or cut like
    that the strip keeps the planned wall clearance and the fixture clearance, off joints and other
    strips, comes under no furniture that is too low for it, and leaves leads, sensor, neighbours
    and the heated share of the floor in order. Where none holds, words name what is in the way.
    """
    if not facts.is_advised:
        return ""
    strip = room.elements[place].id
    tried = tuple(as_said(step) for step in steps if step is not None)
    ways = chain(
        moves(facts, room, place, tried),
        longer_moves(facts, room, place),
        cuts(facts, room, place),
    )
    chosen = choose(facts, room, ways, goal)
    if chosen is not None:
        return chosen.said
    return (
        f"Leave {strip} out, or plan the strips here anew: no short move and no cut keeps every "
        "clearance."
    )


def cut_that_clears(facts: Facts, room: RoomFacts, place: int, length: float) -> Chosen | None:
    """Say to what a strip is cut that even at `length` lies too near to something, or outside.

    It is the cut that `advise_mending` says of it, so that two findings about one strip ask for
    one length. None where it has room at that length, or where a move mends it.
    """
    if fits_as_long(facts, room, place, length):
        return None
    ways = chain(longer_moves(facts, room, place), cuts(facts, room, place))
    chosen = choose(facts, room, ways, ", on a cut line")
    return chosen if chosen is not None and chosen.is_cut else None


def moves_off(room: RoomFacts, place: int, obstacle: Any, clearance: float) -> list[Step]:
    """Return the moves along and across a strip that take it off an obstacle, shortest first."""
    corners = room.corners[place]
    points = shapely.get_coordinates(obstacle)
    found = []
    for way in _directions(room, place):
        for unit in (way, -way):
            by = float((points @ unit).max() - (corners @ unit).min()) + clearance
            if by > 0:
                found.append((round(by, 6), (by * unit).tolist()))
    found.sort(key=lambda each: each[0])
    return [(float(dx), float(dy)) for _, (dx, dy) in found]


def moves(
    facts: Facts,
    room: RoomFacts,
    place: int,
    steps: Iterable[Step | None],
    off: int | None = None,
) -> Iterator[Way]:
    """Yield which of the moves keep every clearance, of the strip alone, else of its row or block.

    `off` is the strip that it must come off, and so is not moved with it.
    """
    element = room.elements[place]
    row = _row(room, place)
    groups = [row] if len(row) > 1 else [(place,), butted_to(room, place)]
    tried = [as_said(step) for step in steps if step is not None]
    for group in dict.fromkeys(groups):
        if off in group:
            continue
        for step in tried:
            if len(group) > 1 and math.hypot(*step) > _TOGETHER:
                continue
            if fits_moved(facts, room, group, step):
                yield from move_ways(room, group, _named(room, element, group), step)
    if len(row) > 1:
        for step in tried:
            if _is_forward(room, place, step) and fits_moved(facts, room, (place,), step):
                yield _started_later(room, place, step)


def longer_moves(facts: Facts, room: RoomFacts, place: int) -> Iterator[Way]:
    """Yield the shortest of the moves each way along and across the strip that will do."""
    along, across = _directions(room, place)
    in_row = len(_row(room, place)) > 1
    units = [along] if in_row else [along, -along, across, -across]
    reach = np.arange(_STRIDE, _FARTHEST + 1, _STRIDE)
    tries = (reach[:, None, None] * np.array(units)).reshape(-1, 2)
    good = np.flatnonzero(_may_lie(facts, room, room.corners[place] + tries[:, None], (place,)))
    _, first = np.unique(good % len(units), return_index=True)
    for which in sorted(good[first].tolist()):
        dx, dy = tries[which].tolist()
        if in_row:
            yield _started_later(room, place, (dx, dy))
        else:
            yield from move_ways(room, (place,), room.elements[place].id, (dx, dy))


def cuts(facts: Facts, room: RoomFacts, place: int) -> Iterator[Way]:
    """Yield to which lengths on a cut line the strip is best cut, at either end."""
    element = room.elements[place]
    step = element.film.cut_every or _STRIDE
    along, _ = _directions(room, place)
    most = math.ceil(element.length / step - 1e-6) - 1
    lengths = step * np.arange(most, 0, -1)
    lengths = lengths[lengths >= _SHORTEST]
    if not len(lengths):
        return
    old = room.corners[place]
    less = (element.length - lengths)[:, None] * along
    at_end, at_start = np.repeat(old[None], len(less), 0), np.repeat(old[None], len(less), 0)
    at_end[:, 1:3] -= less[:, None]
    at_start[:, [0, 3]] += less[:, None]
    tries = np.stack((at_end, at_start), axis=1)
    good = np.flatnonzero(_may_lie(facts, room, tries.reshape(-1, 4, 2), (place,)))
    _, first = np.unique(good % 2, return_index=True)
    for best in sorted(good[first].tolist()):
        which, end = divmod(best, 2)
        yield _cut_to(room, place, float(lengths[which]), tries[which, end], at_start=bool(end))


def _cut_to(
    room: RoomFacts, place: int, length: float, corners: np.ndarray, *, at_start: bool
) -> Way:
    element = room.elements[place]
    said = (
        f"Cut {element.id} to {format_quantity(length, 'mm')}, "
        f"{format_quantity(element.length - length, 'mm')} "
        "shorter, "
    )
    if element.film.cut_every is None:
        said = f"Cut {element.id} on a cut line to at most {format_quantity(length, 'mm')}, "
    rough = f"Cut {element.id} shorter at its {'start' if at_start else 'end'}"
    if not at_start:
        x, y = (room.corners[place][1] + room.corners[place][2]) / 2
        said += f"at its end near {point_text(x, y)}."
        return Way(said=said, rough=rough, group=(place,), cut=(element.at, length))
    x, y = corners[3 if element.along == "y" else 0].tolist()
    said += f"at its start, so that it begins at {point_text(x, y)}."
    return Way(said=said, rough=rough, group=(place,), cut=((round(x, 1), round(y, 1)), length))


def fits_moved(facts: Facts, room: RoomFacts, group: Sequence[int], step: Step) -> bool:
    """Tell whether strips, moved together, keep every clearance."""
    if len(group) > _BLOCK:
        return False
    return bool(_may_lie(facts, room, room.corners[list(group)] + np.array(step), group).all())


def _may_lie(
    facts: Facts, room: RoomFacts, corners: np.ndarray, apart_from: Collection[int]
) -> np.ndarray:
    wall = facts.limits["wall-clearance"]
    fixture = facts.limits["fixture-clearance"]["minimum"]
    low = _low_over_others(facts, room, apart_from)
    return may_lie(room, corners, max(wall["planned"], wall["minimum"]), fixture, apart_from, low)


def _low_over_others(facts: Facts, room: RoomFacts, strips: Collection[int]) -> list[Any]:
    """List the furniture with too little open height that does not stand over the strips yet."""
    least = facts.limits["covered-floor"]["clear"]
    low = [
        place
        for place, (fixture, _) in enumerate(room.fixtures)
        if not fixture.is_standing and fixture.clear is not None and below(fixture.clear, least)
    ]
    if not low:
        return []
    over = {place for strip, place in find_fixtures_over(room, least) if strip in strips}
    return [room.fixtures[place][1] for place in low if place not in over]


def _row(room: RoomFacts, place: int) -> tuple[int, ...]:
    row = room.elements[place].row
    if row is None:
        return (place,)
    return tuple(i for i, element in enumerate(room.elements) if element.row == row)


def fits_as_long(facts: Facts, room: RoomFacts, place: int, length: float) -> bool:
    """Tell whether a strip of another length, begun where it begins, keeps every clearance."""
    along, _ = _directions(room, place)
    corners = room.corners[place].copy()
    corners[1:3] += (length - room.elements[place].length) * along
    return bool(_may_lie(facts, room, corners[None], (place,))[0])


def may_be_cut_to(facts: Facts, room: RoomFacts, place: int, length: float) -> bool:
    """Tell whether a strip cut at its end to that length leaves all round it in order."""
    at = room.elements[place].at
    way = Way(said="it", rough="", group=(place,), cut=(at, length))
    chosen = choose(facts, room, (way,), "")
    return chosen is not None and chosen.in_figures


def butted_to(room: RoomFacts, place: int) -> tuple[int, ...]:
    """Return the strips that hang together with one edge to edge, itself among them."""
    found, edge = {place}, [place]
    while edge and len(found) <= _BLOCK:
        near = room.tree.query(room.strips[edge], predicate="dwithin", distance=1.0)[1]
        edge = sorted(set(near.tolist()) - found)
        found.update(edge)
    return tuple(sorted(found))


def _named(room: RoomFacts, element: Element, group: Sequence[int]) -> str:
    if len(group) == 1:
        return element.id
    if element.row is not None:
        return f"row {element.row}"
    if len(group) == len(room.elements):
        return "all strips of the room"
    return join_names([room.elements[place].id for place in group])


def _started_later(room: RoomFacts, place: int, step: Step) -> Way:
    strip = room.elements[place].id
    rough = f"Start {strip} later in its row (`from`)"
    return Way(
        said=f"{rough}: move it by {move_text(*step)}.", rough=rough, group=(place,), step=step
    )


def _directions(room: RoomFacts, place: int) -> tuple[np.ndarray, np.ndarray]:
    corners = room.corners[place]
    along, across = corners[1] - corners[0], corners[3] - corners[0]
    return along / np.hypot(*along), across / np.hypot(*across)


def _is_forward(room: RoomFacts, place: int, step: Step) -> bool:
    along, across = _directions(room, place)
    return bool(along @ np.array(step) > 0 and abs(across @ np.array(step)) < 1e-6)
