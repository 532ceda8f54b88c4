"""Lettering: widths, line breaks, escapes."""

import pytest

from underfoot.drawing.lettering import MEDIUM, SMALL, shorten, width_of, wrap
from underfoot.drawing.measures import turn_upright
from underfoot.drawing.svg import clean, escape, letters, number, tag


def test_small_lettering_has_capitals_of_the_standard() -> None:
    # ISO 3098-1: lettering is 2.5 mm high, 3.5 or 5; capitals of the lowest family are 0.688 of
    # the font size.
    assert [size * 0.688 for size in (SMALL, MEDIUM)] == pytest.approx([2.5, 3.5], 0.01)


def test_width_is_the_sum_of_advances() -> None:
    # Digits of the family are 556 thousandths wide, a space 278.
    assert width_of("12 3", 10.0) == pytest.approx((3 * 556 + 278) / 100)
    assert width_of("", 10.0) == 0


def test_bold_lettering_is_wider() -> None:
    # "A" is 667 thousandths in the regular face, 722 in the bold one.
    assert width_of("A", 10.0) == pytest.approx(6.67)
    assert width_of("A", 10.0, bold=True) == pytest.approx(7.22)


def test_a_text_keeps_its_length_in_any_font() -> None:
    drawn = letters("12 3", (0, 0), 10.0)
    assert 'textLength="19.46"' in drawn
    # What is only estimated is not forced, and a single letter needs no length.
    assert "textLength" not in letters("床の", (0, 0), 10.0)
    assert "textLength" not in letters("1", (0, 0), 10.0)


def test_wide_and_combining_letters_are_counted_so() -> None:
    assert width_of("床", 10.0) == pytest.approx(10.0)
    assert width_of("e\u0301", 10.0) == width_of("e", 10.0)


def test_lines_are_no_wider_than_asked() -> None:
    text = "The strip A1 lies 42 mm from the wall; the least allowed is 50 mm " + "x" * 90
    lines = wrap(text, 30.0, SMALL)
    assert all(width_of(line, SMALL) <= 30.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_the_last_line_says_that_something_is_missing() -> None:
    lines = wrap("one two three four five six seven eight nine ten", 20.0, SMALL, most=2)
    assert len(lines) == 2
    assert lines[-1].endswith("…")
    assert width_of(lines[-1], SMALL) <= 20.0


def test_shortening_leaves_what_fits() -> None:
    assert shorten("A1", 20.0, SMALL) == "A1"
    assert shorten("A" * 50, 10.0, SMALL).endswith("…")


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.0, "1"), (0.1234, "0.123"), (-0.0001, "0"), (12.5, "12.5"), (0.0, "0"), (100.0, "100")],
)
def test_numbers_have_at_most_three_decimals(value: float, text: str) -> None:
    assert number(value) == text


def test_text_is_escaped_and_what_xml_cannot_hold_is_written_out() -> None:
    assert escape("<a b=\"c\" d='e'>&") == "&lt;a b=&quot;c&quot; d=&#39;e&#39;&gt;&amp;"
    assert clean("a\x00b\x1bc\ufffed") == r"a\x00b\x1bc\ufffed"
    assert clean("one\n two\t three") == "one two three"


def test_marks_that_turn_the_reading_direction_are_written_out() -> None:
    assert clean("abc\u202edef\u2066g") == r"abc\u202edef\u2066g"


def test_attributes_are_escaped() -> None:
    assert tag("g", data_item='"><x>') == '<g data-item="&quot;&gt;&lt;x&gt;"/>'
    assert letters("<b>", (0, 0), 3).endswith("&lt;b&gt;</text>")


@pytest.mark.parametrize("turn", [step * 7.5 for step in range(-96, 97)])
def test_a_figure_is_read_from_below_or_from_the_right(turn: float) -> None:
    """Common practice on drawings: none is upside down, and each lies along its line."""
    turned = turn_upright(turn)
    assert -90.0 <= turned < 90.0
    assert (turned - turn) % 180.0 == 0.0
