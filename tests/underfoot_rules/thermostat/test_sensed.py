"""Where a dial that is set right still lets the floor pass its limit: by hand beside each value.

Over a heated room below: Rd = 0.010 / 0.033 + 1.1 + 0.17 = 1.57303 m2 K/W everywhere. Ru is 1 /
10.8 and oak 0.10, underlay 0.03, sheet 0.0002 / 0.19. The sensor at x = 810 lies below A2.
"""

from typing import Any

import pytest

from tests.underfoot_rules.build_up.balance import (
    ABOVE,
    BOARD,
    detail,
    one,
    over_heated,
    surface_of,
    up_of,
)
from tests.underfoot_rules.plans import BASE, check, limit_of, measured, of_rule, tally_of
from underfoot.checking.facts.sensor import ToSensor, resist_to_sensor
from underfoot.checking.page import merge_patch
from underfoot.plan import Cutout, Sensor

RULE = "floor-limit"
BELOW = BOARD + 1.27


def _two_films(at_sensor: str, beside: str, dial: str = "27 degC", **room: Any) -> dict[str, Any]:
    other = merge_patch(BASE["materials"]["films"]["film-80"], {"output": beside})
    return {
        "materials": {
            "films": {"film-80": {"output": at_sensor}, "film-x": other},
            "coverings": {"oak-14": {"most_output": "300 W/m2"}},
        },
        "rooms": {
            "room": {
                "subfloor": over_heated(1.1),
                "thermostat": {"floor_limit": dial},
                "rows": {
                    "A": {"lengths": [2750] * 4},
                    "B": {"film": "film-x", "at": [2060, 60], "along": "y", "lengths": [2750] * 3,
                          "circuit": "C1"},
                },
                "leads": {"W1": {"route": ["junction-box", [30, 1500], [30, 30], "A", "B"]}},
                **room,
            }
        },
    }  # fmt: skip


def _reading(output: float, beside: float, limit: float, room: float = 20.0) -> float:
    """What a sensor that touches the film reads when the part beside it just keeps its limit."""
    up = 8.92 * (limit - room) ** 1.1
    lost = (room - 20.0) / BELOW
    share = (up * (1 + ABOVE / BELOW) + lost) / beside
    own = (share * output - lost) / (1 + ABOVE / BELOW)
    return room + max((own / 8.92) ** (1 / 1.1), own / 10.8) + own * (ABOVE - 1 / 10.8)


def test_a_stronger_film_beside_the_sensor_passes_its_limit() -> None:
    finding = one(check(_two_films("60 W/m2", "190 W/m2")), RULE)
    # The sensor reads 27 degC when 30.25 W/m2 go up there; beside it 190 / 60 as much, 95.8, do:
    # (95.8 / 8.92)^(1 / 1.1) = 8.66 K over 20.
    own = 30.2537
    assert 20 + (own / 8.92) ** (1 / 1.1) + own * 0.13105 == pytest.approx(27, abs=0.001)
    assert measured(finding) == pytest.approx(surface_of(own * 190 / 60), abs=0.001)
    assert limit_of(finding).most == 27
    assert "The sensor lies below film-80 under oak-14 and reads less" in finding.message
    assert "Lay the sensor below film-x under oak-14" in finding.remedy
    # What the sensor reads at the limit, less what the channel takes: 25.27 degC.
    assert "the dial must be at 25.3 °C or less" in finding.remedy


def test_a_part_may_pass_by_one_kelvin_before_it_is_told() -> None:
    # The output beside 60 W/m2 at which the sensor reads 27 degC with that part at 28, by halving.
    low, high = 100.0, 300.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _reading(60, middle, 28.0) > 27.0 else (low, middle)
    for more, found in ((-0.01, False), (0.01, True)):
        report = check(_two_films("60 W/m2", f"{low + more:.9f} W/m2"))
        assert bool(of_rule(report, RULE)) is found


def test_the_dial_that_is_advised_would_do() -> None:
    lower = check(_two_films("60 W/m2", "190 W/m2", dial="25.3 degC"))
    assert of_rule(lower, RULE) == ()


def test_the_sensor_below_the_strongest_part_is_right() -> None:
    change = _two_films("190 W/m2", "60 W/m2")
    assert of_rule(check(change), RULE) == ()
    note = one(check(change), "floor-temperature")
    assert "Leave the dial of the floor limit at 27 °C" in note.remedy


def test_a_strong_part_that_cannot_reach_its_limit_is_right() -> None:
    # Of 40 W/m2 35.0 go up: 27.5 degC in the warmest room, of 24. Of 80 they pass 28 there.
    assert of_rule(check(_two_films("20 W/m2", "40 W/m2")), RULE) == ()
    finding = one(check(_two_films("20 W/m2", "80 W/m2")), RULE)
    assert "in a room of 24 °C" in finding.message


def test_a_room_that_is_warmer_than_the_limit_is_none_of_the_films() -> None:
    # The oak may get 27 degC: in a room of 30 it does so with the film switched off.
    hot = _two_films("60 W/m2", "190 W/m2", fabric={"inside": "30 degC"})
    assert of_rule(check(hot), RULE) == ()


def test_a_sensor_that_never_reads_the_dial_switches_nothing_off() -> None:
    # 20 W/m2 bring the film at the sensor to 24.4 degC, so 190 beside it give all they can.
    finding = one(check(_two_films("20 W/m2", "190 W/m2")), RULE)
    assert measured(finding) == pytest.approx(surface_of(up_of(190, BELOW)), abs=0.001)


def test_two_parts_of_which_one_is_not_known_are_not_called_in_order() -> None:
    whole = merge_patch(BASE, _two_films("60 W/m2", "190 W/m2"))
    change = {"materials": {"coverings": {"oak-14": {"resistance": None}}}}
    row = tally_of(check(change, whole), RULE)
    assert (row.found, row.undecided) == (0, 1)


def test_unknown_subfloor_is_told_only_where_both_ends_agree() -> None:
    bare = {"kind": "timber", "below": "heated"}
    assert one(check(_two_films("60 W/m2", "190 W/m2", subfloor=bare)), RULE)


def test_where_the_ends_do_not_agree_the_layers_are_asked_for() -> None:
    # 150 W/m2 beside 60, over a cellar of 10 degC, 24 inside: at 28 degC 41 W/m2 go up. If nothing
    # goes down, 16.4 do at the sensor: 24 + 1.7 + 2.1 = 27.9. If only the board insulates, 90 W/m2
    # are needed, 36 at the sensor, and 30 go down there: it reads 25.
    bare: dict[str, Any] = {"kind": "timber", "below": "unheated"}
    row = tally_of(check(_two_films("60 W/m2", "150 W/m2", subfloor=bare)), RULE)
    assert (row.found, row.why) == (0, "the subfloor's layers are not given (`subfloor.layers`)")
    for resists, found in (("0.001 m2 K/W", True), ("5 m2 K/W", False)):
        layers = [{"material": "boards", "thickness": 20, "resistance": resists}]
        report = check(_two_films("60 W/m2", "150 W/m2", subfloor={**bare, "layers": layers}))
        assert bool(of_rule(report, RULE)) is found


def test_without_a_sensor_there_is_nothing_to_read() -> None:
    report = check(_two_films("60 W/m2", "190 W/m2", sensor=None))
    assert of_rule(report, "sensor-missing")
    assert of_rule(report, RULE) == ()


def test_a_sensor_beside_the_strips_is_told_by_another_rule() -> None:
    report = check(_two_films("60 W/m2", "190 W/m2", sensor={"at": [3800, 1500]}))
    assert of_rule(report, "sensor-under-element")
    assert of_rule(report, RULE) == ()


def test_a_channel_far_below_the_film_reads_too_little() -> None:
    # A cold cellar below thin boards; vinyl, which hardly resists; 93 mm of air over the conduit:
    # 0.219 m2 K/W (ISO 6946, between 0.21 at 50 and 0.22 at 100 mm). At 28 degC in a room of 20
    # 87.85 W/m2 go up (8 K, DERIVED): film 20 + 87.85 x (1 / 10.8 + 0.02105) = 29.98; down go
    # 19.98 / 0.47303 = 42.2 W/m2; the sensor reads 29.98 - 42.2 x 0.219 = 20.7, not 27.
    change: dict[str, Any] = {
        "materials": {
            "films": {"film-80": {"output": "160 W/m2", "suits": ["vinyl plank"]}},
            "coverings": {"oak-14": {"kind": "vinyl plank", "resistance": "0.02 m2 K/W"}},
        },
        "rooms": {
            "room": {
                "underlay": None,
                "subfloor": {
                    "kind": "timber", "below": "unheated",
                    "layers": [{"material": "battens", "thickness": 100, "resistance": "0 m2 K/W"}],
                },
                "sensor": {"channel": {"depth": 100, "cut_into": "subfloor"}},
            }
        },
    }  # fmt: skip
    finding = one(check(change), RULE)
    assert "deep below the film" in finding.message
    assert "no deeper than its conduit" in finding.remedy
    flush = merge_patch(change, {"rooms": {"room": {"sensor": {"channel": {"depth": 7}}}}})
    assert of_rule(check(flush), RULE) == ()


@pytest.mark.parametrize(
    ("depth", "conduit", "least", "likely"),
    [
        # ISO 6946 table 2, down: 0.11 at 5 mm, 0.13 at 7, 0.15 at 10, on a straight line between.
        (7, 7, 0.0, 0.11 * 3.5 / 5),
        (10, 10, 0.0, 0.11),
        (12, 7, 0.11, 0.13 + 0.02 * 1.5 / 3),
        (7, None, 0.0, 0.11 * 3.5 / 5),
        (5, 7, 0.0, 0.11 * 3.5 / 5),
        (None, 7, 0.0, 0.0),
    ],
)
def test_what_lies_between_film_and_sensor(
    depth: float | None, conduit: float | None, least: float, likely: float
) -> None:
    sensor = Sensor(
        path="sensor", at=(0, 0), channel=Cutout(path="channel", depth=depth),
        conduit=Cutout(path="conduit", depth=conduit),
    )  # fmt: skip
    found = resist_to_sensor(sensor)
    assert found.least_m2k_w == pytest.approx(least)
    assert found.likely_m2k_w == pytest.approx(likely)


def test_a_sensor_without_a_channel_touches_the_film() -> None:
    assert resist_to_sensor(Sensor(path="sensor", at=(0, 0))) == ToSensor(
        least_m2k_w=0.0, likely_m2k_w=0.0
    )


def test_the_channel_is_counted_in_what_the_sensor_reads() -> None:
    film, room = {"output": "100 W/m2"}, {"subfloor": over_heated(1.1)}
    change = {"materials": {"films": {"film-80": film}}, "rooms": {"room": room}}
    deep = {"rooms": {"room": {"sensor": {"channel": {"depth": 13}, "conduit": {"depth": 13}}}}}
    shallow = one(check(change), "floor-temperature")
    deeper = one(check(merge_patch(change, deep)), "floor-temperature")
    # 10.8 W/m2 down: 3.5 mm of air (0.077) take 0.8 K, 6.5 mm (0.125) 1.3 K.
    assert "sensor 36.1 °C" in detail(shallow, "at the limit, 20 °C inside")
    assert "sensor 35.6 °C" in detail(deeper, "at the limit, 20 °C inside")


def test_the_dial_caps_no_floor_that_is_not_everywhere_the_same() -> None:
    # 60 and 80 W/m2 over 5.5 and 4.125 m2: some 580 W go up. At 22 degC 184 W would (2 K).
    change = _two_films("60 W/m2", "80 W/m2", dial="22 degC", heat_loss="400 W")
    assert of_rule(check(change), "heat-demand") == ()
