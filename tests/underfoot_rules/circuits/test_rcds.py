"""RCDs: their type, the circuits that stand behind one, and what leaks there."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, measured, of_rule, tally_of

# 7 strips of 0.5 x 2.75 m: 9.625 m2, 19.25 m.
AREA_M2 = 9.625


def two(first: dict[str, Any], second: dict[str, Any], **film: Any) -> dict[str, Any]:
    """Circuits of four strips and of three, each with the given protection."""
    lengths: list[Any] = [2750] * 4 + [{"length": 2750, "circuit": "C2"}] * 3
    return {
        "materials": {"films": {"film-80": film}},
        "rooms": {"room": {"rows": {"A": {"lengths": lengths}}}},
        "circuits": {
            "C1": {"rcd": None, **first},
            "C2": {"thermostat": "room", "breaker": "10 A", **second},
        },
    }


@pytest.mark.parametrize(("kind", "found"), [("AC", 1), ("A", 0), ("F", 0), ("B", 0), (None, 0)])
def test_type_ac_alone_is_asked_about(kind: str | None, found: int) -> None:
    report = check({"circuits.C1.rcd_type": kind})
    assert [f.severity for f in of_rule(report, "rcd-type")] == ["warning"] * found
    assert tally_of(report, "rcd-type").checked == (kind is not None)


def test_what_one_circuit_of_a_group_writes_holds_for_all() -> None:
    group = {"rcd_group": "R1"}
    report = check(two({**group, "rcd": "30 mA", "rcd_type": "AC"}, group))
    assert not of_rule(report, "rcd")
    (found,) = of_rule(report, "rcd-type")
    assert found.items == ("C1", "C2")
    assert "circuits C1 and C2 (R1)" in found.message
    # It may stand with the second circuit alone.
    report = check(two(group, {**group, "rcd": "30 mA", "rcd_type": "AC"}))
    assert not of_rule(report, "rcd")
    assert len(of_rule(report, "rcd-type")) == 1
    report = check(two({**group, "rcd": "100 mA"}, group))
    assert [f.items for f in of_rule(report, "rcd")] == [("C1",), ("C2",)]


def test_a_group_without_an_rcd_protects_nobody() -> None:
    report = check(two({"rcd_group": "R1"}, {"rcd_group": "R1"}))
    assert [f.items for f in of_rule(report, "rcd")] == [("C1",), ("C2",)]
    report = check(two({"rcd_group": "R1"}, {"rcd_group": "R2", "rcd": "30 mA"}))
    assert [f.items for f in of_rule(report, "rcd")] == [("C1",)]


# Of 30 mA: 9 mA is the most, 15 mA may trip.
@pytest.mark.parametrize(
    ("leaks_ma", "severity"),
    [(9.0, None), (9.01, "warning"), (15.0, "warning"), (15.01, "error")],
)
def test_leakage_of_one_circuit(leaks_ma: float, severity: str | None) -> None:
    film = {"leakage": f"{leaks_ma / AREA_M2!r} mA/m2"}
    report = check({"materials.films.film-80": film})
    found = of_rule(report, "rcd-leakage")
    assert [f.severity for f in found] == ([] if severity is None else [severity])
    for each in found:
        assert measured(each) == pytest.approx(leaks_ma)


def test_circuits_behind_one_rcd_leak_together() -> None:
    # 5.5 m2 and 4.125 m2 at 1 mA/m2: each below 9 mA, 9.625 mA together.
    own = {"rcd": "30 mA"}
    assert not of_rule(check(two(own, own, leakage="1 mA/m2")), "rcd-leakage")
    grouped = {"rcd": "30 mA", "rcd_group": "R1"}
    (found,) = of_rule(check(two(grouped, grouped, leakage="1 mA/m2")), "rcd-leakage")
    assert found.items == ("C1", "C2")
    assert measured(found) == pytest.approx(9.625)


def test_a_circuit_that_shares_protection_leaks_there_too() -> None:
    change = two({"rcd": "30 mA"}, {}, leakage="1 mA/m2")
    change["circuits"]["C2"] = {"thermostat": "room", "shares": "C1"}
    (found,) = of_rule(check(change), "rcd-leakage")
    assert found.items == ("C1",)
    assert measured(found) == pytest.approx(9.625)


def mixed(leakage: str) -> dict[str, Any]:
    """Four strips that state their leakage, and three of another film that do not."""
    plain = {"width": 500, "output": "80 W/m2", "voltage": "230 V", "protection_class": "II"}
    lengths: list[Any] = [2750] * 4
    row = {"film": "film-b", "after": "A", "along": "y", "lengths": [2750] * 3, "circuit": "C1"}
    return {
        "materials": {"films": {"film-80": {"leakage": leakage}, "film-b": plain}},
        "rooms": {"room": {"rows": {"A": {"lengths": lengths}, "B": row}}},
    }


def test_a_film_that_states_nothing_beside_one_that_does() -> None:
    report = check(mixed("1 mA/m2"))  # 5.5 mA and what film-b leaks
    row = tally_of(report, "rcd-leakage")
    assert (row.checked, row.undecided) == (1, 1)
    assert "film-b" in (row.why or "")
    (found,) = of_rule(check(mixed("2 mA/m2")), "rcd-leakage")  # 11 mA without film-b
    assert found.severity == "warning"
    assert "film-b comes on top" in found.message


def test_nothing_stated_is_not_asked_for() -> None:
    assert tally_of(check({}), "rcd-leakage").checked == 0
    # Without an RCD that is the fault, and no share of it can be worked out.
    report = check(two({}, {"rcd": "30 mA"}, leakage="0.1 mA/m2"))
    assert tally_of(report, "rcd-leakage").checked == 1


def test_selv_has_no_rcd_to_judge() -> None:
    change = {
        "materials": {"films": {"film-80": {"voltage": "24 V", "leakage": "9 mA/m2"}}},
        "supply": {
            "voltage": "24 V",
            "system": "SELV",
            "source": {"kind": "battery"},
        },
        "circuits": {"C1": {"rcd_type": "AC"}},
    }
    report = check(change)
    assert tally_of(report, "rcd-type").checked == tally_of(report, "rcd-leakage").checked == 0


def test_a_residual_current_that_cannot_be_meant_has_no_share() -> None:
    leaks = {"films": {"film-80": {"leakage": "0.1 mA/m2"}}}
    report = check({"materials": leaks, "circuits.C1.rcd": "0.03 mA"})
    row = tally_of(report, "rcd-leakage")
    assert (row.checked, row.found, row.undecided) == (1, 0, 1)
    report = check({"materials": leaks, "circuits.C1.cable.length": 14})
    assert tally_of(report, "rcd-leakage").undecided == 0
