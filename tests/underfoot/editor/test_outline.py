"""What stands where in a text, read as YAML or not yet."""

import random
from pathlib import Path

import pytest

from tests.there import there
from underfoot.editor.outline import LONGEST_TEXT, Outline, outline, where
from underfoot.reading.paths import join_path
from underfoot.reading.syntax import parse

PLANS = sorted((Path(__file__).parents[3] / "plans").rglob("*.yaml"))


def _cursor(text: str) -> tuple[str, tuple[int, int]]:
    """A text without its mark `|`, and where that stood."""
    before, after = text.split("|", 1)
    lines = before.split("\n")
    return before + after, (len(lines) - 1, len(lines[-1]))


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.stem)
def test_is_what_the_reader_reads(plan: Path) -> None:
    text = plan.read_text("utf-8")
    keys = {
        join_path(each.path): (each.key.start[0] + 1, each.key.start[1] + 1)
        for each in outline(text).entries
        if each.key is not None
    }
    items = {join_path(each.path) for each in outline(text).entries if each.key is None}
    read = {path: at for path, at in parse(text.encode()).positions.items() if path}
    assert keys.keys() | items == read.keys()
    assert keys == {path: at for path, at in read.items() if path not in items}


@pytest.mark.parametrize(
    ("text", "path", "at", "word"),
    [
        ("|", "", "key", ""),
        ("mat|", "", "key", "mat"),
        ("rooms:\n  hall:\n    |", "rooms.hall", "key", ""),
        ("rooms:\n  hall:\n    se|\n    use: hall", "rooms.hall", "key", "se"),
        ("rooms:\n  hall:\n    use: hall\n  |", "rooms", "key", ""),
        ("rooms:\n  hall:\n    covering: oa|", "rooms.hall.covering", "value", "oa"),
        ("supply: {system: |", "supply.system", "value", ""),
        ("supply: {system: mains, |}", "supply", "key", ""),
        ("supply: {system: mains, vol|: 3 V}", "supply", "key", "vol"),
        ("x: {route: [junction-box, A1|", "x.route.1", "value", "A1"),
        ("x: {route: [junction-box, |, A2]}", "x.route.1", "value", ""),
        ("x: {at: [[1, 2], [3, |", "x.at.1.1", "value", ""),
        ("x: {\n  at: [1, 2],\n  |", "x", "key", ""),
        ("waivers:\n  - ru|", "waivers.0", "key", "ru"),
        ("waivers:\n  - rule: a\n  - rule: b\n    |", "waivers.1", "key", ""),
        ("waivers:\n- rule: a\n  |", "waivers.0", "key", ""),
        ("a: {b: on legs|", "a.b", "value", "on legs"),
        ("a: {b: 'on, legs', |", "a", "key", ""),
        # A bracket that is never closed ends where a line stands no deeper.
        ("a: {b: [1, 2\nc: |", "c", "value", ""),
        ("rooms:\n  h:\n    x: {a: [\n    |", "rooms.h", "key", ""),
        ('a: "not closed\nb: |', "b", "value", ""),
    ],
)
def test_where_a_cursor_stands(text: str, path: str, at: str, word: str) -> None:
    whole, place = _cursor(text)
    here = there(where(whole, place))
    assert (".".join(here.path), here.at, here.word) == (path, at, word)
    assert here.start == (place[0], place[1] - len(word))


@pytest.mark.parametrize("text", ["# remark |", "a: 1 # rem|", "a: {b: 1, # re|", "a: |\n  b|"])
def test_nowhere(text: str) -> None:
    before, _, after = text.rpartition("|")
    lines = before.split("\n")
    assert where(before + after, (len(lines) - 1, len(lines[-1]))) is None


def test_what_belongs_to_an_entry() -> None:
    text = "rooms:\n  hall:\n    use: hall\n    rows:\n      A: {at: [1, 2]}\n\ncircuits:\n  C1:\n"
    found = outline(text)
    hall = there(found.find(("rooms", "hall")))
    assert (hall.whole.start, hall.whole.end) == ((1, 2), (4, 21))
    row = there(found.find(("rooms", "hall", "rows", "A")))
    assert row.value is not None
    assert (row.value.start, row.value.end) == ((4, 9), (4, 21))
    assert [each.path[-1] for each in found.below(("rooms", "hall"))] == ["use", "rows"]
    at = there(found.at((4, 16)))
    assert at.path == ("rooms", "hall", "rows", "A", "at", "0")


def test_too_long() -> None:
    text = "a: 1\n" + "#" * LONGEST_TEXT
    assert outline(text) == Outline(entries=(), lines=tuple(text.split("\n")))
    assert where(text, (0, 4)) is None


def test_any_text_is_gone_through() -> None:
    chance = random.Random(7)
    plans = [plan.read_text("utf-8") for plan in PLANS[:8]]
    for _ in range(150):
        text = chance.choice(plans)
        cut = chance.randrange(len(text))
        text = text[:cut] + chance.choice(["", "{", "[", "'", '"', "}", "]", ": ", "- ", "\t", "|"])
        text += chance.choice(["", text[cut + chance.randrange(9) :]])
        lines = text.split("\n")
        row = chance.randrange(len(lines))
        where(text, (row, chance.randrange(len(lines[row]) + 1)))
        for each in outline(text).entries:
            assert each.whole.start <= each.whole.end
            assert each.key is None or each.whole.start <= each.key.start


def test_deep_nesting_is_no_trouble() -> None:
    outline("[" * 5000 + "{" * 5000)
    outline("\n".join(" " * depth + "a:" for depth in range(500)))
