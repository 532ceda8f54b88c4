"""Zones of baths and showers, where several meet or the thermostat hangs elsewhere."""

import math
from typing import Any

import pytest

from tests.underfoot_rules.plans import check, measured, of_rule, tally_of
from underfoot.checking.report import ReportedFinding

BATH = {"at": [3700, 0], "size": [300, 1000], "kind": "bath"}
HALL = {"outline": [[0, 0], [2000, 0], [2000, 1200], [0, 1200]]}


def zones(fixtures: dict[str, Any], **room: Any) -> tuple[ReportedFinding, ...]:
    return of_rule(check({"rooms.room": {"fixtures": fixtures, **room}}), "bath-zone")


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
    assert measured(finding) == 500


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


def behind(wall: dict[str, Any] | None, x: float = 3580) -> tuple[ReportedFinding, ...]:
    """Find what is said of a thermostat at [x, 0], before a wall whose other side is the bath's."""
    fixtures: dict[str, Any] = {"bath": {"at": [3800, 0], "size": [200, 600], "kind": "bath"}}
    if wall is not None:
        fixtures["wall"] = {"kind": "structure", **wall}
    return zones(fixtures, thermostat={"at": [x, 0]})


def test_a_zone_ends_at_a_wall_but_reaches_round_its_end() -> None:
    assert [f.measured.value for f in behind(None) if f.measured] == [220]
    # To the wall's near corner [3600, 300], over its end, and square on to the bath's side.
    (short,) = behind({"at": [3600, 0], "size": [100, 300]})
    assert measured(short) == pytest.approx(math.hypot(20, 300) + 100 + 100)
    assert not behind({"at": [3600, 0], "size": [100, 500]})  # hypot(20, 500) + 200 = 700.4 mm
    assert not behind({"at": [3600, 0], "size": [100, 3000]})  # from wall to wall


@pytest.mark.parametrize(("y", "found"), [(-5, False), (0.9, False), (2, True)])
def test_a_wall_need_not_meet_the_room_to_a_millimetre(y: float, found: bool) -> None:
    assert bool(behind({"at": [3600, y], "size": [100, 3010]})) == found


@pytest.mark.parametrize(("height", "found"), [(2250, False), (2249, True), (1000, True)])
def test_a_zone_goes_over_a_low_wall(height: float, found: bool) -> None:
    assert bool(behind({"at": [3600, 0], "size": [100, 3000], "height": height})) == found


def test_a_cupboard_is_no_wall() -> None:
    fixtures = {
        "bath": {"at": [3800, 0], "size": [200, 600], "kind": "bath"},
        "cupboard": {"at": [3600, 0], "size": [100, 3000], "kind": "floor-mounted"},
    }
    assert [f.items[0] for f in zones(fixtures, thermostat={"at": [3580, 0]})] == ["thermostat"]


def test_a_zone_ends_at_a_corner_of_the_room() -> None:
    # The bath stands round the corner [3000, 1000] of an L-shaped room.
    outline = [[0, 0], [4000, 0], [4000, 1000], [3000, 1000], [3000, 3000], [0, 3000]]
    bath = {"bath": {"at": [2700, 1300], "size": [300, 1700], "kind": "bath"}}
    # hypot(200, 0) along the wall to the corner, then 300 mm up: 500 mm; straight it is 360.6 mm.
    (near,) = zones(bath, outline=outline, thermostat={"at": [3200, 1000]})
    assert measured(near) == pytest.approx(500)
    assert near.shape is not None
    assert not zones(bath, outline=outline, thermostat={"at": [3301, 1000]})  # straight 425 mm


def test_a_thermostat_drawn_inside_a_wall_is_not_excused_by_it() -> None:
    assert behind({"at": [3500, 0], "size": [200, 3000]}, x=3580)


SAFE = {"kind": "safety isolating transformer", "standard": "IEC 61558-2-6", "rating": "2 kVA"}


def on_selv(
    volts: float, height: float | None, fixtures: dict[str, Any], source: Any = SAFE
) -> list[tuple[str, ...]]:
    room = {
        "fixtures": fixtures,
        "thermostat": {"height": height},
        "junction_box": {"height": height},
    }
    report = check(
        {
            "materials.films.film-80": {"voltage": f"{volts} V", "output": "5 W/m"},
            "supply": {"voltage": f"{volts} V", "system": "SELV", "source": source},
            "rooms.room": room,
        }
    )
    return [f.items for f in of_rule(report, "bath-zone")]


IN_ZONE_2 = {"bath": {"at": [0, 1800], "size": [50, 1000], "kind": "bath"}}
IN_ZONE_1 = {
    "shower": {"at": [0, 1800], "size": [50, 900], "kind": "open shower", "outlet": [0, 2000]}
}
ON_IT = {"bath": {"at": [0, 1400], "size": [50, 1000], "kind": "bath"}}


@pytest.mark.parametrize(
    ("volts", "height", "fixtures", "found"),
    [
        (48, None, IN_ZONE_2, 0),
        (48, 1400, IN_ZONE_1, 2),
        (12, 1400, IN_ZONE_1, 0),
        (12.1, 1400, IN_ZONE_1, 2),
        (12, 100, IN_ZONE_1, 0),
        (12, 99, IN_ZONE_1, 2),
        (12, None, IN_ZONE_1, 2),
        (12, 1400, ON_IT, 0),
        (24, 1400, ON_IT, 2),
    ],
)
def test_what_selv_may_do_in_zones(
    volts: float, height: float | None, fixtures: dict[str, Any], found: int
) -> None:
    assert len(on_selv(volts, height, fixtures)) == found


@pytest.mark.parametrize("source", [None, {"kind": "autotransformer"}])
def test_selv_by_name_is_excused_from_nothing(source: Any) -> None:
    assert len(on_selv(12, 1400, IN_ZONE_2, source)) == 2


def test_a_bathroom_with_neither_bath_nor_shower_is_not_called_in_order() -> None:
    basin = {"basin": {"at": [3500, 0], "size": [500, 400], "kind": "basin"}}
    report = check({"rooms.room": {"use": "bathroom", "fixtures": basin}})
    row = tally_of(report, "bath-zone")
    assert (row.checked, row.undecided) == (2, 2)
    assert "no bath or shower is drawn" in (row.why or "")
    high = {"use": "bathroom", "thermostat": {"height": 2250}, "junction_box": {"height": 2250}}
    row = tally_of(check({"rooms.room": high}), "bath-zone")
    assert (row.checked, row.undecided) == (2, 0)  # out of every zone, wherever the bath is


def test_a_room_with_a_bath_is_a_bathroom_for_every_rule() -> None:
    # Film of class II in a "living" room: no grid, unless a bath is drawn.
    bath = {"bath": {"at": [3700, 0], "size": [300, 1000], "kind": "bath"}}
    for fixtures, found in ((None, 0), (bath, 1)):
        report = check({"rooms.room": {"use": "living", "fixtures": fixtures}})
        assert len(of_rule(report, "protective-grid")) == found
    # 33 degC are allowed on its floor, where the covering bears it.
    change = {
        "materials": {"coverings": {"oak-14": {"warmest_surface": "35 degC"}}},
        "rooms": {"room": {"fixtures": bath, "thermostat": {"floor_limit": "33 degC"}}},
    }
    assert not of_rule(check(change), "floor-limit")
    change["rooms"]["room"]["fixtures"] = {}
    assert of_rule(check(change), "floor-limit")
