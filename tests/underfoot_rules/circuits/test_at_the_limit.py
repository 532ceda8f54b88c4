"""Circuits just at a limit and just beyond it, and which of several things is named.

The base plan has seven strips of 110 W on 230 V: 7 x 110 / 230 = 3.348 A.
"""

from typing import Any

import pytest

from tests.underfoot_rules.plans import cannot_tell, check, measured, of_rule

CABLE, LEAD = "circuits.C1.cable.capacity", "rooms.room.leads.W1.capacity"
BREAKER = "circuits.C1.breaker"
ONE = ["junction-box", [30, 1500], [30, 30], "A1"]


@pytest.mark.parametrize(("weak", "strong", "name"), [(LEAD, CABLE, "lead W1"),
                                                      (CABLE, LEAD, "the cable")])  # fmt: skip
@pytest.mark.parametrize(
    ("carries", "remedy"),
    [
        # Preferred ratings are 6, 10, 13, 16 and 20 A (IEC 60898-1, 5.3.2).
        (16, "Use a breaker rated 6 A, or up to 16 A."),
        (15.9, "Use a breaker rated 6 A, or up to 13 A."),
        (13, "Use a breaker rated 6 A, or up to 13 A."),
        (12.9, "Use a breaker rated 6 A, or up to 10 A."),
        (10, "Use a breaker rated 6 A, or up to 10 A."),
        (9.9, "Use a breaker rated 6 A, or up to 8 A."),
        (8, "Use a breaker rated 6 A, or up to 8 A."),
        (7.9, "Use a breaker rated 6 A."),
        (6, "Use a breaker rated 6 A."),
        (5.9, "The current asks for a breaker rated 6 A, but {} can carry only 5.9 A: make that "
              "stronger too, or divide the strips over more circuits."),
    ],
)  # fmt: skip
def test_the_weakest_conductor_bounds_the_breaker(
    weak: str, strong: str, name: str, carries: float, remedy: str
) -> None:
    """Both of them are too weak for 32 A; the weaker is named, and what suits it is offered."""
    change = {BREAKER: "32 A", weak: f"{carries:g} A", strong: "20 A"}
    (found,) = of_rule(check(change), "breaker-rating")
    assert f"but {name} can carry only {carries:g} A" in found.message
    assert len(found.details) == 2
    assert found.remedy == remedy.format(name)


@pytest.mark.parametrize(
    ("carries", "breaker", "severity"),
    [
        # A load of at most 80 % of what it carries cannot overload it (this project's share):
        # 3.348 / 0.8 = 4.185.
        (4.19, 6, "warning"),
        (4.18, 6, "error"),
        # A breaker of just what it carries guards it.
        (6, 6, None),
        (5.99, 6, "warning"),
    ],
)
def test_what_the_load_excuses(carries: float, breaker: float, severity: str | None) -> None:
    change = {BREAKER: f"{breaker:g} A", LEAD: f"{carries:g} A", CABLE: "20 A"}
    found = of_rule(check(change), "breaker-rating")
    assert [each.severity for each in found] == ([] if severity is None else [severity])


@pytest.mark.parametrize("weaker", [LEAD, CABLE])
def test_where_the_load_excuses_both_the_weaker_is_named(weaker: str) -> None:
    change = {BREAKER: "10 A", LEAD: "9 A", CABLE: "9 A"} | {weaker: "8 A"}
    (found,) = of_rule(check(change), "breaker-rating")
    assert found.severity == "warning"
    assert ("lead W1" if weaker == LEAD else "the cable") in found.message


@pytest.mark.parametrize(
    ("joined", "named"),
    [
        (1, "A2, A3, A4, A5 and 2 others"),
        (2, "A3, A4, A5, A6 and A7"),
        (4, "A5, A6 and A7"),
        (6, "A7"),
    ],
)
def test_strips_that_nothing_feeds_are_named_or_counted(joined: int, named: str) -> None:
    route = [*ONE[:3], *(f"A{number}" for number in range(1, joined + 1))]
    (said,) = cannot_tell({"rooms.room.leads.W1.route": route}, "voltage-drop")
    assert said.why == f"no lead feeds {named}"


@pytest.mark.parametrize(
    ("poles", "told"), [(None, True), (1, True), (2, False), (3, False)]
)  # fmt: skip
def test_a_contactor_with_poles_enough_is_not_asked_for(poles: int | None, told: bool) -> None:
    """Seven strips of 2.75 m make two circuits where one may have 12 m."""
    change: dict[str, Any] = {"materials.films.film-80.longest_circuit": "12 m"}
    if poles is not None:
        change["rooms.room.thermostat.contactor"] = {"poles": poles, "rating": "20 A"}
    (found,) = of_rule(check(change), "circuit-element-length")
    assert found.remedy.startswith("Divide the strips over 2 circuits")
    assert ("a contactor with 2 poles or more" in found.remedy) is told


@pytest.mark.parametrize(
    ("lengths", "rating"),
    [
        # 80 W/m2 x 0.5 m = 40 W/m: whole hundreds of VA, one hundred at least.
        ([1000], 100),
        ([2500], 100),
        ([2500, 250], 200),
        ([2500, 2500], 200),
        ([2750] * 7, 800),
    ],
)
def test_a_source_is_offered_that_bears_all(lengths: list[int], rating: int) -> None:
    change = {"supply": {"voltage": "24 V", "system": "SELV"}, "rooms.room.rows.A.lengths": lengths,
              "materials.films.film-80.voltage": "24 V"}  # fmt: skip
    (found,) = of_rule(check(change), "selv-source")
    assert f"rating: {rating} VA" in found.remedy


@pytest.mark.parametrize(
    ("rule", "change", "more", "figure"),
    [
        # Just as much as there is, or as is drawn; and the hundredth part of an ampere less.
        ("supply-capacity", {"supply.available": "3.348 A"}, {"supply.available": "3.34 A"}, 3.348),
        ("breaker-rating", {BREAKER: "3.348 A"}, {BREAKER: "3.34 A"}, 3.348),
        ("thermostat-rating", {"rooms.room.thermostat.switches": "3.348 A"},
         {"rooms.room.thermostat.switches": "3.34 A"}, 3.348),
    ],
)  # fmt: skip
def test_what_just_bears_the_current(
    rule: str, change: dict[str, Any], more: dict[str, Any], figure: float
) -> None:
    assert of_rule(check(change), rule) == ()
    (found,) = of_rule(check(more), rule)
    assert measured(found) == pytest.approx(figure, abs=1e-3)
