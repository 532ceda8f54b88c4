"""One thing of a plan that is not as it was, and the words for how far it went."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from math import hypot
from typing import Any, Literal

import shapely
from msgspec import Struct
from shapely.affinity import translate

from underfoot.checking.numbers import format_quantity
from underfoot.checking.words import move_text

What = Literal[
    "added", "taken away", "renamed", "moved", "grown", "shortened", "redrawn", "changed"
]

# Nearer than this, in millimetres, two places are the same: plans in inches leave such remainders.
SAME = 1e-3
# Between the corners, a line is looked at this often for how far it lies from another.
_SHARE = 0.02
_LOOKS_THE_SAME = 0.5

Place = tuple[float, float]


# What became of a thing, in words, and how far it went in millimetres, where that can be said.
Became = tuple[What, str, float | None]
# The same with the kind of the thing and its id.
ThingChange = tuple[str, str, Became]

ADDED: Became = ("added", "added", None)
TAKEN_AWAY: Became = ("taken away", "taken away", None)


class Change(Struct, frozen=True, kw_only=True):
    """What became of one thing; `by` is how far, in millimetres, where that can be said.

    `item` is its id, or ``""`` where there is one of its kind; `room` None is the whole plan.
    """

    room: str | None
    kind: str
    item: str
    what: What
    text: str
    by: float | None = None


def tell(kind: str, item: str, became: Iterable[Became]) -> Iterator[ThingChange]:
    """Say of which thing all this became."""
    return ((kind, item, each) for each in became)


def come_and_gone(kind: str, old: Collection[str], new: Collection[str]) -> Iterator[ThingChange]:
    """Tell what was taken away, then what was added."""
    yield from ((kind, item, TAKEN_AWAY) for item in old if item not in new)
    yield from ((kind, item, ADDED) for item in new if item not in old)


def make_changes(room: str | None, told: Iterable[ThingChange]) -> Iterator[Change]:
    """Make changes of a room, or of the whole plan, of what is told."""
    for kind, item, (what, text, by) in told:
        yield Change(room=room, kind=kind, item=item, what=what, text=text, by=by)


def is_same(one: Sequence[float], other: Sequence[float]) -> bool:
    """Tell whether two places are the same."""
    return hypot(one[0] - other[0], one[1] - other[1]) <= SAME


def say_move(old: Sequence[float], new: Sequence[float]) -> tuple[str, float]:
    """Say a move, and give how far it is."""
    dx, dy = new[0] - old[0], new[1] - old[1]
    return f"moved {move_text(dx, dy)}", hypot(dx, dy)


def compare_spots(old: Sequence[float], new: Sequence[float]) -> list[Became]:
    """Say how far a thing was moved; nothing where its place is the same."""
    return [] if is_same(old, new) else [("moved", *say_move(old, new))]


def compare_places(old: Sequence[Place], new: Sequence[Place]) -> list[Became]:
    """Say how a line or the corners of an area changed; nothing where they are the same."""
    if len(old) == len(new):
        if all(is_same(a, b) for a, b in zip(old, new, strict=True)):
            return []
        first = (new[0][0] - old[0][0], new[0][1] - old[0][1])
        if all(
            is_same((a[0] + first[0], a[1] + first[1]), b) for a, b in zip(old, new, strict=True)
        ):
            return [("moved", *say_move(old[0], new[0]))]
    by = apart(_line(old), _line(new))
    longer = _length(new) - _length(old)
    if by <= _LOOKS_THE_SAME and abs(longer) <= _LOOKS_THE_SAME:
        return []  # a corner more or less on the same way
    text = f"redrawn, up to {format_quantity(by, 'mm')} from where it was"
    if abs(longer) > _LOOKS_THE_SAME:
        text += f"; {format_quantity(abs(longer), 'mm')} {'longer' if longer > 0 else 'shorter'}"
    return [("redrawn", text, by)]


def compare_areas(old: Sequence[Place], new: Sequence[Place]) -> list[Became]:
    """Say how an outline changed; corners may be listed from another one, or the other way."""
    before, after = shapely.Polygon(old), shapely.Polygon(new)
    if shapely.equals_exact(before.normalize(), after.normalize(), SAME):
        return []
    if before.equals(after):
        return []
    sizes = [_size(each) for each in (before, after)]
    if None not in sizes:
        return _compare_upright(before.bounds, after.bounds)
    dx = after.bounds[0] - before.bounds[0]
    dy = after.bounds[1] - before.bounds[1]
    shifted = translate(before, dx, dy)
    if shapely.equals_exact(shifted.normalize(), after.normalize(), SAME):
        return [("moved", *say_move((0.0, 0.0), (dx, dy)))]
    by = apart(before.exterior, after.exterior)
    text = (
        f"redrawn, up to {format_quantity(by, 'mm')} from where it was; "
        f"{format_quantity(before.area / 1e6, 'm2')} then, "
        f"{format_quantity(after.area / 1e6, 'm2')} now"
    )
    return [("redrawn", text, by)]


def apart(one: Any, other: Any) -> float:
    """How far two lines lie from each other at most."""
    if one.is_empty or other.is_empty:
        return 0.0
    return float(shapely.hausdorff_distance(one, other, densify=_SHARE))


def _compare_upright(
    old: tuple[float, float, float, float], new: tuple[float, float, float, float]
) -> list[Became]:
    """Two upright rectangles: the corner that moved least says the move, the rest is growth."""
    found: list[Became] = []
    shift = []
    for low, high in ((0, 2), (1, 3)):
        ends = (new[low] - old[low], new[high] - old[high])
        shift.append(min(ends, key=abs))
    if hypot(*shift) > SAME:
        found.append(("moved", *say_move((0.0, 0.0), shift)))
    was = (old[2] - old[0], old[3] - old[1])
    is_now = (new[2] - new[0], new[3] - new[1])
    if not is_same(was, is_now):
        by = max(abs(is_now[0] - was[0]), abs(is_now[1] - was[1]))
        grown = is_now[0] * is_now[1] > was[0] * was[1]
        text = f"{_by(was)} then, {_by(is_now)} now"
        found.append(("grown" if grown else "shortened", text, by))
    return found


def _by(size: tuple[float, float]) -> str:
    return (
        f"{format_quantity(size[0], 'mm').removesuffix(' mm')} × {format_quantity(size[1], 'mm')}"
    )


def _size(area: shapely.Polygon) -> tuple[float, float] | None:
    low_x, low_y, high_x, high_y = area.bounds
    upright = abs((high_x - low_x) * (high_y - low_y) - area.area) <= SAME * area.length
    return (high_x - low_x, high_y - low_y) if upright else None


def _line(places: Sequence[Place]) -> Any:
    return shapely.LineString(places) if len(places) > 1 else shapely.MultiPoint(places)


def _length(places: Sequence[Place]) -> float:
    return float(_line(places).length)
