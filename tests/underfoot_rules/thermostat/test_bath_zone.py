"""Zones of baths and showers, where several meet or the thermostat hangs elsewhere."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule, tally_of
from underfoot.checking.report import ReportedFinding

BATH = {"at": [3700, 0], "size": [300, 1000], "kind": "bath"}
HALL = {"outline": [[0, 0], [2000, 0], [2000, 1200], [0, 1200]]}


def zones(fixtures: dict[str, Any], **room: Any) -> tuple[ReportedFinding, ...]:
    return of_rule(check({"rooms": {"room": {"fixtures": fixtures, **room}}}), "bath-zone")


def test_no_bath_nothing_to_judge() -> None:
    row = tally_of(check({}), "bath-zone")
    assert (row.checked, row.undecided) == (0, 0)


def test_box_and_thermostat_are_judged_apart() -> None:
    bath = {"bath": {"at": [0, 1800], "size": [50, 1000], "kind": "bath"}}
    found = zones(bath)  # both at [0, 1500], 300 mm away
    assert [(f.severity, f.items) for f in found] == [
        ("error", ("thermostat", "bath")),
        ("warning", ("junction-box", "bath")),
    ]
    assert all(f.measured is not None and f.measured.value == 300 for f in found)


@pytest.mark.parametrize(
    ("y", "severity"), [(1500, "error"), (1500.0005, "error"), (1510, "warning")]
)
def test_a_box_on_the_edge_of_the_bath_is_in_zone_1(y: float, severity: str) -> None:
    bath = {"bath": {"at": [0, y], "size": [50, 1000], "kind": "bath"}}
    (found,) = [f for f in zones(bath) if f.items[0] == "junction-box"]
    assert found.severity == severity


def test_the_worst_zone_speaks_though_another_bath_is_nearer() -> None:
    # 700 mm from the bath, out of its zone 2, but 1000 mm from an open shower's outlet.
    fixtures = {
        "bath": {"at": [0, 2200], "size": [50, 300], "kind": "bath"},
        "shower": {"at": [0, 300], "size": [50, 200], "kind": "open shower", "outlet": [0, 500]},
    }
    found = zones(fixtures)
    assert [(f.severity, f.items) for f in found] == [
        ("error", ("junction-box", "shower")),
        ("error", ("thermostat", "shower")),
    ]


def test_an_open_shower_without_an_outlet_counts_from_its_edge() -> None:
    shower = {"shower": {"at": [0, 2700], "size": [50, 100], "kind": "open shower"}}
    assert not zones(shower)  # 1200 mm from [0, 1500]
    shower["shower"]["at"] = [0, 2699]
    assert {f.items[0] for f in zones(shower)} == {"junction-box", "thermostat"}


def test_a_box_without_a_height_counts_as_within_reach() -> None:
    bath = {"bath": {"at": [0, 1800], "size": [50, 1000], "kind": "bath"}}
    found = zones(bath, junction_box={"height": None}, thermostat={"height": 2400})
    assert [f.items[0] for f in found] == ["junction-box"]
    assert found[0].details == (("height", "not given: below 2250 mm is taken"),)


def test_a_thermostat_is_judged_where_it_hangs() -> None:
    bath = {"bath": {"at": [0, 0], "size": [500, 500], "kind": "bath"}}
    change = {
        "rooms": {
            "hall": {**HALL, "fixtures": bath},
            "room": {"thermostat": {"room": "hall", "at": [1000, 0]}},
        }
    }
    (finding,) = of_rule(check(change), "bath-zone")
    assert (finding.room, finding.items) == ("hall", ("thermostat", "bath"))
    assert finding.path == "rooms.room.thermostat"
    assert finding.measured is not None
    assert finding.measured.value == 500


def test_a_thermostat_somewhere_in_a_room_with_a_bath_cannot_be_judged() -> None:
    hall = {**HALL, "fixtures": {"bath": {"at": [0, 0], "size": [500, 500], "kind": "bath"}}}
    report = check({"rooms": {"hall": hall, "room": {"thermostat": {"room": "hall", "at": None}}}})
    row = tally_of(report, "bath-zone")
    assert (row.may_be_errors, row.why) == (1, "where the thermostat hangs is not given")


@pytest.mark.parametrize("x", [200, 1300, 3100.5, 3333.3])
def test_the_place_offered_is_on_a_wall_and_outside_all_zones(x: float) -> None:
    fixtures = {
        "bath": {"at": [3700, 0], "size": [300, 1000], "kind": "bath"},
        "shower": {"at": [0, 0], "size": [40, 40], "kind": "open shower", "outlet": [777, 0]},
    }
    found = zones(fixtures, thermostat={"at": [x, 0]})
    (finding,) = [f for f in found if f.items[0] == "thermostat"]
    place = finding.remedy.partition("[")[2].partition("]")[0]
    px, py = map(float, place.split(", "))
    assert px in (0, 4000) or py in (0, 3000)
    assert math.dist((px, py), (777, 0)) >= 1200
    assert math.hypot(max(3700 - px, 0), max(py - 1000, 0)) >= 600
    assert math.dist((px, py), (x, 0)) < 1000  # there are places as near
