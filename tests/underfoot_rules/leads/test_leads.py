"""Leads in odd rooms, through turned strips and fixtures, and carried on by strips' busbars."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule, tally_of

RULES = (
    "lead-under-element",
    "lead-outside-room",
    "lead-joint",
    "lead-under-fixture",
    "lead-recessed",
)


def route(*stops: Any, **room: Any) -> dict[str, Any]:
    return {"rooms.room": {"leads": {"W1": {"route": list(stops)}}, **room}}


def lengths(change: dict[str, Any], rule: str) -> dict[tuple[str, ...], float]:
    found = of_rule(check(change), rule)
    return {f.items: f.measured.value for f in found if f.measured is not None}


def test_busbars_are_no_lead_under_a_strip() -> None:
    # From A1's start the current goes on through A1 to its far end.
    change = route("junction-box", [30, 1500], [30, 30], "A1", "A1.end", "A2.end")
    assert not lengths(change, "lead-under-element")
    change = route("junction-box", [30, 1500], [30, 30], "A1", [310, 2900], "A1.end", "A2.end")
    assert lengths(change, "lead-under-element") == {("W1", "A1"): 2750}


@pytest.mark.parametrize(("x", "found"), [(60, False), (60.5, False), (60.6, True)])
def test_under_a_strip_at_the_tolerance(x: float, found: bool) -> None:
    # A1's edge is at 60: 0.5 mm in and 0.5 mm back is the tolerance of 1 mm. A lead's end is flat.
    change = route("junction-box", [30, 1500], [30, 1400], [x, 1400], [30, 1400], [30, 30], "A")
    assert bool(lengths(change, "lead-under-element")) == found


@pytest.mark.parametrize(
    ("x", "found"), [(57, {}), (57.01, {("W1", "A1"): 1200}), (60, {("W1", "A1"): 1200})]
)
def test_along_the_edge_of_a_strip_by_half_its_width(
    x: float, found: dict[tuple[str, ...], float]
) -> None:
    change = route(
        "junction-box", [30, 1500], [30, 1400], [x, 1400], [x, 200], [30, 200], [30, 30], "A"
    )
    assert lengths(change, "lead-under-element") == found


def test_under_turned_strips() -> None:
    # A strip of 1000 x 500 at 45 degrees; the lead passes through its middle along its length.
    elements = {
        "E1": {"film": "film-80", "at": [2000, 500], "along": "45 deg", "length": 1000,
               "circuit": "C1"},
    }  # fmt: skip
    middle = (2000 - 250 * 0.5**0.5, 500 + 250 * 0.5**0.5)
    far = (middle[0] + 1000 * 0.5**0.5, middle[1] + 1000 * 0.5**0.5)
    before = (middle[0] - 20, middle[1] - 20)
    ways = [list(before), list(middle), list(far)]
    change = route("junction-box", *ways, rows=None, elements=elements)
    assert lengths(change, "lead-under-element") == pytest.approx({("W1", "E1"): 1000.0})


def test_out_of_a_concave_room() -> None:
    outline = [[0, 0], [4000, 0], [4000, 3000], [2500, 3000], [2500, 2900], [1500, 2900],
               [1500, 3000], [0, 3000]]  # fmt: skip
    stops = ("junction-box", [30, 1500], [30, 2950], [3900, 2950], [3900, 30], "A7")
    change = route(*stops, outline=outline)
    assert lengths(change, "lead-outside-room") == {("W1",): 1000.0}  # x 1500 to 2500
    # Along the wall of the part that stands in, half of the 6 mm lies in it; 3 mm off it nothing.
    for y, found in ((2900, {("W1",): 1000.0}), (2897, {}), (2897.01, {("W1",): 1000.0})):
        change = route(*stops[:2], [30, y], [3900, y], [3900, 30], "A7", outline=outline)
        assert lengths(change, "lead-outside-room") == found


@pytest.mark.parametrize(("out", "found"), [(0.5, False), (0.6, True)])
def test_outside_at_the_tolerance(out: float, found: bool) -> None:
    # 0.5 mm out and 0.5 mm back is the tolerance of 1 mm.
    change = route("junction-box", [30, 1500], [30, 1000], [-out, 1000], [30, 1000], [30, 30], "A")
    assert bool(lengths(change, "lead-outside-room")) == found


def test_a_lead_that_is_not_drawn_cannot_be_judged() -> None:
    row = tally_of(check(route("A1")), "lead-outside-room")
    assert (row.checked, row.undecided) == (1, 1)


@pytest.mark.parametrize(
    ("fixture", "found"),
    [
        ({"kind": "structure"}, True),
        ({"kind": "fixings"}, True),
        ({"kind": "floor-mounted", "stands_on": "subfloor"}, True),
        ({"kind": "floor-mounted"}, False),
        ({"kind": "on legs", "clear": 100}, False),
    ],
)
def test_which_fixtures_bar_a_lead(fixture: dict[str, Any], found: bool) -> None:
    fixtures = {"post": {"outline": [[0, 600], [50, 600], [50, 700], [0, 700]], **fixture}}
    under = lengths(
        route("junction-box", [30, 1500], [30, 30], "A", fixtures=fixtures), "lead-under-fixture"
    )
    assert under == ({("W1", "post"): 100} if found else {})


@pytest.mark.parametrize(("side", "found"), [(27, False), (27.01, True), (30, True)])
def test_along_the_edge_of_a_fixture(side: float, found: bool) -> None:
    fixtures = {"post": {"at": [0, 600], "size": [side, 100], "kind": "structure"}}
    change = route("junction-box", [30, 1500], [30, 30], "A", fixtures=fixtures)
    assert lengths(change, "lead-under-fixture") == ({("W1", "post"): 100} if found else {})


def test_pairs_are_counted_whole() -> None:
    joints = {"J1": [[0, 2900], [4000, 2900]], "J2": [[0, 2950], [4000, 2950]]}
    report = check(route("junction-box", [30, 1500], [30, 30], "A", joints=joints))
    assert tally_of(report, "lead-joint").checked == 2
    assert tally_of(report, "lead-under-element").checked == 7
    for rule in RULES:
        assert not of_rule(report, rule)
