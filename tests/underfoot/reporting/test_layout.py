"""Lines of text: what is hidden is shown, and everything fits."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.reporting.layout import (
    both_ends,
    columns_of,
    count_of,
    escape_invisible,
    hanging_indent,
    hanging_list,
    wrap,
)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Harbour View, plot 7", "Harbour View, plot 7"),
        ("140 W/m² · 27 °C – Ω", "140 W/m² · 27 °C – Ω"),
        ("\x1b[31mred\x1b[0m", "\\x1b[31mred\\x1b[0m"),
        ("\x9b31m", "\\x9b31m"),
        ("bell\a, back\b, delete\x7f", "bell\\x07, back\\x08, delete\\x7f"),
        ("over\rwritten", "over\\x0dwritten"),
        ("two\nlines\tone", "two lines one"),
        ("safe\u202egnp.exe", "safe\\u202egnp.exe"),
        ("A\u200b1", "A\\u200b1"),
        ("\ufeffA1", "\\ufeffA1"),
        ("tag\U000e0041", "tag\\U000e0041"),
        ("line\u2028end", "line\\u2028end"),
        ("no\u00a0break", "no break"),
        ("", ""),
    ],
)
def test_hidden_marks_are_written_out(text: str, shown: str) -> None:
    assert escape_invisible(text) == shown


def test_width_is_what_a_terminal_uses() -> None:
    assert columns_of("plan") == 4
    assert columns_of("Ω ² °") == 5
    assert columns_of("床暖房") == 6
    assert columns_of("e\u0301") == 1


def test_wrapping_breaks_at_spaces() -> None:
    assert wrap("one two three", 7) == ["one two", "three"]
    assert wrap("one two three", 13) == ["one two three"]
    assert wrap("one two three", 7, 3) == ["one", "two", "three"]
    assert wrap("", 7) == [""]


def test_wide_and_narrow_text_wrap_alike() -> None:
    words = "one 50 mm two abcdefghijklmn three"
    for width in range(3, 30):
        wide = wrap(words.replace("w", "\u0307w"), width)
        assert [line.replace("\u0307", "") for line in wide] == wrap(words, width)


def test_a_word_too_long_is_broken() -> None:
    assert wrap("abcdefghij kl", 4) == ["abcd", "efgh", "ij", "kl"]
    assert wrap("床暖房床暖房", 5) == ["床暖", "房床", "暖房"]


def test_a_number_keeps_its_unit() -> None:
    assert wrap("the least is 50 mm here", 15) == ["the least is", "50 mm here"]
    assert wrap("the least is 50 mm.", 15) == ["the least is", "50 mm."]
    assert wrap("draws 10.65 A; at most", 13) == ["draws", "10.65 A; at", "most"]
    assert wrap("12 W/m² and 3 m² K/W", 11) == ["12 W/m² and", "3 m² K/W"]
    assert wrap("it is 0.15 m2 K/W here", 12) == ["it is", "0.15 m2 K/W", "here"]
    assert wrap("circuit 1 carries", 10) == ["circuit 1", "carries"]


def test_hanging_lines_stand_below_the_first() -> None:
    assert hanging_indent("Why  ", "one two three", 16) == ["Why  one two", "     three"]
    assert hanging_indent("CHECKED  ", "one two three four", 20, 2) == [
        "CHECKED  one two",
        "  three four",
    ]


def test_two_ends_go_below_each_other_where_they_do_not_fit() -> None:
    assert both_ends("left", "right", 12) == ["left   right"]
    assert both_ends("left", "right", 11) == ["left  right"]
    assert both_ends("left", "right", 10) == ["left", "right"]


def test_counting_words() -> None:
    assert [count_of(number, "plan") for number in (0, 1, 2)] == ["0 plans", "1 plan", "2 plans"]


@given(st.text(), st.integers(10, 100))
def test_every_line_fits_and_hides_nothing(text: str, width: int) -> None:
    lines = wrap(text, width)
    assert lines
    for line in lines:
        assert line.isprintable()
        assert columns_of(line) <= width


@given(st.text(), st.integers(10, 100))
def test_nothing_is_lost_by_wrapping(text: str, width: int) -> None:
    assert "".join("".join(wrap(text, width)).split()) == "".join(escape_invisible(text).split())


def test_a_list_is_broken_between_its_parts_alone() -> None:
    parts = ["12 wall-clearance", "2 sensor-depth", "1 no objection with comments"]
    assert hanging_list("BY RULE  ", parts, 38) == [
        "BY RULE  12 wall-clearance,",
        "         2 sensor-depth,",
        "         1 no objection with comments",
    ]
    assert hanging_list("BY RULE  ", parts, 80) == [f"BY RULE  {', '.join(parts)}"]
    # A part that no line can hold is broken; nothing of it is lost.
    narrow = hanging_list("R ", ["one two three four", "five"], 14)
    assert narrow == ["R one two", "  three four,", "  five"]
