"""Strips joined to the box by leads of their own circuit; circuits divided with all they need."""

from copy import deepcopy
from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import judge, mended, mends, plan, says, two_circuits
from underfoot.api.rules import Data
from underfoot.mending.patch import patch_data


def right() -> Data:
    """Return a plan of two circuits in which nothing is found."""
    data = two_circuits(contactor={"poles": 2, "rating": "20 A"})
    assert not judge(data)[1].standing
    return data


def room(data: Data) -> Any:
    return data["rooms"]["room"]


def test_a_strip_left_out_of_its_lead_is_taken_into_it() -> None:
    data = right()
    room(data)["leads"]["W1"]["route"].remove("A6")
    assert says(data, "circuit-feed", "A6")[0] == "Take lead W1 on to A6."
    assert mended(data, "circuit-feed", "A6") == right()


def test_a_lead_is_put_on_the_circuit_of_its_strips() -> None:
    data = right()
    room(data)["leads"]["W2"]["circuit"] = "C1"
    assert says(data, "circuit-feed", "C2")[0] == "Put lead W2 on circuit C2."
    assert mended(data, "circuit-feed", "C2") == right()


def test_a_strip_goes_on_the_circuit_of_the_lead_that_joins_it() -> None:
    data = right()
    room(data)["rows"]["A"]["lengths"][3] = {"length": 2750, "circuit": "C2"}
    for rule, item in (("circuits-joined", "W1"), ("circuit-feed", "A4")):
        assert says(data, rule, item)[0] == "Put A4 on circuit C1, whose lead W1 joins it."
        assert mended(data, rule, item) == right()
    assert says(data, "circuit-feed", "A4")[1] == (
        "Leave A4 out of lead W1. Take lead W2 on to A4."
    )


def test_a_whole_row_goes_on_a_circuit_by_its_own_key() -> None:
    """Row B on C2 is joined by a lead of C1 that goes on from A4; nothing then hangs on C2."""
    data = right()
    old = room(data)["rows"]["A"]
    room(data)["rows"] = {
        "A": {**old, "lengths": [2750] * 4},
        "B": {**old, "at": [2060, 60], "circuit": "C2", "lengths": [2750] * 3},
    }
    border = [[20, 1500], [20, 20], [310, 20]]
    room(data)["leads"]["W1"]["route"] = ["junction-box", *border, "A1", "A2", "A3", "A4"]
    room(data)["leads"]["W2"] |= {"circuit": "C1", "route": ["A4", "B1", "B2", "B3"]}
    for written in ({"lengths": [2750] * 3}, {"length": 2750, "count": 3}):
        del room(data)["rows"]["B"]["lengths"]
        room(data)["rows"]["B"] |= written
        (mend,) = mends(data, "circuits-joined", "W2")
        assert mend.says == (
            "Put B1, B2 and B3 on circuit C1, whose lead W2 joins them. "
            "Leave out circuit C2, which has no strips."
        )
        assert [(edit.op, edit.path[-3:], edit.value) for edit in mend.patch] == [
            ("replace", ("rows", "B", "circuit"), "C1"),
            ("remove", ("circuits", "C2"), None),
        ]


def test_a_strip_on_no_circuit_goes_on_the_one_that_is_named_almost_so() -> None:
    data = right()
    room(data)["rows"]["A"]["lengths"][2] = {"length": 2750, "circuit": "C22"}
    after = mended(data, "circuit-feed", "A3")
    assert after == right()


def test_a_lead_is_drawn_where_none_is() -> None:
    data = right()
    del room(data)["leads"]["W2"]
    (mend,) = mends(data, "circuit-feed", "C2")
    assert mend.says == "Draw lead W2 of circuit C2 from the junction box to A1, A2 and A3."
    value = mend.patch[0].value
    assert (value["circuit"], value["size"], value["recessed"]) == ("C2", "1.5 mm2", True)
    assert value["route"][0] == "junction-box"
    assert {each for each in value["route"] if isinstance(each, str)} >= {"A1", "A2", "A3"}


def test_a_lead_taken_too_far_ends_before() -> None:
    data = right()
    room(data)["leads"]["W2"]["route"].append("A4")
    assert "Leave A4 out of lead W2." in says(data, "circuits-joined", "W2")
    assert mended(data, "circuits-joined", "W2") == right()


def test_a_strip_that_nothing_else_feeds_is_not_left_to_itself() -> None:
    data = right()
    room(data)["leads"]["W2"]["circuit"] = "C1"
    data["circuits"]["C3"] = deepcopy(data["circuits"]["C2"])
    room(data)["rows"]["A"]["lengths"][0] = {"length": 2750, "circuit": "C3"}
    for rule in ("circuit-feed", "circuits-joined"):
        for mend in mends(data, rule):
            after: Data = patch_data(data, mend.patch)
            unfed = {
                each.subject.items
                for each in judge(after)[1].standing
                if each.rule.id == "circuit-feed"
            }
            joined = {name for lead in room(after)["leads"].values() for name in lead["route"]
                      if isinstance(name, str)}  # fmt: skip
            assert {"A1", "A2", "A3"} <= joined, (mend.says, unfed)


def test_the_lead_before_is_put_on_the_circuit_of_what_goes_on_from_it() -> None:
    data = right()
    room(data)["leads"]["W2"]["circuit"] = "C1"
    room(data)["leads"]["W2"]["route"].remove("A3")
    room(data)["leads"]["W3"] = {"circuit": "C2", "size": "1.5 mm2", "recessed": True,
                                 "route": ["A2", "A3"]}  # fmt: skip
    assert says(data, "circuit-feed", "A3") == ["Put lead W2 on circuit C2."]


def test_a_lead_that_feeds_what_is_fed_is_left_out() -> None:
    data = right()
    room(data)["leads"]["W3"] = {"circuit": "C2", "size": "1.5 mm2", "recessed": True,
                                 "route": ["A6.end", [3300, 2950], "A7.end"]}  # fmt: skip
    assert mended(data, "circuits-joined", "W3") == right()


@pytest.mark.parametrize("status", ["laid", "covered", "handed over"])
def test_what_is_laid_is_joined_as_it_is_joined(status: str) -> None:
    data = right()
    room(data)["leads"]["W1"]["route"].remove("A6")
    room(data)["leads"]["W2"]["route"].append("A4")
    data["status"] = status
    assert says(data, "circuit-feed") == []
    assert says(data, "circuits-joined") == []


def long_circuit(**film: Any) -> Data:
    """Return the base plan with a film of which one circuit may have four strips."""
    return plan({"materials.films.film-80": {"longest_circuit": "12 m", **film}})


def test_a_circuit_is_divided_with_all_that_it_needs() -> None:
    data = long_circuit()
    (mend,) = mends(data, "circuit-element-length")
    assert mend.says == (
        "Put A4 to A7 of circuit C1 on a circuit C2, protected by itself, with lead W2."
    )
    after = mended(data, "circuit-element-length")
    assert list(after["circuits"]["C2"].items()) == list(after["circuits"]["C1"].items())
    assert room(after)["thermostat"]["contactor"] == {"poles": 2, "rating": "20 A"}
    circuits = {
        each["circuit"] if isinstance(each, dict) else "C1"
        for each in room(after)["rows"]["A"]["lengths"]
    }
    assert circuits == {"C1", "C2"}
    assert room(after)["leads"]["W2"]["circuit"] == "C2"


def test_a_circuit_is_divided_where_its_leads_part() -> None:
    data = right()
    told = data["circuits"].pop("C2")
    assert told
    lengths = room(data)["rows"]["A"]["lengths"]
    room(data)["rows"]["A"]["lengths"] = [2750 for _ in lengths]
    room(data)["leads"]["W2"]["circuit"] = "C1"
    room(data)["thermostat"].pop("contactor")
    data["materials"]["films"]["film-80"]["longest_circuit"] = "12 m"
    after = mended(data, "circuit-element-length")
    assert {name: lead["circuit"] for name, lead in room(after)["leads"].items()} in (
        {"W1": "C2", "W2": "C1"}, {"W1": "C1", "W2": "C2"},
    )  # fmt: skip
    assert room(after)["leads"]["W1"]["route"] == room(data)["leads"]["W1"]["route"]


def test_nothing_is_divided_that_is_cut_and_joined() -> None:
    data = long_circuit()
    data["tests"] = [{"circuit": "C1", "stage": "made up"}]
    assert says(data, "circuit-element-length") == []


def test_weak_connectors_get_leads_of_their_own() -> None:
    # 3.3 A go through the first connector; two leads share them.
    data = plan({"materials.films.film-80.largest_current": "2 A"})
    before = deepcopy(data)
    after = mended(data, "circuit-current")
    assert after["circuits"] == before["circuits"]
    assert list(room(after)["leads"]) == ["W1", "W2"]


def test_a_row_of_equal_strips_is_written_out_where_some_change_circuit() -> None:
    data = long_circuit()
    row = room(data)["rows"]["A"]
    del row["lengths"]
    row.update(length=2750, count=7)
    after = room(mended(data, "circuit-element-length"))["rows"]["A"]
    assert "count" not in after
    assert len(after["lengths"]) == 7


def test_a_circuit_without_strips_is_left_out_unless_something_names_it() -> None:
    data = plan({"circuits.C9": {"breaker": "10 A", "rcd": "30 mA"}})
    assert mended(data, "nothing-heated", "C9") == plan()
    named = deepcopy(data)
    room(named)["leads"]["W9"] = {"circuit": "C9", "route": ["junction-box", [30, 1600]]}
    assert says(named, "nothing-heated", "C9") == []
    tested = {**data, "tests": [{"circuit": "C9", "stage": "made up"}]}
    assert says(tested, "nothing-heated", "C9") == []
