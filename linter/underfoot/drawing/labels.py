"""Lettering placed on the drawing: where it would cover something it moves, or is left out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from underfoot.drawing import pens
from underfoot.drawing.lettering import LEADING, SMALL, widest
from underfoot.drawing.occupancy import Patch, Taken, is_free, take, turned_patch
from underfoot.drawing.sheets import Box
from underfoot.drawing.svg import Point, area, group, letters

PADDING = 0.5
# A longer name is cut, so that it cannot run over the sheet.
LONGEST = 62.0


class Label(Struct, frozen=True, kw_only=True):
    """Lines of text that want a place.

    `versions` are ever shorter wordings, `middles` the places to try, best first; `room` is the
    width and height that there is (None: no bound). `turn_deg` turns clockwise on paper.
    `otherwise` is tried where this finds no place. The first `whole` versions say all that there is
    to say; `words` say it where none of them finds a place.
    """

    layer: str
    item: str
    versions: tuple[tuple[str, ...], ...]
    middles: tuple[Point, ...]
    turn_deg: float = 0.0
    room: tuple[float, float] | None = None
    bold_first: bool = True
    colour: str = pens.INK
    otherwise: Label | None = None
    whole: int = 1
    words: str | None = None

    @property
    def in_words(self) -> str:
        """Everything that the label says, in one line."""
        if self.words is not None:
            return self.words
        said = ", ".join(self.versions[0]) if self.versions else ""
        return said.removeprefix(self.item).lstrip(" ,·")


def fit_either_way(label: Label, wide: float, high: float) -> Label:
    """Let a label lie in a room of that size on paper, or else stand in it."""
    upright = replace(label, turn_deg=-90.0, room=(high, wide))
    return replace(label, room=(wide, high), otherwise=upright)


class Placed(Struct, frozen=True, kw_only=True):
    """A label at its place; `patch` is what it covers."""

    label: Label
    lines: tuple[str, ...]
    middle: Point
    patch: Patch

    @property
    def is_whole(self) -> bool:
        """Whether it says everything."""
        is_cut = any(text.endswith("…") for text in self.lines)
        return not is_cut and self.lines in self.label.versions[: self.label.whole]


def size_of(lines: Sequence[str], *, bold_first: bool) -> tuple[float, float]:
    """Return the width and height that lines of small lettering take with their padding."""
    first = widest(lines[:1], SMALL, bold=bold_first)
    width = max(first, widest(lines[1:], SMALL))
    return width + 2 * PADDING, len(lines) * SMALL * LEADING + PADDING


def place_labels(
    labels: Iterable[Label],
    taken: Taken,
    disliked: Taken,
    within: Box | None = None,
    kept_clear: Taken | None = None,
) -> tuple[list[Placed], list[Label]]:
    """Place labels one after another, each where nothing is covered; give those left out too.

    What is placed is marked in `taken`. A label stands on what is in `disliked` only where there
    is no other place for it, and never outside `within` or on what is in `kept_clear`.
    """
    placed: list[Placed] = []
    left_out: list[Label] = []
    never = (taken,) if kept_clear is None else (taken, kept_clear)
    for label in labels:
        found = _find_place(label, (*never, disliked), within) or _find_place(label, never, within)
        if found is None:
            left_out.append(label)
        else:
            placed.append(found)
            take(taken, found.patch)
    return placed, left_out


def _find_place(label: Label, grounds: tuple[Taken, ...], within: Box | None) -> Placed | None:
    for lines in label.versions:
        width, height = size_of(lines, bold_first=label.bold_first)
        if label.room is not None and (width > label.room[0] or height > label.room[1]):
            continue
        for middle in label.middles:
            patch = turned_patch(middle, width, height, label.turn_deg)
            if within is not None and not is_within(within, patch):
                continue
            if all(is_free(ground, patch) for ground in grounds):
                return Placed(label=label, lines=lines, middle=middle, patch=patch)
    return None if label.otherwise is None else _find_place(label.otherwise, grounds, within)


def is_within(bounds: Box, patch: Patch) -> bool:
    """Tell whether all of a patch lies in a box."""
    return all(
        bounds.left <= x <= bounds.right and bounds.top <= y <= bounds.bottom for x, y in patch
    )


def draw_label(placed: Placed) -> str:
    """Draw a label on a plate of its own."""
    label = placed.label
    x, y = placed.middle
    drawn = [area(placed.patch, fill=pens.PAPER, fill_opacity=0.86)]
    top = -len(placed.lines) * SMALL * LEADING / 2
    for place, text in enumerate(placed.lines):
        # The baseline lies about a quarter of the size above the foot of its line.
        down = top + (place + 1) * SMALL * LEADING - SMALL * 0.42
        drawn.append(
            letters(
                text,
                beside((x, y), down, label.turn_deg),
                SMALL,
                anchor="middle",
                turn=label.turn_deg,
                fill=label.colour,
                font_weight="bold" if place == 0 and label.bold_first else None,
            )
        )
    return group(*drawn, class_="label", data_of=label.item)


def beside(at: Point, down: float, turn_deg: float) -> Point:
    """Go down from a place, as the lines of a turned text do."""
    x, y = at
    angle = math.radians(turn_deg)
    return (x - down * math.sin(angle), y + down * math.cos(angle))
