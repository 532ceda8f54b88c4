"""Exact limits of where the sensor lies: below a strip, deep enough, away from heat, uncovered."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, measured, of_rule, tally_of

SENSOR_RULES = (
    "sensor-under-element", "sensor-depth", "sensor-channel", "sensor-cable-reach",
    "sensor-near-lead",
)  # fmt: skip


def sensor(**change: Any) -> dict[str, Any]:
    """Change the sensor of the base plan, whose strips cover x 60 to 3560 and y 60 to 2810."""
    return {"rooms": {"room": {"sensor": {"cable": "20 m", **change}}}}


@pytest.mark.parametrize(
    ("x", "away"),
    [(60, None), (59.9995, None), (59.99, 0.01), (40, 20), (560, None), (3560, None), (3600, 40)],
)
def test_on_the_edge_of_a_strip_is_below_it(x: float, away: float | None) -> None:
    # What lies within 0.001 mm of an edge lies on it.
    found = of_rule(check(sensor(at=[x, 1500])), "sensor-under-element")
    if away is None:
        assert not found
    else:
        (finding,) = found
        assert measured(finding) == pytest.approx(away)
        assert finding.path == "rooms.room.sensor"


@pytest.mark.parametrize(
    ("x", "severity"),
    [(559, "warning"), (559.999, "warning"), (559.9999995, None), (560, None), (561, None)],
)
def test_depth_at_its_limit(x: float, severity: str | None) -> None:
    # Common practice: 500 mm from the edge of the heated floor, which is at x = 60.
    found = of_rule(check(sensor(at=[x, 1500])), "sensor-depth")
    assert [finding.severity for finding in found] == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("spacing", "depth"),
    [(0, None), (10, None), (10.001, 250)],
)
def test_gaps_of_up_to_10_mm_are_no_edge(spacing: float, depth: float | None) -> None:
    # In the middle of the third strip a closed floor is over 500 mm deep; if the gaps beside it
    # count, the sensor lies 250 mm from the strip's own sides.
    strips = {
        "film": "film-80", "at": [60, 60], "along": "y", "length": 2750, "count": 7,
        "spacing": spacing, "circuit": "C1",
    }  # fmt: skip
    x = 60 + 2 * (500 + spacing) + 250
    report = check(
        {"rooms.room": {"rows": {"A": {**strips, "lengths": None}}, "sensor": {"at": [x, 1500]}}}
    )
    found = of_rule(report, "sensor-depth")
    if depth is None:
        assert not found
    else:
        (finding,) = found
        assert measured(finding) == pytest.approx(depth)


def narrow(width: float, at: float) -> dict[str, Any]:
    """Lay one wide strip, 60 mm from the left and the lower wall, with the sensor in it."""
    return {
        "materials": {"films": {"film-80": {"width": width}}},
        "rooms": {
            "room": {
                "rows": {"A": {"lengths": [2750]}},
                "sensor": {"at": [60 + at, 1500], "cable": "20 m"},
            }
        },
    }


@pytest.mark.parametrize(
    ("width", "at", "severity"),
    [
        (1000, 500, None),
        (1000, 499, "warning"),  # the middle line is 500 mm deep
        (999, 499.5, "note"),
        (999, 300, "note"),
    ],
)
def test_a_floor_too_narrow_gives_a_note(width: float, at: float, severity: str | None) -> None:
    found = of_rule(check(narrow(width, at)), "sensor-depth")
    assert [finding.severity for finding in found] == ([severity] if severity else [])


def test_the_note_names_the_deepest_point() -> None:
    # The strip lies from x = 60 to 960, so the middle is at 510, 450 mm from both sides; along it
    # the middle of the ridge lies at y = 60 + 2750 / 2 = 1435.
    (finding,) = of_rule(check(narrow(900, 100)), "sensor-depth")
    assert finding.severity == "note"
    assert "450 mm" in finding.message
    assert "[510, 1435]" in finding.remedy


def test_without_a_sensor_every_other_rule_is_silent() -> None:
    report = check({"rooms.room.sensor": None})
    assert of_rule(report, "sensor-missing")
    for rule in SENSOR_RULES:
        tally = tally_of(report, rule)
        assert (tally.checked, tally.found, tally.undecided) == (1, 0, 1)
        assert tally.why == "there is no floor sensor (sensor-missing)"


@pytest.mark.parametrize(
    ("y", "away"), [(1000, None), (999.9999995, None), (1000.001, 299.999), (1250, 50), (1400, 0)]
)
def test_heat_source_at_its_limit(y: float, away: float | None) -> None:
    # Own default: 300 mm. The stove's lower edge lies at y = 1300.
    stove = {"at": [600, 1300], "size": [400, 400], "kind": "heat source"}
    change = sensor(at=[800, y])
    change["rooms"]["room"]["fixtures"] = {"stove": stove}
    found = of_rule(check(change), "sensor-near-heat")
    if away is None:
        assert not found
    else:
        (finding,) = found
        assert finding.items == ("stove",)
        assert finding.path == "rooms.room.fixtures.stove"
        assert measured(finding) == pytest.approx(away)


@pytest.mark.parametrize(
    ("fixture", "verdict"),
    [
        ({"kind": "floor-mounted"}, "found"),
        ({"kind": "heat source"}, "found"),
        ({"kind": "on legs", "clear": 59.999}, "found"),
        ({"kind": "on legs", "clear": 60}, "clear"),
        ({"kind": "on legs"}, "undecided"),
    ],
)
def test_covered_by_what(fixture: dict[str, Any], verdict: str) -> None:
    change = sensor(at=[810, 1500])
    change["rooms"]["room"]["fixtures"] = {
        "thing": {"at": [700, 1400], "size": [300, 300], **fixture}
    }
    report = check(change)
    tally = tally_of(report, "sensor-covered")
    assert (tally.found, tally.undecided) == (verdict == "found", verdict == "undecided")


def test_beside_a_fixture_is_not_under_it() -> None:
    change = sensor(at=[700, 1500])
    change["rooms"]["room"]["fixtures"] = {
        "chest": {"at": [700, 1400], "size": [300, 300], "kind": "floor-mounted"}
    }
    assert not of_rule(check(change), "sensor-covered")


def test_the_place_offered_breaks_no_sensor_rule() -> None:
    # A stove, a chest on low legs and a cupboard stand where the sensor would else be sent.
    fixtures = {
        "stove": {"at": [3600, 1200], "size": [400, 600], "kind": "heat source"},
        "chest": {"at": [2600, 1000], "size": [500, 900], "kind": "on legs", "clear": 20},
    }
    change = sensor(at=[3500, 1500])
    change["rooms"]["room"]["fixtures"] = fixtures
    (finding,) = of_rule(check(change), "sensor-near-heat")
    place = finding.remedy.split("[")[1].split("]")[0].split(", ")
    change["rooms"]["room"]["sensor"]["at"] = [float(value) for value in place]
    report = check(change)
    for rule in ("sensor-under-element", "sensor-depth", "sensor-near-heat", "sensor-covered"):
        assert not of_rule(report, rule), rule


def test_the_deepest_point_may_lie_in_a_gap_but_no_sensor_is_sent_there() -> None:
    # Two strips of 400 mm, 6 mm apart: 806 mm together, deepest at x = 60 + 403, in the gap. The
    # nearest place below a strip is the edge at 460, 400 mm deep.
    change = narrow(400, 100)
    change["rooms"]["room"]["rows"]["A"] = {
        "lengths": None, "length": 2750, "count": 2, "spacing": 6
    }  # fmt: skip
    (finding,) = of_rule(check(change), "sensor-depth")
    assert finding.severity == "note"
    assert "no place here is deeper than 403 mm" in finding.message
    place = finding.remedy.split("[")[1].split("]")[0].split(", ")
    assert float(place[0]) in (460, 466)
    change["rooms"]["room"]["sensor"]["at"] = [float(value) for value in place]
    assert not of_rule(check(change), "sensor-under-element")
