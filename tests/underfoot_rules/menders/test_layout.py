"""The quick look at a room laid out otherwise sees what the rules see, no more and no less."""

from collections.abc import Iterator
from typing import Any

import pytest
from msgspec.structs import replace

from tests.underfoot_rules.menders.asking import judge, plan, room
from tests.underfoot_rules.offered import judged, plans
from underfoot.mending.trial import State
from underfoot_rules.menders.layout import lay_out, list_brought, list_faults

LOOKED_AT = {
    "element-outside-room", "wall-clearance", "fixture-clearance", "joint-crossing",
    "element-overlap", "strip-gap", "covered-floor", "lead-under-element",
}  # fmt: skip
Seen = set[tuple[str, str, frozenset[str]]]


def at_limits() -> Iterator[tuple[str, Any]]:
    """Change the base plan so that something lies at a limit, and just off it on either side.

    The limits are in the rules; what matters here is that every step across them is looked at.
    """
    for off in (-1, 30, 49.9, 50, 57.4, 57.5, 57.9, 58, 58.1, 60):
        yield f"row {off} from the left", room(rows={"A": {"at": [off, 60]}})
        yield f"row {off} from below", room(rows={"A": {"at": [60, off]}})
    for over in (0.4, 0.5, 0.9, 1, 1.1, 2, 4.9, 5, 5.1, 29, 30, 31):
        for sign in (1, -1):
            strip = {"film": "film-80", "along": "y", "circuit": "C1", "length": 2750,
                     "at": [3060 + sign * over, 60]}  # fmt: skip
            rows = {"A": {"lengths": [2750] * 6}}
            yield f"strip {sign * over} beside another", room(rows=rows, elements={"X1": strip})
    for gap in (-200, 0, 1, 49, 49.9, 50, 50.1, 57.9, 58, 58.1):
        for kind in ("floor-mounted", "lying flat"):
            thing = {"at": [3560 + gap, 500], "size": [300, 600], "kind": kind}
            yield f"{kind} {gap} off", room(fixtures={"thing": thing})
    for clear in (20, 40, 59.9, 60, 99, 100, 101):
        thing = {"at": [3000, 500], "size": [300, 600], "kind": "on legs", "clear": clear}
        yield f"on legs, {clear} clear", room(fixtures={"thing": thing})
    for y in (59, 60, 60.5, 61, 62, 65, 70, 100):
        route = ["junction-box", [30, 1500], [30, y], [1000, y], [1000, 30], "A"]
        yield f"lead {y} up", room(leads={"W1": {"route": route}})
        yield f"joint {y} up", room(joints={"J1": [[0, y], [4000, y]]})


def seen(state: State) -> Seen:
    return {
        (each.rule.id, each.subject.room or "", frozenset(each.subject.items))
        for each in state.outcome.raised
        if each.rule.id in LOOKED_AT
    }


def looked(state: State) -> Seen:
    facts = state.outcome.facts
    return {
        (rule, each.id, frozenset(items))
        for each in facts.rooms.values()
        for rule, items in list_faults(facts, each)
    }


def same(state: State) -> None:
    # Where a figure cannot be meant the rules say no more of the room.
    if not any(each.rule.id == "odd-figure" for each in state.outcome.raised):
        assert looked(state) == seen(state)


@pytest.mark.parametrize(
    "change", [pytest.param(change, id=name) for name, change in at_limits()]
)  # fmt: skip
def test_at_every_limit(change: Any) -> None:
    _, state = judge(plan(change))
    same(state)


@pytest.mark.parametrize(
    "name",
    [
        name
        for number, name in enumerate(plans())
        if "odd room" in name or not number % 9 or any(rule in name for rule in LOOKED_AT)
    ],
)
def test_on_faulty_plans(name: str) -> None:
    _, state = judged(name)
    same(state)


def test_what_was_there_before_is_brought_only_where_it_is_worse() -> None:
    before = {("strip-gap", ("A1", "A2")): 10.0, ("wall-clearance", ("A1",)): -50.0}
    assert list_brought(before, before) == frozenset()
    worse = {("strip-gap", ("A1", "A2")): 10.1, ("wall-clearance", ("A1",)): -50.1}
    assert list_brought(before, worse) == {("strip-gap", ("A1", "A2"))}
    assert list_brought({}, before) == frozenset(before)


def test_strips_and_leads_are_changed_left_out_and_added() -> None:
    _, state = judge(plan({}))
    before = state.outcome.facts.rooms["room"]
    first, *_, last = before.elements
    further = replace(last, id="X1")
    laid = lay_out(before, {first.id: None})
    assert [each.id for each in laid.elements] == [each.id for each in before.elements[1:]]
    assert [each.id for each in lay_out(before).elements] == [e.id for e in before.elements]
    assert [e.id for e in lay_out(before, {"X1": further}).elements][-2:] == [last.id, "X1"]
    lead = replace(before.drawn.leads[0], route=before.drawn.leads[0].route[:2])
    assert [e.lead for e in lay_out(before, leads={lead.id: lead}).leads] == [lead]
