"""Figures that cannot be meant: both ends of every range, what is guessed, what falls silent."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.underfoot_rules.figures.odd import asked
from tests.underfoot_rules.plans import check, of_rule
from underfoot.checking.report import PlanReport
from underfoot_rules.figures import plausible
from underfoot_rules.figures.plausible import Range

# Where each row of the table stands in the base plan; a figure that has a unit is written with it.
PLACES: dict[str, tuple[tuple[str, ...], tuple[Range, ...]]] = {
    "film": (("materials", "films", "film-80"), plausible.FILM),
    "board": (("materials", "boards", "board-10"), plausible.BOARD),
    "sheet": (("materials", "sheets", "pe-02"), plausible.SHEET),
    "covering": (("materials", "coverings", "oak-14"), plausible.COVERING),
    "packs": (("packs",), plausible.PACKS),
    "underlay": (("rooms", "room", "underlay"), plausible.UNDERLAY),
    "overlay": (("rooms", "room", "overlay"), plausible.OVERLAY),
    "subfloor": (("rooms", "room", "subfloor"), plausible.SUBFLOOR),
    "supply": (("supply",), plausible.SUPPLY),
    "source": (("supply", "source"), plausible.SOURCE),
    "cable": (("circuits", "C1", "cable"), plausible.CABLE),
    "lead": (("rooms", "room", "leads", "W1"), plausible.LEAD),
    "circuit": (("circuits", "C1"), plausible.CIRCUIT),
    "room": (("rooms", "room"), plausible.ROOM),
    "test": (("tests",), plausible.TEST),
    "thermostat": (("rooms", "room", "thermostat"), plausible.THERMOSTAT),
    "contactor": (("rooms", "room", "thermostat", "contactor"), plausible.CONTACTOR),
    "junction box": (("rooms", "room", "junction_box"), plausible.JUNCTION_BOX),
    "sensor": (("rooms", "room", "sensor"), plausible.SENSOR),
    "channel": (("rooms", "room", "sensor", "channel"), plausible.CHANNEL),
    "conduit": (("rooms", "room", "sensor", "conduit"), plausible.CONDUIT),
    "grid": (("rooms", "room", "grid"), plausible.GRID),
    "fabric": (("rooms", "room", "fabric"), plausible.FABRIC),
}


ROWS = [(name, row) for name, (_, rows) in PLACES.items() for row in rows]


def nested(place: tuple[str, ...], value: Any) -> dict[str, Any]:
    for key in reversed(place):
        value = {key: value}
    return value  # type: ignore[no-any-return]


def with_figure(name: str, row: Range, value: float) -> PlanReport:
    text: Any = value if row.unit == "mm" else f"{value:.9g} {row.unit.replace('/h', '1/h')}"
    change: dict[str, Any] = {row.key: text}
    # Of a thickness and a resistance together it is asked whether any material is like that.
    if name in ("covering", "underlay", "overlay") and row.key == "resistance":
        change["thickness"] = None
    if name == "test":
        return check({"tests": [{"circuit": "C1", "stage": "made up", **change}]})
    if name == "fabric":
        surface = {"area": "10 m2", "u_value": "1 W/m2/K", "beyond": "outside"}
        change = {"surfaces": [surface], **change}
        loss = nested(("rooms", "room"), {"heat_loss": None})
        loss["rooms"]["room"]["fabric"] = change
        return check(loss)
    return check(nested(PLACES[name][0], change))


@pytest.mark.slow
@pytest.mark.parametrize(("name", "row"), ROWS, ids=[f"{n} {r.key}" for n, r in ROWS])
def test_both_ends_of_every_range(name: str, row: Range) -> None:
    # The first figures outside are a thousandth part off; the ends themselves may be met.
    step = 1e-3 * (row.most - row.least if row.unit == "degC" else 1)
    for value in (row.least, row.most):
        assert asked(with_figure(name, row, value)) == [], value
    outside = [row.most + step * (1 if row.unit == "degC" else row.most)]
    if row.least > 0 or row.unit == "degC":
        outside.append(row.least - step * (1 if row.unit == "degC" else row.least))
    for value in outside:
        ((_, items, severity),) = asked(with_figure(name, row, value))
        assert (items[-1], severity) == (row.key, row.severity), value


def test_an_absent_figure_is_not_asked_about() -> None:
    report = check({"circuits.C1": {"cable": None, "rcd": None, "breaker": None}})
    assert asked(report) == []


@pytest.mark.slow
@pytest.mark.parametrize(
    ("change", "items", "guess"),
    [
        # Of all slips that bring a figure into its range the likeliest one: no cable is offered
        # that is thinner than fixed wiring may be, and no resistance that hides how hot it gets.
        ({"circuits.C1.cable.size": "250 mm2"}, ("C1", "size"), "did you mean 2.5 mm²?"),
        ({"rooms.room.leads.W1.size": "150 mm2"}, ("W1", "size"), "did you mean 1.5 mm²?"),
        ({"supply.available": "2500 A"}, ("supply", "available"), "did you mean 25 A?"),
        (
            {"materials.coverings.oak-14": {"resistance": "1 m2 K/W", "thickness": None}},
            ("oak-14", "resistance"),
            "did you mean 0.1 m² K/W?",
        ),
        ({"rooms.room.junction_box.height": "45 m"}, ("height",), "did you mean 450 mm?"),
        (
            # 27 degF is no whole figure in degC, so that it was written as it stands.
            {"rooms.room.thermostat.floor_limit": "27 degF"},
            ("floor_limit",),
            "did you mean 27 degC?",
        ),
        # 200 degF are 93.3 degC, no better.
        ({"circuits.C1.cable.ambient": "200 degC"}, ("C1", "ambient"), "did you mean 20 degC?"),
        ({"circuits.C1.cable.length": 16}, ("C1", "length"), "did you mean 16 m?"),
        ({"circuits.C1.rcd": "0.03 mA"}, ("C1", "rcd"), "did you mean 30 mA?"),
        ({"circuits.C1.rcd": "30 A"}, ("C1", "rcd"), "did you mean 30 mA?"),
        ({"circuits.C1.breaker": "11 A"}, ("C1", "breaker"), "10 A or 13 A?"),
        ({"circuits.C1.breaker": "250 A"}, ("C1", "breaker"), "did you mean 200 A?"),
        ({"supply.voltage": "23 V"}, ("supply", "voltage"), "did you mean 230 V?"),
        ({"supply.voltage": "320 V"}, ("supply", "voltage"), "277 V or 347 V?"),
        # No more than 50 V is offered for SELV.
        (
            {"supply": {"voltage": "55 V", "system": "SELV"}},
            ("supply", "voltage"),
            "did you mean 48 V?",
        ),
        # A relative humidity: a tenth of it would let a wet slab pass.
        (
            {"rooms.room.subfloor.moisture": "95 %"},
            ("moisture",),
            "write what is meant. The damp of the air in a hole or under a hood is no share of "
            "water: measure by weight or with the carbide test.",
        ),
        ({"supply.voltage": "24 V"}, ("supply", "voltage"), "write `system: SELV`."),
        ({"supply.available": "40 mA"}, ("supply", "available"), "did you mean 40 A?"),
        (
            {"materials.sheets.pe-02.thickness": 0.02},
            ("pe-02", "thickness"),
            "did you mean 0.2 mm?",
        ),
        (
            # 81 degF are 27.2 degC.
            {"rooms.room.thermostat.floor_limit": "81 degC"},
            ("floor_limit",),
            "did you mean 81 degF?",
        ),
        # 60 degF are 15.6 degC: nobody sets a floor to that.
        ({"rooms.room.thermostat.floor_limit": "60 degC"}, ("floor_limit",), "write what is meant"),
        ({"rooms.room.thermostat.floor_limit": "5 degC"}, ("floor_limit",), "write what is meant"),
        ({"rooms.room.thermostat.height": 1.4}, ("height",), "did you mean 1400 mm?"),
    ],
)
def test_what_was_probably_meant(
    change: dict[str, Any], items: tuple[str, ...], guess: str
) -> None:
    (finding,) = of_rule(check(change), "odd-figure")
    assert finding.items == items
    assert guess in finding.remedy


def loss(value: float) -> dict[str, Any]:
    return {"rooms.room.heat_loss": f"{value} W"}


def strip(length: float) -> dict[str, Any]:
    told = {"film": "film-80", "at": [1000, 1000], "along": "x", "length": length, "circuit": "C1"}
    return {"rooms.room": {"rows": None, "elements": {"it": told}, "leads": None}}


def fixture(side: float) -> dict[str, Any]:
    press = {"at": [3000, 2000], "size": [side, side / 2], "kind": "floor-mounted"}
    return {"rooms.room.fixtures.it": press}


def screw(side: float) -> dict[str, Any]:
    return {"rooms.room.fixtures.it": {"at": [3600, 2000], "size": [side, side], "kind": "fixings"}}


def mains(volts: float) -> dict[str, Any]:
    return {"supply.voltage": f"{volts} V"}


def selv(volts: float) -> dict[str, Any]:
    return {"supply.voltage": f"{volts} V", "supply.system": "SELV"}


@pytest.mark.parametrize(
    ("drawn", "items", "right", "odd"),
    [
        # 4 m x 3 m are 12 m2; 8 W/m2 and 300 W/m2 of it are 96 W and 3600 W.
        (loss, ("heat_loss",), (96, 3600), (95.9, 3601)),
        (fixture, ("it",), (10, 60_000), (9.9, 60_001)),
        # A screw may be drawn as fixings.
        (screw, ("it",), (3, 8), (2.9,)),
        (strip, ("it",), (50, 100_000), (49.9, 100_001)),
        # 6 % off the highest and the lowest nominal voltage of a network, 100 V and 480 V.
        (mains, ("supply", "voltage"), (94, 253, 508.7), (93.9, 320, 508.9, 24)),
        # 60 V is too much for SELV, as another rule says, but transformers are made for it.
        (selv, ("supply", "voltage"), (24, 25.4, 60, 230), (25.5, 18, 55)),
    ],
)
def test_figures_that_are_asked_about_and_that_are_not(
    drawn: Callable[[float], dict[str, Any]],
    items: tuple[str, ...],
    right: tuple[float, ...],
    odd: tuple[float, ...],
) -> None:
    for value in right:
        assert asked(check(drawn(value))) == [], value
    for value in odd:
        assert [each[1] for each in asked(check(drawn(value)))] == [items], value


@pytest.mark.parametrize(
    ("low", "high", "found"),
    [
        (-30, 20, False),
        (0, 0, False),
        (-30.1, 5, True),
        (0.1, 5, True),
        (-10, 20.1, True),
        (-10, -0.1, True),
        (90, 105, True),
    ],
)
def test_the_tolerance_of_a_film(low: float, high: float, found: bool) -> None:
    report = check({"materials.films.film-80.tolerance": [low, high]})
    assert asked(report) == [(None, ("film-80", "tolerance"), "error")] * found
    for finding in of_rule(report, "odd-figure"):
        assert ("did you mean [-10, 5]?" in finding.remedy) == (low == 90)


@pytest.mark.parametrize(
    ("thickness", "resistance", "found"),
    [
        # 14 mm: 0.014 / 0.0028 = 5 W/m/K.
        (14, 0.0028, False),
        (14, 0.00279, True),
        (3, 0.5, False),
        (None, 0.001, False),
    ],
)
@pytest.mark.parametrize("layer", ["covering", "underlay", "overlay"])
def test_a_thickness_and_a_resistance_that_no_material_has(
    thickness: float | None, resistance: float, found: bool, layer: str
) -> None:
    told = {"thickness": thickness, "resistance": f"{resistance} m2 K/W"}
    change: dict[str, Any] = {"rooms.room": {layer: told}}
    items: tuple[str, ...] = ("resistance",)
    if layer == "covering":
        change = {"materials.coverings.oak-14": told}
        items = ("oak-14", "resistance")
    report = check(change)
    assert [each[1:] for each in asked(report)] == [(items, "warning")] * found
