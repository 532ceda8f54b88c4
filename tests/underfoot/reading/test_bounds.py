"""How much of a file is read, how many corners a plan may draw, and how a compound unit is cut."""

import os
from fractions import Fraction
from pathlib import Path

import pytest

from underfoot.reading.build import _check_extent
from underfoot.reading.building.points import count_points
from underfoot.reading.building.problem_log import ProblemLog
from underfoot.reading.source_text import MOST_BYTES, locate_end, read_whole
from underfoot.reading.units import UnknownUnitError, size_unit
from underfoot.reading.violation_words import word_violation
from underfoot.reading.violations import Violation

MOST_POINTS = 20_000


@pytest.mark.parametrize(("length", "kept"), [(0, 0), (7, 7), (8, 8), (9, 9), (10, 9), (5000, 9)])
def test_no_more_than_one_byte_over_the_most_is_read(
    length: int, kept: int, tmp_path: Path
) -> None:
    file = tmp_path / "a"
    file.write_bytes(b"x" * length)
    with file.open("rb") as stream:
        assert len(read_whole(stream, 8)) == kept


@pytest.mark.parametrize(("length", "kept"), [(0, 0), (8, 8), (9, 9), (500, 9)])
def test_of_a_pipe_which_says_no_length_as_much_is_read(length: int, kept: int) -> None:
    out, into = os.pipe()
    with os.fdopen(into, "wb") as writing:
        writing.write(b"x" * length)
    with os.fdopen(out, "rb") as stream:
        assert len(read_whole(stream, 8)) == kept


def test_five_million_bytes_are_read() -> None:
    assert MOST_BYTES == 5_000_000


@pytest.mark.parametrize(
    ("text", "place"),
    [("", (1, 1)), ("ab", (1, 3)), ("a\n", (2, 1)), ("a\r\nbc", (2, 3)), ("a\r\rb", (3, 2))],
)
def test_where_a_text_ends(text: str, place: tuple[int, int]) -> None:
    assert locate_end(text) == place


@pytest.mark.parametrize("over", [0, 1])
def test_corners_and_bends_of_the_whole_plan_are_counted(over: int) -> None:
    half = MOST_POINTS // 2
    data = {
        "rooms": {
            "note": "none here",
            "a": {"outline": [[0, 0]] * half, "height": 2400},
            "b": {"joints": {"J1": [[0, 0]] * (half - 3 + over)},
                  "coverings": [{"over": [[0, 0], [1, 1], "x"]}, {}],
                  "leads": {"W1": {"route": ["junction-box", [1, 2], "A1"]}}},
        }
    }  # fmt: skip
    assert list(count_points(data)) == [
        ("rooms.a.outline", half),
        ("rooms.b.joints.J1", half - 3 + over),
        ("rooms.b.coverings.0.over", 2),
        ("rooms.b.leads.W1.route", 1),
    ]
    log = ProblemLog(positions={})
    assert _check_extent(log, data) == (not over)
    assert [(one.path, one.message) for one in log.problems] == over * [
        (
            "rooms.b.leads.W1.route",
            "with these, the plan has more than 20,000 corners and bends",
        )
    ]


@pytest.mark.parametrize(
    ("text", "factor", "kind"),
    [
        ("W/m2 K", 1, (0, 1, -3, 0, 1, 0)),
        ("W/(m2 K)", 1, (0, 1, -3, 0, -1, 0)),
        ("(m2 K)/W", 1, (0, -1, 3, 0, 1, 0)),
        ("m2 K/W", 1, (0, -1, 3, 0, 1, 0)),
        ("(kW)/(m)", 1000, (1, 1, -3, 0, 0, 0)),
        ("m km/s h", 3_600_000, (2, 0, 0, 0, 0, 0)),
        ("1/h", Fraction(1, 3600), (0, 0, -1, 0, 0, 0)),
        ("mm^2", Fraction(1, 10**6), (2, 0, 0, 0, 0, 0)),
    ],
)
def test_what_stands_above_and_below_the_slash(
    text: str, factor: Fraction | int, kind: tuple[int, ...]
) -> None:
    size = size_unit(text)
    assert (size.factor, size.kind) == (factor, kind)


@pytest.mark.parametrize(
    "text", ["W/(m2", "W/m2)", "(m K", "m K)", "/h", "W//m", "W/", "m4", "m-4"]
)
def test_half_a_bracket_and_nothing_at_a_slash_are_no_unit(text: str) -> None:
    with pytest.raises(UnknownUnitError):
        size_unit(text)


def test_the_trades_way_to_write_it_is_taken_where_it_is_wanted() -> None:
    wanted = (0, 1, -3, 0, -1, 0)
    assert size_unit("W/m2 K", wanted).kind == wanted
    assert size_unit("W/m2 K", (1, 0, 0, 0, 0, 0)).kind == (0, 1, -3, 0, 1, 0)
    assert size_unit("W/m2/K", wanted).kind == wanted


def said(schema: dict[str, object], value: object, keyword: str) -> str:
    return word_violation(
        Violation(parts=("key",), keyword=keyword, value=value, schema=schema, owner={}), {}
    )


@pytest.mark.parametrize(
    ("least", "most", "value", "words"),
    [
        (2, 2, [], "this list is empty; a point has 2"),
        (2, 2, [1], "this list has one entry; a point has 2"),
        (2, 2, [1, 2, 3], "this list has 3 entries; a point has 2"),
        (2, None, [1], "this list has one entry; a point has 2 or more"),
        (2, 3, [1], "this list has one entry; a point has 2 or more"),
    ],
)
def test_words_for_how_many_there_are(
    least: int, most: int | None, value: list[int], words: str
) -> None:
    schema = {"minItems": least, "maxItems": most, "title": "a point"}
    assert said(schema, value, "minItems") == f"`key`: {words}"


@pytest.mark.parametrize(
    ("choices", "value", "words"),
    [
        (["x"], "y", "`y` is not known here: write `x`"),
        (["on site", "drawn"], "onsite",
         "`onsite` is not known here; did you mean `on site`? (write `on site` or `drawn`)"),
        (["x", "y"], 7, "`7` is not known here: write `x` or `y`"),
        ([1, 3], "4", "`4` is not known here: write `1` or `3`"),
    ],
)  # fmt: skip
def test_words_for_a_choice(choices: list[object], value: object, words: str) -> None:
    assert said({"enum": choices}, value, "enum") == f"`key`: {words}"
