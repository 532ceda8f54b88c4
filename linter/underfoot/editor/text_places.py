"""Places in a text: lines and columns as we count them, and as the editor does.

We count characters from 0. An editor counts its own units in a line: those of UTF-16 unless it
was agreed otherwise, in which a character beyond the basic plane counts as two.
"""

import re
from collections.abc import Sequence

from msgspec import Struct

Place = tuple[int, int]

# What ends a line for an editor; what else YAML would take for a line's end, no plan may hold.
_LINE_END = re.compile(r"\r\n|\r|\n")
# A key, a word or a figure as far as something is to be marked.
_WORD = re.compile(r"\"(?:[^\"\\]|\\.)*\"|'(?:[^']|'')*'|[^\s,:\[\]{}#]+")


class Span(Struct, frozen=True):
    """A part of the text, from one place to just before another."""

    start: Place
    end: Place

    def holds(self, place: Place) -> bool:
        """Whether a place is in it, its very end included: there a cursor still stands at it."""
        return self.start <= place <= self.end


def split_lines(text: str) -> list[str]:
    """The lines as an editor counts them, without their ends."""
    return _LINE_END.split(text)


def span_at(lines: Sequence[str], line: int, column: int) -> Span:
    """What is to be marked at a line and column, counted from 1: the word there, or a character."""
    row = min(max(line, 1), len(lines)) - 1
    words = lines[row]
    start = min(max(column, 1) - 1, len(words))
    found = _WORD.match(words, start)
    end = found.end() if found is not None else min(start + 1, len(words))
    if end == start and start:
        start -= 1  # at the end of a line the last character is marked: something must be seen
    return Span((row, start), (row, end))


def to_units(lines: Sequence[str], place: Place, encoding: str) -> Place:
    """Line and unit of a place, as the editor counts them."""
    row, column = place
    if row >= len(lines):
        return (row, 0)
    return (row, _units(lines[row][:column], encoding))


def from_units(lines: Sequence[str], line: int, unit: int, encoding: str) -> Place:
    """The place that the editor means; what lies beyond a line's or the text's end is its end."""
    if line >= len(lines):
        return (max(len(lines) - 1, 0), len(lines[-1]) if lines else 0)
    words = lines[line]
    if encoding == "utf-32" or words.isascii():
        return (line, min(unit, len(words)))
    counted = 0
    for column, character in enumerate(words):
        counted += _units(character, encoding)
        if counted > unit:  # also amid a character: its start is meant
            return (line, column)
    return (line, len(words))


def _units(text: str, encoding: str) -> int:
    if text.isascii() or encoding == "utf-32":
        return len(text)
    if encoding == "utf-8":
        return len(text.encode("utf-8", "surrogatepass"))
    return len(text) + sum(character > "\uffff" for character in text)


def place_of(text: str, offset: int) -> Place:
    """The place before which so many characters stand."""
    row = start = 0
    for ending in _LINE_END.finditer(text, 0, offset):
        row, start = row + 1, ending.end()
    return (row, offset - start)
