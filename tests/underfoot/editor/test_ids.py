"""Where ids are given and used."""

import pytest

from tests.underfoot.editor.test_completion import PLAN
from underfoot.editor.ids import at_place, find_given, find_used, list_ids


def _place(text: str, before: str) -> tuple[int, int]:
    lines = text[: text.index(before) + len(before)].split("\n")
    return (len(lines) - 1, len(lines[-1]))


def test_given() -> None:
    given = [(each.kind, each.name, each.room) for each in list_ids(PLAN).given]
    assert ("film", "film-80", None) in given
    assert ("row", "A", "hall") in given
    assert ("strip", "E1", "kitchen") in given
    assert [name for kind, name, _ in given if kind == "strip"] == ["A1", "A3", "B1", "B2", "E1"]
    assert [name for kind, name, _ in given if kind == "circuit"] == ["C1"]
    assert [name for kind, name, _ in given if kind == "room"] == ["hall", "kitchen"]


@pytest.mark.parametrize(
    ("before", "meant"),
    [
        ("A: {film: fi", ("film", "film-80")),
        ("    film-8", ("film", "film-80")),
        ("lengths: [20", ("strip", "A1")),
        ("null, 22", ("strip", "A3")),
        ("lengths: [2000, nul", None),
        ("2250], circuit: C", ("circuit", "C1")),
        ("  ha", ("room", "hall")),
        ("W1: {circuit: C2", ("circuit", "C2")),
        ("outli", None),
    ],
)
def test_at_a_place(before: str, meant: tuple[str, str] | None) -> None:
    assert at_place(PLAN, _place(PLAN, before)) == meant


def test_a_stop_is_a_strip_or_a_row() -> None:
    text = PLAN.replace("[junction-box, ]", "[junction-box, A1.end, A, W1]")
    assert at_place(text, _place(text, "junction-box, A1.e")) == ("stop", "A1")
    assert [each.kind for each in find_given(text, "stop", "A1")] == ["strip"]
    assert [each.kind for each in find_given(text, "stop", "A")] == ["row"]
    assert find_given(text, "stop", "W1") == ()
    assert len(find_used(text, "strip", "A1")) == 1
    assert len(find_used(text, "row", "A")) == 1


def test_used() -> None:
    text = PLAN.replace("item: }", "item: C1}")
    assert len(find_used(text, "circuit", "C1")) == 2
    assert len(find_used(text, "film", "film-80")) == 1
    assert find_used(text, "board", "film-80") == ()
