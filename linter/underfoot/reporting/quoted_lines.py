"""Lines of a plan as a report shows them: numbered, with signs below what is meant.

The text is somebody else's: what a terminal would obey is written out, a tab is as wide as it is
shown, and of a long line there is what stands round the place.
"""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from underfoot.checking.report import Excerpt, PlanReport, ReportedFinding
from underfoot.reading.paths import split_path
from underfoot.reporting.ink import Ink, paint
from underfoot.reporting.layout import columns_of, cut_short, escape_invisible

_TAB = 4
_CUT = "…"
# So much of a line at least, however narrow the report is.
_NARROWEST = 20
# No more places of one finding are quoted.
_MOST_PLACES = 4
_WIDEST_LABEL = 30

Excerpts = Mapping[tuple[str | None, int, int], Excerpt]


class _Shown(Struct, frozen=True, kw_only=True):
    """A line as it is shown: `begin` and `end` are the columns of what is meant."""

    number: int
    text: str
    begin: int
    end: int
    label: str


def excerpts_of(plan: PlanReport) -> Excerpts:
    """Return a plan's excerpts by their place."""
    return {(one.file, one.line, one.column): one for one in plan.excerpts}


def quote_finding(
    finding: ReportedFinding, excerpts: Excerpts, blank: str, width: int, ink: Ink
) -> list[str]:
    """Quote the line that a finding is about, and those that belong to it, each with its name."""
    places = {(finding.line, finding.column): finding.path}
    for at, path in zip(finding.related_at, finding.related, strict=False):
        places.setdefault(at, path)
    found = [
        (excerpts[None, line, column], name_place(path))
        for (line, column), path in places.items()
        if (None, line, column) in excerpts
    ]
    left_out = max(len(found) - _MOST_PLACES, 0)
    lines = _quote(found[:_MOST_PLACES], blank, width, ink)
    if left_out:
        lines.append(f"{blank}and {left_out} more such place{'s' if left_out > 1 else ''}")
    return lines


def quote_problem(excerpt: Excerpt, blank: str, width: int, ink: Ink) -> list[str]:
    """Quote the line in which something cannot be read."""
    return _quote([(excerpt, "")], blank, width, ink)


def name_place(path: str) -> str:
    """Name what stands at a path in short: ``rooms.hall.rows.A.lengths.0`` is A1."""
    *before, last = split_path(path) or ("",)
    above = before[-1] if before else ""
    if not last.isdecimal():
        return f"row {last}" if above == "rows" else last
    number = int(last) + 1
    if above == "lengths" and len(before) > 1:
        return f"{before[-2]}{number}"
    return f"{above}, no. {number}" if above else last


def _quote(found: Sequence[tuple[Excerpt, str]], blank: str, width: int, ink: Ink) -> list[str]:
    if not found:
        return []
    margin = max(len(str(excerpt.line)) for excerpt, _ in found)
    room = max(width - len(blank) - margin - 3, _NARROWEST)
    lines: list[str] = []
    above: _Shown | None = None
    for excerpt, label in found:
        shown = _show(excerpt, label, room)
        if above is None or (above.number, above.text) != (shown.number, shown.text):
            gutter = paint(f"{shown.number:>{margin}} |", ink.faint, ink)
            lines.append(f"{blank}{gutter} {shown.text}".rstrip())
        gutter = paint(f"{'':>{margin}} |", ink.faint, ink)
        lines.append(f"{blank}{gutter} {_point(shown, room, ink)}")
        above = shown
    return lines


def _point(shown: _Shown, room: int, ink: Ink) -> str:
    """Write the signs below what is meant, and its name beside them where there is room."""
    signs = paint("^" * (shown.end - shown.begin), ink.strong, ink)
    label = cut_short(escape_invisible(shown.label), min(_WIDEST_LABEL, room))
    size = columns_of(label)
    if not label or label == shown.text[shown.begin : shown.end]:
        return f"{' ' * shown.begin}{signs}"
    if shown.end + 1 + size <= room:
        return f"{' ' * shown.begin}{signs} {label}"
    if size + 1 <= shown.begin:
        return f"{' ' * (shown.begin - size - 1)}{label} {signs}"
    return f"{' ' * shown.begin}{signs}"


def _show(excerpt: Excerpt, label: str, room: int) -> _Shown:
    """Cut a line to the room that there is, round what is meant."""
    cells = _cells(excerpt.text)
    at = min(excerpt.before, len(cells))
    meant = cells[at : at + excerpt.meant]
    is_behind = at == len(cells)
    if _columns(cells) + is_behind <= room and not excerpt.is_begun and not excerpt.is_cut:
        start, end = 0, len(cells)
    else:
        start, end = _window(cells, at, at + len(meant), room - 2)
    before, behind = excerpt.is_begun or start > 0, excerpt.is_cut or end < len(cells)
    text = "".join(shown for shown, _ in cells[start:end])
    begin = _columns(cells[start:at]) + before
    size = max(_columns(cells[at : min(at + len(meant), end)]), 1)
    return _Shown(
        number=excerpt.line,
        text=f"{_CUT if before else ''}{text}{_CUT if behind else ''}",
        begin=begin,
        end=begin + size,
        label=label,
    )


def _window(cells: Sequence[tuple[str, int]], at: int, after: int, room: int) -> tuple[int, int]:
    """Choose from where to where a line is shown: what is meant, then a third before it."""
    start = end = at
    used = 0
    while end < after and used + cells[end][1] <= room:
        used += cells[end][1]
        end += 1
    before = max((room - used) // 3, room - used - _columns(cells[end:]))
    while start > 0 and cells[start - 1][1] <= before:
        start -= 1
        before -= cells[start][1]
        used += cells[start][1]
    while end < len(cells) and used + cells[end][1] <= room:
        used += cells[end][1]
        end += 1
    return start, end


def _columns(cells: Sequence[tuple[str, int]]) -> int:
    return sum(size for _, size in cells)


def _cells(text: str) -> list[tuple[str, int]]:
    """Return each mark as it is shown, with the columns that it takes."""
    if text.isascii() and text.isprintable():
        return [(mark, 1) for mark in text]
    cells: list[tuple[str, int]] = []
    used = 0
    for place, mark in enumerate(text):
        if mark == "\t":
            shown = " " * (_TAB - used % _TAB)
        else:
            before = text[place - 1] if place else ""
            shown = escape_invisible(before + mark)[len(escape_invisible(before)) :]
        size = columns_of(shown)
        cells.append((shown, size))
        used += size
    return cells
