"""Strips in rows as a person would write them: side by side, begun on one line where they can."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from underfoot.laying.frame import Frame
from underfoot.laying.lanes import Cuts, Lane, Space

_SAME = 1e-6


class Laid(Struct, frozen=True, kw_only=True):
    """A strip in its row: its lane, where it starts along it, its length; None is a place left."""

    u: float
    start: float
    length: float


class LaidRow(Struct, frozen=True, kw_only=True):
    """A row of strips; an empty place is None. `at_end` says that they are joined at their far end.

    `line` is where the row begins along the lanes.
    """

    strips: tuple[Laid | None, ...]
    line: float
    at_end: bool = False

    @property
    def laid(self) -> list[Laid]:
        """The strips, without the places left empty."""
        return [strip for strip in self.strips if strip is not None]


def make_rows(lanes: Sequence[Lane], cuts: Cuts, *, at_end: bool) -> tuple[LaidRow, ...]:
    """Make rows of lanes: strips that butt, and that begin (or end) on one line, make one."""
    open_rows: list[list[tuple[float, Space]]] = []
    for lane in lanes:
        free = list(open_rows)
        for space in lane.spaces:
            fit = max(
                (row for row in free if _goes_on(row[-1], lane.u, space, cuts)),
                key=lambda row: _shared(row[-1][1], space),
                default=None,
            )
            if fit is None:
                open_rows.append([(lane.u, space)])
            else:
                fit.append((lane.u, space))
                free = [row for row in free if row is not fit]
    return tuple(_make_row(row, at_end=at_end) for row in open_rows)


def _goes_on(last: tuple[float, Space], u: float, space: Space, cuts: Cuts) -> bool:
    return abs(u - last[0] - cuts.width) < _SAME and _shared(last[1], space) > 0


def _shared(one: Space, other: Space) -> float:
    return min(one.high, other.high) - max(one.low, other.low)


def _make_row(row: list[tuple[float, Space]], *, at_end: bool) -> LaidRow:
    """Begin strips on the line that most can begin on, the others as near to it as they can."""
    def reach(space: Space) -> tuple[float, float]:
        """Give where its strip may begin (or, joined at the end, where it may end)."""
        if at_end:
            return space.low + space.length, space.high
        return space.low, space.high - space.length

    lines = Counter(
        line
        for line in {edge for _, space in row for edge in reach(space)}
        for _, space in row
        if reach(space)[0] - _SAME <= line <= reach(space)[1] + _SAME
    )
    best = min(lines, key=lambda line: (-lines[line], -line if at_end else line))
    strips = []
    for u, space in row:
        first, last = reach(space)
        line = min(max(best, first), last)
        start = line - space.length if at_end else line
        strips.append(Laid(u=u, start=start, length=space.length))
    return LaidRow(
        strips=tuple(strips), line=min(strip.start for strip in strips), at_end=at_end
    )


def write_row(
    row: LaidRow, frame: Frame, film: str, circuits: Sequence[str]
) -> dict[str, Any]:
    """Write a row as a plan has it; `circuits` are of its strips, in order."""
    first = row.laid[0]
    main = Counter(circuits).most_common(1)[0][0]
    x, y = frame.place(first.u, row.line)
    written: dict[str, Any] = {
        "film": film,
        "at": [_whole(x), _whole(y)],
        "along": frame.along,
        "circuit": main,
    }
    if row.at_end:
        written["connected"] = "end"
    lengths: list[Any] = []
    for strip, circuit in zip(row.laid, circuits, strict=True):
        later = strip.start - row.line
        told: Any = _whole(strip.length)
        if later > _SAME or circuit != main:
            told = {"length": told}
            if later > _SAME:
                told["from"] = _whole(later)
            if circuit != main:
                told["circuit"] = circuit
        lengths.append(told)
    if len(lengths) > 1 and all(length == lengths[0] for length in lengths):
        if not isinstance(lengths[0], dict):
            return {**written, "length": lengths[0], "count": len(lengths)}
    return {**written, "lengths": lengths}


def _whole(value: float) -> float | int:
    """Write a millimetre as a whole number where it is one."""
    rounded = round(value, 1)
    return int(rounded) if rounded == int(rounded) else rounded
