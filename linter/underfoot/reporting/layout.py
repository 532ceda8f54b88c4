"""Lines of text for a terminal: nothing hidden in them, wrapped, indented."""

import re
from collections.abc import Sequence
from unicodedata import combining, east_asian_width

from underfoot.reading.hidden import escape_invisible

__all__ = [
    "WIDTH",
    "both_ends",
    "columns_of",
    "count_of",
    "cut_short",
    "escape_invisible",
    "hanging_indent",
    "hanging_list",
    "join_units",
    "wrap",
]

WIDTH = 80
_NARROWEST = 10

# A number and its unit, the unit of a few letters only, stay on one line.
_NUMBER_AND_UNIT = re.compile(
    r"(?<=[0-9]) (?=[A-Za-zµ°Ω%]{1,4}[2²]?(?:[/ .,;:)]|$))|(?<=m[2²]) (?=K/W)"
)
_JOINED = "\x00"
# Latin, Greek and Cyrillic, and the marks of the trade: one column each. What else there is, is
# measured mark by mark.
_NARROW = re.compile("[ -~\u00a1-\u02ff\u0370-\u0482\u2010-\u2027]*")


def _is_narrow(text: str) -> bool:
    return text.isascii() or _NARROW.fullmatch(text) is not None


def columns_of(text: str) -> int:
    """Return how many columns a terminal uses for printable `text`."""
    if _is_narrow(text):
        return len(text)
    return sum(
        0 if combining(mark) else 2 if east_asian_width(mark) in "WF" else 1 for mark in text
    )


def wrap(text: str, width: int, first_width: int | None = None) -> list[str]:
    """Break `text` at spaces into lines of at most `width` columns; at least one line.

    The first line may have a width of its own. A word too long for a line is broken where it must
    be. A number keeps its unit.
    """
    text = escape_invisible(text)
    room = width if first_width is None else first_width
    if columns_of(text) <= room:
        return [text]
    glued = " ".join(join_units(text, _JOINED).split())
    lines = (_wrap_narrow if _is_narrow(text) else _wrap_wide)(glued, width, room)
    return [line.replace(_JOINED, " ") for line in lines]


def join_units(text: str, joint: str = "\u00a0") -> str:
    """Put `joint`, if not given a space that does not break, between numbers and their units."""
    return _NUMBER_AND_UNIT.sub(joint, text)


def _wrap_narrow(text: str, width: int, room: int) -> list[str]:
    lines: list[str] = []
    while len(text) > room:
        end = text.rfind(" ", 0, room + 1)
        lines.append(text[: end if end > 0 else room])
        text = text[end + 1 if end > 0 else room :]
        room = width
    return [*lines, text]


def _wrap_wide(text: str, width: int, room: int) -> list[str]:
    lines: list[str] = []
    line, used = "", 0
    for word in text.split(" "):
        size = columns_of(word)
        if used and used + 1 + size > room:
            lines.append(line)
            line, used, room = "", 0, width
        while size > room:
            lines.append(_head(word, room))
            word = word[len(lines[-1]) :]
            size, room = columns_of(word), width
        line, used = (f"{line} {word}", used + 1 + size) if used else (word, size)
    return [*lines, line] if line or not lines else lines


def _head(word: str, width: int) -> str:
    used = 0
    for place, mark in enumerate(word):
        used += columns_of(mark)
        if used > width:
            return word[: max(place, 1)]
    return word


def hanging_indent(first: str, text: str, width: int, indent: int | None = None) -> list[str]:
    """Wrap `text` after `first`; its further lines start below its own first one.

    `first` is printed as it stands; `indent` says where the further lines start instead.
    """
    begin = columns_of(first)
    margin = begin if indent is None else indent
    lines = wrap(text, max(width - margin, _NARROWEST), max(width - begin, _NARROWEST))
    blank = " " * margin
    return [first + lines[0], *(blank + line for line in lines[1:])]


def hanging_list(first: str, parts: Sequence[str], width: int) -> list[str]:
    """Write `parts` after `first` with commas between; only between them is a line broken."""
    margin = columns_of(first)
    lines = [first]
    is_begun = False
    for place, part in enumerate(parts, 1):
        piece = f"{escape_invisible(part)}," if place < len(parts) else escape_invisible(part)
        if is_begun and columns_of(lines[-1]) + 1 + columns_of(piece) > width:
            lines.append(" " * margin)
            is_begun = False
        if is_begun:
            lines[-1] += f" {piece}"
        else:
            # What is longer than a line has to be broken.
            lines[-1:] = hanging_indent(lines[-1], piece, width, margin)
        is_begun = True
    return lines


def cut_short(text: str, width: int) -> str:
    """Cut `text` to `width` columns, at a space where one is near; `…` tells that there is more."""
    if columns_of(text) <= width:
        return text
    head = _head(text, max(width - 1, 1))
    whole, space, _ = head.rpartition(" ")
    if space and text[len(head)] != " " and 3 * len(whole) > 2 * len(head):
        head = whole
    return head.rstrip(" ,;:.–") + "…"


def both_ends(left: str, right: str, width: int) -> list[str]:
    """Put `left` and `right` at the ends of one line, or below each other where it is too short."""
    left, right = escape_invisible(left).strip(), escape_invisible(right)
    gap = width - columns_of(left) - columns_of(right)
    if gap >= 2:
        return [f"{left}{' ' * gap}{right}"]
    return [*wrap(left, width), right]


def count_of(number: int, thing: str, things: str | None = None) -> str:
    """Write ``1 plan``, ``2 plans``."""
    return f"{number} {thing if number == 1 else things or thing + 's'}"
