"""A thermostat that the brief hangs in another room, and a method that it gives as a whole."""

import copy
import json
from typing import Any

import pytest

from tests.laws.moving import Move, move_rooms
from tests.laws.opening import open_plan
from tests.there import there
from tests.underfoot.marking.demo import scheme_from
from tests.underfoot.marking.test_two_rooms import RIGHT, SCHEME, brief_of
from underfoot.marking.brief import Restored, restore_brief
from underfoot.marking.scheme import PARTS
from underfoot.plan import Plan
from underfoot.reading import read_plan

Data = dict[str, Any]
HUNG = {"height": "1.4 m", "switches": "16 A", "floor_limit": "27 degC",
        "room": "bedroom", "at": [0, 1700]}  # fmt: skip
ELSEWHERE = "study: the thermostat does not hang where the brief has it"


def read(plan: Data) -> Plan:
    reading = read_plan(json.dumps(plan).encode(), path="plan.yaml")
    assert reading.plan is not None, reading.problems
    return reading.plan


def hung(thermostat: Data | None, method: Data | None = None) -> Data:
    """The right plan with the study's thermostat so, and with steps added to the method."""
    plan = copy.deepcopy(RIGHT)
    del plan["rooms"]["study"]["thermostat"]
    if thermostat is not None:
        plan["rooms"]["study"]["thermostat"] = dict(thermostat)
    plan["method_statement"].update(method or {})
    return plan


def restored(plan: Data, *, room: str = "bedroom", fixed: tuple[str, ...] = PARTS) -> Restored:
    """Hold a plan to a brief that hangs the study's thermostat in the bedroom."""
    brief = brief_of(RIGHT)
    brief["rooms"]["study"]["thermostat"] = {**HUNG, "room": room}
    brief["method_statement"] = {"connector_tool": "ratchet", "busbars": "down"}
    return restore_brief(read(plan), read(brief), fixed)


def place(found: Restored) -> tuple[str | None, tuple[float, float] | None]:
    thermostat = found.plan.rooms["study"].thermostat
    assert thermostat is not None
    at = thermostat.at
    return thermostat.room, None if at is None else (round(at[0]), round(at[1]))


@pytest.mark.parametrize(
    ("move", "where"),
    [
        (Move(), (0, 1700)),
        (Move(dx=5000, dy=300), (5000, 2000)),
        (Move(turn_deg=90), (-1700, 0)),
        (Move(mirrored=True, dx=3650), (3650, 1700)),
    ],
    ids=str,
)
@pytest.mark.parametrize("thermostat", [HUNG, None], ids=["drawn", "left out"])
def test_it_hangs_where_the_other_room_has_it_however_that_is_drawn(
    move: Move, where: tuple[int, int], thermostat: Data | None
) -> None:
    plan = move_rooms(open_plan(hung(thermostat)), {"bedroom": move, "study": Move()})
    found = restored(plan)
    assert [one.said for one in found.changes] == []
    assert place(found) == ("bedroom", where)


def test_it_goes_by_the_plans_own_name_of_the_room() -> None:
    plan = json.loads(json.dumps(hung(HUNG)).replace('"bedroom"', '"back-room"'))
    found = restored(plan)
    assert found.changes == ()
    assert place(found) == ("back-room", (0, 1700))


@pytest.mark.parametrize(
    "told",
    [{"at": [0, 1500]}, {"room": "study"}, {"room": "study", "at": [0, 1500]}],
    ids=["another place", "here", "here, another place"],
)
def test_hung_otherwise_it_is_told_and_put_back(told: Data) -> None:
    found = restored(hung({**HUNG, **told}))
    assert [one.said for one in found.changes] == [ELSEWHERE]
    assert place(found) == ("bedroom", (0, 1700))


def test_named_by_its_own_room_it_hangs_here() -> None:
    own = {**HUNG, "room": "study"}
    bare = {key: value for key, value in HUNG.items() if key != "room"}
    for here in (own, bare):
        assert [one.said for one in restored(hung(here), room="study").changes] == []


STEPS = {"connector_tool": "ratchet", "busbars": "down"}
ADDED = [step for step in RIGHT["method_statement"] if step not in STEPS]


def test_what_the_brief_does_not_state_of_a_method_is_the_apprentices() -> None:
    found = restored(hung(HUNG))
    assert found.changes == ()
    assert set(there(found.plan.method_statement).steps) == {*STEPS, *ADDED}


def test_where_the_whole_method_is_the_briefs_a_step_more_is_a_change() -> None:
    scheme = scheme_from(f"whole_method: true\n{SCHEME}")
    found = restored(hung(HUNG), fixed=scheme.may_not_change)
    assert [one.said for one in found.changes] == [
        f"method statement: {', '.join(ADDED)} added to the method that the brief gives"
    ]
    assert set(there(found.plan.method_statement).steps) == set(STEPS)


def test_a_whole_method_that_is_repeated_or_left_out_changes_nothing() -> None:
    fixed = scheme_from(f"whole_method: true\n{SCHEME}").may_not_change
    plan = hung(HUNG)
    for method in (STEPS, {"busbars": "down"}, None):
        plan["method_statement"] = method or {}
        found = restored(plan, fixed=fixed)
        assert found.changes == ()
        assert set(there(found.plan.method_statement).steps) == set(STEPS)
