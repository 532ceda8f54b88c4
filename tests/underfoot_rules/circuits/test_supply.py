"""The supply: film against its voltage, what it has available phase by phase."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, limit_of, measured, of_rule, tally_of

# The base plan: 7 strips of 2.75 m at 40 W/m, each 110 W: 0.478261 A at 230 V, 3.347826 A in all.
STRIP_A = 110 / 230
ROOM: dict[str, Any] = {
    "outline": [[0, 0], [4000, 0], [4000, 3000], [0, 3000]],
    "use": "living",
    "junction_box": {"at": [0, 1500]},
}


# 230 V x sqrt(1.1) = 241.2261 V; 230 V x sqrt(0.9) = 218.1972 V.
@pytest.mark.parametrize(
    ("supply_v", "severity"),
    [
        (60, "warning"),
        (218.19, "warning"),
        (218.2, None),
        (240, None),
        (241.22, None),
        (241.23, "error"),
        (400, "error"),
    ],
)
def test_film_gives_nine_to_eleven_tenths_of_its_power(
    supply_v: float, severity: str | None
) -> None:
    found = of_rule(check({"supply.voltage": f"{supply_v} V"}), "film-voltage")
    assert [f.severity for f in found] == ([] if severity is None else [severity])


def test_the_power_is_said_by_the_square() -> None:
    (found,) = of_rule(check({"supply.voltage": "253 V"}), "film-voltage")
    assert measured(found) == pytest.approx(121.0)  # 1.1 x 1.1
    assert limit_of(found).most == 110
    assert "gives 121 % of its rated power" in found.message
    assert "no licence" in found.basis.text


def test_a_film_on_two_phases_is_told_which_voltage_counts() -> None:
    (found,) = of_rule(check({"supply": {"voltage": "400 V", "phases": 3}}), "film-voltage")
    assert "between a phase and neutral, 230.9 V" in found.remedy
    (found,) = of_rule(check({"supply.voltage": "400 V"}), "film-voltage")
    assert "between a phase and neutral" not in found.remedy
    (found,) = of_rule(check({"supply": {"voltage": "460 V", "phases": 3}}), "film-voltage")
    assert "between a phase and neutral" not in found.remedy


RULES_OF_CURRENT = (
    "circuit-current", "breaker-rating", "cable-capacity", "voltage-drop", "supply-capacity",
    "thermostat-rating",
)  # fmt: skip


def test_a_film_of_too_much_power_silences_what_it_feeds() -> None:
    report = check({"supply.voltage": "460 V"})
    assert [f.severity for f in of_rule(report, "film-voltage")] == ["error"]
    for rule in RULES_OF_CURRENT:
        row = tally_of(report, rule)
        assert row.checked == row.undecided, rule


def test_a_film_of_too_little_power_silences_nothing() -> None:
    # 207 V: a current of 90 %, 3.013 A.
    report = check({"supply": {"voltage": "207 V", "available": "3 A"}})
    assert [f.severity for f in of_rule(report, "film-voltage")] == ["warning"]
    for rule in RULES_OF_CURRENT:
        assert tally_of(report, rule).undecided == 0, rule
    assert of_rule(report, "supply-capacity")


@pytest.mark.parametrize(
    ("available_a", "found"), [(7 * STRIP_A, False), (7 * STRIP_A - 1e-5, True)]
)
def test_supply_at_its_limit(available_a: float, found: bool) -> None:
    report = check({"supply.available": f"{available_a} A"})
    assert bool(of_rule(report, "supply-capacity")) == found


def test_supply_that_says_nothing() -> None:
    report = check({"supply.available": None})
    row = tally_of(report, "supply-capacity")
    assert row.why == "what the supply has available is not given"
    assert not of_rule(report, "supply-capacity")


def three(available: str, *phases: str | None, shares: bool = False) -> dict[str, Any]:
    """Three circuits of 3, 2 and 2 strips: 1.434783 A, 0.956522 A and 0.956522 A."""
    circuits: dict[str, Any] = {}
    for number, phase in enumerate(phases, 1):
        circuits[f"C{number}"] = {"thermostat": "room", "breaker": "10 A", "rcd": "30 mA"}
        if phase is not None:
            circuits[f"C{number}"]["phase"] = phase
    if shares:
        circuits["C3"] = {"thermostat": "room", "shares": "C1"}
    length = 2750
    lengths: list[Any] = [length, length, length]
    lengths += [{"length": length, "circuit": name} for name in ("C2", "C2", "C3", "C3")]
    return {
        "supply": {"available": available, "phases": 3},
        "rooms.room.rows.A.lengths": lengths,
        "circuits": circuits,
    }


@pytest.mark.parametrize(
    ("available", "phases", "found"),
    [
        ("1.44 A", ("L1", "L2", "L3"), []),
        ("1.43 A", ("L1", "L2", "L3"), [("L1",)]),
        ("2.40 A", ("L1", "L1", "L2"), []),
        ("2.39 A", ("L1", "L1", "L2"), [("L1",)]),
        ("0.95 A", ("L3", "L2", "L1"), [("L1",), ("L2",), ("L3",)]),
        ("3.35 A", ("L2", "L2", "L2"), []),
        ("3.34 A", ("L2", "L2", "L2"), [("L2",)]),
    ],
)
def test_each_phase_has_what_is_available(
    available: str, phases: tuple[str, ...], found: list[tuple[str, ...]]
) -> None:
    report = check(three(available, *phases))
    assert [f.items for f in of_rule(report, "supply-capacity")] == found
    assert tally_of(report, "supply-capacity").undecided == 0


def test_a_circuit_is_on_the_phase_of_the_one_that_it_shares_with() -> None:
    # C3 with C1 on L1: 1.434783 + 0.956522 = 2.391304 A.
    report = check(three("2.39 A", "L1", "L2", None, shares=True))
    (found,) = of_rule(report, "supply-capacity")
    assert found.items == ("L1",)
    assert measured(found) == pytest.approx(5 * STRIP_A)
    assert not of_rule(check(three("2.40 A", "L1", "L2", None, shares=True)), "supply-capacity")


@pytest.mark.parametrize(
    ("available", "undecided", "found"),
    [
        ("3.35 A", 0, False),  # C3 and C2 with C1 on L1: all fits
        ("3.34 A", 1, False),
        ("1.44 A", 1, False),  # one on each phase fits
        ("1.20 A", 1, True),  # L1 alone is too much; 1.2 + 1.2 A left for 1.913 A
        ("0.95 A", 0, True),  # 1.9 A left for 1.913 A: no way to place them
    ],
)
def test_circuits_without_a_phase_go_by_the_worst_place_and_the_best(
    available: str, undecided: int, found: bool
) -> None:
    report = check(three(available, "L1", None, None))
    row = tally_of(report, "supply-capacity")
    assert row.undecided == undecided
    found_of = of_rule(report, "supply-capacity")
    assert bool(found_of) == found
    if undecided:
        assert row.why is None or "C2 and C3" in row.why
    if available == "0.95 A":
        unplaced = next(f for f in found_of if not f.items)
        assert limit_of(unplaced).most == pytest.approx(1.9)
        assert measured(unplaced) == pytest.approx(4 * STRIP_A)


def test_a_phase_alone_changes_nothing_of_one_phase() -> None:
    report = check({"supply.available": "3 A", "circuits.C1.phase": "L2"})
    assert [f.items for f in of_rule(report, "supply-capacity")] == [()]
