"""Safety extra-low voltage: its voltage, its source, its rooms, its connectors."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, limit_of, measured, of_rule, tally_of
from underfoot.checking.report import PlanReport

SAFE = {
    "kind": "safety isolating transformer",
    "standard": "IEC 61558-2-6",
    "rating": "1000 VA",
}


def low(volts: float = 24, source: Any = SAFE, **more: Any) -> dict[str, Any]:
    """The base plan at extra-low voltage: 7 strips of 27.5 W, 192.5 W, without RCD or class."""
    return {
        "materials": {
            "films": {
                "film-80": {
                    "voltage": f"{volts} V",
                    "output": "10 W/m",
                    "protection_class": None,
                    **more.pop("film", {}),
                }
            }
        },
        "supply": {"voltage": f"{volts} V", "system": "SELV", "source": source},
        "circuits": {"C1": {"rcd": None}},
        **more,
    }


def severities(report: PlanReport, rule: str) -> list[str]:
    return [f.severity for f in of_rule(report, rule)]


def test_selv_needs_neither_rcd_nor_grid() -> None:
    report = check(low())
    assert tally_of(report, "rcd").checked == tally_of(report, "protective-grid").checked == 0
    assert tally_of(report, "selv-source").checked == 1
    assert severities(report, "selv-source") == []


@pytest.mark.parametrize(
    ("volts", "source"),
    [
        (51, SAFE),
        (24, None),
        (24, {}),
        (24, {"standard": "IEC 61558-2-6"}),
        (24, {"kind": "isolating transformer", "standard": "IEC 61558-2-6"}),
        (24, {"kind": "autotransformer"}),
        (24, {"kind": "other"}),
    ],
)
def test_what_is_no_selv_is_exempt_from_nothing(volts: float, source: Any) -> None:
    report = check(low(volts, source))
    assert severities(report, "selv-source") == ["error"]
    assert severities(report, "rcd") == ["error"]
    assert severities(report, "protective-grid") == ["error"]


def test_what_is_missing_of_a_source_is_named() -> None:
    (found,) = of_rule(check(low(24, None)), "selv-source")
    assert "but its source is not written" in found.message
    (found,) = of_rule(check(low(24, {"rating": "1 kVA"})), "selv-source")
    assert "but the kind of its source is not written" in found.message
    (found,) = of_rule(check(low(24, {"kind": "other"})), "selv-source")
    assert "written as `other`" in found.message


def test_the_mains_called_selv() -> None:
    (found,) = of_rule(check({"supply.system": "SELV"}), "selv-source")
    assert (measured(found), found.severity) == (230, "error")


@pytest.mark.parametrize(("volts", "found"), [(50, []), (50.01, ["error"])])
def test_fifty_volts_is_the_most(volts: float, found: list[str]) -> None:
    assert severities(check(low(volts)), "selv-source") == found


@pytest.mark.parametrize(
    ("kind", "standard", "found"),
    [
        ("safety isolating transformer", "EN 61558-2-6:2021", []),
        ("safety power supply", "IEC 61558-2-16", []),
        ("safety power supply", "IEC 61558-1, IEC 61558-2-16", []),
        ("safety isolating transformer", None, ["warning"]),
        ("safety isolating transformer", "IEC 61558-1", ["warning"]),
        ("safety isolating transformer", "IEC 61558-2-4", ["error"]),
        ("safety isolating transformer", "IEC 61558-2-13", ["error"]),
        ("safety isolating transformer", "IEC 61558-2-60", ["error"]),
        ("battery", None, []),
    ],
)
def test_the_standard_of_a_source(kind: str, standard: str | None, found: list[str]) -> None:
    source = {"kind": kind, "standard": standard, "rating": "1 kVA"}
    assert severities(check(low(24, source)), "selv-source") == found


def test_no_selv_is_asked_of_the_mains() -> None:
    assert tally_of(check({}), "selv-source").checked == 0
    empty: dict[str, Any] = {"rooms.room": {"rows": None, "leads": None}}
    assert tally_of(check(low(**empty)), "selv-source").checked == 0


# 7 strips of 27.5 W: 192.5 VA.
@pytest.mark.parametrize(("rating", "found"), [("192.5 VA", []), ("192.4 VA", ["error"])])
def test_the_rating_of_a_source(rating: str, found: list[str]) -> None:
    report = check(low(24, {**SAFE, "rating": rating}))
    assert severities(report, "source-rating") == found


def test_a_source_without_its_rating_is_not_called_in_order() -> None:
    report = check(low(24, {**SAFE, "rating": None}))
    row = tally_of(report, "source-rating")
    assert (row.checked, row.undecided) == (1, 1)
    report = check(low(24, {"kind": "battery"}))
    assert tally_of(report, "source-rating").checked == 0


def test_the_rating_counts_at_the_voltage_of_the_supply() -> None:
    # 24 V on film for 25 V: 192.5 x (24/25) squared = 177.4 VA.
    report = check(low(24, {**SAFE, "rating": "178 VA"}, film={"voltage": "25 V"}))
    assert severities(report, "source-rating") == []
    report = check(low(24, {**SAFE, "rating": "177 VA"}, film={"voltage": "25 V"}))
    assert severities(report, "source-rating") == ["error"]


def bathroom(fixtures: Any, use: str = "living") -> dict[str, Any]:
    outline = [[0, 0], [6000, 0], [6000, 3000], [0, 3000]]
    return {"room": {"use": use, "outline": outline, "fixtures": fixtures}}


BATH = {"bath": {"at": [5300, 0], "size": [700, 1700], "kind": "bath"}}
UNDER = {"bath": {"at": [3000, 0], "size": [700, 1700], "kind": "shower"}}


def shower(x: float) -> dict[str, Any]:
    """An open shower whose outlet is `x` mm along; the strips end at 3560."""
    return {
        "shower": {"at": [5100, 0], "size": [900, 900], "kind": "open shower", "outlet": [x, 450]}
    }


@pytest.mark.parametrize(
    ("volts", "fixtures", "found"),
    [
        (25, BATH, []),
        (25.1, BATH, ["warning"]),
        (12, UNDER, []),
        (12.1, UNDER, ["error"]),
        (48, UNDER, ["error"]),
        (24, shower(3560 + 1201), []),
        (24, shower(3560 + 1199), ["error"]),
        (12, shower(3560 + 1199), []),
        (48, shower(3560 + 1201), ["warning"]),
    ],
)
def test_volts_in_a_bathroom(volts: float, fixtures: Any, found: list[str]) -> None:
    report = check(low(volts, rooms=bathroom(fixtures)))
    assert severities(report, "selv-voltage") == found


def test_an_open_shower_without_an_outlet_counts_from_its_edge() -> None:
    near = {"shower": {"at": [4759, 0], "size": [900, 900], "kind": "open shower"}}
    assert severities(check(low(24, rooms=bathroom(near))), "selv-voltage") == ["error"]
    near["shower"]["at"] = [4761, 0]
    assert severities(check(low(24, rooms=bathroom(near))), "selv-voltage") == []


def test_a_bathroom_without_its_bath_is_not_called_in_order() -> None:
    row = tally_of(check(low(24, rooms=bathroom({}, "bathroom"))), "selv-voltage")
    assert (row.checked, row.undecided) == (1, 1)
    row = tally_of(check(low(12, rooms=bathroom({}, "bathroom"))), "selv-voltage")
    assert (row.checked, row.undecided) == (1, 0)


def test_dry_rooms_and_the_mains_are_not_asked() -> None:
    assert tally_of(check(low(48)), "selv-voltage").checked == 0
    mains = check({"rooms": bathroom(BATH)})
    assert tally_of(mains, "selv-voltage").checked == 0
    named = check({"rooms": bathroom(BATH), "supply.system": "SELV"})
    assert tally_of(named, "selv-voltage").checked == 0  # 230 V is selv-source's
    change = low(48, rooms=bathroom(BATH))
    change["supply"]["system"] = "mains"
    assert tally_of(check(change), "selv-voltage").checked == 0
    # Called SELV without a source it is still judged: the voltage is there.
    assert severities(check(low(48, None, rooms=bathroom(BATH))), "selv-voltage") == ["warning"]


# 192.5 W at 12 V: 16.0417 A through the one lead.
@pytest.mark.parametrize(("bears", "found"), [("16.05 A", []), ("16.04 A", ["error"])])
def test_connectors_decide_at_extra_low_voltage(bears: str, found: list[str]) -> None:
    report = check(low(12, film={"largest_current": bears}))
    assert severities(report, "circuit-current") == found
    assert tally_of(report, "circuit-current").undecided == 0


def test_connectors_that_say_nothing_are_asked_for_only_where_it_matters() -> None:
    row = tally_of(check(low(12)), "circuit-current")
    assert (row.checked, row.undecided) == (1, 1)
    assert "what the connectors of film-80 may carry" in (row.why or "")
    # 192.5 W at 20 V: 9.625 A.
    assert tally_of(check(low(20)), "circuit-current").undecided == 0


def test_what_goes_through_one_lead_counts() -> None:
    # Two leads to four strips and three: 9.1667 A and 6.875 A of 16.04 A.
    start = ["junction-box", [30, 1500], [30, 30]]
    leads = {
        "W1": {"route": [*start, "A1", "A2", "A3", "A4"]},
        "W2": {"circuit": "C1", "size": "1.5 mm2", "recessed": True,
               "route": [*start, "A5", "A6", "A7"]},
    }  # fmt: skip
    two = {"room": {"leads": leads}}
    report = check(low(12, rooms=two, film={"largest_current": "9.17 A"}))
    assert severities(report, "circuit-current") == []
    (found,) = of_rule(
        check(low(12, rooms=two, film={"largest_current": "9.16 A"})), "circuit-current"
    )
    assert measured(found) == pytest.approx(4 * 27.5 / 12)
    assert found.basis.kind == "maker's manual"
    # 9.17 A is no more than 10 A: nothing need be asked.
    assert tally_of(check(low(12, rooms=two)), "circuit-current").undecided == 0


def test_connectors_of_mains_film_count_beside_the_ten_amperes() -> None:
    films = {"film-80": {"largest_current": "3.3 A"}}
    report = check({"materials.films": films})  # 3.348 A
    assert severities(report, "circuit-current") == ["error"]
    strong = {"film-80": {"largest_current": "16 A", "output": "125 W/m"}}
    (found,) = of_rule(check({"materials.films": strong}), "circuit-current")
    assert limit_of(found).most == 10  # 10.46 A


@pytest.mark.parametrize("lead", [None, {"route": ["junction-box", [30, 1500]]}])
def test_a_lead_that_joins_nothing_leaves_the_whole_current(lead: Any) -> None:
    leads: dict[str, Any] = {"W1": lead}
    report = check(low(12, rooms={"room": {"leads": leads}}, film={"largest_current": "16 A"}))
    assert severities(report, "circuit-current") == ["error"]
