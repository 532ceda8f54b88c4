"""Exact limits of the sensor's way: its channel, its cable, and the leads beside it."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, limit_of, measured, of_rule, tally_of


def sensor(**change: Any) -> dict[str, Any]:
    """Change the sensor of the base plan: from the box at (0, 1500) to (810, 1500)."""
    return {"rooms": {"room": {"sensor": change}}}


@pytest.mark.parametrize(
    ("width", "depth", "widest"),
    [(13, 7, None), (12.999, 7, 12.999), (13, 6.999, 6.999), (5, 5, 5), (12.9999995, 7, None)],
)
def test_channel_at_its_limits(width: float, depth: float, widest: float | None) -> None:
    # Common practice: 13 x 7 mm. Where both fall short the width, which is looked at first, speaks.
    channel = {"width": width, "depth": depth}
    conduit = {"width": 5, "depth": 5}
    found = of_rule(check(sensor(channel=channel, conduit=conduit)), "sensor-channel")
    if widest is None:
        assert not found
    else:
        (finding,) = found
        assert finding.severity == "warning"
        assert measured(finding) == pytest.approx(widest)


def test_the_conduit_asks_for_a_larger_channel() -> None:
    (finding,) = of_rule(
        check(sensor(channel={"width": 20, "depth": 9}, conduit={"width": 20, "depth": 9.5})),
        "sensor-channel",
    )
    assert measured(finding) == 9
    assert limit_of(finding).least == 9.5


@pytest.mark.parametrize(
    ("depth", "cut_into", "severity"),
    [
        (10, "insulation", None),
        (10.001, "insulation", "note"),
        (10.001, None, "note"),
        (20, "subfloor", None),
    ],
)
def test_channel_deeper_than_the_board(
    depth: float, cut_into: str | None, severity: str | None
) -> None:
    # The base plan has one layer of 10 mm.
    found = of_rule(check(sensor(channel={"depth": depth, "cut_into": cut_into})), "sensor-channel")
    assert [finding.severity for finding in found] == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("layers", "is_deep"),
    [
        ([{"courses": "x", "stagger": 600}, {"courses": "y", "stagger": 600}], False),
        # The second layer lies in the far half of the room only; the channel runs in the near one.
        (
            [
                {"courses": "x", "stagger": 600},
                {"courses": "x", "over": [[2000, 0], [4000, 0], [4000, 3000], [2000, 3000]]},
            ],
            True,
        ),
        (
            [
                {"courses": "x", "stagger": 600},
                {"courses": "x", "over": [[0, 1000], [2000, 1000], [2000, 2000], [0, 2000]]},
            ],
            False,
        ),
    ],
)
def test_layers_below_the_channel(layers: list[dict[str, Any]], is_deep: bool) -> None:
    change = sensor(channel={"depth": 15})
    change["rooms"]["room"]["insulation"] = {"layers": layers}
    assert len(of_rule(check(change), "sensor-channel")) == is_deep


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"channel": None}, "the sensor's channel is not given"),
        ({"conduit": None}, "the sensor's conduit is not given"),
        ({"channel": {"depth": None}}, "the depth of the sensor's channel is not given"),
        (
            {"conduit": {"depth": None}, "channel": {"width": None}},
            "the width of the sensor's channel and the depth of the sensor's conduit are not given",
        ),
    ],
)
def test_channel_that_cannot_be_judged(change: dict[str, Any], why: str) -> None:
    tally = tally_of(check(sensor(**change)), "sensor-channel")
    assert (tally.found, tally.undecided, tally.why) == (0, 1, why)


def test_a_channel_too_narrow_is_found_though_its_depth_is_not_given() -> None:
    assert of_rule(check(sensor(channel={"width": 9, "depth": None})), "sensor-channel")


@pytest.mark.parametrize(
    ("cable", "is_found"),
    [("2.21 m", False), ("2.2099 m", True), (2210.0005, False), ("2 m", True)],
)
def test_cable_reach_at_its_limit(cable: str | float, is_found: bool) -> None:
    # 400 + 410 mm of route and 1400 mm up to the thermostat above the box: 2.21 m.
    found = of_rule(check(sensor(cable=cable)), "sensor-cable-reach")
    assert [measured(finding) for finding in found] == [pytest.approx(2.21)] * is_found


def test_the_cable_goes_across_to_the_thermostat() -> None:
    # The thermostat hangs 1200 mm beside the box: 2.21 + 1.2 = 3.41 m.
    change = sensor(cable="3 m")
    change["rooms"]["room"]["thermostat"] = {"at": [0, 2700]}
    (finding,) = of_rule(check(change), "sensor-cable-reach")
    assert measured(finding) == pytest.approx(3.41)


@pytest.mark.parametrize(
    ("room", "why"),
    [
        ({"sensor": {"cable": None}}, "the length of the sensor's cable is not given"),
        ({"thermostat": {"height": None}}, "the height of the thermostat is not given"),
        ({"thermostat": None}, "there is no thermostat"),
        ({"sensor": {"route": None}}, "the route of the sensor is not given"),
    ],
)
def test_cable_reach_that_cannot_be_judged(room: dict[str, Any], why: str) -> None:
    tally = tally_of(check({"rooms.room": room}), "sensor-cable-reach")
    assert (tally.found, tally.undecided, tally.why) == (0, 1, why)


def test_a_thermostat_in_another_room_leaves_the_reach_undecided() -> None:
    # What is drawn needs 0.81 m of route and 1.4 m of rise, 2.21 m; the way between the rooms is
    # not drawn, so more than that is not judged, and less is too little in any case.
    hall = {"use": "hall", "outline": [[0, 0], [1000, 0], [1000, 1000], [0, 1000]]}
    away = {"thermostat": {"room": "hall", "at": [0, 500]}}
    for cable, found in (("2.22 m", 0), ("2.2 m", 1)):
        change = {"rooms": {"room": {**away, "sensor": {"cable": cable}}, "hall": hall}}
        tally = tally_of(check(change), "sensor-cable-reach")
        assert (tally.checked, tally.found, tally.undecided) == (1, found, 1 - found)
        assert tally.may_be_errors == 0
    (finding,) = of_rule(check(change), "sensor-cable-reach")
    assert measured(finding) == pytest.approx(2.21)
    assert "the way to the other room" in finding.message


def beside(away: float, length: float) -> dict[str, Any]:
    """Run the sensor along a lead: both go up from the box, the lead along the wall at x = 20.

    The lead goes up to y = 1500 + 300 + length and back; the conduit follows at x = 20 + away,
    the first 300 mm of its way aside, and ends level with the lead.
    """
    top = 1500 + length + 300 - (20 + away)
    return {
        "rooms": {
            "room": {
                "sensor": {
                    "at": [20 + away, top],
                    "route": ["junction-box", [20 + away, 1500]],
                    "cable": "20 m",
                },
                "leads": {"W1": {"route": ["junction-box", [20, 1500], [20, 2990]]}},
            }
        }
    }


@pytest.mark.parametrize(
    ("away", "length", "is_found"),
    [
        (20, 300, False),
        (20, 300.001, True),
        (20, 299, False),
        (20, 900, True),
        (49.999, 900, True),
        (50, 900, False),  # alongside at 50 mm is far enough
        (51, 900, False),
    ],
)
def test_near_a_lead_at_its_limits(away: float, length: float, is_found: bool) -> None:
    # Common practice: 50 mm apart, or together for no more than 300 mm after the first 300.
    found = of_rule(check(beside(away, length)), "sensor-near-lead")
    assert len(found) == is_found
    if is_found:
        assert found[0].items == ("W1",)
        assert found[0].path == "rooms.room.leads.W1"
        assert measured(found[0]) == pytest.approx(length, abs=1e-3)


def crossing(y: float) -> dict[str, Any]:
    """Let a lead pass straight over the sensor's way, which runs up from the box at x = 10."""
    return {
        "rooms": {
            "room": {
                "sensor": {
                    "at": [10, 2500],
                    "route": ["junction-box", [10, 1500]],
                    "cable": "20 m",
                },
                "leads": {"W1": {"route": [[200, y], [-200, y]]}},
            }
        }
    }


@pytest.mark.parametrize(("y", "is_found"), [(2000, True), (1789, False), (1791, True)])
def test_a_mere_crossing_measures_nothing(y: float, is_found: bool) -> None:
    # The first 300 mm end at y = 1500 + 290.
    found = of_rule(check(crossing(y)), "sensor-near-lead")
    assert len(found) == is_found
    if is_found:
        assert measured(found[0]) == 0
        assert "crosses lead W1" in found[0].message


def test_every_lead_is_counted() -> None:
    leads = {f"W{n}": {"circuit": "C1", "route": ["junction-box", [30, 1500]]} for n in range(1, 6)}
    tally = tally_of(check({"rooms.room.leads": leads}), "sensor-near-lead")
    assert (tally.checked, tally.found, tally.undecided) == (5, 0, 0)


def test_a_room_switched_from_another_has_its_thermostat_there() -> None:
    thermostat = {"at": [0, 500], "height": 1400, "switches": "16 A", "floor_limit": "27 degC"}
    hall = {
        "use": "hall",
        "outline": [[0, 0], [1000, 0], [1000, 1000], [0, 1000]],
        "thermostat": thermostat,
    }
    change = {
        "rooms": {"room": {"thermostat": None}, "hall": hall},
        "circuits": {"C1": {"thermostat": "hall"}},
    }
    tally = tally_of(check(change), "sensor-cable-reach")
    assert tally.why == "the thermostat hangs in another room, and the way there is not drawn"
