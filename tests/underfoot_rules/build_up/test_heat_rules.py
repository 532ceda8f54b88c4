"""The heat rules against balances worked out by hand beside them, and where a plan says too little.

The balance is that of ISO 11855-2 A.29-A.31: up (q - (inside - below) / Rd) / (1 + Ru / Rd), with
Ru = 1 / 10.8 + what lies above the film. The base plan has 0.010 / 0.033 m2 K/W of board below, oak
0.10, underlay 0.03 and a sheet of 0.0002 / 0.19 above, seven strips of 2.75 x 0.5 m: 9.625 m2.
"""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from tests.underfoot_rules.plans import BASE, check, of_rule, tally_of
from underfoot.checking.check import check_source, set_up
from underfoot.checking.page import merge_patch
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.checking.settings import InForce, Settings, default_settings
from underfoot_rules import STANDARD

ABOVE = 1 / 10.8 + 0.10 + 0.03 + 0.0002 / 0.19
BOARD = 0.010 / 0.033
AREA = 7 * 2.75 * 0.5


def _over_heated(resistance: float) -> dict[str, Any]:
    layer = {"thickness": 200, "resistance": f"{resistance} m2 K/W"}
    return {"kind": "timber", "below": "heated", "layers": [layer]}


def _up(output: float, below: float, lost: float = 0.0) -> float:
    return (output - lost / below) / (1 + ABOVE / below)


def _surface(up: float, room: float = 20.0) -> float:
    return room + (up / 8.92) ** (1 / 1.1)


def _check(film: dict[str, Any] | None = None, **room: Any) -> PlanReport:
    materials = {"films": {"film-80": film or {}}}
    return check({"materials": materials, "rooms": {"room": room}})


def _one(report: PlanReport, rule: str) -> ReportedFinding:
    (finding,) = of_rule(report, rule)
    return finding


def _measured(finding: ReportedFinding) -> float:
    assert finding.measured is not None
    return finding.measured.value


def _detail(finding: ReportedFinding, name: str) -> str:
    return dict(finding.details)[name]


# floor-temperature


def test_surface_film_sensor_and_dial() -> None:
    subfloor = _over_heated(1.1)
    finding = _one(_check({"output": "100 W/m2"}, subfloor=subfloor), "floor-temperature")
    up = _up(100, BOARD + 1.1 + 0.17)
    assert _measured(finding) == pytest.approx(_surface(up), abs=1e-6)
    assert finding.limit is not None
    assert finding.limit.most == 27
    film = _surface(up) + up * (ABOVE - 1 / 10.8)
    assert _detail(finding, "film at full output") == f"{film:.1f} °C"
    assert _detail(finding, "sensor at full output") == f"{film:.1f} °C"
    # At 27 °C, 7 K over the room, 75.85 W/m2 go up (8.92 x 7^1.1, ISO 11855-2 equation 1, DERIVED)
    # and the film is warmer by 75.85 x 0.13105 = 9.94 K.
    assert _detail(finding, "dial of the floor limit") == "36.9 °C"
    assert "36.9 °C" in finding.remedy


@pytest.mark.parametrize(("more", "found"), [(-1e-6, False), (0.0, False), (1e-3, True)])
def test_surface_at_its_limit(more: float, found: bool) -> None:
    # 75.8513 W/m2 upward make 27 °C; back through the balance that is the output asked for.
    below = BOARD + 1.1 + 0.17
    output = 8.92 * 7**1.1 * (1 + ABOVE / below) + more
    report = _check({"output": f"{output:.9f} W/m2"}, subfloor=_over_heated(1.1))
    assert bool(of_rule(report, "floor-temperature")) is found


def test_output_is_that_at_the_supply_voltage() -> None:
    # 90 W/m2 at 240 V are 82.65 W/m2 on 230 V: 26.7 °C, and 27.2 °C if taken at 240 V.
    film = {"output": "90 W/m2", "voltage": "240 V"}
    assert of_rule(_check(film, subfloor=_over_heated(1.1)), "floor-temperature") == ()


def test_bathroom_is_warmer_and_may_be() -> None:
    # A bathroom is taken at 24 °C; without a limit of the covering its floor may reach 33 °C.
    change = {
        "materials": {
            "films": {"film-80": {"output": "160 W/m2"}},
            "coverings": {"oak-14": {"warmest_surface": None}},
        },
        "rooms": {"room": {"use": "bathroom", "subfloor": _over_heated(1.1)}},
    }
    finding = _one(check(change), "floor-temperature")
    below = BOARD + 1.1 + 0.17
    assert finding.limit is not None
    assert finding.limit.most == 33
    up = _up(160, below, 24 - 20)
    assert _measured(finding) == pytest.approx(_surface(up, 24), abs=1e-6)


def test_no_floor_limit_hides_nothing_of_the_floor_temperature() -> None:
    film, subfloor = {"output": "100 W/m2"}, _over_heated(1.1)
    report = _check(film, subfloor=subfloor, thermostat={"floor_limit": None})
    assert of_rule(report, "floor-limit")
    assert of_rule(report, "floor-temperature")


def test_floor_limit_below_the_surface_limit_sets_the_dial() -> None:
    film, subfloor = {"output": "100 W/m2"}, _over_heated(1.1)
    report = _check(film, subfloor=subfloor, thermostat={"floor_limit": "25 degC"})
    finding = _one(report, "floor-temperature")
    # 5 K over the room: 8.92 x 5^1.1 = 52.39 W/m2 (DERIVED); 25 + 52.39 x 0.13105 = 31.87 °C.
    assert _detail(finding, "surface at the limit") == "25 °C"
    assert _detail(finding, "dial of the floor limit") == "31.9 °C"


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
            "subfloor": _over_heated(1.1),
        }
    },
}  # fmt: skip


def test_dial_is_set_where_the_sensor_lies_for_the_part_that_is_nearest_to_its_limit() -> None:
    # Vinyl lets more heat up: it reaches 27 °C first. The sensor at x = 810 lies under oak.
    finding = _one(check(TWO_COVERINGS), "floor-temperature")
    assert "film-80 under vinyl-6" in finding.message
    below = BOARD + 1.1 + 0.17
    thin = 0.02 + 0.03 + 0.0002 / 0.19
    up = 8.92 * 7**1.1
    output = up + up * (1 / 10.8 + thin) / below  # kept at 27 °C: what goes up, and what down
    under_oak = _up(output, below)
    sensor = _surface(under_oak) + under_oak * (ABOVE - 1 / 10.8)
    assert _detail(finding, "film at the limit") == f"{27 + up * thin:.1f} °C"
    assert _detail(finding, "dial of the floor limit") == f"{sensor:.1f} °C"


def test_parts_share_the_strips_between_coverings() -> None:
    # Of each part the strips' own area: vinyl from x = 2000, strips end at 3560.
    finding = _one(check(merge_patch(TWO_COVERINGS, _demand("2 kW"))), "heat-demand")
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
    assert tally_of(_check(subfloor=bare), "floor-temperature").why == unknown
    # 60 W/m2 all upward make 25.7 °C: sure.
    row = tally_of(_check({"output": "60 W/m2"}, subfloor=bare), "floor-temperature")
    assert (row.checked, row.found, row.undecided) == (1, 0, 0)
    # 120 W/m2 with the board alone: 81.6 go up, 27.5 °C at the least: sure.
    finding = _one(_check({"output": "120 W/m2"}, subfloor=bare), "floor-temperature")
    assert _measured(finding) == pytest.approx(_surface(_up(120, BOARD + 0.17)), abs=1e-6)
    assert "at least" in finding.message


def test_demand_without_layers() -> None:
    bare = {"kind": "timber", "below": "heated"}
    # Installed 770 W; 523 W if nothing but the board insulated; at the limit 730 W.
    assert tally_of(_check(subfloor=bare, heat_loss="470 W"), "heat-demand").undecided == 0
    assert tally_of(_check(subfloor=bare, heat_loss="500 W"), "heat-demand").undecided == 1
    finding = _one(_check(subfloor=bare, heat_loss="670 W"), "heat-demand")
    assert "at most" in finding.message
    assert _measured(finding) == pytest.approx(8.92 * 7**1.1 * AREA)


# downward-loss


def test_downward_share_over_ground_by_iso_13370() -> None:
    slab = [{"material": "concrete", "density": "2400 kg/m3", "thickness": 150}]
    subfloor = {
        "kind": "concrete", "below": "ground", "moisture": "1.8 %", "exposed_perimeter": "7 m",
        "layers": slab,
    }  # fmt: skip
    report = _check(subfloor=subfloor, fabric={"outside": "-5 degC"})
    finding = _one(report, "downward-loss")
    # ISO 13370: B' = 12 / 3.5; dt = 0.3 + 2.0 x (layers + 0.04), from the film's own plane, which
    # has no surface resistance; U = 2 x 2.0 / (pi B' + dt) x ln(pi B' / dt + 1).
    layers = BOARD + 0.150 / 2.0
    b, dt = 12 / 3.5, 0.3 + 2.0 * (layers + 0.04)
    u_value = 2 * 2.0 / (math.pi * b + dt) * math.log(math.pi * b / dt + 1)
    up = _up(80, 1 / u_value, 25)
    assert _measured(finding) == pytest.approx(100 * (80 - up) / 80, abs=1e-6)
    assert "2 W/m/K for concrete of 2400 kg/m3 (ISO 10456)" in _detail(
        finding, "subfloor layer 1, concrete"
    )
    assert "exposed edge 7 m" in _detail(finding, "ground")


def test_ground_without_the_temperature_outside_is_taken_at_10_degrees() -> None:
    slab = [{"material": "concrete", "thickness": 150}]
    subfloor = {"kind": "concrete", "below": "ground", "moisture": "1.8 %", "layers": slab}
    finding = _one(_check(subfloor=subfloor), "downward-loss")
    up = _up(80, BOARD + 0.150 / 1.65, 10)
    assert _measured(finding) == pytest.approx(100 * (80 - up) / 80, abs=1e-6)
    assert "as no density is given" in _detail(finding, "subfloor layer 1, concrete")


def test_remedy_of_the_loss_does_what_it_says() -> None:
    timber = [{"material": "timber", "thickness": 22}]
    subfloor = {"kind": "timber", "below": "unheated", "layers": timber}
    finding = _one(_check(subfloor=subfloor), "downward-loss")
    assert "2 more layers of board board-10 bring it to 23.7 %" in finding.remedy
    layers = [{"courses": "x", "stagger": 600}, {"courses": "y", "stagger": 600}]
    two = _check(subfloor=subfloor, insulation={"layers": layers})
    three = _check(subfloor=subfloor, insulation={"layers": [*layers, layers[0]]})
    assert of_rule(two, "downward-loss")
    assert of_rule(three, "downward-loss") == ()


def test_nothing_is_lost_to_a_heated_room() -> None:
    assert tally_of(_check(subfloor=_over_heated(0.1)), "downward-loss").checked == 0


# heat-demand


@pytest.mark.parametrize("output", ["160 W/m2", "300 W/m2"])
def test_whatever_is_installed_the_surface_limit_stops_it(output: str) -> None:
    # 7 K over the room is 75.9 W/m2 (8.92 x 7^1.1 = 75.85, ISO 11855-2 equation 1, DERIVED).
    finding = _one(
        _check({"output": output}, subfloor=_over_heated(1.1), heat_loss="700 W"), "heat-demand"
    )
    assert _measured(finding) / AREA == pytest.approx(75.85, abs=0.01)
    assert "no stronger film helps" in finding.remedy


@pytest.mark.parametrize(("more", "found"), [(0.0, False), (-0.9e-6, False), (1e-3, True)])
def test_demand_at_its_margin(more: float, found: bool) -> None:
    given = _up(80, BOARD + 1.1 + 0.17) * AREA
    loss = f"{given / 1.1 + more:.9f} W"
    assert bool(of_rule(_check(subfloor=_over_heated(1.1), heat_loss=loss), "heat-demand")) is found


def test_thermostats_floor_limit_counts_too() -> None:
    change = {"floor_limit": "25 degC"}
    report = _check(subfloor=_over_heated(1.1), heat_loss="500 W", thermostat=change)
    # 5 K over the room is 52.39 W/m2 (DERIVED): 504 W, less than 550.
    finding = _one(report, "heat-demand")
    assert _measured(finding) == pytest.approx(52.39 * AREA, abs=0.1)
    # The oak bears 27 degC, at which all that goes up of 80 W/m2, 70 W/m2 or 674 W, is let out.
    assert "Raise the floor limit to 27 °C, lay about" in finding.remedy


def test_a_floor_limit_that_is_not_what_stops_it_is_not_raised() -> None:
    # 7 K, all that the oak allows, are 730 W: less than 770.
    report = _check(
        {"output": "160 W/m2"}, subfloor=_over_heated(1.1), heat_loss="700 W",
        thermostat={"floor_limit": "25 degC"},
    )  # fmt: skip
    assert "Raise" not in _one(report, "heat-demand").remedy


def test_a_floor_limit_that_other_rooms_hang_on_is_not_raised() -> None:
    room = BASE["rooms"]["room"]
    other = {key: value for key, value in room.items() if key not in ("thermostat", "leads")}
    other |= {"rows": {"B": room["rows"]["A"]}, "heat_loss": None}
    own = {"subfloor": _over_heated(1.1), "thermostat": {"floor_limit": "25 degC"}}
    report = check({"rooms": {"room": own, "other": other}})
    assert "Raise" not in _one(report, "heat-demand").remedy


def test_loss_from_the_fabric() -> None:
    fabric = {
        "inside": "21 degC", "outside": "-4 degC", "air_changes": "0.5 1/h",
        "surfaces": [
            {"name": "window", "area": "10 m2", "u_value": "1.4 W/m2/K", "beyond": "outside"},
            {"name": "door", "area": "2 m2", "u_value": "1.5 W/m2/K", "beyond": "unheated"},
            {"area": "20 m2", "u_value": "0.5 W/m2/K", "beyond": "5 degC"},
        ],
    }  # fmt: skip
    report = _check(subfloor=_over_heated(1.1), heat_loss=None, fabric=fabric)
    finding = _one(report, "heat-demand")
    # 10 x 1.4 x 25 + 2 x 1.5 x 11 + 20 x 0.5 x 16 + 0.34 x 0.5 x 28.8 x 25 = 665.4 W
    assert finding.limit is not None
    assert finding.limit.least == pytest.approx(1.1 * 665.4)
    assert _detail(finding, "window") == "10 m² at 1.4 W/m²/K to -4 °C: 350 W"
    assert _detail(finding, "change of air") == "28.8 m³, 0.5 1/h, to -4 °C: 122 W"
    assert "EN 12831-1" in _detail(finding, "heat loss")


WHOLE: dict[str, Any] = {
    "outside": "-4 degC", "air_changes": "0.5 1/h",
    "surfaces": [{"name": "W", "area": "10 m2", "u_value": "1 W/m2/K", "beyond": "outside"}],
}  # fmt: skip


@pytest.mark.parametrize(
    ("room", "why"),
    [
        ({"fabric": None}, "no heat loss is given (`heat_loss`, or `fabric` to compute it from)"),
        ({"fabric": {"surfaces": []}}, "no surfaces that lose heat are given (`fabric.surfaces`)"),
        ({"fabric": {"outside": None}}, "the temperature outside is not given (`fabric.outside`)"),
        ({"fabric": {"air_changes": None}},
         "the room's changes of air are not given (`fabric.air_changes`)"),
        ({"height": None}, "the room's height is not given (`height`), so its air is not known"),
        ({"fabric": {"surfaces": [{"name": "W", "area": "1 m2", "beyond": "outside"}]}},
         "the `u_value` of W is not given (`fabric.surfaces`)"),
        ({"fabric": {"surfaces": [{"area": "1 m2", "u_value": "1 W/m2/K"}]}},
         "what lies beyond surface 1 is not given (`beyond`)"),
    ],
)  # fmt: skip
def test_what_the_loss_lacks_is_named(room: dict[str, Any], why: str) -> None:
    whole = {"heat_loss": None, "fabric": WHOLE, "subfloor": _over_heated(1.1)}
    base = merge_patch(BASE, {"rooms": {"room": whole}})
    report = check({"rooms": {"room": room}}, base)
    assert tally_of(report, "heat-demand").why == why


# what a stack lacks


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"rooms": {"room": {"covering": None}}}, "no covering is given (`covering`)"),
        ({"materials": {"coverings": {"oak-14": {"resistance": None}}}},
         "the resistance of covering oak-14 cannot be told: give its `resistance`, or "
         "`conductivity` or `material`"),
        ({"materials": {"coverings": {"oak-14": {"resistance": None, "thickness": None}}}},
         "the resistance of covering oak-14 cannot be told: give its `resistance`, or `thickness` "
         "with `conductivity` or `material`"),
        ({"materials": {"boards": {"board-10": {"conductivity": None}}}},
         "the resistance of board board-10 cannot be told: give its `conductivity` or `material`"),
        ({"rooms": {"room": {"subfloor": {"below": None}}}},
         "what lies below the subfloor is not given (`subfloor.below`)"),
        ({"rooms": {"room": {"subfloor": {"layers": [{"material": "straw", "thickness": 40}]}}}},
         "no conductivity is known for 'straw': give the `conductivity` of subfloor layer 1, "
         "straw"),
        ({"rooms": {"room": {"subfloor": {"below": "outside"}}}},
         "the temperature outside is not given (`fabric.outside`)"),
    ],
)  # fmt: skip
def test_what_the_stack_lacks_is_named(change: dict[str, Any], why: str) -> None:
    whole = merge_patch(BASE, {"rooms": {"room": {"subfloor": _over_heated(1.1)}}})
    report = check(change, whole)
    for rule in ("floor-temperature", "heat-demand"):
        assert tally_of(report, rule).why == why, rule


def test_covering_known_by_material_and_density() -> None:
    # ISO 10456: timber of 700 kg/m3 has 0.18 W/m/K (CONFIRMED B): 14 mm are 0.0778 m2 K/W.
    oak = {"resistance": None, "material": "timber", "density": "700 kg/m3"}
    change = {
        "materials": {"coverings": {"oak-14": oak}, "films": {"film-80": {"output": "120 W/m2"}}},
        "rooms": {"room": {"subfloor": _over_heated(1.1)}},
    }
    finding = _one(check(change), "floor-temperature")
    assert _detail(finding, "covering oak-14") == (
        "0.078 m² K/W, 14 mm, 0.18 W/m/K for timber of 700 kg/m3 (ISO 10456)"
    )


# the temperatures taken are limits that settings change


def _settled(**limits: float) -> Settings:
    settings = default_settings(STANDARD.rules)
    rule = dict(settings.limits["floor-temperature"])
    for key, value in limits.items():
        rule[key] = InForce(value, rule[key].unit, rule[key].default)
    return replace(settings, limits={**settings.limits, "floor-temperature": rule})


def _under(settings: Settings, **room: Any) -> PlanReport:
    text = json.dumps(merge_patch(BASE, {"rooms": {"room": room}})).encode()
    return check_source(text, set_up([STANDARD], settings, date(2026, 10, 1)), path="plan.yaml")


def test_settings_change_what_is_taken() -> None:
    timber = [{"material": "timber", "thickness": 22}]
    subfloor = {"kind": "timber", "below": "unheated", "layers": timber}
    colder = _under(_settled(unheated=0, below_space=0.1, inside=21), subfloor=subfloor)
    up = _up(80, BOARD + 0.022 / 0.13 + 0.1, 21)
    assert _measured(_one(colder, "downward-loss")) == pytest.approx(100 * (80 - up) / 80)
    warm = _under(_settled(inside=25), subfloor=_over_heated(1.1))
    # 2 K over a room of 25 °C is 19.12 W/m2 (8.92 x 2^1.1, DERIVED).
    assert _measured(_one(warm, "heat-demand")) == pytest.approx(19.12 * AREA, abs=0.1)
