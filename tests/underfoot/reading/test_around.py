"""Text with slips in it, parsed without what is no YAML."""

import random
from pathlib import Path

import pytest

from tests.there import there
from underfoot.reading.around import LONGEST_TEXT, parse_around
from underfoot.reading.syntax import parse

PLANS = sorted((Path(__file__).parents[3] / "plans").glob("*.yaml"))


@pytest.mark.parametrize(
    ("text", "blank", "data"),
    [
        ("a: 1\nb: {c: 1\nd: 2\n", ("b",), {"a": 1, "d": 2}),
        ("a: 1\nb\nd: 2\n", ("b",), {"a": 1, "d": 2}),
        ('a: 1\nb: "x\nd: 2\n', ("b",), {"a": 1, "d": 2}),
        ("a:\n  b: [1\n  c: 2\nd: 3\n", ("a.b",), {"a": {"c": 2}, "d": 3}),
        ("a:\n  b:\n    c: {x: [1}\n    d: 4\n", ("a.b.c",), {"a": {"b": {"d": 4}}}),
        # A word that is no entry yet, and what belongs to the entry above it.
        ("a:\n  b:\n    c: 1\n  sens\n  d: 4\n", ("a.sens",), {"a": {"b": {"c": 1}, "d": 4}}),
        # An item of a list loses what is wrong in it, and keeps its place.
        ("a:\n  - b: 1\n    c: {\n  - b: 2\n", ("a.0.c",), {"a": [{"b": 1}, {"b": 2}]}),
        ("a:\n  - {b: 1\n  - b: 2\n", ("a.0",), {"a": [{"b": 2}]}),
        (
            "a:\n  - b: 1\n  - b: 2\n  - c: {\nd: 4\n",
            ("a.2",),
            {"a": [{"b": 1}, {"b": 2}], "d": 4},
        ),
        # A line that is whole is kept; what cannot follow it is not.
        ("a: 1\n   x: 2\nb: 3\n", ("a.x",), {"a": 1, "b": 3}),
        # As deep as what holds its block, and yet amid the block.
        (
            "a:\n  b:\n    c: 1\n  X d: 2\n    e: 3\n",
            ("a.X d.e", "a.b", "a.b.c"),
            {"a": {"b": {"c": 1}, "X d": 2}},
        ),
        # Two slips within one pair of braces.
        (
            "a: 1\nb: {c: 1,\n  d: [2,\n  e: 3,\n  f: 'x,\n  g: 5}\nh: 6\n",
            None,
            {"a": 1, "b": {"c": 1, "e": 3, "g": 5}, "h": 6},
        ),
        # Less deep than its block, or by a tab: such a line belongs to nothing.
        ("a:\n    b: 1\n  c: 2\n    d: 3\n", ("a.c", "a.b"), {"a": {"b": 1, "d": 3}}),
        ("a:\n  b: 1\n\tc: 2\n  d: 3\n", None, {"a": {"b": 1, "d": 3}}),
        (
            "a: 1\nb: {c: 1,\n  d: [2,\n  e: 3}\nf: 4\n",
            ("b.d", "b", "a"),
            {"a": 1, "b": {"c": 1, "e": 3}, "f": 4},
        ),
    ],
)
def test_the_smallest_part_is_left_out(
    text: str, blank: tuple[str, ...] | None, data: object
) -> None:
    assert parse(text.encode()).data is None
    found = there(parse_around(text.encode()))
    assert found.parsed.data == data
    assert blank is None or found.blank == blank


def test_all_else_keeps_its_place() -> None:
    text = "a:\n  b: [1\n  c: 2\nd: 3\n"
    found = there(parse_around(text.encode()))
    assert found.parsed.positions["a.c"] == (3, 3)
    assert found.parsed.positions["d"] == (4, 1)


def test_a_line_that_goes_on_with_another_stands_for_all_of_it() -> None:
    text = "films:\n  f:\n    {width: 1,\n     boar: ds: 2,\n     lies: 3}\n  g: {}\n"
    found = there(parse_around(text.encode()))
    assert "films.f" in found.blank


def test_nothing_to_be_had() -> None:
    assert parse_around(b"{") is None
    assert parse_around(b"a: [\n" + b"#" * LONGEST_TEXT) is None


def test_a_byte_that_is_no_text_costs_its_line() -> None:
    found = there(parse_around(b"a: 1\nb: \xff\nc: 2\n"))
    assert found.parsed.data == {"a": 1, "c": 2}
    assert found.blank == ("b",)


def test_of_any_damage_most_is_kept() -> None:
    chance = random.Random(5)
    lost = broken = 0
    for _ in range(60):
        text = chance.choice(PLANS).read_text("utf-8")
        if text.lstrip().startswith(("{", "#")) and "\nplan_format" not in text:
            continue
        at = chance.randrange(len(text))
        damaged = text[:at] + chance.choice(["{", "[", '"', "}", ": "]) + text[at:]
        if parse(damaged.encode()).data is not None:
            continue
        broken += 1
        found = parse_around(damaged.encode())
        assert found is not None, (text[:60], at)
        whole = len(parse(text.encode()).positions)
        lost += len(found.parsed.positions) < 0.8 * whole
    assert broken > 25
    assert lost < broken / 10
