"""Rules on electrics at the limits that standards publish, each side of them."""

from pathlib import Path
from typing import Any

import pytest

from tests.published.agreeing import assert_agrees
from tests.there import there
from tests.underfoot_rules.plans import check, of_rule
from underfoot.running.finding_settings import settings_finder
from underfoot_rules import STANDARD

BATH = {"bath": {"at": [0, 0], "size": [1700, 700], "kind": "bath"}}
OPEN_SHOWER = {
    "shower": {"at": [0, 0], "size": [900, 900], "kind": "open shower", "outlet": [450, 0]}
}


EARTH = {"protective_conductor": "4 mm2"}


def finds(rule: str, change: dict[str, Any], **more: Any) -> bool:
    return bool(of_rule(check(change, **more), rule))


@pytest.mark.as_printed("IEC 60364-7-753, 753.415.1: RCD of 30 mA at most", "CONFIRMED C")
@pytest.mark.parametrize(("rcd_ma", "found"), [(10, False), (30, False), (30.1, True)])
def test_residual_current(rcd_ma: float, found: bool) -> None:
    assert finds("rcd", {"circuits": {"C1": {"rcd": f"{rcd_ma} mA"}}}) == found


@pytest.mark.as_printed("IEC 60364-7-753, 753.411.3.2: mesh of 30 mm at most", "CONFIRMED A")
@pytest.mark.parametrize(("mesh", "found"), [(30, False), (30.1, True)])
def test_mesh(mesh: float, found: bool) -> None:
    change = {
        "materials": {"films": {"film-80": {"protection_class": None}}},
        "rooms": {"room": {"grid": {"mesh": mesh, "earthed": True, **EARTH}}},
    }
    assert finds("protective-grid", change) == found


@pytest.mark.as_printed(
    "BS 7671 regulation 531.3.2: at most 30 % of the rated residual current, 9 mA of 30 mA",
    "CONFIRMED C",
)
@pytest.mark.parametrize(("leakage", "found"), [("0.467 mA/m", False), ("0.468 mA/m", True)])
def test_leakage(leakage: str, found: bool) -> None:
    # 7 strips of 2.75 m: 19.25 m. 8.99 mA and 9.009 mA.
    change = {"materials": {"films": {"film-80": {"leakage": leakage}}}}
    assert finds("rcd-leakage", change) == found


@pytest.mark.as_printed(
    "IEC 60364-5-52 table 52.2: copper conductors of fixed wiring at least 1.5 mm2", "CONFIRMED C"
)
@pytest.mark.parametrize(("size", "found"), [("1.49 mm2", True), ("1.5 mm2", False)])
def test_conductor_of_a_grid(size: str, found: bool) -> None:
    grid = {"mesh": 30, "earthed": True, "protective_conductor": size}
    assert finds("protective-grid", {"rooms": {"room": {"grid": grid}}}) == found


@pytest.mark.as_printed("IEC 60364-7-753: class II needs no grid", "CONFIRMED C")
def test_class_ii_needs_no_grid() -> None:
    assert not finds("protective-grid", {})


@pytest.mark.as_printed(
    "IEC 60364-7-701, 701.753: a grid in a bathroom over any film", "CONFIRMED C"
)
def test_bathroom_needs_a_grid() -> None:
    assert finds("protective-grid", {"rooms": {"room": {"use": "bathroom"}}})


@pytest.mark.outside(
    "IEC 60364-7-701, 701.30: zone 2 is what lies within 0.60 m of the bath, true distance; "
    "bath 1.70 x 0.70 m in a room of 2.5 x 2.0 m",
    "CONFIRMED B",
)
@pytest.mark.parametrize(
    ("at", "found"),
    [
        ([2299, 0], True),  # 599 mm from the bath's end
        ([2300, 0], False),
        ([0, 1299], True),
        ([0, 1300], False),
        ([1700 + 424, 700 + 424], True),  # 424 x sqrt(2) = 599.6 mm off its corner
        ([1700 + 425, 700 + 425], False),  # 601.0 mm
    ],
)
def test_zone_2_of_a_bath(at: list[float], found: bool) -> None:
    room = {"outline": [[0, 0], [2500, 0], [2500, 2000], [0, 2000]], "fixtures": BATH}
    change = {"rooms": {"room": {**room, "thermostat": {"at": at}}}}
    findings = of_rule(check(change), "bath-zone")
    assert [f.items for f in findings if f.items[0] == "thermostat"] == (
        [("thermostat", "bath")] if found else []
    )


@pytest.mark.outside(
    "IEC 60364-7-701, 701.30: without a tray zone 1 is 1.20 m round the outlet, and no zone 2",
    "CONFIRMED B",
)
@pytest.mark.parametrize(("x", "found"), [(450 + 1199, True), (450 + 1200, False)])
def test_zone_1_of_an_open_shower(x: float, found: bool) -> None:
    room = {"fixtures": OPEN_SHOWER, "thermostat": {"at": [x, 0]}}
    assert finds("bath-zone", {"rooms": {"room": room}}) == found


@pytest.mark.as_printed("IEC 60364-7-701, 701.30: zones 1 and 2 reach 2.25 m high", "CONFIRMED B")
@pytest.mark.parametrize(("height", "found"), [(2249, True), (2250, False)])
def test_top_of_the_zones(height: float, found: bool) -> None:
    room = {"fixtures": BATH, "thermostat": {"at": [2000, 0], "height": height}}
    assert finds("bath-zone", {"rooms": {"room": room}}) == found


A_WORKED_EXAMPLE = pytest.mark.outside(
    "a worked example of continuous loads: 9.6 kW at 240 V and 3 A, 43 A x 125 % = 53.75 A",
    "CONFIRMED B",
)


def draws_43_a(breaker_a: float, capacity_a: float = 60) -> dict[str, Any]:
    """Lay 43 A of strip: 43 m of 240 W/m at 240 V."""
    return {
        "materials.films.film-80": {"voltage": "240 V", "output": "240 W/m"},
        "supply.voltage": "240 V",
        "rooms.room.rows.A.lengths": [6000] * 7 + [1000],
        "rooms.room.leads.W1": {"size": "16 mm2", "capacity": "60 A"},
        "circuits.C1.breaker": f"{breaker_a} A",
        "circuits.C1.cable": {"size": "16 mm2", "capacity": f"{capacity_a} A"},
    }


@A_WORKED_EXAMPLE
@pytest.mark.parametrize(("breaker_a", "found"), [(50, True), (53.7, True), (53.8, False)])
def test_continuous_load(breaker_a: float, found: bool) -> None:
    limits = {"breaker-rating": {"of_current": 125.0}}
    findings = of_rule(check(draws_43_a(breaker_a), limits=limits), "breaker-rating")
    assert bool(findings) == found
    if found:
        assert_agrees(there(findings[0].measured).value, 53.75, within=0.005)
        assert "43 A × 125 % = 53.75 A" in findings[0].message


@pytest.mark.outside("IEC 60364-5-52, table G.52.1: 5 %, which is 11.5 V of 230 V", "CONFIRMED B")
@pytest.mark.parametrize(("metres", "found"), [(179.9, False), (180.1, True)])
def test_drop_of_five_percent(metres: float, found: bool) -> None:
    # One strip of 529 W at 230 V is 100 ohm. It is left 95 % where the way to it has
    # 100 x 5 / 95 = 5.263 ohm. Out and back 1.5 mm2 has 2 x 12.1 ohm/km (IEC 60228, 20 degC) x
    # 1.1965 (70 degC) = 28.955 mohm/m: 181.77 m, of which 30 + 1470 + 281.6 mm are the lead.
    change = {
        "materials.films.film-80.output": "529 W/m",
        "rooms.room.rows.A.lengths": [1000],
        "rooms.room.leads.W1.route": ["junction-box", [30, 1500], [30, 30], "A1"],
        "circuits.C1.cable": {"size": "1.5 mm2", "length": f"{metres} m"},
    }
    findings = of_rule(check(change), "voltage-drop")
    assert bool(findings) == found
    if found:
        assert "218.5 V reach strip A1" in findings[0].message


@A_WORKED_EXAMPLE
@pytest.mark.parametrize(("capacity_a", "found"), [(50, True), (53.7, True), (53.8, False)])
def test_the_example_settings_size_for_continuous_loads(capacity_a: float, found: bool) -> None:
    file = Path(__file__).parents[2] / "plans" / "settings" / "continuous-load" / "underfoot.yaml"
    in_force = settings_finder([STANDARD], str(file))("plan.yaml")
    limits = {
        rule: {key: limit.value for key, limit in own.items() if limit.origin is not None}
        for rule, own in in_force.limits.items()
    }
    change = draws_43_a(60, capacity_a)
    report = check(change, limits={rule: own for rule, own in limits.items() if own})
    cable = [each for each in of_rule(report, "cable-capacity") if each.items == ("C1",)]
    assert bool(cable) == found
    if found:
        assert_agrees(there(cable[0].limit).least, 53.75, within=0.005)
