"""How hot a film gets with its thermostat stuck, worked out by hand beside each value.

The base plan has 0.010 / 0.033 m2 K/W of board below, oak 0.10, underlay 0.03 and a sheet of
0.0002 / 0.19 above; its film may give 5 % more than rated. On a warm day the room and all below it
have 24 degC, so that the film is warmer than both by the output through the two ways together:
q x Ru x Rd / (Ru + Rd), with Ru = 1 / 10.8 + what lies above (ISO 11855-2 A.29 to A.31).
"""

from typing import Any

import pytest

from tests.underfoot_rules.build_up.balance import BOARD, one, over_heated
from tests.underfoot_rules.plans import BASE, check, limit_of, measured, of_rule, tally_of
from underfoot.checking.facts.layers import FloorStack, Layer, Warmth
from underfoot.checking.page import merge_patch
from underfoot.checking.report import PlanReport, ReportedFinding

RULE = "film-temperature"
MEMBRANE = 0.0002 / 0.19


def _check(film: dict[str, Any], covering: dict[str, Any] | None = None, **room: Any) -> PlanReport:
    bears = {"most_output": "900 W/m2", **(covering or {})}
    materials = {"films": {"film-80": film}, "coverings": {"oak-14": bears}}
    return check({"materials": materials, "rooms.room": room})


def _one(report: PlanReport) -> ReportedFinding:
    return one(report, RULE)


def _film_c(output: float, above: float, below: float, around: float = 24.0) -> float:
    up = 1 / 10.8 + 0.03 + MEMBRANE + above
    return around + output * up * below / (up + below)


def test_film_temperature_by_hand() -> None:
    # 200 W/m2 and 5 %, under 0.25 + 0.03 m2 K/W: Ru = 0.37364, and Rd = 0.30303 + 1.1
    # + 0.17 = 1.57303: 24 + 210 x 0.30192 = 87.40 degC. Up go 63.40 / 0.37364 = 169.7 W/m2.
    report = _check(
        {"output": "200 W/m2"}, {"resistance": "0.25 m2 K/W"}, subfloor=over_heated(1.1)
    )
    finding = _one(report)
    assert finding.severity == "error"
    assert measured(finding) == pytest.approx(87.40, abs=0.005)
    assert measured(finding) == pytest.approx(_film_c(210, 0.25, BOARD + 1.27))
    assert limit_of(finding).most == 80
    details = dict(finding.details)
    assert details["film at full output"] == "87.4 °C"
    # Below underlay and sheet: 87.40 - 169.7 x 0.03105 = 82.13; below the boards 40.3 W/m2 x 0.303
    # less: 75.19 degC, which is where the timber begins.
    assert details["underside of covering oak-14"] == "82.1 °C"
    assert details["below the boards"] == "75.2 °C"
    assert details["timber of the subfloor"] == "75.2 °C"
    assert details["inside"].startswith("24 °C")
    assert details["below"] == "24 °C, taken as warm as the room"
    assert details["tolerance"] == "5 % more than rated is counted"


@pytest.mark.parametrize("kind", ["timber", "existing floor"])
def test_timber_further_down_is_looked_for(kind: str) -> None:
    concrete = {"material": "concrete", "thickness": 100, "resistance": "0.1 m2 K/W"}
    boards = {"material": "floorboards", "thickness": 22, "resistance": "0.9 m2 K/W"}
    report = _check(
        {"output": "220 W/m2"},
        {"resistance": "0.25 m2 K/W"},
        subfloor={"kind": kind, "below": "heated", "layers": [concrete, boards]},
    )
    finding = _one(report)
    film = _film_c(231, 0.25, BOARD + 1.17)
    down = (film - 24) / (BOARD + 1.17)
    said = dict(finding.details)["timber of the subfloor"]
    assert float(said.split()[0]) == pytest.approx(film - down * (BOARD + 0.1), abs=0.05)


@pytest.mark.parametrize(("over_k", "found"), [(-0.01, False), (0.0, False), (0.01, True)])
def test_film_at_80_degrees(over_k: float, found: bool) -> None:
    # IEC 60364-7-753, 80 degC (CONFIRMED C). The output that brings it there, by the same balance.
    up, below = 1 / 10.8 + 0.28 + MEMBRANE, BOARD + 1.27
    output = (56 + over_k) * (up + below) / (up * below) / 1.05
    film = {"output": f"{output:.9f} W/m2"}
    report = _check(film, {"resistance": "0.25 m2 K/W"}, subfloor=over_heated(1.1))
    assert bool(of_rule(report, RULE)) is found
    assert tally_of(report, RULE).undecided == 0


@pytest.mark.parametrize(
    ("warmest", "found"), [("53 degC", True), ("54 degC", False), ("90 degC", False)]
)
def test_film_that_bears_less_or_more(warmest: str, found: bool) -> None:
    # 149.1 W/m2 under 0.10 + 0.03: Ru 0.22364, Rd 1.57303: 24 + 149.1 x 0.19580 = 53.19 degC.
    report = _check({"output": "142 W/m2", "warmest": warmest}, subfloor=over_heated(1.1))
    assert _film_c(149.1, 0.1, BOARD + 1.27) == pytest.approx(53.19, abs=0.005)
    assert bool(of_rule(report, RULE)) is found
    if found:
        assert "the maker's figure" in _one(report).basis.text


def test_no_film_may_get_hotter_than_80_whatever_it_bears() -> None:
    hot = {"output": "200 W/m2", "warmest": "120 degC"}
    report = _check(hot, {"resistance": "0.25 m2 K/W"}, subfloor=over_heated(1.1))
    finding = _one(report)
    assert limit_of(finding).most == 80


def test_a_room_that_is_warmer_is_taken_as_it_is() -> None:
    film, sauna = {"output": "200 W/m2"}, {"inside": "30 degC", "outside": "-5 degC"}
    report = _check(film, {"resistance": "0.25 m2 K/W"}, subfloor=over_heated(1.1), fabric=sauna)
    assert measured(_one(report)) == pytest.approx(_film_c(210, 0.25, BOARD + 1.27, around=30))


def test_a_cold_space_below_does_not_count() -> None:
    cold = {**over_heated(1.1), "below": "outside"}
    report = _check(
        {"output": "200 W/m2"}, {"resistance": "0.25 m2 K/W"}, subfloor=cold,
        fabric={"outside": "-15 degC"},
    )  # fmt: skip
    # To the open air 0.04 instead of 0.17 m2 K/W; a mild day is as warm outside as inside.
    assert measured(_one(report)) == pytest.approx(_film_c(210, 0.25, BOARD + 1.14))


def test_a_film_without_tolerance_is_taken_as_rated() -> None:
    film = {"output": "200 W/m2", "tolerance": None}
    report = _check(film, {"resistance": "0.25 m2 K/W"}, subfloor=over_heated(1.1))
    finding = _one(report)
    assert measured(finding) == pytest.approx(_film_c(200, 0.25, BOARD + 1.27))
    assert "tolerance" not in dict(finding.details)


def test_a_tolerance_below_the_rating_lowers_nothing() -> None:
    film = {"output": "200 W/m2", "tolerance": [-10, -5]}
    report = _check(film, {"resistance": "0.25 m2 K/W"}, subfloor=over_heated(1.1))
    assert measured(_one(report)) == pytest.approx(_film_c(200, 0.25, BOARD + 1.27))


def test_remedies_do_what_they_say() -> None:
    subfloor = over_heated(1.1)
    finding = _one(_check({"output": "200 W/m2"}, {"resistance": "0.25 m2 K/W"}, subfloor=subfloor))
    # 56 K / 0.30192 / 1.05 = 176.6 W/m2; Ru of 56 K at 210: 1 / (210 / 56 - 1 / 1.57303) = 0.32110,
    # less 1 / 10.8: 0.22850 m2 K/W.
    assert "a film of at most 176.6 W/m²" in finding.remedy
    assert "at most 0.228 m² K/W together" in finding.remedy
    weaker = _check({"output": "176.6 W/m2"}, {"resistance": "0.25 m2 K/W"}, subfloor=subfloor)
    thinner = _check(
        {"output": "200 W/m2"}, {"resistance": f"{0.228 - 0.03 - MEMBRANE:.6f} m2 K/W"},
        subfloor=subfloor,
    )  # fmt: skip
    assert of_rule(weaker, RULE) == of_rule(thinner, RULE) == ()


def test_a_film_that_bears_nothing_has_no_remedy() -> None:
    report = _check({"output": "80 W/m2", "warmest": "20 degC"}, subfloor=over_heated(1.1))
    assert _one(report).remedy.startswith("No film suits this floor")


# what the plan does not say


def test_unknown_subfloor_is_bounded_both_ways() -> None:
    bare, thick = {"kind": "timber", "below": "heated"}, {"resistance": "0.25 m2 K/W"}
    # Nothing but the board and the surface below: Rd = 0.47303: 210 x 0.20876 = 43.8 K; nothing
    # going down: 210 x 0.37364 = 78.5 K. The first is in order, the second is not: not known.
    row = tally_of(_check({"output": "200 W/m2"}, thick, subfloor=bare), RULE)
    assert row.why == "the subfloor's layers are not given (`subfloor.layers`)"
    # 140 W/m2 make 24 + 147 x 0.37364 = 78.9 degC even then: in order, and nothing is asked for.
    row = tally_of(_check({"output": "140 W/m2"}, thick, subfloor=bare), RULE)
    assert (row.checked, row.found, row.undecided) == (1, 0, 0)
    # 300 W/m2 make at least 24 + 315 x 0.20876 = 89.8 degC.
    finding = _one(_check({"output": "300 W/m2"}, thick, subfloor=bare))
    assert measured(finding) == pytest.approx(_film_c(315, 0.25, BOARD + 0.17))
    assert "at least" in finding.message
    details = dict(finding.details)
    assert details["film at full output"] == f"at most {24 + 315 * 0.373645:.1f} °C"
    assert details["timber of the subfloor"] == details["film at full output"]


LACKING: list[tuple[dict[str, Any], str]] = [
    ({"rooms": {"room": {"subfloor": {"below": None}}}},
     "what lies below the subfloor is not given (`subfloor.below`)"),
    ({"rooms": {"room": {"subfloor": None}}},
     "what lies below the subfloor is not given (`subfloor.below`)"),
    ({"materials": {"boards": {"board-10": {"conductivity": None}}}},
     "the resistance of board board-10 cannot be told: give its `conductivity` or `material`"),
    ({"rooms": {"room": {"subfloor": {"below": "outside"}}}},
     "the temperature outside is not given (`fabric.outside`)"),
    ({"rooms": {"room": {"covering": None}}}, "no covering is given (`covering`)"),
    ({"materials": {"coverings": {"oak-14": {"resistance": None, "thickness": None}}}},
     "the resistance of covering oak-14 cannot be told: give its `resistance`, or `thickness` "
     "with `conductivity` or `material`"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "why"), LACKING)
def test_a_hot_film_is_not_called_in_order_where_a_key_is_missing(
    change: dict[str, Any], why: str
) -> None:
    materials = {"films": {"film-80": {"output": "300 W/m2"}}}
    whole = {"materials": materials, "rooms": {"room": {"subfloor": over_heated(1.1)}}}
    report = check(change, merge_patch(BASE, whole))
    row = tally_of(report, RULE)
    assert (row.found, row.why) == (0, why)


@pytest.mark.parametrize("change", [change for change, _ in LACKING[:4]])
def test_a_mild_film_is_in_order_whatever_lies_below(change: dict[str, Any]) -> None:
    whole = merge_patch(BASE, {"rooms": {"room": {"subfloor": over_heated(1.1)}}})
    row = tally_of(check(change, whole), RULE)
    assert (row.checked, row.found, row.undecided) == (1, 0, 0)


def test_the_hottest_of_two_parts_speaks() -> None:
    film = merge_patch(BASE["materials"]["films"]["film-80"], {"output": "300 W/m2"})
    change = {
        "materials": {
            "films": {"film-80": {"output": "260 W/m2"}, "film-300": film},
            "coverings": {"oak-14": {"resistance": "0.2 m2 K/W", "most_output": "900 W/m2"}},
        },
        "rooms": {
            "room": {
                "subfloor": over_heated(1.1),
                "rows": {
                    "A": {"lengths": [2750] * 3},
                    "B": {"film": "film-300", "at": [1560, 60], "along": "y", "lengths": [2750] * 3,
                          "circuit": "C1"},
                },
            }
        },
    }  # fmt: skip
    finding = _one(check(change))
    assert "film-300 under oak-14" in finding.message
    assert measured(finding) == pytest.approx(_film_c(315, 0.2, BOARD + 1.27))


def test_a_film_of_the_wrong_voltage_is_told_once() -> None:
    report = _check({"voltage": "115 V"}, subfloor=over_heated(1.1))
    assert of_rule(report, "film-voltage")
    assert of_rule(report, RULE) == ()


def test_missing_insulation_does_not_hide_a_hot_film() -> None:
    report = _check(
        {"output": "300 W/m2"}, {"resistance": "0.25 m2 K/W"}, subfloor=over_heated(1.1),
        insulation=None,
    )  # fmt: skip
    assert of_rule(report, "insulation-missing")
    assert "below the boards" not in dict(_one(report).details)
    assert measured(_one(report)) == pytest.approx(_film_c(315, 0.25, 1.27))


def test_the_warmer_side_of_a_layer_lies_where_the_heat_comes_from() -> None:
    # 10 W/m2 under 0.9074 + 1 / 10.8 = 1 m2 K/W in a room of 20 degC, and 60 degC below 1 m2 K/W:
    # up (10 + 40) / 2 = 25 W/m2, so 15 come from below: film 45, below the layer 60 degC. By the
    # curve the film is 0.24 K warmer: 25 W/m2 are 2.55 K there, and 2.31 K at 10.8 W/m2/K.
    room, beyond = (
        Warmth(temperature_c=20.0, said="taken"),
        Warmth(temperature_c=60.0, said="taken"),
    )
    over, under = (
        Layer(name="over", resistance_m2k_w=1 - 1 / 10.8, source="given"),
        Layer(name="under", resistance_m2k_w=1.0, source="given"),
    )
    stack = FloorStack(above=(over,), below=(under,), room=room, beyond=beyond, whole=True)
    sides = {layer.name: warm_c for layer, warm_c in stack.warm_sides(stack.settle(10.0))}
    assert sides["over"] == pytest.approx(45.24, abs=0.01)
    assert sides["under"] == pytest.approx(60.24, abs=0.01)
