"""Strips in rows as a person would write them: side by side, begun on one line where they can."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from underfoot.laying.frame import Frame, write_mm
from underfoot.laying.lanes import Cuts, Lane, Space

_SAME = 1e-6


class Laid(Struct, frozen=True, kw_only=True):
    """A strip in its row: its lane, where it starts, its length, and the end it is joined at.

    `cut` is how much shorter it is than its lane lets it be, so that no joint lies in a doorway.
    """

    u: float
    start: float
    length: float
    at_end: bool = False
    cut: float = 0.0


class LaidRow(Struct, frozen=True, kw_only=True):
    """A row of strips; an empty place is None. `at_end` says at which end most are joined."""

    strips: tuple[Laid | None, ...]
    at_end: bool = False

    @property
    def laid(self) -> list[Laid]:
        """The strips, without the places left empty."""
        return [strip for strip in self.strips if strip is not None]

    @property
    def line(self) -> float:
        """Where the row begins along the lanes."""
        return min(strip.start for strip in self.laid)

    @property
    def heated(self) -> float:
        """The length of all its strips, mm."""
        return sum(strip.length for strip in self.laid)


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
        """Return where its strip may begin (or, joined at the end, where it may end)."""
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
        strips.append(Laid(u=u, start=start, length=space.length, at_end=at_end))
    return LaidRow(strips=tuple(strips), at_end=at_end)


def write_row(row: LaidRow, frame: Frame, film: str, circuits: Sequence[str]) -> dict[str, Any]:
    """Write a row as a plan has it; `circuits` are of its strips, in order."""
    first = row.laid[0]
    main = Counter(circuits).most_common(1)[0][0]
    x, y = frame.place(first.u, row.line)
    written: dict[str, Any] = {
        "film": film,
        "at": [write_mm(x), write_mm(y)],
        "along": frame.along,
        "circuit": main,
    }
    if row.at_end:
        written["connected"] = "end"
    lengths: list[Any] = []
    of = iter(circuits)
    for strip in row.strips:
        if strip is None:
            lengths.append(None)
            continue
        circuit = next(of)
        more: dict[str, Any] = {}
        if strip.start - row.line > _SAME:
            more["from"] = write_mm(strip.start - row.line)
        if circuit != main:
            more["circuit"] = circuit
        if strip.at_end != row.at_end:
            more["connected"] = "end" if strip.at_end else "start"
        length = write_mm(strip.length)
        lengths.append({"length": length, **more} if more else length)
    alike = len(lengths) > 1 and all(length == lengths[0] for length in lengths)
    if alike and isinstance(lengths[0], int | float):
        return {**written, "length": lengths[0], "count": len(lengths)}
    return {**written, "lengths": lengths}
