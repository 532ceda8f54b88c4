"""Where leads end, and where they come round again."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import BASE, check, of_rule, tally_of

START = ("junction-box", [30, 1500], [30, 30])
LEAD = BASE["rooms"]["room"]["leads"]["W1"]


def leads(*routes: list[Any], **circuits: str) -> dict[str, Any]:
    """Draw leads W1, W2, ... with these routes, on C1 but those named."""
    drawn = {
        f"W{number}": {**LEAD, "circuit": circuits.get(f"W{number}", "C1"), "route": route}
        for number, route in enumerate(routes, 1)
    }
    return {"rooms": {"room": {"leads": drawn}}}


def ends(change: dict[str, Any]) -> list[tuple[tuple[str, ...], str]]:
    return [(f.items, f.severity) for f in of_rule(check(change), "lead-loose-end")]


def rings(change: dict[str, Any]) -> list[tuple[str | None, tuple[str, ...], str]]:
    found = of_rule(check(change), "lead-ring")
    return [(f.room, f.items, f.message.split(" of circuit")[0]) for f in found]


@pytest.mark.parametrize(
    ("route", "severity"),
    [
        ([*START, "A"], None),
        (["A7", "A6", "A5", "A4", "A3", "A2", "A1", [30, 30], "junction-box"], None),
        ([*START, "A", [3900, 30]], "error"),
        ([[3900, 30], "A7", "A6", "A5", "A4", "A3", "A2", "A1", [30, 30], "junction-box"], "error"),
    ],
)
def test_a_live_end(route: list[Any], severity: str | None) -> None:
    assert ends(leads(route)) == ([] if severity is None else [(("W1",), severity)])


def test_an_end_is_live_where_a_strip_feeds_it() -> None:
    change = leads([*START, "A"], ["A7", [3900, 30]])
    assert ends(change) == [(("W2",), "error")]
    (finding,) = of_rule(check(change), "lead-loose-end")
    assert finding.message.startswith("Lead W2 ends at [3900, 30]")
    # A7 is joined at the middle of its lower edge, x = 60 + 6.5 x 500 = 3310, y = 60:
    # sqrt(590^2 + 30^2) = 590.8.
    assert "`A7`, 590.8 mm away" in finding.remedy


def test_the_nearest_may_be_a_far_end_or_the_box() -> None:
    (finding,) = of_rule(check(leads([*START, "A"], ["A7", [3900, 2800]])), "lead-loose-end")
    # A7's far end lies at [3310, 2810].
    assert "`A7.end`, 590.1 mm away" in finding.remedy
    (finding,) = of_rule(check(leads([*START, "A"], [[30, 1400], "A1"])), "lead-loose-end")
    # From the box at [0, 1500] to [30, 1400]: sqrt(900 + 10000) = 104.4.
    assert "Lead W2 begins at [30, 1400]" in finding.message
    assert "`junction-box`, 104.4 mm away" in finding.remedy
    assert finding.remedy.startswith("Name at the beginning of its route")


def test_what_is_nearest_where_no_box_is_drawn() -> None:
    change = leads(["A", [3900, 30]])
    change["rooms"]["room"]["junction_box"] = None
    change["rooms"]["room"]["sensor"] = {"route": None}
    assert ends(change) == []  # nothing feeds it, so nothing is live there


@pytest.mark.parametrize(
    ("route", "said"),
    [
        (["junction-box"], "begins at the junction box and joins no strip"),
        (["junction-box", [15, 2900], "junction-box"], "begins at the junction box and joins no"),
        ([[15, 2900], [900, 2900]], "joins nothing: its route names neither"),
        (["A3"], "joins strip A3 to nothing else"),
        (["A3", "A3.end"], "joins strip A3 to nothing else"),
    ],
)
def test_a_lead_that_joins_nothing(route: list[Any], said: str) -> None:
    change = leads([*START, "A"], route)
    assert ends(change) == [(("W2",), "warning")]
    (finding,) = of_rule(check(change), "lead-loose-end")
    assert said in finding.message


def test_a_lead_that_does_not_begin_at_the_box_is_told_by_its_strips() -> None:
    change = leads([[30, 1500], [30, 30], "A"])
    assert ends(change) == []
    assert len(of_rule(check(change), "circuit-feed")) == 7


def test_leads_in_a_room_without_strips_are_told_there() -> None:
    hall = {
        "outline": [[0, 0], [2000, 0], [2000, 1200], [0, 1200]],
        "junction_box": {"at": [0, 600], "height": 450},
        "leads": {"W9": {**LEAD, "route": ["junction-box", [900, 600]]}},
    }
    report = check({"rooms.hall": hall})
    assert [(f.room, f.severity) for f in of_rule(report, "nothing-heated")] == [("hall", "error")]
    tally = tally_of(report, "lead-loose-end")
    assert (tally.checked, tally.found, tally.undecided) == (2, 0, 1)
    assert tally.why == "there are no strips for leads to end at (nothing-heated)"


@pytest.mark.parametrize(
    "routes",
    [
        [[*START, "A"]],
        [[*START, "A1"], ["A1", "A2", "A3", "A4", "A5", "A6", "A7"]],
        [[*START, "A1", "A1.end", "A2.end"], ["A2", "A3"], ["A3", "A4", "A5", "A6", "A7"]],
        [[*START, "A"], ["junction-box", [15, 2900], "junction-box"]],  # lead-loose-end
        [[*START, "A1", "A1"], ["A1", "A2", "A3", "A4", "A5", "A6", "A7"]],
    ],
)
def test_branches_are_no_ring(routes: list[list[Any]]) -> None:
    assert rings(leads(*routes)) == []


@pytest.mark.parametrize(
    ("routes", "who"),
    [
        ([[*START, "A"], ["A7", [3900, 30], [3900, 2950], "junction-box"]], "Leads W1 and W2"),
        ([[*START, "A"], [*START, "A1"]], "Leads W1 and W2"),  # twice to one end
        ([[*START, "A"], ["A3.end", "A4.end"]], "Leads W1 and W2"),
        ([[*START, "A", "A6"]], "Lead W1"),
        ([[*START, "A", [3900, 30], [3900, 2950], "A7.end"]], "Lead W1"),
        # W3 hangs on the ring of W1 and W2 and is no part of it.
        ([[*START, "A1", "A2"], [*START, "A2"], ["A2", "A3", "A4", "A5", "A6", "A7"]],
         "Leads W1 and W2"),
        # A pair of strips that hangs on nothing is no part of it either.
        ([[*START, "A1", "A2", "A3", "A4", "A7"], [*START, "A2"], ["A5", "A6"]],
         "Leads W1 and W2"),
    ],
)  # fmt: skip
def test_rings(routes: list[list[Any]], who: str) -> None:
    assert rings(leads(*routes)) == [("room", ("C1",), who)]


def test_a_ring_names_the_strips_on_it() -> None:
    (finding,) = of_rule(check(leads([*START, "A"], ["A3.end", "A4.end"])), "lead-ring")
    assert "feed strips A3 and A4 by two ways" in finding.message
    (finding,) = of_rule(check(leads([*START, "A", "A2"])), "lead-ring")
    assert "feeds strips A2, A3, A4, A5, A6 and A7 by two ways" in finding.message


def test_leads_of_two_circuits_are_no_ring() -> None:
    # They join two circuits, which is worse and told by circuits-joined.
    change = leads([*START, "A"], ["A3.end", "A4.end"], W2="C2")
    change["circuits"] = {"C2": {"thermostat": "room", "shares": "C1"}}
    assert rings(change) == []
    assert tally_of(check(change), "lead-ring").checked == 2


def test_a_ring_of_many_strips_counts_them_and_points_at_its_leads() -> None:
    (finding,) = of_rule(check(leads([*START, "A"], [*START, "A7"])), "lead-ring")
    assert "feed 7 strips, A1 to A7, by two ways" in finding.message
    assert finding.path == "rooms.room.leads.W1"
    assert finding.related == ("rooms.room.leads.W2",)
    # W3 hangs on the ring; it is not pointed at.
    routes = [*START, "A1", "A2"], [*START, "A2"], ["A2", "A3", "A4", "A5", "A6", "A7"]
    (finding,) = of_rule(check(leads(*routes)), "lead-ring")
    assert finding.related == ("rooms.room.leads.W2",)
    (finding,) = of_rule(check(leads([*START, "A", "A2"])), "lead-ring")
    assert "strips A2, A3, A4, A5, A6 and A7 by two ways" in finding.message
    (finding,) = of_rule(
        check(leads([*START, "A", [3900, 30], [3900, 2950], "A7.end"])), "lead-ring"
    )
    assert "feeds strip A7 by two ways" in finding.message
