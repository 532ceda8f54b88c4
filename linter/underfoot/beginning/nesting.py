"""Closed lines of a drawing -> rooms, what stands in them, and their names."""

from collections.abc import Collection, Iterator, Sequence
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.beginning.curves import Arc, Piece, Side, flatten
from underfoot.beginning.found import (
    MOST_OUTLINES,
    SMALLEST_ROOM,
    CannotBeginError,
    Corners,
    Found,
    FoundRoom,
    Point,
    Standing,
    area_of,
)
from underfoot.beginning.naming import spell_as_id

# Lines that are nearer than this count as one line.
_AS_ONE = 1.0
# Where more of an outline than this is taken up by others, it lies round rooms.
_MOST_TAKEN = 0.5
LEAST_AREA = 1.0


class Loop(Struct, frozen=True, kw_only=True):
    """A closed line of a drawing, in mm; `where` names it as its file does, `name` as people do."""

    pieces: tuple[Piece, ...]
    where: str
    name: str | None = None


class Label(Struct, frozen=True, kw_only=True):
    """A text of a drawing; the larger its letters, the sooner it is a room's name."""

    text: str
    at: Point
    letters: float


class Drawn(Struct, frozen=True, kw_only=True):
    """What a drawing holds that could be rooms, and what is to be said of what was passed over."""

    loops: tuple[Loop, ...]
    unit: str
    labels: tuple[Label, ...] = ()
    remarks: tuple[str, ...] = ()


def make_rooms(drawn: Drawn, wanted: Collection[str], error: float) -> Found:
    """Make rooms of the outermost loops; where any is called as `wanted` (ids), of such alone.

    What lies within a room stands in it. CannotBeginError where loops cross, or lie on each other.
    """
    loops = drawn.loops
    if len(loops) > MOST_OUTLINES:
        raise CannotBeginError(f"there are more than {MOST_OUTLINES:,} outlines: divide the file")
    _check_extent(drawn)
    shapes = [_shape_of(loop, error) for loop in loops]
    parents, same = _find_parents(loops, shapes)
    names = _name(drawn, shapes, same)
    wanted = {spell_as_id(name) for name in names if name is not None} & set(wanted)
    chosen = [
        place
        for place, loop in enumerate(loops)
        if place not in same and _is_wanted(names[place], parents[place], wanted)
    ]
    rooms = []
    remarks = [f"{loops[place].where} lies on another outline of the same shape: taken once"
               for place in sorted(same)]  # fmt: skip
    for place in chosen:
        within = [each for each, parent in enumerate(parents)
                  if parent == place and each not in same]  # fmt: skip
        _check_taken(loops, shapes, names, place, within)
        rooms.append(
            FoundRoom(
                name=names[place],
                where=loops[place].where,
                corners=flatten(loops[place].pieces, floor_inside=True, error=error),
                standing=tuple(
                    Standing(
                        name=names[each],
                        where=loops[each].where,
                        corners=flatten(loops[each].pieces, floor_inside=False, error=error),
                    )
                    for each in within
                ),
                has_arcs=any(
                    isinstance(piece, Arc)
                    for each in (place, *within)
                    for piece in loops[each].pieces
                ),
            )
        )
    return Found(rooms=tuple(rooms), unit=drawn.unit, remarks=(*drawn.remarks, *remarks))


def sides_of(corners: Corners) -> tuple[Side, ...]:
    """Return the straight sides of an outline."""
    return tuple(
        Side(start, corners[(place + 1) % len(corners)]) for place, start in enumerate(corners)
    )


def _check_extent(drawn: Drawn) -> None:
    """Refuse a drawing of which nothing is as large as a room: its unit is another one."""
    reach = 0.0
    for loop in drawn.loops:
        corners = [piece.start for piece in loop.pieces]
        corners += [piece.at(piece.begin + piece.sweep / 2) for piece in loop.pieces
                    if isinstance(piece, Arc)]  # fmt: skip
        xs, ys = zip(*corners, strict=True)
        reach = max(reach, max(xs) - min(xs), max(ys) - min(ys))
    if reach < SMALLEST_ROOM:
        raise CannotBeginError(
            f"nothing in it is longer than {reach:.3g} mm, where its unit was taken to be "
            f"{drawn.unit}: is it another one (--unit)?"
        )


def _is_wanted(name: str | None, parent: int | None, wanted: Collection[str]) -> bool:
    if not wanted:
        return parent is None
    return name is not None and spell_as_id(name) in wanted


def _shape_of(loop: Loop, error: float) -> shapely.Polygon:
    corners = flatten(loop.pieces, floor_inside=True, error=error)
    if len(set(corners)) < 3 or abs(area_of(corners)) < LEAST_AREA:
        raise CannotBeginError(f"{loop.where} has no area: delete it, or close it round a floor")
    shape = shapely.Polygon(corners)
    if not shape.is_valid:
        x, y = shapely.get_coordinates(_fault_of(shape))[0]
        raise CannotBeginError(
            f"{loop.where} crosses or touches itself near ({x:.0f}, {y:.0f}) mm: draw it as one "
            "line round the floor, corner by corner"
        )
    return shape


def _fault_of(shape: shapely.Polygon) -> shapely.Geometry:
    said = str(shapely.is_valid_reason(shape))
    if "[" in said:
        x, y = said[said.index("[") + 1 : said.index("]")].split()[:2]
        return shapely.Point(float(x), float(y))
    return shapely.Point(shape.exterior.coords[0])


def _find_parents(
    loops: Sequence[Loop], shapes: Sequence[shapely.Polygon]
) -> tuple[list[int | None], set[int]]:
    """Find the smallest loop round each, and those that are there a second time."""
    pairs = list(_list_pairs(np.array(shapes, dtype=object)))
    same: set[int] = set()
    for small, large, is_within, is_round in pairs:
        if is_within and is_round and same.isdisjoint((small, large)):
            first, second = sorted((small, large))
            same.add(second if loops[second].name is None else first)
    parents: list[int | None] = [None] * len(shapes)
    for small, large, is_within, _ in pairs:
        if not same.isdisjoint((small, large)):
            continue
        if not is_within:
            first, second = sorted((small, large))
            raise CannotBeginError(
                f"{loops[first].where} and {loops[second].where} lie across each other: trim the "
                "one at the other, or put on a layer of its own what is neither a room nor stands "
                "in one"
            )
        held = parents[small]
        if held is None or shapes[large].area < shapes[held].area:
            parents[small] = large
    return parents, same


def _list_pairs(shapes: Any) -> Iterator[tuple[int, int, bool, bool]]:
    """List which two lie on each other: the smaller, the larger, if it is within, if as large.

    What two have in common along their lines alone does not count.
    """
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    one, other = one[one < other], other[one < other]
    areas = shapely.area(shapes)
    swapped = areas[one] > areas[other]
    small, large = np.where(swapped, other, one), np.where(swapped, one, other)
    shrunk = shapely.buffer(shapes, -_AS_ONE)
    # A sliver has a place in it, if no width.
    inner = np.where(shapely.is_empty(shrunk), shapely.point_on_surface(shapes), shrunk)
    shapely.prepare(inner)
    shapely.prepare(shapes)
    meets = shapely.intersects(inner[small], inner[large])
    small, large = small[meets], large[meets]
    is_within = shapely.covered_by(inner[small], shapes[large])
    is_round = shapely.covered_by(inner[large], shapes[small])
    found = zip(small.tolist(), large.tolist(), is_within.tolist(), is_round.tolist(), strict=True)
    return iter(sorted(found))


def _name(
    drawn: Drawn, shapes: Sequence[shapely.Polygon], same: Collection[int]
) -> list[str | None]:
    """Give each loop the text with the largest letters that stands in it, and in none within it."""
    best: dict[int, Label] = {}
    tree = shapely.STRtree(shapes)
    for label in drawn.labels:
        if not spell_as_id(label.text).strip("0123456789-") and label.text.isascii():
            continue  # an area, a height, a number
        around = [place for place in tree.query(shapely.Point(label.at), predicate="intersects")
                  if place not in same]  # fmt: skip
        if around:
            place = int(min(around, key=lambda each: shapes[each].area))
            held = best.get(place)
            if held is None or _rank(label) < _rank(held):
                best[place] = label
    return [
        loop.name or (best[place].text if place in best else None)
        for place, loop in enumerate(drawn.loops)
    ]


def _rank(label: Label) -> tuple[bool, float, float, float, str]:
    starts_with_letter = label.text[:1].isalpha()
    return (not starts_with_letter, -label.letters, -label.at[1], label.at[0], label.text)


def _check_taken(
    loops: Sequence[Loop],
    shapes: Sequence[shapely.Polygon],
    names: Sequence[str | None],
    place: int,
    within: Sequence[int],
) -> None:
    """Refuse what can only be an outline round rooms."""
    taken = sum(shapes[each].area for each in within)
    if taken > _MOST_TAKEN * shapes[place].area:
        named = ", ".join(name for each in within[:5] if (name := names[each]))
        choose = (
            f"choose rooms by name with --room ({named})"
            if named
            else "put the rooms on a layer of their own, and name it with --layer"
        )
        raise CannotBeginError(
            f"{loops[place].where} lies round others that take up {taken / shapes[place].area:.0%} "
            f"of it, so it is no room with columns in it: {choose}, or delete it"
        )
