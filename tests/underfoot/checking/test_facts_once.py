"""Facts are worked out once: what anybody makes of them is kept, and a check hands them on."""

import pickle
from typing import Any

import pytest

from tests.there import there
from tests.underfoot_rules.plans import BENCH
from underfoot.checking.check import CheckedPlan, examine
from underfoot.checking.facts import Facts, RoomFacts
from underfoot.page.drawn_plan import draw_plan
from underfoot_rules import STANDARD


@pytest.fixture
def examined() -> CheckedPlan:
    return examine(STANDARD.base_plan.encode(), BENCH, path="plan.yaml")


def test_what_is_worked_out_is_kept_by_what_was_given(examined: CheckedPlan) -> None:
    facts = there(examined.facts)
    calls: list[int] = []

    def work_out(facts: Facts, first: int, second: int = 0) -> int:
        calls.append(first)
        return 10 * first + second

    assert [facts.once(work_out, 1), facts.once(work_out, 1)] == [10, 10]
    assert facts.once(work_out, 2) == 20
    assert facts.once(work_out, 1, second=5) == 15
    assert facts.once(work_out, 1, second=6) == 16
    assert calls == [1, 2, 1, 1]


def test_rooms_keep_what_is_worked_out_for_themselves(examined: CheckedPlan) -> None:
    first, second = examined.facts, Facts(examined.plan, {})  # type: ignore[arg-type]
    assert first is not None

    def name_of(room: RoomFacts) -> str:
        return f"{room.id} {id(room)}"

    names = [room.once(name_of) for facts in (first, second) for room in facts.rooms.values()]
    assert len(set(names)) == len(names)


def test_facts_for_the_rules_on_waivers_are_worked_out_anew(examined: CheckedPlan) -> None:
    facts = there(examined.facts)

    def count_waivers(facts: Facts) -> int:
        return len(facts.waivers)

    assert facts.once(count_waivers) == 0
    later = facts.with_waivers((None,))  # type: ignore[arg-type]
    assert later.once(count_waivers) == 1
    assert facts.once(count_waivers) == 0


def test_a_check_hands_on_the_facts_that_the_rules_have_worked_out(
    examined: CheckedPlan, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert examined.facts is not None
    assert "rooms" in vars(examined.facts)  # by the rules
    assert examined.plan is examined.facts.plan

    def refuse(self: RoomFacts, *given: Any) -> None:
        raise AssertionError("a room's facts are made once more")

    monkeypatch.setattr(RoomFacts, "__init__", refuse)
    drawn = draw_plan(examined)
    assert drawn.fault is None
    assert drawn.rooms


def test_facts_reach_another_process_without_what_was_worked_out(examined: CheckedPlan) -> None:
    facts = there(examined.facts)
    arrived = pickle.loads(pickle.dumps(facts))
    assert "rooms" not in vars(arrived)
    assert arrived.plan == facts.plan
    assert (arrived.limits, arrived.today) == (facts.limits, facts.today)
    assert arrived.waivers == facts.waivers
