"""What is tried in one room is found there as by a look at the whole plan, and costs no more."""

from datetime import date

import pytest
from msgspec.structs import replace

from tests.demo_plans import PLANS
from tests.seeded_faults.plans import right_plan
from tests.there import there
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.facts import Facts
from underfoot.checking.settings import default_settings
from underfoot.plan import Plan
from underfoot.reading import read_plan
from underfoot.reading.plan_file import read_parsed
from underfoot.reading.syntax import Parsed
from underfoot_rules import STANDARD, trying

SETTINGS = default_settings(STANDARD.rules)


def some_plans() -> list[Plan]:
    """Plans of several rooms: of the scenario, and drawn."""
    found = []
    for name in ("flat", "snug", "linen-room", "workroom", "sun-room"):
        source = (PLANS / f"{name}.yaml").read_bytes()
        reading = read_plan(source, path=f"{name}.yaml", folder=PLANS)
        found.append(there(reading.plan))
    for seed in range(90):
        data = right_plan(seed)
        if len(data["rooms"]) > 1:
            parsed = Parsed(data=data, positions={}, problems=())
            plan = read_parsed(parsed, path="drawn.yaml").plan
            found.append(there(plan))
    return found


def test_a_room_alone_tells_what_the_whole_plan_tells_of_it() -> None:
    looked = set()
    plans = some_plans()
    assert len(plans) > 8
    for plan in plans:
        facts = Facts(plan, SETTINGS.numbers, date(2026, 11, 1))
        for room in facts.rooms.values():
            if not room.elements:
                continue
            first = room.drawn.elements[0]
            x, y = first.at
            moved = replace(first, at=(x + 130.0, y - 40.0))
            drawn = replace(room.drawn, elements=(moved, *room.drawn.elements[1:]))
            trial = facts.with_room(drawn)
            near = trial.of_rooms({room.id, *trying.list_linked(facts, room)})
            for rule in trying._rules(facts, sorted(trying.NEAR)):
                whole = trying._list_faults(trial, rule)
                here = {fault: grave for fault, grave in whole.items() if fault.room == room.id}
                found = trying._list_faults(near, rule)
                found = {fault: grave for fault, grave in found.items() if fault.room == room.id}
                assert found == here, (rule.id, room.id)
                looked |= {rule.id} if here else set()
    assert len(looked) >= 8


@pytest.mark.parametrize("rooms", [24])
def test_trials_of_many_rooms_grow_as_the_rooms_do(
    rooms: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So many faulty rooms are asked about so often, and not so often squared."""
    checker = make_checker([STANDARD], SETTINGS, date(2026, 11, 1))
    asked = 0
    really = trying._list_faults

    def counting(facts: Facts, rule: object) -> object:
        nonlocal asked
        asked += len(facts.rooms)
        return really(facts, rule)  # type: ignore[arg-type]

    monkeypatch.setattr(trying, "_list_faults", counting)
    counts = []
    for count in (rooms // 4, rooms):
        asked = 0
        report = check_source(faulty_rooms(count), checker, path="many.yaml")
        assert sum(each.rule == "wall-clearance" for each in report.findings) == count
        counts.append(asked)
    assert counts[1] <= 5 * counts[0]


def faulty_rooms(count: int) -> bytes:
    """Write a house of bedrooms in which every row lies too near to the wall."""
    text = (PLANS / "bedroom.yaml").read_text("utf-8").replace("at: [60, 60]", "at: [30, 60]")
    head, _, rest = text.partition("rooms:\n")
    room, _, rest = rest.partition("circuits:\n")
    circuit, _, method = rest.partition("method_statement:\n")

    def named(part: str, number: int) -> str:
        part = part.replace("bedroom", f"room-{number}").replace("C1", f"C{number}")
        return part.replace("W1", f"W{number}").replace(" A: {", f" R{number}x: {{").replace(
            "A]}", f"R{number}x]}}"
        )  # fmt: skip

    numbers = range(1, count + 1)
    rooms = "".join(named(room, number) for number in numbers)
    circuits = "".join(named(circuit, number) for number in numbers)
    whole = f"{head}rooms:\n{rooms}circuits:\n{circuits}method_statement:\n{method}"
    return whole.replace("available: 25 A", f"available: {10 * count} A").encode()
