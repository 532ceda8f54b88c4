"""The heat rules against balances worked out by hand beside them, and where a plan is silent."""

import dataclasses
import json
import math
from datetime import date
from typing import Any

import pytest

from tests.underfoot_rules.build_up.balance import (
    ABOVE,
    AREA,
    BOARD,
    check_room,
    detail,
    one,
    over_heated,
    surface_of,
    up_of,
)
from tests.underfoot_rules.plans import BASE, check, limit_of, measured, of_rule, tally_of
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.page import merge_patch
from underfoot.checking.report import PlanReport
from underfoot.checking.settings import InForce, Settings, default_settings
from underfoot_rules import STANDARD

# floor-temperature


def test_surface_film_sensor_and_dial() -> None:
    subfloor = over_heated(1.1)
    finding = one(check_room({"output": "100 W/m2"}, subfloor=subfloor), "floor-temperature")
    up = up_of(100, BOARD + 1.1 + 0.17)
    assert measured(finding) == pytest.approx(surface_of(up), abs=1e-6)
    assert limit_of(finding).most == 27
    # 87.6 W/m2 go up: seen from below (1 / 10.8) the film is warmer than by the curve.
    film = 20 + up * ABOVE
    assert detail(finding, "film at full output") == f"{film:.1f} °C"
    assert detail(finding, "underside of covering oak-14") == f"{film - up * 0.03105:.1f} °C"
    assert detail(finding, "below the boards") == f"{film - (100 - up) * BOARD:.1f} °C"
    assert detail(finding, "timber of the subfloor") == f"{film - (100 - up) * BOARD:.1f} °C"


def test_what_the_sensor_reads_is_told_and_never_advised() -> None:
    finding = one(
        check_room({"output": "100 W/m2"}, subfloor=over_heated(1.1)), "floor-temperature"
    )
    # At 27 °C, 7 K over the room, 75.85 W/m2 go up (8.92 x 7^1.1, ISO 11855-2 equation 1, DERIVED)
    # and the film has 20 + 75.85 x 0.22364 = 36.96 °C. Down go (36.96 - 20) / 1.573 = 10.8 W/m2; of
    # the channel's 7 mm half are air to the middle of the conduit: 0.077 m2 K/W (3.5 / 5 of 0.11,
    # ISO 6946), which is 0.83 K.
    assert detail(finding, "at the limit, 20 °C inside").startswith("film 37 °C, sensor 36.1 °C")
    # In a room of 24 °C 29.87 W/m2 do (3 K, DERIVED): 27 + 29.87 x 0.13105 = 30.91 °C; down go
    # (24 + 29.87 x 0.22364 - 20) / 1.573 = 6.8 W/m2, which is 0.52 K.
    assert detail(finding, "at the limit, 24 °C inside").startswith("film 30.9 °C, sensor 30.4 °C")
    assert "Leave the dial of the floor limit at 27 °C" in finding.remedy
    assert "36" not in finding.remedy


@pytest.mark.parametrize(("more", "found"), [(-1e-6, False), (0.0, False), (1e-3, True)])
def test_surface_at_its_limit(more: float, found: bool) -> None:
    # 75.8513 W/m2 upward make 27 °C; back through the balance that is the output asked for.
    below = BOARD + 1.1 + 0.17
    output = 8.92 * 7**1.1 * (1 + ABOVE / below) + more
    report = check_room({"output": f"{output:.9f} W/m2"}, subfloor=over_heated(1.1))
    assert bool(of_rule(report, "floor-temperature")) is found


def test_output_is_that_at_the_supply_voltage() -> None:
    # 90 W/m2 at 240 V are 82.65 W/m2 on 230 V: 26.7 °C, and 27.2 °C if taken at 240 V.
    film = {"output": "90 W/m2", "voltage": "240 V"}
    assert of_rule(check_room(film, subfloor=over_heated(1.1)), "floor-temperature") == ()


def test_bathroom_is_warmer_and_may_be() -> None:
    # A bathroom is taken at 24 °C; without a limit of the covering its floor may reach 33 °C.
    change = {
        "materials": {
            "films": {"film-80": {"output": "160 W/m2"}},
            "coverings": {"oak-14": {"warmest_surface": None}},
        },
        "rooms": {"room": {"use": "bathroom", "subfloor": over_heated(1.1)}},
    }
    finding = one(check(change), "floor-temperature")
    below = BOARD + 1.1 + 0.17
    assert limit_of(finding).most == 33
    up = up_of(160, below, 24 - 20)
    assert measured(finding) == pytest.approx(surface_of(up, 24), abs=1e-6)


def test_no_floor_limit_hides_nothing_of_the_floor_temperature() -> None:
    film, subfloor = {"output": "100 W/m2"}, over_heated(1.1)
    report = check_room(film, subfloor=subfloor, thermostat={"floor_limit": None})
    assert of_rule(report, "floor-limit")
    assert of_rule(report, "floor-temperature")


def test_a_dial_that_is_set_lower_is_left_there() -> None:
    film, subfloor = {"output": "100 W/m2"}, over_heated(1.1)
    report = check_room(film, subfloor=subfloor, thermostat={"floor_limit": "25 degC"})
    finding = one(report, "floor-temperature")
    assert "Leave the dial of the floor limit at 25 °C" in finding.remedy
    assert detail(finding, "at the limit, 20 °C inside").startswith("film 37 °C")


def test_a_dial_that_is_set_too_high_is_brought_down() -> None:
    film, subfloor = {"output": "100 W/m2"}, over_heated(1.1)
    report = check_room(film, subfloor=subfloor, thermostat={"floor_limit": "35 degC"})
    assert (
        "Set the dial of the floor limit to 27 °C or less"
        in one(report, "floor-temperature").remedy
    )


def test_no_dial_is_advised_beyond_what_nobody_knows() -> None:
    change = {
        "materials": {
            "films": {"film-80": {"output": "160 W/m2"}},
            "coverings": {"oak-14": {"warmest_surface": None}},
        },
        "rooms": {"room": {"subfloor": over_heated(1.1)}},
    }
    remedy = one(check(change), "floor-temperature").remedy
    assert "27 °C or less and no warmer than the maker of oak-14 allows" in remedy


TWO_COVERINGS = {
    "materials": {
        "films": {"film-80": {"output": "120 W/m2", "suits": ["engineered wood", "vinyl plank"]}},
        "coverings": {
            "vinyl-6": {
                "kind": "vinyl plank", "resistance": "0.02 m2 K/W", "warmest_surface": "27 degC",
                "most_output": "160 W/m2", "fixing": "floating",
            }
        },
    },
    "rooms": {
        "room": {
            "covering": None,
            "coverings": [
                {"covering": "vinyl-6", "over": [[2000, 0], [4000, 0], [4000, 3000], [2000, 3000]]},
                {"covering": "oak-14"},
            ],
            "subfloor": over_heated(1.1),
        }
    },
}  # fmt: skip


def test_reading_is_that_of_the_part_where_the_sensor_lies() -> None:
    # Vinyl lets more heat up: it reaches 27 °C first. The sensor at x = 810 lies under oak.
    finding = one(check(TWO_COVERINGS), "floor-temperature")
    assert "film-80 under vinyl-6" in finding.message
    below = BOARD + 1.1 + 0.17
    thin = 0.02 + 0.03 + 0.0002 / 0.19
    up = 8.92 * 7**1.1
    output = up + up * (1 / 10.8 + thin) / below  # kept at 27 °C: what goes up, and what down
    under_oak = up_of(output, below)
    film = surface_of(under_oak) + under_oak * (ABOVE - 1 / 10.8)
    sensor = film - (output - under_oak) * 0.11 * 3.5 / 5
    # 75.85 W/m2 through 1 / 10.8 are 7.02 K, 0.02 more than by the curve.
    said = f"film {20 + up * (1 / 10.8 + thin):.1f} °C, sensor {sensor:.1f} °C"
    assert detail(finding, "at the limit, 20 °C inside").startswith(said)


def test_parts_share_the_strips_between_coverings() -> None:
    # Of each part the strips' own area: vinyl from x = 2000, strips end at 3560.
    finding = one(check(merge_patch(TWO_COVERINGS, _demand("2 kW"))), "heat-demand")
    said = [text for name, text in finding.details if name == "installed less what goes down"]
    areas = [float(text.split(" from ")[1].split()[0]) for text in said]
    assert areas == pytest.approx([(3.56 - 2.0) * 2.75, (2.0 - 0.06) * 2.75], abs=0.006)


def _demand(loss: str) -> dict[str, Any]:
    return {"rooms": {"room": {"heat_loss": loss}}}


# unknown layers of the subfloor


def test_without_layers_only_what_is_sure_is_said() -> None:
    bare = {"kind": "timber", "below": "heated"}
    # 80 W/m2: 25.2 °C if nothing but the board insulated, 27.3 if nothing went down: not known.
    unknown = "the subfloor's layers are not given (`subfloor.layers`)"
    assert tally_of(check_room(subfloor=bare), "floor-temperature").why == unknown
    # 60 W/m2 all upward make 25.7 °C: sure.
    row = tally_of(check_room({"output": "60 W/m2"}, subfloor=bare), "floor-temperature")
    assert (row.checked, row.found, row.undecided) == (1, 0, 0)
    # 120 W/m2 with the board alone: 81.6 go up, 27.5 °C at the least: sure.
    finding = one(check_room({"output": "120 W/m2"}, subfloor=bare), "floor-temperature")
    assert measured(finding) == pytest.approx(surface_of(up_of(120, BOARD + 0.17)), abs=1e-6)
    assert "at least" in finding.message


# downward-loss


def test_downward_share_over_ground_by_iso_13370() -> None:
    slab = [{"material": "concrete", "density": "2400 kg/m3", "thickness": 150}]
    subfloor = {
        "kind": "concrete", "below": "ground", "moisture": "1.8 %", "exposed_perimeter": "7 m",
        "layers": slab,
    }  # fmt: skip
    report = check_room(subfloor=subfloor, fabric={"outside": "-5 degC"})
    finding = one(report, "downward-loss")
    # ISO 13370: B' = 12 / 3.5; dt = 0.3 + 2.0 x (layers + 0.04), from the film's own plane, which
    # has no surface resistance; U = 2 x 2.0 / (pi B' + dt) x ln(pi B' / dt + 1).
    layers = BOARD + 0.150 / 2.0
    b, dt = 12 / 3.5, 0.3 + 2.0 * (layers + 0.04)
    u_value = 2 * 2.0 / (math.pi * b + dt) * math.log(math.pi * b / dt + 1)
    up = up_of(80, 1 / u_value, 25)
    assert measured(finding) == pytest.approx(100 * (80 - up) / 80, abs=1e-6)
    assert "2 W/m/K for concrete of 2400 kg/m3 (ISO 10456)" in detail(
        finding, "subfloor layer 1, concrete"
    )
    assert "exposed edge 7 m" in detail(finding, "ground")


def test_ground_without_the_temperature_outside_is_taken_at_10_degrees() -> None:
    slab = [{"material": "concrete", "thickness": 150}]
    subfloor = {"kind": "concrete", "below": "ground", "moisture": "1.8 %", "layers": slab}
    finding = one(check_room(subfloor=subfloor), "downward-loss")
    up = up_of(80, BOARD + 0.150 / 1.65, 10)
    assert measured(finding) == pytest.approx(100 * (80 - up) / 80, abs=1e-6)
    assert "as no density is given" in detail(finding, "subfloor layer 1, concrete")


def test_remedy_of_the_loss_does_what_it_says() -> None:
    timber = [{"material": "timber", "thickness": 22}]
    subfloor = {"kind": "timber", "below": "unheated", "layers": timber}
    finding = one(check_room(subfloor=subfloor), "downward-loss")
    assert "2 more layers of board board-10 bring it to 23.7 %" in finding.remedy
    layers = [{"courses": "x", "stagger": 600}, {"courses": "y", "stagger": 600}]
    two = check_room(subfloor=subfloor, insulation={"layers": layers})
    three = check_room(subfloor=subfloor, insulation={"layers": [*layers, layers[0]]})
    assert of_rule(two, "downward-loss")
    assert of_rule(three, "downward-loss") == ()


def test_nothing_is_lost_to_a_heated_room() -> None:
    assert tally_of(check_room(subfloor=over_heated(0.1)), "downward-loss").checked == 0


# what a stack lacks


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"rooms.room.covering": None}, "no covering is given (`covering`)"),
        ({"materials.coverings.oak-14.resistance": None},
         "the resistance of covering oak-14 cannot be told: give its `resistance`, or "
         "`conductivity` or `material`"),
        ({"materials.coverings.oak-14": {"resistance": None, "thickness": None}},
         "the resistance of covering oak-14 cannot be told: give its `resistance`, or `thickness` "
         "with `conductivity` or `material`"),
        ({"materials.boards.board-10.conductivity": None},
         "the resistance of board board-10 cannot be told: give its `conductivity` or `material`"),
        ({"rooms.room.subfloor.below": None},
         "what lies below the subfloor is not given (`subfloor.below`)"),
        ({"rooms.room.subfloor.layers": [{"material": "straw", "thickness": 40}]},
         "no conductivity is known for 'straw': give the `conductivity` of subfloor layer 1, "
         "straw"),
        ({"rooms.room.subfloor.below": "outside"},
         "the temperature outside is not given (`fabric.outside`)"),
    ],
)  # fmt: skip
def test_what_the_stack_lacks_is_named(change: dict[str, Any], why: str) -> None:
    whole = merge_patch(BASE, {"rooms": {"room": {"subfloor": over_heated(1.1)}}})
    report = check(change, whole)
    for rule in ("floor-temperature", "heat-demand"):
        assert tally_of(report, rule).why == why, rule


def test_covering_known_by_material_and_density() -> None:
    # ISO 10456: timber of 700 kg/m3 has 0.18 W/m/K (CONFIRMED B): 14 mm are 0.0778 m2 K/W.
    oak = {"resistance": None, "material": "timber", "density": "700 kg/m3"}
    change = {
        "materials": {"coverings": {"oak-14": oak}, "films": {"film-80": {"output": "120 W/m2"}}},
        "rooms": {"room": {"subfloor": over_heated(1.1)}},
    }
    finding = one(check(change), "floor-temperature")
    assert detail(finding, "covering oak-14") == (
        "0.078 m² K/W, 14 mm, 0.18 W/m/K for timber of 700 kg/m3 (ISO 10456)"
    )


# the temperatures taken are limits that settings change


def _settled(**limits: float) -> Settings:
    settings = default_settings(STANDARD.rules)
    rule = dict(settings.limits["floor-temperature"])
    for key, value in limits.items():
        rule[key] = InForce(value=value, unit=rule[key].unit, default=rule[key].default)
    return dataclasses.replace(settings, limits={**settings.limits, "floor-temperature": rule})


def _under(settings: Settings, **room: Any) -> PlanReport:
    text = json.dumps(merge_patch(BASE, {"rooms": {"room": room}})).encode()
    return check_source(
        text, make_checker([STANDARD], settings, date(2026, 10, 1)), path="plan.yaml"
    )


def test_settings_change_what_is_taken() -> None:
    timber = [{"material": "timber", "thickness": 22}]
    subfloor = {"kind": "timber", "below": "unheated", "layers": timber}
    colder = _under(_settled(unheated=0, below_space=0.1, inside=21), subfloor=subfloor)
    up = up_of(80, BOARD + 0.022 / 0.13 + 0.1, 21)
    assert measured(one(colder, "downward-loss")) == pytest.approx(100 * (80 - up) / 80)
    warm = _under(_settled(inside=25), subfloor=over_heated(1.1))
    # 2 K over a room of 25 °C is 19.12 W/m2 (8.92 x 2^1.1, DERIVED).
    assert measured(one(warm, "heat-demand")) == pytest.approx(19.12 * AREA, abs=0.1)
