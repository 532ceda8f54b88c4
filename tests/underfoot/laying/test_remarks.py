"""Remarks say what lies where, and nothing that the plan says changes with them."""

import pytest

from tests.underfoot.laying.judging import judge
from tests.underfoot.laying.stripped import PLANS, strip
from tests.underfoot.laying.test_lay import bare_room
from underfoot.laying.remarks import Remark, _listed, _Walls, list_remarks, put_remarks
from underfoot.reading.syntax import parse


def remarks(name: str) -> dict[tuple[str, ...], str]:
    """Say of a whole demo plan what would be said if it had been laid just now."""
    whole = judge(parse((PLANS / f"{name}.yaml").read_bytes()).data)
    bare = judge(parse(strip(name).encode()).data)
    return {each.path: each.text for each in list_remarks(bare, whole)}


def test_a_plain_room_is_remarked_on() -> None:
    said = remarks("bedroom")
    room = ("rooms", "bedroom")
    assert said == {
        (*room, "rows", "A"): "7 strips, 18.00 m in all; A1 lies 60 mm from the left wall",
        (
            *room,
            "junction_box",
        ): "on the left wall, taken: where it cannot be there, say where it is and lay again",
        (*room, "sensor"): "below A2, 750 mm within the heated floor",
        (*room, "leads", "W1"): "along the left wall and the lower wall to A7, 4.8 m long",
        ("circuits", "C1"): "18.00 m of film in bedroom: 720 W, 3.13 A",
        ("circuits", "C1", "cable"): "taken: measure it, and write what it is",
    }


def test_an_oblique_wall_is_named_by_its_corners() -> None:
    said = remarks("attic")
    room = ("rooms", "attic")
    assert said[*room, "rows", "A"].endswith(
        "; A1 lies 77 mm from the wall between [1332, 0] and [6068, 1723]"
    )
    lead = "along the wall between [0, 3659] and [1332, 0] to A6, 4.4 m long"
    assert said[*room, "leads", "W1"] == lead


def test_a_way_lies_along_a_wall_within_limits() -> None:
    """No farther off than 150 mm, turned by no more than 1 in 50, no shorter than 300 mm."""
    outline = [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]
    walls = _Walls(judge(bare_room(outline=outline)).outcome.facts.rooms["bedroom"])

    def along(*places: tuple[float, float]) -> list[str]:
        return walls.list_along(places)

    assert along((100, 30), (400, 30)) == ["lower wall"]
    assert along((100, 30), (399, 30)) == []
    assert along((1000, 150), (2000, 150)) == ["lower wall"]
    assert along((1000, 151), (2000, 151)) == []
    assert along((1000, 30), (2000, 49)) == ["lower wall"]
    assert along((1000, 30), (2000, 51)) == []
    # Each once, in the order of the way.
    round_ = [(3970, 2970), (3970, 30), (30, 30), (30, 2970), (3970, 2970), (3970, 30)]
    assert along(*round_) == ["right wall", "lower wall", "left wall", "upper wall"]
    assert [walls.name_near(at) for at in ((2000, 150), (2000, 151), (4000, 1500))] == [
        "lower wall", "", "right wall",
    ]  # fmt: skip
    named = [_listed(round_walls) for round_walls in (["a"], ["a", "b"], ["a", "b", "c"], "abcd")]
    assert named == ["the a", "the a and the b", "the a, the b and the c", "4 walls"]


def test_what_stood_there_is_not_remarked_on() -> None:
    whole = judge(parse((PLANS / "bedroom.yaml").read_bytes()).data)
    assert list_remarks(whole, whole) == []


TEXT = "\ufeffa:\r\n  # mine\r\n  b: {c: 1}\r\n  d:\r\n    e: 2\r\n"


def test_remarks_stand_above_what_they_are_about() -> None:
    remarked = {"a b": "one", "a d e": "two", "a b c": "no", "x y": "no", "a": "first"}
    put = put_remarks(
        TEXT, [Remark(path=tuple(path.split()), text=text) for path, text in remarked.items()]
    )
    assert put == (
        "\ufeff# first\r\na:\r\n  # mine\r\n  # one\r\n  b: {c: 1}\r\n  d:\r\n    # two\r\n"
        "    e: 2\r\n"
    )


@pytest.mark.parametrize("text", ['{"a": {"b": {"c": 1}}}', "a: [", "a: {b: {c: 1}}\n"])
def test_where_no_line_is_free_nothing_is_put(text: str) -> None:
    assert put_remarks(text, [Remark(path=("a", "b"), text="one")]) == text
