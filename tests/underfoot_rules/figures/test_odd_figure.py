"""Figures that cannot be meant: both ends of every range, what is guessed, what falls silent."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tests.underfoot_rules.plans import A_DAY, BASE, check, of_rule, tally_of
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


def asked(report: PlanReport) -> list[tuple[str | None, tuple[str, ...], str]]:
    return [(each.room, each.items, each.severity) for each in of_rule(report, "odd-figure")]


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
        (
            # 200 degF are 93.3 degC, no better.
            {"circuits.C1.cable.ambient": "200 degC"},
            ("C1", "ambient"),
            "did you mean 20 degC?",
        ),
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
        (
            # 60 degF are 15.6 degC: nobody sets a floor to that.
            {"rooms.room.thermostat.floor_limit": "60 degC"},
            ("floor_limit",),
            "write what is meant",
        ),
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


def test_a_link_is_called_a_link() -> None:
    link = {"from": "room", "to": "other", "size": "1.5 mm2", "length": 6}
    other = {"use": "living", "outline": [[0, 0], [3000, 0], [3000, 3000], [0, 3000]]}
    change = {"rooms.other": other, "circuits.C1.links": [link]}
    (finding,) = of_rule(check(change), "odd-figure")
    assert finding.message.startswith("The length of the link of C1 from room to other is 6 mm")
    assert "did you mean 6 m?" in finding.remedy


def test_an_outline_in_metres_hides_no_overlap_of_strips_in_millimetres() -> None:
    strip = {"film": "film-80", "at": [300, 60], "along": "y", "length": 2750, "circuit": "C1"}
    room: dict[str, Any] = {
        "outline": [[0, 0], [4, 0], [4, 3], [0, 3]],
        "elements": {"X1": strip},
    }
    report = check({"rooms.room": room})
    assert of_rule(report, "element-overlap")
    assert tally_of(report, "wall-clearance").found == 0
    # Drawn in metres like the outline nothing of it can be told.
    room["rows"] = {"A": {"at": [0.06, 0.06]}}
    room["elements"] = {"X1": {**strip, "at": [0.3, 0.06]}}
    report = check({"rooms.room": room})
    assert tally_of(report, "element-overlap").found == 0
    assert tally_of(report, "element-overlap").undecided > 0


def test_a_row_in_metres_is_one_finding_and_hides_no_other_row() -> None:
    other = {"film": "film-80", "at": [60, 2900], "along": "x", "length": 1010, "circuit": "C1"}
    change = {"rows": {"A": {"lengths": [2.75] * 7}}, "elements": {"X1": other}}
    report = check({"rooms.room": change})
    assert [each.items for each in of_rule(report, "odd-figure")] == [("A",)]
    assert [each.items for each in of_rule(report, "cut-length")] == [("X1",)]
    assert tally_of(report, "cut-length").undecided == 7


@pytest.mark.parametrize(
    ("outline", "use", "severity"),
    [
        ([700, 300], "living", None),
        ([699, 400], "living", "error"),
        ([699, 400], "other", "error"),
        ([4000, 299], "living", "error"),
        ([30_000, 3000], "living", None),
        ([30_001, 3000], "living", "warning"),
        ([62_000, 3000], None, "warning"),
        ([60_000, 3000], "office", None),
        ([60_001, 3000], "office", "warning"),
        ([400_000, 3000], "other", None),
        ([400_001, 3000], "other", "warning"),
    ],
)
def test_the_size_of_a_room(outline: list[int], use: str | None, severity: str | None) -> None:
    x, y = outline
    room = {"outline": [[0, 0], [x, 0], [x, y], [0, y]], "use": use, "heat_loss": None}
    found = asked(check({"rooms.room": room}))
    assert found == ([] if severity is None else [("room", ("outline",), severity)])


@pytest.mark.parametrize(
    ("x", "y", "meant"),
    [
        (4, 3, "4 m × 3 m"),
        (400, 300, "400 cm × 300 cm"),
        # 0.6 is neither metres nor centimetres of a room; nothing is guessed.
        (0.6, 0.2, "write what is meant"),
    ],
)
def test_a_room_in_other_units(x: float, y: float, meant: str) -> None:
    room = {"outline": [[0, 0], [x, 0], [x, y], [0, y]]}
    (finding,) = of_rule(check({"rooms.room": room}), "odd-figure")
    assert meant in finding.remedy


def test_a_room_in_metres_is_one_finding_and_hides_nothing_else() -> None:
    row = {"at": [0.06, 0.06], "lengths": [2.75] * 7}
    lead = {"route": ["junction-box", [0.03, 1.5], [0.03, 0.03], "A"]}
    report = check(
        {
            "rooms.room": {
                "outline": [[0, 0], [4, 0], [4, 3], [0, 3]],
                "rows": {"A": row},
                "leads": {"W1": lead},
                "junction_box": {"at": [0, 1.5], "height": 0.45},
                "membrane": None,
            },
            "circuits.C1.breaker": None,
        }
    )
    assert {(each.rule, each.items) for each in report.findings} == {
        ("odd-figure", ("outline",)),
        ("membrane-missing", ()),
        ("breaker-rating", ("C1",)),
    }
    assert tally_of(report, "wall-clearance").undecided == 7


def test_a_room_that_is_only_long_is_judged() -> None:
    x = 31_000
    row = {"rows": {"A": {"at": [40, 60]}}}
    room = {"outline": [[0, 0], [x, 0], [x, 3000], [0, 3000]], "heat_loss": None, **row}
    report = check({"rooms.room": room})
    assert [each.items for each in of_rule(report, "wall-clearance")] == [("A1",)]


@pytest.mark.parametrize(
    ("loss", "found"), [(95.9, True), (96, False), (3600, False), (3601, True)]
)
def test_loss_over_the_floor(loss: float, found: bool) -> None:
    # 4 m x 3 m are 12 m2; 8 W/m2 and 300 W/m2 of it are 96 W and 3600 W.
    report = check({"rooms.room.heat_loss": f"{loss} W"})
    assert bool(of_rule(report, "odd-figure")) is found


@pytest.mark.parametrize(
    ("loss", "meant"),
    [
        ("60 W", "600 W"),
        ("6 kW", "600 W"),
        ("5 W", "500 W"),
        ("0.6 W", "600 W"),
        # Of two that are usual the nearer to 50 W/m2, as parts of each other: 90 of 9 and 90, 30
        # of 30 and 300, 100 of 10 and 100, 30 of 30 and 300.
        ("10.8 W", "1080 W"),
        ("36 W", "360 W"),
        ("12 kW", "1200 W"),
        ("36 kW", "360 W"),
    ],
)
def test_the_loss_that_was_probably_meant(loss: str, meant: str) -> None:
    # 50 W/m2 of 12 m2 are 600 W.
    (finding,) = of_rule(check({"rooms.room.heat_loss": loss}), "odd-figure")
    assert f"did you mean {meant}?" in finding.remedy


@pytest.mark.parametrize(
    ("side", "found"), [(9.9, True), (10, False), (60_000, False), (60_001, True)]
)
def test_the_size_of_a_fixture(side: float, found: bool) -> None:
    press = {"at": [3000, 2000], "size": [side, side / 2], "kind": "floor-mounted"}
    report = check({"rooms.room.fixtures.press": press})
    assert [each.items for each in of_rule(report, "odd-figure")] == [("press",)] * found


@pytest.mark.parametrize(("side", "found"), [(2.9, True), (3, False), (8, False)])
def test_a_screw_may_be_drawn_as_fixings(side: float, found: bool) -> None:
    screw = {"at": [3600, 2000], "size": [side, side], "kind": "fixings"}
    report = check({"rooms.room.fixtures.screw": screw})
    assert [each.items for each in of_rule(report, "odd-figure")] == [("screw",)] * found


@pytest.mark.parametrize(
    ("length", "found"), [(49.9, True), (50, False), (100_000, False), (100_001, True)]
)
def test_the_length_of_a_strip(length: float, found: bool) -> None:
    strip = {"film": "film-80", "at": [1000, 1000], "along": "x", "length": length, "circuit": "C1"}
    report = check({"rooms.room": {"rows": None, "elements": {"S1": strip}, "leads": None}})
    assert [each.items for each in of_rule(report, "odd-figure")] == [("S1",)] * found


def test_a_row_of_short_strips_is_asked_about_once() -> None:
    report = check({"rooms.room.rows.A.lengths": [2.75] * 7})
    assert [each.items for each in of_rule(report, "odd-figure")] == [("A",)]


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("1979-12-31", True),
        ("1980-01-01", False),
        # A_DAY is 2026-10-01; two years and a day later is as far ahead as a plan is dated.
        ("2028-10-01", False),
        ("2028-10-02", True),
        ("2066-10-01", True),
    ],
)
def test_the_date_of_a_plan(written: str, found: bool) -> None:
    assert date(2026, 10, 1) == A_DAY
    report = check({"job.date": written})
    assert bool(of_rule(report, "odd-figure")) is found
    # Another day would give another report where the date lies ahead.
    assert (report.today is not None) is (written > "2027-10-01")


@pytest.mark.parametrize(("until", "found"), [("2036-10-01", False), ("2066-10-01", True)])
def test_a_waiver_that_never_ends(until: str, found: bool) -> None:
    waiver = {
        "rule": "wall-clearance", "item": "A1", "reason": "as built", "agreed_by": "design lead",
        "until": until,
    }  # fmt: skip
    report = check({"waivers": [waiver]})
    assert bool(of_rule(report, "odd-figure")) is found


@pytest.mark.parametrize(
    ("volts", "system", "found"),
    [
        # 6 % off the highest and the lowest nominal voltage of a network, 100 V and 480 V.
        (93.9, "mains", True),
        (94, "mains", False),
        (253, "mains", False),
        (320, "mains", True),
        (508.7, "mains", False),
        (508.9, "mains", True),
        (24, "mains", True),
        (24, "SELV", False),
        (25.4, "SELV", False),
        (25.5, "SELV", True),
        (18, "SELV", True),
        # Another rule's business.
        (60, "SELV", False),  # too much for SELV, but transformers are made for it
        (55, "SELV", True),
        (230, "SELV", False),
    ],
)
def test_voltages_that_the_world_uses(volts: float, system: str, found: bool) -> None:
    report = check({"supply": {"voltage": f"{volts} V", "system": system}})
    assert [each.items for each in of_rule(report, "odd-figure")] == [("supply", "voltage")] * found


def test_large_buildings_have_more_to_spare() -> None:
    # 32 A a circuit, and 200 A in any case.
    def spare(current: int, circuits: int) -> bool:
        more = {f"X{number}": {"shares": "C1"} for number in range(circuits - 1)}
        change = {"supply.available": f"{current} A", "circuits": more}
        return bool(of_rule(check(change), "odd-figure"))

    assert (spare(200, 1), spare(201, 1)) == (False, True)
    assert (spare(320, 10), spare(321, 10)) == (False, True)


def test_films_that_no_strip_is_cut_from_are_not_asked_about() -> None:
    film = {**BASE["materials"]["films"]["film-80"], "width": 5}
    assert asked(check({"materials.films.spare": film})) == []


def test_a_plan_without_a_job_has_no_date_to_look_at() -> None:
    report = check({"job": None})
    assert not report.faults
    assert not [one for one in of_rule(report, "odd-figure") if "job" in one.items]
