"""Breakers, RCDs and conductors: chosen from what is made, never where the floor is finished."""

from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import mended, mends, plan, says

HOT = {"size": "1.5 mm2", "method": "A1", "ambient": "65 degC"}


def circuit(**told: Any) -> dict[str, Any]:
    return {"circuits.C1": told}


# Of each: what is wrong, the rule, what is offered, and what the plan then has in circuit C1.
MENDED: dict[str, tuple[dict[str, Any], str, str, dict[str, Any]]] = {
    # The base plan's seven strips of 2.75 m, 0.5 m wide, of 80 W/m2 draw 770 W / 230 V = 3.3 A.
    "the smallest breaker that is made and carries the current is fitted": (
        {"breaker": None}, "breaker-rating",
        "Fit a breaker rated 6 A to circuit C1.", {"breaker": "6 A"},
    ),
    "a breaker is spelt as the plan spells it": (
        {"breaker": "50000 mA"}, "breaker-rating",
        "Fit a breaker rated 6 A to circuit C1.", {"breaker": "6000 mA"},
    ),
    # Table B.52.2, A1: 14.5 A, and √((70 − 65) / 40) of that in air of 65 °C: 5.1 A.
    "where no breaker suits the cable that is made stronger too": (
        {"breaker": "2 A", "cable": HOT}, "breaker-rating",
        "Fit a breaker rated 6 A to circuit C1. Run the cable of circuit C1 in 2.5 mm².",
        {"breaker": "6 A", "cable.size": "2.5 mm2"},
    ),
    "a breaker that suits the current stays": (
        {"breaker": "6 A", "cable": HOT}, "breaker-rating",
        "Run the cable of circuit C1 in 2.5 mm².", {"cable.size": "2.5 mm2"},
    ),
    "an rcd is fitted": (
        {"rcd": None}, "rcd", "Protect circuit C1 by an RCD of 30 mA.", {"rcd": "30 mA"},
    ),
    "an rcd trips at what is allowed": (
        {"rcd": "300 mA"}, "rcd", "Protect circuit C1 by an RCD of 30 mA.", {"rcd": "30 mA"},
    ),
    "a deaf rcd is replaced": (
        {"rcd_type": "AC"}, "rcd-type", "Use an RCD of type A for circuit C1.", {"rcd_type": "A"},
    ),
    "a thin wire is made as thick as what stands before it lets through": (
        {"cable": {"size": "1 mm2"}}, "conductor-size",
        "Run the cable of circuit C1 in 1.5 mm².", {"cable.size": "1.5 mm2"},
    ),
    "a capacity that no wire has is left out": (
        {"cable": {"capacity": "60 A"}}, "cable-capacity",
        "Leave out the capacity of the cable of circuit C1, which its size does not have: the "
        "tables tell what it carries.", {"cable.capacity": None},
    ),
    # 2.5 mm² by method C carries 27 A and is said to carry 2: of 46 A for 6 mm² that leaves 3.4.
    "a capacity that was worked out is worked out for a larger size by the same derating": (
        {"cable": {"capacity": "2 A"}}, "cable-capacity",
        "Run the cable of circuit C1 in 6 mm², which carries 3.4 A by the same derating.",
        {"cable.size": "6 mm2", "cable.capacity": "3.4 A"},
    ),
    "a long cable is run thicker": (
        {"cable": {"length": "250 m", "size": "2.5 mm2"}}, "voltage-drop",
        "Run the cable of circuit C1 in 4 mm².", {"cable.size": "4 mm2"},
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", MENDED)
def test_one_mend_is_offered(what: str) -> None:
    wrong, rule, said, right = MENDED[what]
    (mend,) = mends(plan(circuit(**wrong)), rule)
    assert mend.says == said
    assert {".".join(map(str, edit.path)): edit.value for edit in mend.patch} == {
        f"circuits.C1.{key}": value for key, value in right.items()
    }


def test_an_rcd_of_a_group_is_mended_where_it_is_written() -> None:
    data = plan({"circuits": {"C1": {"rcd_group": "R1", "rcd": None},
                              "C2": {"rcd": "0.3 A", "rcd_group": "R1"}}})  # fmt: skip
    assert mended(data, "rcd")["circuits"]["C2"]["rcd"] == "0.03 A"
    assert "rcd" not in mended(data, "rcd")["circuits"]["C1"]


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"breaker": None}, "breaker-rating"),
        ({"rcd": None}, "rcd"),
        ({"rcd_type": "AC"}, "rcd-type"),
        ({"cable": {"size": "1 mm2"}}, "conductor-size"),
        ({"cable": {"length": "390 m", "size": "1.5 mm2"}}, "voltage-drop"),
    ],
)
def test_what_is_fitted_stays_in_the_record_of_a_finished_floor(
    change: dict[str, Any], rule: str
) -> None:
    assert says(plan(circuit(**change)), rule) != []
    assert says(plan({**circuit(**change), "status": "handed over"}), rule) == []


def test_crowded_strips_get_an_rcd_each() -> None:
    data = plan({
        "materials": {"films": {"film-80": {"leakage": "1.2 mA/m2"}}},
        "rooms": {"room": {
            "rows": {"A": {"lengths": [{"length": 2750, "circuit": "C2"}] * 3 + [2750] * 4}},
            "leads": {"W1": {"route": ["junction-box", [30, 1500], [30, 20], "A4", "A5", "A6",
                                       "A7"]},
                      "W2": {"circuit": "C2", "size": "1.5 mm2", "recessed": True,
                             "route": ["junction-box", [20, 1400], [40, 35], "A1", "A2", "A3"]}},
            "thermostat": {"contactor": {"poles": 2, "rating": "20 A"}},
        }},
        "circuits": {"C1": {"rcd": "30 mA", "rcd_group": "R1"},
                     "C2": {"thermostat": "room", "breaker": "10 A", "rcd_group": "R1",
                            "cable": {"size": "2.5 mm2", "length": "14 m", "method": "C",
                                      "ambient": "30 degC"}}},
    })  # fmt: skip
    after = mended(data, "rcd-leakage")["circuits"]
    assert [(each.get("rcd"), "rcd_group" in each) for each in after.values()] == [
        ("30 mA", False), ("30 mA", False),
    ]  # fmt: skip


def test_strips_that_leak_too_much_for_one_rcd_are_divided() -> None:
    # 9.6 m² of film leak 9.6 mA; 9 mA are 30 % of 30.
    data = plan({"materials.films.film-80.leakage": "1 mA/m2"})
    after = mended(data, "rcd-leakage")
    assert [each["rcd"] for each in after["circuits"].values()] == ["30 mA", "30 mA"]
    data["tests"] = [{"circuit": "C1", "stage": "made up"}]
    assert says(data, "rcd-leakage") == []


def test_a_thin_lead_is_mended_until_it_is_laid() -> None:
    thin = {"rooms.room.leads.W1.size": "1 mm2"}
    assert says(plan(thin), "conductor-size") == ["Lay lead W1 in 1.5 mm²."]
    assert says(plan({**thin, "status": "laid"}), "conductor-size") == []


def test_no_capacity_is_worked_out_where_nothing_is_known_to_derate() -> None:
    unsized = circuit(cable={"capacity": "2 A", "size": None})
    assert says(plan(unsized), "cable-capacity") == []
    unplaced = circuit(cable={"capacity": "2 A", "method": None})
    assert says(plan(unplaced), "cable-capacity") == []


def test_no_lead_is_made_thicker_than_boards_bear() -> None:
    def lead(capacity: str) -> Any:
        return {"rooms.room.leads.W1.capacity": capacity}

    # A1 at 40 °C: 14.5 A × 0.87 for 1.5 mm², 26 A × 0.87 for 4 mm²; 3.35 A are drawn.
    assert says(plan(lead("2 A")), "cable-capacity") == [
        "Lay lead W1 in 4 mm², which carries 3.5 A by the same derating."
    ]
    assert says(plan(lead("1.5 A")), "cable-capacity") == []
