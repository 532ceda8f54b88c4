"""Hatches of what a section cuts: narrow lines at 45° as ISO 128-3 has them for any cut part.

Parts that touch differ in the direction or the spacing of their lines. Wood, insulation, concrete,
screed and ground have the signs usual in drawings of buildings (common practice, no standard's).
"""

import re
from collections.abc import Iterator
from typing import Literal

from underfoot.drawing import pens
from underfoot.drawing.svg import Point, area, circle, group, line

Hatch = Literal["insulation", "concrete", "screed", "wood", "ground", "cut"]

# What a name says a layer is made of; the first that fits: foam below a slab is no concrete.
_MADE_OF: tuple[tuple[Hatch, re.Pattern[str]], ...] = (
    ("insulation", re.compile(
        r"\b(foam|(mineral|glass|rock|stone) ?wool|polystyrene|insulation)\b")),
    ("concrete", re.compile(r"\b(concrete|slab)\b")),
    ("screed", re.compile(r"\b(screed|mortar)\b")),
    # Before wood: cork parquet.
    ("cut", re.compile(r"\bcork\b")),
    ("wood", re.compile(
        r"\b(timber|wood(en)?|joists(?! space)|floor ?boards?|boarding|plywood|chipboard|hardboard"
        r"|fibreboard|particleboard|oriented strand board|parquet|battens?)\b")),
)  # fmt: skip
_SPACINGS = (1.5, 2.3)


def find_hatch(kind: str, name: str) -> Hatch | None:
    """Choose the hatch of a layer by its kind and what its name says; None for what is not cut."""
    if kind == "insulation":
        return "insulation"
    if kind == "below":
        return "ground" if name.endswith("ground") else None
    words = name.lower()
    return next((hatch for hatch, made in _MADE_OF if made.search(words)), "cut")


def say_hatch(hatch: Hatch | None, name: str) -> str:
    """Name a hatch beside its layer where the layer's name does not do so already."""
    return "" if hatch in (None, "cut") or str(hatch) in name.lower() else f" ({hatch})"


def draw_hatch(hatch: Hatch, place: int, width: float, top: float, height: float) -> str:
    """Hatch a layer; `place` is its number among the layers, so that neighbours differ."""
    foot = top + height
    if hatch == "cut":
        spacing = _SPACINGS[place // 2 % 2]
        return _strokes(_slanted(width, top, height, spacing, rising=place % 2 == 0))
    if hatch == "insulation":
        step = width / 12
        ends = (top + 0.4, foot - 0.4) if place % 2 else (foot - 0.4, top + 0.4)
        return _strokes([[(at * step, ends[at % 2]) for at in range(13)]])
    if hatch == "wood":
        count = max(2, round(height / 1.8))
        return _strokes(
            _grain(width, top + height * (at + 0.5) / count, (at + place) % 2)
            for at in range(count)
        )
    if hatch == "ground":
        return _strokes(_tufts(width, top))
    dots = "".join(
        circle((x, y), 0.22)
        for x, y in _scattered(width, top, height, 1.3 if hatch == "screed" else 2.6)
    )
    stones = "" if hatch == "screed" else group(
        *(
            area([(x - 0.65, y + 0.45), (x + 0.65, y + 0.45), (x + 0.1, y - 0.6)])
            for x, y in _scattered(width - 1.3, top, height, 2.6, begin=2.6)
        ),
        fill="none", **pens.pen(pens.SOFT, pens.HAIR)
    )  # fmt: skip
    return group(dots, fill=pens.SOFT) + stones


def _strokes(ways: Iterator[list[Point]] | list[list[Point]]) -> str:
    return group(*(line(way) for way in ways), stroke=pens.SOFT, stroke_width=pens.HAIR)


def _slanted(
    width: float, top: float, height: float, spacing: float, *, rising: bool
) -> Iterator[list[Point]]:
    """Yield lines at 45° within a box, `spacing` mm apart."""
    step = spacing * 2**0.5
    count = int((width + height) / step)
    for at in range(1, count + 1):
        begin = at * step - height
        low, high = max(begin, 0.0), min(begin + height, width)
        if high - low > 0.2:
            ends = [(low, low - begin), (high, high - begin)]
            yield [(x, top + height - up if rising else top + up) for x, up in ends]


def _grain(width: float, y: float, first: int) -> list[Point]:
    """Return a line that wavers as the grain of wood does."""
    count = 9
    return [
        (width * at / (count - 1), y + (0.28 if (at // 2 + first) % 2 else -0.12) * (at % 2))
        for at in range(count)
    ]


def _tufts(width: float, top: float) -> Iterator[list[Point]]:
    """Yield groups of strokes below the line of the ground."""
    yield [(0.0, top + 0.3), (width, top + 0.3)]
    for tuft in range(4):
        left = 0.8 + tuft * (width - 1.0) / 4
        for at in range(3):
            yield [(left + at * 1.1 + 1.6, top + 0.3), (left + at * 1.1, top + 1.9)]


def _scattered(
    width: float, top: float, height: float, step: float, begin: float = 1.3
) -> Iterator[Point]:
    """Yield places in two staggered rows."""
    for row, share in enumerate((0.3, 0.7)):
        x = begin + row * step / 2
        while x < width - 0.8:
            yield x, top + height * share
            x += step * (1 if step < 2 else 2)
