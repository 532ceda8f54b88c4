"""Lines and columns as we count them, and as an editor does."""

import pytest

from tests.underfoot.editor.offsets import offset_of
from underfoot.editor.text_places import (
    Span,
    from_units,
    place_of,
    span_at,
    split_lines,
    to_units,
)

# é takes two bytes, 𝄞 four: two units of UTF-16.
LINES = ["aé𝄞b", "plain", ""]


@pytest.mark.parametrize(
    ("encoding", "units"),
    [("utf-16", [0, 1, 2, 4, 5]), ("utf-8", [0, 1, 3, 7, 8]), ("utf-32", [0, 1, 2, 3, 4])],
)
def test_units(encoding: str, units: list[int]) -> None:
    assert [to_units(LINES, (0, column), encoding)[1] for column in range(5)] == units
    assert [from_units(LINES, 0, unit, encoding) for unit in units] == [(0, c) for c in range(5)]


def test_amid_a_character() -> None:
    assert from_units(LINES, 0, 3, "utf-16") == (0, 2)
    assert from_units(LINES, 0, 5, "utf-8") == (0, 2)


def test_beyond_the_end() -> None:
    assert from_units(LINES, 0, 99, "utf-16") == (0, 4)
    assert from_units(LINES, 1, 99, "utf-16") == (1, 5)
    assert from_units(LINES, 99, 3, "utf-16") == (2, 0)
    assert from_units([], 0, 0, "utf-16") == (0, 0)
    assert to_units(LINES, (9, 4), "utf-16") == (9, 0)


def test_lines_end_as_in_an_editor() -> None:
    assert split_lines("a\r\nb\rc\nd\x0ce\u2028f") == ["a", "b", "c", "d\x0ce\u2028f"]


@pytest.mark.parametrize(
    ("line", "column", "marked"),
    [
        (1, 3, "at"),
        (1, 7, "["),
        (1, 8, "60"),
        (2, 1, '"a key, quoted"'),
        (9, 9, "x"),
        (2, 99, "'"),
    ],
)
def test_what_is_marked(line: int, column: int, marked: str) -> None:
    lines = ["  at: [60, 70]", "\"a key, quoted\": 'x'", "x"]
    span = span_at(lines, line, column)
    assert span.start[0] == span.end[0]
    assert lines[span.start[0]][span.start[1] : span.end[1]] == marked


def test_nothing_to_mark() -> None:
    assert span_at([""], 1, 1) == Span((0, 0), (0, 0))


def test_offsets() -> None:
    text = "ab\r\ncd\ref\n"
    places = [(0, 0), (0, 2), (1, 0), (1, 2), (2, 1), (3, 0)]
    assert [offset_of(text, place) for place in places] == [0, 2, 4, 6, 8, 10]
    assert [place_of(text, offset) for offset in (0, 2, 4, 6, 8, 10)] == places
    assert offset_of(text, (9, 9)) == len(text)
