"""What became of the things of a plan. Figures are worked out by hand beside each case."""

import json
from collections.abc import Sequence
from typing import Any

import pytest
import yaml

from tests.underfoot_rules.plans import BASE, change_plan
from underfoot.checking.facts import Facts
from underfoot.comparing.change import Change, compare_areas, compare_places
from underfoot.comparing.plan_changes import list_changes
from underfoot.reading import read_plan

Data = dict[str, Any]
ROOM: Data = BASE["rooms"]["room"]

Told = set[tuple[str, str, str, str]]


def facts_of(data: Data) -> Facts:
    reading = read_plan(json.dumps(data).encode(), path="plan.yaml")  # JSON is YAML, too
    assert reading.plan is not None, reading.problems
    return Facts(reading.plan, {})


def compared(old: Data, new: Data) -> Sequence[Change]:
    """List what became of the base plan's things between two changes to it, which name paths."""
    return list_changes(facts_of(change_plan(BASE, old)), facts_of(change_plan(BASE, new)))


def changed(change: Data) -> Told:
    return {(one.kind, one.item, one.what, one.text) for one in compared({}, change)}


def test_a_plan_is_not_changed_against_itself() -> None:
    assert changed({}) == set()


def test_the_same_values_in_other_words_are_no_change() -> None:
    outline = ROOM["outline"]
    assert changed({"rooms.room.outline": [[f"{x / 1000} m", f"{y / 1000} m"]
                                           for x, y in outline]}) == set()  # fmt: skip
    assert changed({"rooms.room.outline": [*outline[2:], *outline[:2]][::-1]}) == set()


def test_values_are_told_with_their_units() -> None:
    was = facts_of(dict(BASE)).plan.circuits["C1"].breaker_a
    assert was is not None
    assert changed({"circuits.C1.breaker": "6 A"}) == {
        ("circuit", "C1", "changed", f"breaker: 6 A, was {was:g} A")
    }


def test_a_link_from_box_to_box_is_told() -> None:
    def linked(size: str) -> Data:
        link = {"from": "room", "to": "other", "size": size, "length": "6 m"}
        other = {key: value for key, value in ROOM.items() if key not in ("rows", "leads")}
        return {"rooms.other": other, "circuits.C1.links": [link]}

    assert ("circuit", "C1", "changed", "links 1: given, was not given") in (
        changed(linked("2.5 mm2"))
    )
    told = [each.text for each in compared(linked("2.5 mm2"), linked("1.5 mm2"))]
    assert told == ["links 1 size: 1.5 mm², was 2.5 mm²"]


def test_another_sensor_that_a_thermostat_reads() -> None:
    (change,) = changed({"rooms.room.thermostat.reads": ["room"]})
    assert change[:3] == ("thermostat", "", "changed")
    assert change[3].startswith("reads: ")


def test_a_sensor_that_moved_says_how_far() -> None:
    x, y = ROOM["sensor"]["at"]
    found = compared({}, {"rooms.room.sensor.at": [x - 30, y + 40]})
    (one,) = [change for change in found if change.kind == "sensor"]
    # A triangle of 30, 40 and 50 mm.
    assert (one.what, one.text) == ("moved", "moved 30 mm to the left (-x) and 40 mm up (+y)")
    assert one.by == pytest.approx(50.0)


def test_a_fixture_that_is_added_and_one_taken_away() -> None:
    chest = {"at": [0, 0], "size": [300, 200], "kind": "on legs", "clear": 100}
    added = {"rooms.room.fixtures.chest": chest}
    assert changed(added) == {("fixture", "chest", "added", "added")}
    (gone,) = compared(added, {})
    assert (gone.kind, gone.item, gone.what) == ("fixture", "chest", "taken away")


def test_openings_are_told_like_all_that_is_drawn() -> None:
    door = {"kind": "door", "from": [600, 0], "to": [1400, 0], "hinge": "from", "opens": "inwards"}
    with_door = {"rooms.room.openings.door": door}
    assert changed(with_door) == {("opening", "door", "added", "added")}
    other = {**door, "from": [700, 0], "to": [1500, 0], "hinge": "to"}
    found = compared(with_door, {"rooms.room.openings.door": other})
    assert {(one.item, one.what, one.text) for one in found} == {
        ("door", "moved", "moved 100 mm to the right (+x)"),
        ("door", "changed", "hinge: to, was from"),
    }


STRIPS = """
plan_format: 1
materials: {films: {f: {width: 500, output: 80 W/m2, voltage: 230 V}}}
supply: {voltage: 230 V}
rooms:
  hall:
    outline: [[0, 0], [4000, 0], [4000, 4000], [0, 4000]]
    elements:
      A: {film: f, at: [100, 100], along: y, length: 2000}
"""


def strip(**values: Any) -> list[tuple[str, str, str, float | None]]:
    data = yaml.safe_load(STRIPS)
    data["rooms"]["hall"]["elements"]["A"].update(values)
    found = list_changes(facts_of(yaml.safe_load(STRIPS)), facts_of(data))
    return [(one.item, one.what, one.text, one.by) for one in found]


def test_a_strip_longer_at_its_end() -> None:
    assert strip(length=2250) == [
        ("A", "grown", "250 mm longer at its end: 2250 mm, was 2000 mm", 250.0)
    ]


def test_a_strip_longer_at_its_start_has_not_moved() -> None:
    # From y 100 to 2100, then from y 0 to 2100: the far end is where it was.
    assert strip(at=[100, 0], length=2100) == [
        ("A", "grown", "100 mm longer at its start: 2100 mm, was 2000 mm", 100.0)
    ]


def test_a_strip_moved_and_shorter() -> None:
    assert strip(at=[150, 100], length=1750) == [
        ("A", "moved", "moved 50 mm to the right (+x)", 50.0),
        ("A", "shortened", "250 mm shorter at its end: 1750 mm, was 2000 mm", 250.0),
    ]


def test_a_strip_turned() -> None:
    # Its middle goes from (350, 1100) to (1100, 350).
    ((item, what, text, by),) = strip(along="x")
    assert (item, what) == ("A", "redrawn")
    assert text == "turned and moved 750 mm to the right (+x) and 750 mm down (-y)"
    assert by == pytest.approx(750 * 2**0.5)


def test_a_strip_under_another_id_is_renamed_not_exchanged() -> None:
    data = yaml.safe_load(STRIPS)
    elements = data["rooms"]["hall"]["elements"]
    elements["B"] = elements.pop("A")
    found = list_changes(facts_of(yaml.safe_load(STRIPS)), facts_of(data))
    assert [(one.item, one.what, one.text) for one in found] == [
        ("B", "renamed", "was A, at the same place")
    ]


def test_another_circuit_or_connected_end_is_told() -> None:
    assert [text for _, _, text, _ in strip(circuit="C9", connected="end")] == [
        "circuit: C9, was not given", "connected: end, was start",
    ]  # fmt: skip


def test_courses_are_told_by_how_they_are_laid_and_pieces_by_the_piece() -> None:
    def with_layers(layers: list[Any]) -> Facts:
        data = yaml.safe_load(STRIPS)
        data["materials"]["boards"] = {"b": {"size": [1200, 600], "thickness": 6}}
        data["rooms"]["hall"]["insulation"] = {"board": "b", "layers": layers}
        return facts_of(data)

    courses = with_layers([{"courses": "x", "stagger": 600}])
    others = with_layers([{"courses": "y", "stagger": 300}])
    pieces = with_layers([{"pieces": {"B1": {"at": [0, 0], "along": "x"}}}])
    moved = with_layers([{"pieces": {"B1": {"at": [0, 20], "along": "x"}}}])
    assert [one.text for one in list_changes(courses, others)] == [
        "along: y, was x", "stagger: 300 mm, was 600 mm",
    ]  # fmt: skip
    assert [one.text for one in list_changes(courses, pieces)] == [
        "laid piece by piece now, was laid in courses"
    ]
    assert [(one.item, one.text) for one in list_changes(pieces, moved)] == [
        ("B1", "moved 20 mm up (+y)")
    ]


def test_rooms_come_and_go() -> None:
    second = {"rooms.larder.outline": [[0, 0], [900, 0], [900, 900], [0, 900]]}
    (came,) = compared({}, second)
    (went,) = compared(second, {})
    assert (came.room, came.what) == ("larder", "added")
    assert (went.room, went.what) == ("larder", "taken away")


def test_an_upright_outline_tells_its_sizes() -> None:
    square = [(0, 0), (1000, 0), (1000, 1000), (0, 1000)]
    wider = [(0, 0), (1200, 0), (1200, 1000), (0, 1000)]
    assert compare_areas(square, wider) == [
        ("grown", "1000 × 1000 mm then, 1200 × 1000 mm now", 200.0)
    ]
    aside = [(x + 5, y) for x, y in square]
    assert compare_areas(square, aside) == [("moved", "moved 5 mm to the right (+x)", 5.0)]


def test_a_slanted_outline_tells_how_far_it_went() -> None:
    corner = [(0, 0), (1000, 0), (0, 1000)]
    cut = [(0, 0), (1000, 0), (0, 900)]
    ((what, text, by),) = compare_areas(corner, cut)
    assert what == "redrawn"
    # Half of 1 m² and of 0.9 m²; the corner at (0, 1000) is the farthest, 100 mm away.
    assert "0.5 m² then, 0.45 m² now" in text
    assert by == pytest.approx(100.0)


def test_a_corner_more_on_the_same_way_is_no_change() -> None:
    assert compare_places([(0, 0), (100, 0)], [(0, 0), (50, 0), (100, 0)]) == []


def test_a_way_drawn_elsewhere_says_how_far_and_how_much_longer() -> None:
    [found] = compare_places([(0, 0), (1000, 0)], [(0, 0), (500, 300), (1000, 0)])
    # Two sides of 500 by 300 mm: 2 x 583.1 mm, 166.2 mm longer; the bend is 300 mm off the line.
    assert found[1] == "redrawn, up to 300 mm from where it was; 166.2 mm longer"


def test_readings_of_single_strips_are_told_in_ohms() -> None:
    def tested(**strips: str) -> Data:
        return {"tests": [{"circuit": "C1", "stage": "laid", "strips": strips}]}

    told = [
        each.text for each in compared(tested(A1="275 ohm"), tested(A1="281 ohm", A2="0.2 kohm"))
    ]
    assert told == ["strips A1: 281 Ω, was 275 Ω", "strips A2: 200 Ω, was not given"]


def test_steps_and_lists_of_numbers_are_told_in_their_units() -> None:
    before = {
        "method_statement": {"bare_conductor": 6, "busbars": "down"},
        "materials.films.film-80.tolerance": [-10, 5],
        "materials.boards.b.size": [1200, 600],
    }
    after = {
        "method_statement": {"bare_conductor": "7 mm", "busbars": "up"},
        "materials.films.film-80.tolerance": [-5, "5 %"],
        "materials.boards.b.size": [1200, "50 cm"],
    }
    assert [(each.kind, each.text) for each in compared(before, after)] == [
        ("kind of film", "tolerance: -5 % to 5 %, was -10 % to 5 %"),
        ("kind of board", "size: 1200 mm × 500 mm, was 1200 mm × 600 mm"),
        ("method statement", "busbars: up, was down"),
        ("method statement", "bare conductor: 7 mm, was 6 mm"),
    ]
