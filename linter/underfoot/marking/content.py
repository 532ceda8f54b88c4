"""Whether two things of a plan say the same, whatever they are called and wherever they stand."""

import math
from collections.abc import Iterable, Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.plan import Film

# Figures so near each other are one figure, rounded or in another unit.
SAME_SHARE = 1e-3
SAME_PLACE = 1.0
# What says nothing about a thing itself.
_ASIDE = frozenset(
    {
        "id",
        "path",
        "note",
        "size_text",
        "moisture_note",
        "paths",
        "conductor_text",
        "roll",
        "pack",
        "pack_m2",
    }
)

Spot = tuple[float, float]


def is_same(one: Any, other: Any) -> bool:
    """Tell whether two values say the same: names, places in the file and remarks aside."""
    if isinstance(one, Film) and isinstance(other, Film):
        one, other = _in_one_unit(one), _in_one_unit(other)
    if isinstance(one, Struct) and isinstance(other, Struct):
        return type(one) is type(other) and not list_differing(one, other)
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return match_up(one.values(), other.values())
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(is_same, one, other))
    if _is_number(one) and _is_number(other):
        return math.isclose(one, other, rel_tol=SAME_SHARE, abs_tol=1e-9)
    return bool(one == other)


def list_differing(one: Any, other: Any) -> list[str]:
    """List the fields in which two things of a kind differ."""
    return [
        field
        for field in one.__struct_fields__
        if field not in _ASIDE and not is_same(getattr(one, field), getattr(other, field))
    ]


def match_up(ours: Iterable[Any], theirs: Iterable[Any]) -> bool:
    """Tell whether each of ours says the same as one of theirs, and none is left over."""
    left = list(theirs)
    for one in ours:
        place = next((at for at, other in enumerate(left) if is_same(one, other)), None)
        if place is None:
            return False
        del left[place]
    return not left


def is_given(value: Any) -> bool:
    """Tell whether a plan gives something at all."""
    return value is not None and value != () and value != {}


def _is_number(value: Any) -> bool:
    return isinstance(value, float | int) and not isinstance(value, bool)


def _in_one_unit(film: Film) -> Film:
    return replace(
        film,
        output_w_m2=film.rated_w_m2,
        output_w_m=None,
        suits=film.suits and tuple(sorted(film.suits)),
        boards=film.boards and tuple(sorted(film.boards)),
    )


def clean_ring(corners: Iterable[Spot]) -> list[Spot]:
    """Return an outline without corners that are none: met twice, or on a straight wall."""
    found: list[Spot] = []
    for spot in corners:
        if not found or math.dist(spot, found[-1]) > SAME_PLACE:
            found.append(spot)
    while len(found) > 1 and math.dist(found[0], found[-1]) <= SAME_PLACE:
        found.pop()
    return [
        spot
        for before, spot, after in zip(
            (*found[-1:], *found[:-1]), found, (*found[1:], *found[:1]), strict=True
        )
        if _off_line(before, spot, after) > SAME_PLACE
    ]


def _off_line(before: Spot, spot: Spot, after: Spot) -> float:
    length = math.dist(before, after)
    if length == 0:
        return math.dist(before, spot)
    across = (after[0] - before[0]) * (spot[1] - before[1])
    return abs(across - (after[1] - before[1]) * (spot[0] - before[0])) / length


def is_same_ring(one: Iterable[Spot], other: Iterable[Spot]) -> bool:
    """Tell whether two outlines are one, wherever each begins and whichever way it goes."""
    ours, theirs = clean_ring(one), clean_ring(other)
    if len(ours) != len(theirs) or not ours:
        return False
    for ring in (theirs, theirs[::-1]):
        for start, corner in enumerate(ring):
            if math.dist(corner, ours[0]) <= SAME_PLACE * 1.5:
                laid = ring[start:] + ring[:start]
                if all(
                    math.dist(a, b) <= 1.5 * SAME_PLACE for a, b in zip(ours, laid, strict=True)
                ):
                    return True
    return False


def is_same_line(one: Iterable[Spot], other: Iterable[Spot]) -> bool:
    """Tell whether two lines are one, from whichever end."""
    ours, theirs = list(one), list(other)
    if len(ours) != len(theirs):
        return False
    return any(
        all(math.dist(a, b) <= SAME_PLACE for a, b in zip(ours, way, strict=True))
        for way in (theirs, theirs[::-1])
    )
