"""Schemes: what is read, and what is told of one that is not sound."""

from datetime import date
from fractions import Fraction

import pytest

from tests.underfoot.marking.demo import demo_scheme, scheme_from
from underfoot.marking.goals import find_unknown_rooms
from underfoot.marking.scheme import read_scheme
from underfoot_rules import STANDARD

LEAST = """scheme_format: 1
title: A brief
brief: brief.yaml
pass_mark: 2
topics:
  strips:
    rules:
      wall-clearance: {marks: 3, of: 7}
"""


def problems(text: str) -> list[str]:
    reading = read_scheme(text.encode(), "scheme.yaml", [STANDARD])
    assert reading.scheme is None
    return [f"{one.line}: {one.message}" for one in reading.problems]


def test_what_a_scheme_says_by_itself() -> None:
    scheme = scheme_from(LEAST)
    assert (scheme.marks, scheme.pass_mark, scheme.round_to) == (3, 2, Fraction(1, 100))
    assert scheme.counts == ("error", "warning")
    assert scheme.attempt == "last"
    assert not scheme.changes_fail
    assert scheme.late is None
    assert scheme.topics[0].rules[0].award == "share"
    assert scheme.unmarked_fail
    assert scheme.goals == ()


def test_what_a_goal_says_by_itself() -> None:
    goals = "goals:\n  - {what: sensor}\n  - {what: insulation, gates: [strips]}\n"
    scheme = scheme_from(LEAST + goals + "unmarked_errors: flag\n")
    sensor, insulation = scheme.goals
    assert (sensor.gates, sensor.fails, sensor.least) == (None, True, 1)
    assert (insulation.gates, insulation.fails, insulation.least) == (("strips",), False, 90)
    assert not scheme.unmarked_fail


def test_a_goal_in_a_room_that_the_brief_does_not_have_is_told() -> None:
    goals = "goals:\n  - {what: sensor}\n  - {what: sensor, room: bedrom}\n"
    scheme = scheme_from(LEAST + goals)
    (found,) = find_unknown_rooms(scheme.all_goals, {"bedroom", "hall"})
    assert found.line == 11
    assert found.message == "`room`: the brief has no room `bedrom`; did you mean `bedroom`?"


def test_the_demo_scheme() -> None:
    scheme = demo_scheme()
    assert {topic.name: float(topic.marks) for topic in scheme.topics} == {
        "strips": 20, "heat": 6, "sensor and thermostat": 9, "leads": 9, "circuit": 9,
        "insulation and membrane": 7, "method": 10,
    }  # fmt: skip
    assert scheme.late is not None
    assert (scheme.late.due, scheme.late.per_day, scheme.late.most) == (date(2026, 10, 2), 2, 6)
    assert scheme.settings.limits["thermostat-height"]["within"].value == 300


@pytest.mark.parametrize(
    ("was", "becomes", "said"),
    [
        ("wall-clearance:", "wall-clearence:",
         "8: there is no rule `wall-clearence`; did you mean `wall-clearance`?"),
        ("pass_mark: 2", "pass_mark: 4",
         "4: `pass_mark`: 4 is more than the 3 marks that the topics add up to"),
        ("marks: 3", "marks: -3", "8: `marks`: `-3` is too small: write more than 0"),
        ("marks: 3", "marks: 10001", "8: `marks`: `10001` is too large: write 10000 or less"),
        ("title: A brief", "title: A brief\nfails: [cold-area]",
         "3: `cold-area` only remarks, and finds nothing that could fail anybody"),
        ("title: A brief", "title: A brief\ngoals: [{what: heated share}]",
         "3: `heated share` needs `least`, `most` or both"),
        ("title: A brief", "title: A brief\ngoals: [{room: hall}]",
         "3: a goal needs `what`, or in its place `rule`: one of the two"),
        ("title: A brief", "title: A brief\ngoals: [{what: sensor, rule: rcd}]",
         "3: a goal needs `what`, or in its place `rule`: one of the two"),
        ("title: A brief", "title: A brief\ngoals: [{rule: rdc}]",
         "3: there is no rule `rdc`; did you mean `rcd`?"),
        ("title: A brief", "title: A brief\ngoals: [{rule: rcd, least: 2}]",
         "3: a rule is kept or not: leave out `least`"),
        ("title: A brief", "title: A brief\ngoals: [{what: sensor, least: 2}]",
         "3: `sensor` is there or not: leave out `least`"),
        ("title: A brief", "title: A brief\ngoals: [{what: sensor, gates: [strip]}]",
         "3: `strip` is neither a topic nor a rule with marks; did you mean `strips`?"),
        ("title: A brief", "title: A brief\ngoals: [{what: strips, least: 1.5}]",
         "3: `least`: `1.5` is no whole number: write for example `1`"),
        ("title: A brief", "title: A brief\ngoals: [{what: strips, least: 5, most: 4}]",
         "3: `least` is more than `most`"),
        ("title: A brief", "title: A brief\nfails: [rdc]",
         "3: there is no rule `rdc`; did you mean `rcd`?"),
        ("title: A brief", "title: A brief\nmust_show: [rcd]",
         "3: `rcd` has no marks in any topic, so that nothing can be shown"),
        ("title: A brief", 'title: A brief\nlate: {due: "2026-02-30", per_day: 1}',
         "3: there is no day `2026-02-30`"),
        ("title: A brief", "title: A brief\nlimits: {wall-clearance: {minimum: 5 A, because: x}}",
         None),
        ("    rules:", "    asked: [{what: output, marks: 1, most: 800 W}]\n    rules:",
         "7: `output` needs `least` too: nothing at all would keep to `most`"),
        ("    rules:", "    asked: [{what: output, marks: 1, least: 800}]\n    rules:",
         "7: `least`: `800` has no unit: write `800 W`"),
        ("    rules:", "    asked: [{what: method statement, marks: 1}]\n    rules:",
         "7: `method statement` needs `of`: how many steps the brief asks for, such as `of: 11`"),
        ("scheme_format: 1", "plan_format: 1", None),
        ("title: A brief", "title: A brief\ntitle: Another", None),
    ],
)  # fmt: skip
def test_what_is_not_sound_is_told_with_its_line(was: str, becomes: str, said: str | None) -> None:
    assert was in LEAST
    found = problems(LEAST.replace(was, becomes))
    assert found
    if said is not None:
        assert found == [said]


def test_a_rule_has_marks_once() -> None:
    twice = LEAST + "  more:\n    rules:\n      wall-clearance: {marks: 1, of: 1}\n"
    assert problems(twice) == ["11: `wall-clearance` already has marks under `strips`: keep one"]
