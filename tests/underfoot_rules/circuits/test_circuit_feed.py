"""Which strips are fed: leads one after another, from either end, in any order."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import BASE, check, of_rule, tally_of

START = ("junction-box", [30, 1500], [30, 30])
A_LEAD = BASE["rooms"]["room"]["leads"]["W1"]


def feeds(change: dict[str, Any]) -> list[tuple[str | None, tuple[str, ...]]]:
    return [(f.room, f.items) for f in of_rule(check(change), "circuit-feed")]


def leads(*routes: list[Any], circuits: dict[int, str] | None = None) -> dict[str, Any]:
    """Draw leads W1, W2, ... with these routes, all on C1 but those named."""
    drawn = {
        f"W{number}": {**A_LEAD, "circuit": (circuits or {}).get(number, "C1"), "route": way}
        for number, way in enumerate(routes, 1)
    }
    return {"rooms": {"room": {"leads": drawn}}}


def on_second(*strips: int, **more: Any) -> dict[str, Any]:
    """Put strips of row A on circuit C2, which shares C1's protection."""
    lengths = [
        {"length": 2750, "circuit": "C2"} if number in strips else 2750 for number in range(1, 8)
    ]
    room = {"rows": {"A": {"lengths": lengths}}, **more}
    return {"rooms": {"room": room}, "circuits": {"C2": {"thermostat": "room", "shares": "C1"}}}


@pytest.mark.parametrize(
    "routes",
    [
        [[*START, "A"]],
        [[*START, "A1"], ["A1", "A2", "A3", "A4", "A5", "A6", "A7"]],
        [[*START, "A1"], ["A1.end", "A2.end", "A3.end", "A4.end", "A5.end", "A6.end", "A7.end"]],
        [[*START, "A1", "A1.end", "A2.end"], ["A2", "A3"], ["A3", "A4", "A5"], ["A5", "A6", "A7"]],
        # listed backwards: the first lead goes on from what the last one feeds
        [["A6", "A7"], ["A5.end", "A6.end"], ["A1", "A2", "A3", "A4", "A5"], [*START, "A1"]],
        # from the middle out, ending at the box, and in a ring
        [["A1", "A2", "A3", "A4", "A5", "A6", "A7", [3900, 30], [3900, 2950], "junction-box"]],
        [[*START, "A"], ["A7.end", [3310, 2900], [20, 2900], "junction-box"]],
    ],
)
def test_fed(routes: list[list[Any]]) -> None:
    assert feeds(leads(*routes)) == []


def test_what_a_lead_from_nowhere_feeds_is_not_fed() -> None:
    change = leads([*START, "A1", "A2"], ["A3", "A4"], ["A4.end", "A5.end", "A6.end", "A7.end"])
    assert feeds(change) == [("room", (f"A{number}",)) for number in range(3, 8)]
    (first, *_) = of_rule(check(change), "circuit-feed")
    assert "W2 names it but does not begin there" in first.message


def test_a_strip_is_fed_by_leads_of_its_own_circuit_only() -> None:
    # W2 is the only lead to A7, but it is on C2; C2 has no strips of its own.
    change = leads([*START, "A1", "A2", "A3", "A4", "A5", "A6"], [*START, "A7"], circuits={2: "C2"})
    change["circuits"] = {"C2": {"thermostat": "room", "shares": "C1"}}
    assert feeds(change) == [("room", ("A7",))]


def test_one_strip_on_another_circuit() -> None:
    # W1 joins both (circuits-joined); C2 has no lead at all, which speaks for A4.
    report = check(on_second(4))
    (finding,) = of_rule(report, "circuit-feed")
    assert (finding.room, finding.items) == (None, ("C2",))
    assert "W1, which names its strips, is on circuit C1" in finding.message
    assert ("no lead feeds the circuit (circuit-feed)", 1) in [
        (reason.why, reason.points) for reason in tally_of(report, "circuit-feed").reasons
    ]


def test_current_that_comes_through_another_circuit_does_not_count() -> None:
    # C2's lead goes on from A3 of C1: it joins two circuits, and A4 hangs on C1's breaker.
    drawn = leads([*START, "A1", "A2", "A3", "A5", "A6", "A7"], ["A3.end", "A4.end"],
                  circuits={2: "C2"})  # fmt: skip
    change = on_second(4, leads=drawn["rooms"]["room"]["leads"])
    assert feeds(change) == [("room", ("A4",))]
    assert [f.items for f in of_rule(check(change), "circuits-joined")] == [("W2",)]


@pytest.mark.parametrize("circuit", [None, "C9"])
def test_a_strip_on_no_circuit(circuit: str | None) -> None:
    element = {"film": "film-80", "at": [60, 60], "along": "y", "length": 2750, "circuit": circuit}
    lengths = [None, *[2750] * 6]
    change = {
        "rooms": {
            "room": {
                "elements": {"E1": element},
                "rows": {"A": {"lengths": lengths}},
                "leads": {"W1": {"route": [*START, "E1", "A"]}},
            }
        }
    }
    (finding,) = of_rule(check(change), "circuit-feed")
    assert finding.items == ("E1",)
    assert "`circuit: C1`" in finding.remedy
    assert "3.35 A" in finding.remedy  # seven strips of 0.478 A again


def test_subjects_are_circuits_and_strips() -> None:
    assert tally_of(check({}), "circuit-feed").checked == 1 + 7


def test_a_circuit_over_two_rooms_needs_a_lead_in_each() -> None:
    room = BASE["rooms"]["room"]
    annexe = {**room, "rows": {"B": room["rows"]["A"]}, "leads": None}
    report = check({"rooms.annexe": annexe})
    assert [f.items for f in of_rule(report, "circuit-feed")] == [
        (f"B{number}",) for number in range(1, 8)
    ]
    assert {f.room for f in of_rule(report, "circuit-feed")} == {"annexe"}
