"""What is not said of a conductor, or said too well: bounds, least sizes, breakers above a load.

Capacities by hand from IEC 60364-5-52 table B.52.2 (CONFIRMED B), two loaded copper conductors in
PVC at 30 degC: 1.5 mm2 14.5 (A1), 14 (A2), 19.5 (C), 22 (D1) A; 2.5 mm2 19.5, 18.5, 27, 29 A;
10 mm2 63 A (C); table B.52.14: 40 degC 0.87, 60 degC 0.5. Leads lie as A1 at 40 degC: 1.5 mm2
12.615 A, 2.5 mm2 16.965 A.
"""

from typing import Any

import pytest

from tests.underfoot_rules.plans import cannot_tell, check, of_rule, tally_of

IN_A_WALL = {"size": "1.5 mm2", "method": "A1", "ambient": "30 degC"}


def loaded(current_a: float, **circuit: Any) -> dict[str, Any]:
    """One strip of 1 m that draws so much, behind a cable of which only this is said."""
    cable = {"length": "1 m", "method": None, "ambient": None, "size": None}
    told = {"breaker": None, **circuit}
    if "cable" in told:
        told["cable"] = {**cable, **told["cable"]}
    lead = {"route": ["junction-box", [30, 1500], [30, 30], "A1"], "size": "10 mm2"}
    return {
        "materials": {"films": {"film-80": {"output": f"{current_a * 230} W/m"}}},
        "rooms": {"room": {"rows": {"A": {"lengths": [1000]}}, "leads": {"W1": lead}}},
        "circuits": {"C1": told},
    }


def verdict(change: dict[str, Any], rule: str = "cable-capacity") -> str:
    """Say in a word what a rule says of the circuit: its severity, undecided, or in order."""
    report = check(change)
    found = [each for each in of_rule(report, rule) if each.items == ("C1",)]
    if found:
        return found[0].severity
    return "undecided" if tally_of(report, rule).undecided else "in order"


@pytest.mark.parametrize(
    ("cable", "current_a", "said"),
    [
        # Thinner than the table: at most what 1.5 mm2 carries, nothing for sure.
        ({"size": "1 mm2", "method": "C", "ambient": "30 degC"}, 19.6, "error"),
        ({"size": "1 mm2", "method": "C", "ambient": "30 degC"}, 19.4, "undecided"),
        ({"size": "1 mm2", "method": "C", "ambient": "30 degC"}, 0.1, "undecided"),
        ({"size": "18 AWG", "method": "A2", "ambient": "40 degC"}, 12.3, "error"),  # 14 x 0.87
        ({"size": "18 AWG", "method": "A2", "ambient": "40 degC"}, 12.1, "undecided"),
        # Between 1.5 and 2.5 mm2, method A2: 14 for sure, 18.5 at most.
        ({"size": "14 AWG", "method": "A2", "ambient": "30 degC"}, 13.9, "in order"),
        ({"size": "14 AWG", "method": "A2", "ambient": "30 degC"}, 14.1, "undecided"),
        ({"size": "14 AWG", "method": "A2", "ambient": "30 degC"}, 18.4, "undecided"),
        ({"size": "14 AWG", "method": "A2", "ambient": "30 degC"}, 18.6, "error"),
        # Above the table: 63 A for sure, 63 x 16 / 10 = 100.8 A at most.
        ({"size": "16 mm2", "method": "C", "ambient": "30 degC"}, 62.9, "in order"),
        ({"size": "16 mm2", "method": "C", "ambient": "30 degC"}, 63.1, "undecided"),
        ({"size": "16 mm2", "method": "C", "ambient": "30 degC"}, 100.9, "error"),
        # No method: nothing is sure, the best row (D1, 22 A) is the most, also at its temperature.
        ({"size": "1.5 mm2"}, 0.1, "undecided"),
        ({"size": "1.5 mm2", "ambient": "30 degC"}, 21.9, "undecided"),
        ({"size": "1.5 mm2", "ambient": "30 degC"}, 22.1, "error"),
        ({"size": "1.5 mm2", "ambient": "40 degC"}, 19.2, "error"),  # 22 x 0.87 = 19.14
        ({"size": "1.5 mm2", "ambient": "40 degC"}, 19.1, "undecided"),
        # No ambient: 60 degC at worst, 19.5 x 0.5 = 9.75 A, 30 degC at best.
        ({"size": "1.5 mm2", "method": "C"}, 9.7, "in order"),
        ({"size": "1.5 mm2", "method": "C"}, 9.8, "undecided"),
        ({"size": "1.5 mm2", "method": "C"}, 19.4, "undecided"),
        ({"size": "1.5 mm2", "method": "C"}, 19.6, "error"),
        # The designer's figure counts up to what the tables give for the method; without one, for
        # the size; without a size as it stands.
        ({**IN_A_WALL, "capacity": "14 A"}, 14.1, "error"),
        ({**IN_A_WALL, "capacity": "20 A"}, 14.4, "in order"),
        ({**IN_A_WALL, "capacity": "20 A"}, 14.6, "error"),
        ({"size": "1.5 mm2", "capacity": "22 A"}, 21.9, "in order"),
        ({"size": "1.5 mm2", "capacity": "22.1 A"}, 1, "error"),
        ({"size": "1 mm2", "capacity": "22.1 A"}, 1, "error"),
        ({"size": "14 AWG", "capacity": "29 A"}, 1, "in order"),
        ({"size": "14 AWG", "capacity": "29.1 A"}, 1, "error"),
        ({"size": "25 mm2", "capacity": "157.5 A"}, 1, "in order"),  # 63 x 25 / 10
        ({"size": "25 mm2", "capacity": "158 A"}, 1, "error"),
        ({"capacity": "40 A"}, 39, "in order"),
        ({"capacity": "40 A"}, 41, "error"),
        ({}, 1, "undecided"),
    ],
)  # fmt: skip
def test_a_cable_is_judged_by_what_is_sure_of_it(
    cable: dict[str, Any], current_a: float, said: str
) -> None:
    assert verdict(loaded(current_a, cable=cable)) == said


@pytest.mark.parametrize(
    ("lead", "said"),
    [
        ({"size": "1.5 mm2", "capacity": "22 A"}, None),
        ({"size": "1.5 mm2", "capacity": "40 A"}, 22.0),
        ({"size": "2.5 mm2", "capacity": "29 A"}, None),
        ({"size": "2.5 mm2", "capacity": "30 A"}, 29.0),
        ({"size": None, "capacity": "40 A"}, None),
    ],
)
def test_a_lead_is_not_said_to_carry_more_than_its_size_does(
    lead: dict[str, Any], said: float | None
) -> None:
    found = of_rule(check({"rooms.room.leads.W1": lead}), "cable-capacity")
    assert [each.limit.most for each in found if each.limit] == ([] if said is None else [said])


@pytest.mark.parametrize(("current_a", "found"), [(19.9, False), (20.1, True)])
def test_a_leads_own_figure_goes_before_how_leads_are_taken_to_lie(
    current_a: float, found: bool
) -> None:
    # By method A1 at 40 degC 1.5 mm2 would carry 12.615 A.
    change = with_lead(current_a, 25, {"size": "1.5 mm2", "capacity": "20 A"})
    items = [each.items for each in of_rule(check(change), "cable-capacity")]
    assert items == ([("C1", "W1")] if found else [])


@pytest.mark.parametrize(
    ("cable", "write"),
    [
        (None, "Write the `cable` of circuit C1: size, length, method and ambient."),
        ({"size": None}, "Write the `size` of the cable of circuit C1."),
        ({"method": None}, "Write `method` of the cable of circuit C1."),
        ({"method": None, "ambient": None}, "Write `method` and `ambient` of the cable"),
        (
            {"size": "1 mm2"},
            "Take 1.5 mm² or more for the cable of circuit C1, or write `capacity`",
        ),
    ],
)
def test_what_is_missing_is_asked_for(cable: dict[str, Any] | None, write: str) -> None:
    (point,) = cannot_tell({"circuits.C1.cable": cable}, "cable-capacity")
    assert point.write is not None
    assert point.write.startswith(write)


# ---- the least size


@pytest.mark.parametrize(
    ("size", "said"),
    [
        # IEC 60364-5-52 table 52.2: 1.5 mm2 (CONFIRMED C). 15 AWG is 1.65 mm2, 16 AWG 1.31 mm2.
        ("1.49 mm2", True), ("1.5 mm2", False), ("16 AWG", True), ("15 AWG", False),
        ("0.5 mm2", True), ("10 mm2", False),
    ],
)  # fmt: skip
@pytest.mark.parametrize("where", ["cable", "lead"])
def test_least_size(where: str, size: str, said: bool) -> None:
    change: dict[str, Any] = {"circuits": {"C1": {"cable": {"size": size}}}}
    if where == "lead":
        change = {"rooms": {"room": {"leads": {"W1": {"size": size}}}}}
    found = of_rule(check(change), "conductor-size")
    assert [each.items for each in found] == (
        [] if not said else [("C1",)] if where == "cable" else [("W1",)]
    )


@pytest.mark.parametrize(("size", "said"), [("0.74 mm2", True), ("0.75 mm2", False)])
def test_least_size_on_selv(size: str, said: bool) -> None:
    change = {
        "materials": {"films": {"film-80": {"voltage": "24 V", "protection_class": "III"}}},
        "supply": {"voltage": "24 V", "system": "SELV", "source": {"kind": "battery"}},
        "rooms": {"room": {"leads": {"W1": {"size": size}}}},
    }
    assert bool(of_rule(check(change), "conductor-size")) == said
    change["supply"] = {"voltage": "230 V", "system": "mains"}
    assert of_rule(check(change), "conductor-size")


@pytest.mark.parametrize("where", ["cable", "lead"])
def test_a_size_that_is_not_given_is_not_in_order(where: str) -> None:
    change: dict[str, Any] = {"circuits": {"C1": {"cable": {"size": None, "capacity": "20 A"}}}}
    if where == "lead":
        change = {"rooms": {"room": {"leads": {"W1": {"size": None, "capacity": "20 A"}}}}}
    row = tally_of(check(change), "conductor-size")
    assert (row.checked, row.found, row.undecided) == (2, 0, 1)


# ---- the breaker above what a conductor carries


def with_lead(
    current_a: float, breaker_a: float, lead: dict[str, Any], cable: dict[str, Any] | None = None
) -> dict[str, Any]:
    strong = {"size": "10 mm2", "method": "C", "ambient": "30 degC"}
    change = loaded(current_a, breaker=f"{breaker_a} A", cable=cable or strong)
    change["rooms"]["room"]["leads"]["W1"] |= lead
    return change


@pytest.mark.parametrize(
    ("current_a", "breaker_a", "lead", "said"),
    [
        (3, 12.6, {"size": "1.5 mm2"}, "in order"),
        (3, 13, {"size": "1.5 mm2"}, "warning"),
        (3, 22, {"size": "1.5 mm2"}, "warning"),  # the best case, D1
        (3, 22.1, {"size": "1.5 mm2"}, "error"),
        (3, 25, {"size": "1.5 mm2"}, "error"),
        (3, 25, {"size": "2.5 mm2"}, "warning"),
        (3, 32, {"size": "2.5 mm2"}, "error"),
        # 80 % of 12.615 A is 10.092 A
        (10.09, 16, {"size": "1.5 mm2"}, "warning"),
        (10.1, 16, {"size": "1.5 mm2"}, "error"),
        # The designer's figure for the lead: 80 % of 5 A is 4 A.
        (3.9, 16, {"size": "1.5 mm2", "capacity": "5 A"}, "warning"),
        (4.1, 16, {"size": "1.5 mm2", "capacity": "5 A"}, "error"),
        (3, 16, {"size": None, "capacity": "12 A"}, "error"),  # nothing but the figure is known
        # 12 AWG carries 19.5 x 0.87 = 16.965 A for sure, 26 x 0.87 = 22.62 A at most, 37 at best.
        (3, 16.9, {"size": "12 AWG"}, "in order"),
        (3, 20, {"size": "12 AWG"}, "undecided"),
        (3, 25, {"size": "12 AWG"}, "warning"),
        (15, 25, {"size": "12 AWG"}, "undecided"),  # between 80 % of 16.965 and of 22.62
        (18.2, 25, {"size": "12 AWG"}, "error"),
        (3, 37.1, {"size": "12 AWG"}, "error"),
        # Thinner than the table: at most 12.615 A, nothing for sure.
        (3, 6, {"size": "1 mm2"}, "undecided"),
        (3, 16, {"size": "1 mm2"}, "undecided"),
        (10.1, 16, {"size": "1 mm2"}, "error"),
        (3, 25, {"size": "1 mm2"}, "error"),
        (3, 6, {"size": None}, "undecided"),
    ],
)
def test_a_breaker_above_a_lead(
    current_a: float, breaker_a: float, lead: dict[str, Any], said: str
) -> None:
    assert verdict(with_lead(current_a, breaker_a, lead), "breaker-rating") == said


@pytest.mark.parametrize(
    ("current_a", "breaker_a", "cable", "said"),
    [
        (3, 16, {"size": "1.5 mm2", "method": "A1", "ambient": "30 degC"}, "warning"),
        (11.7, 16, {"size": "1.5 mm2", "method": "A1", "ambient": "30 degC"}, "error"),  # 11.6
        (3, 32, {"size": "2.5 mm2", "method": "C", "ambient": "30 degC"}, "error"),
        # Colder air makes more than the best case at 30 degC: 19.5 x 1.22 = 23.79 A.
        (3, 23.7, {"size": "1.5 mm2", "method": "C", "ambient": "10 degC"}, "in order"),
        (3, 23.8, {"size": "1.5 mm2", "method": "C", "ambient": "10 degC"}, "error"),
        # So with 14 AWG there, between 1.5 and 2.5 mm2: up to 27 x 1.22 = 32.94 A.
        (3, 30, {"size": "14 AWG", "method": "C", "ambient": "10 degC"}, "undecided"),
        (3, 16, {"size": "2.5 mm2", "method": "C"}, "undecided"),  # 13.5 to 27 A
        (3, 13, {"size": "2.5 mm2", "method": "C"}, "in order"),
        (3, 10, {"size": "2.5 mm2"}, "undecided"),
        (3, 32, {"size": "2.5 mm2"}, "error"),
    ],
)
def test_a_breaker_above_the_cable(
    current_a: float, breaker_a: float, cable: dict[str, Any], said: str
) -> None:
    change = with_lead(current_a, breaker_a, {"size": "10 mm2"}, cable)
    assert verdict(change, "breaker-rating") == said


@pytest.mark.parametrize(("current_a", "worst"), [(3, "warning"), (14, "error")])
def test_what_the_load_can_never_overload_is_at_worst_a_warning(
    current_a: float, worst: str
) -> None:
    # 2.5 mm2 by method C carries 27 A, at 60 degC 13.5 A, of which 80 % are 10.8 A.
    change = with_lead(current_a, 16, {"size": "10 mm2"}, {"size": "2.5 mm2", "method": "C"})
    (point,) = cannot_tell(change, "breaker-rating")
    assert point.worst == worst


def test_the_warning_gives_its_reason() -> None:
    (finding,) = of_rule(check(with_lead(3, 16, {"size": "1.5 mm2"})), "breaker-rating")
    assert "less than 80 %" in finding.message
    assert "guards against short circuits" in finding.message
    assert "433.3" in finding.basis.text


def test_a_gravest_point_goes_before_a_warning() -> None:
    # W1 would be a warning; of the cable nothing is known, which may be an error.
    change = with_lead(3, 16, {"size": "1.5 mm2"}, {"size": "2.5 mm2"})
    assert verdict(change, "breaker-rating") == "undecided"
    # And an error goes before what is not known.
    change = with_lead(3, 25, {"size": "1.5 mm2"}, {"size": "2.5 mm2"})
    assert verdict(change, "breaker-rating") == "error"


@pytest.mark.parametrize("lead", [{"size": None}, {"size": "1 mm2"}])
@pytest.mark.parametrize("breaker", [None, "2 A"])
def test_no_breaker_is_advised_that_an_unknown_lead_might_not_bear(
    breaker: str | None, lead: dict[str, Any]
) -> None:
    change = {
        "rooms": {"room": {"leads": {"W1": lead}}},
        "circuits": {"C1": {"breaker": breaker}},
    }
    (finding,) = of_rule(check(change), "breaker-rating")
    assert "lead W1 can carry" in finding.remedy
    assert "Use a breaker" not in finding.remedy


def test_no_breaker_is_advised_above_the_weakest() -> None:
    # The strips draw 3.35 A; the weakest conductor carries 9 A: 6 and 8 A are below that.
    change = {
        "rooms": {"room": {"leads": {"W1": {"capacity": "9 A"}}}},
        "circuits": {"C1": {"breaker": None}},
    }
    (finding,) = of_rule(check(change), "breaker-rating")
    assert finding.remedy == "Use a breaker rated 6 A, or up to 8 A."


@pytest.mark.parametrize(
    ("lead", "breaker_a", "said"),
    [
        # 1.5 mm2 carries 12.615 A as leads lie, which is no figure for what is thinner.
        ({"size": "0.5 mm2"}, 25, "can carry at most 12.62 A, and its size at most 22 A, however"),
        ({"size": "1.5 mm2"}, 25, "can carry only 12.62 A, and its size at most 22 A, however"),
    ],
)
def test_a_bound_is_not_said_to_be_what_a_conductor_carries(
    lead: dict[str, Any], breaker_a: float, said: str
) -> None:
    (finding,) = of_rule(check(with_lead(3, breaker_a, lead)), "breaker-rating")
    assert said in finding.message


def test_what_is_not_known_is_not_said_to_be_nothing() -> None:
    # 1.5 mm2 in air of 30 degC without a method: 22 A at most; 23.5 A ask for 25 A.
    change = loaded(23.5, breaker="25 A", cable={"size": "1.5 mm2", "ambient": "30 degC"})
    (finding,) = of_rule(check(change), "breaker-rating")
    assert "can carry at most 22 A, and no more however it lies" in finding.message
    assert "but the cable can carry at most 22 A: make that stronger too" in finding.remedy


@pytest.mark.parametrize(
    ("ambient", "cooler"), [("69 degC", True), ("65 degC", False), ("30 degC", False)]
)
def test_no_size_is_asked_for_where_none_would_do(ambient: str, cooler: bool) -> None:
    # The law of table B.52.14 comes to nothing at 70 degC, and counts in steps of 5 K.
    cable = {"size": "1.5 mm2", "method": "C", "ambient": ambient}
    report = check(loaded(20, breaker="20 A", cable=cable))
    (capacity,) = [each for each in of_rule(report, "cable-capacity") if each.items == ("C1",)]
    assert ("Take it where it is cooler" in capacity.remedy) == cooler
    (breaker,) = of_rule(report, "breaker-rating")
    assert ("take it where it is cooler" in breaker.remedy) == cooler
