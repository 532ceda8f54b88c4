"""Leads are taken round what bars them, in the border, and end where they are joined."""

from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import mended, mends, plan, room, says
from underfoot.api.rules import Data

TO_ALL = ["A1", "A2", "A3", "A4", "A5", "A6", "A7"]


def lead(**told: Any) -> Data:
    """Change lead W1."""
    return {"rooms": {"room": {"leads": {"W1": told}}}}


def route(*stops: Any) -> Data:
    """Lead W1 otherwise."""
    return lead(route=["junction-box", *stops])


def second(*stops: Any) -> Data:
    """Draw a second lead."""
    told = {"circuit": "C1", "size": "1.5 mm2", "recessed": True, "route": ["junction-box", *stops]}
    return {"rooms": {"room": {"leads": {"W2": told}}}}


USUAL = [[30, 1500], [30, 30], "A"]
SQUARE = ["junction-box", [30, 1500], [30, 30], [310, 30], "A"]
W1, W2 = ("rooms", "room", "leads", "W1"), ("rooms", "room", "leads", "W2")


@pytest.mark.parametrize(
    ("change", "rule", "item", "said", "path", "value"),
    [
        (route("A"), "lead-under-element", "A1",
         "Take lead W1 by [30, 1500], [30, 30] and [310, 30].", (*W1, "route"), SQUARE),
        (route([0, 1500], [0, 30], "A"), "lead-outside-room", "W1",
         "Take lead W1 by [30, 1500], [30, 30] and [310, 30].", (*W1, "route"), SQUARE),
        (route(*USUAL[:2], *TO_ALL[:2], "A3.end", *TO_ALL[3:]), "lead-under-element", "A3",
         "Let lead W1 join A3 at its start.", (*W1, "route", 5), "A3"),
        (route(*USUAL, [3800, 30]), "lead-loose-end", "W1",
         "End lead W1 at A7, where it is joined.", (*W1, "route", 4), None),
        (second([30, 1700]), "lead-loose-end", "W2",
         "Leave out lead W2: it joins no strip.", W2, None),
        (second([21, 1500], [21, 21], [310, 21], "A1"), "lead-ring", "C1",
         "Leave out lead W2: what it joins is fed without it.", W2, None),
        (lead(thickness=12), "lead-thickness", "W1",
         "Take two conductors of 1.5 mm2 side by side for lead W1, 3 mm thick, and leave out its "
         "`thickness`.", (*W1, "thickness"), None),
        (lead(thickness=1.1), "lead-thickness", "W1",
         "Leave out the `thickness` of lead W1, which cannot be right: the least for 1.5 mm2, "
         "3 mm, is taken until somebody measures it.", (*W1, "thickness"), None),
        (lead(recessed=None), "lead-recessed", "W1",
         "Let lead W1 into the insulation, flush, and state `recessed: true`.",
         (*W1, "recessed"), True),
    ],
)  # fmt: skip
def test_what_a_person_would_do_first(
    change: Data, rule: str, item: str, said: str, path: tuple[str | int, ...], value: Any
) -> None:
    best = mends(plan(change), rule, item)[0]
    assert best.says == said
    assert [(edit.path, edit.value) for edit in best.patch] == [(path, value)]
    assert says(plan({**change, "status": "laid"}), rule, item) == []


def test_a_ring_is_opened_before_its_last_joint() -> None:
    """W2 feeds A6 and A7 from A5, and comes back along the border to A1, which W1 feeds."""
    ring = ["A5", "A6", "A7", [3310, 12], [310, 12], "A1"]
    change = second()
    change["rooms"]["room"]["leads"]["W2"]["route"] = ring
    change["rooms"]["room"]["leads"]["W1"] = {"route": ["junction-box", *USUAL[:2], *TO_ALL[:5]]}
    best = mends(plan(change), "lead-ring", "C1")[0]
    assert best.says == "End lead W2 before A1, which is fed already."
    after = mended(plan(change), "lead-ring", "C1")["rooms"]["room"]["leads"]
    # The bends on the way to A1 go with it.
    assert after["W2"]["route"] == ring[:3]
    assert after["W1"]["route"] == ["junction-box", *USUAL[:2], *TO_ALL[:5]]


def test_two_leads_are_laid_side_by_side() -> None:
    """A1 hangs on a lead of its own, drawn in the groove of the other's."""
    change = second([30, 1500], [30, 30], [310, 30], "A1")
    change["rooms"]["room"]["leads"]["W1"] = {"route": ["junction-box", *USUAL[:2], *TO_ALL[1:]]}
    data = mended(plan(change), "lead-on-lead", "W2")
    one, other = (data["rooms"]["room"]["leads"][name]["route"] for name in ("W1", "W2"))
    assert one != other
    assert one[-6:] == TO_ALL[1:]
    assert other[-1] == "A1"


def test_a_lead_goes_round_what_is_in_its_way() -> None:
    """A joint across the border's middle leaves 12 mm to the wall: the lead is 6 mm wide."""
    data = mended(plan(room(joints={"J1": [[12, 700], [48, 700]]})), "lead-joint", "W1")
    _, first, second, *_ = data["rooms"]["room"]["leads"]["W1"]["route"]
    assert 3 < first[0] < 12
    assert first[0] == second[0]


def test_no_way_is_offered_where_there_is_none_worth_it() -> None:
    """A rail bars the border; the way round the other side is many times as long."""
    rail = {"at": [10, 600], "size": [30, 60], "kind": "fixings"}
    assert says(plan(room(fixtures={"rail": rail})), "lead-under-fixture", "W1") == []


def test_the_only_lead_of_a_circuit_is_not_left_out() -> None:
    for said in says(plan(route([30, 1700])), "lead-loose-end", "W1"):
        assert not said.startswith("Leave out")


def test_a_thicker_lead_stays_where_even_a_flat_pair_is_too_thick() -> None:
    thin = {"materials": {"boards": {"board-10": {"thickness": 2}}}}
    assert says(plan({**lead(thickness=12), **thin}), "lead-thickness", "W1") == []
