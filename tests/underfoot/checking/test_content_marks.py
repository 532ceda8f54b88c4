"""Marks of content: what they are made of, and that a thing of many findings is written once."""

import pytest

from tests.underfoot.reading.samples import FULL
from underfoot.checking import content_marks
from underfoot.checking.content_marks import Marking, content_of, mark
from underfoot.checking.finding import Subject
from underfoot.plan import Plan
from underfoot.reading import read_plan

ROOM = "day-room"


@pytest.fixture
def plan() -> Plan:
    found = read_plan(FULL.encode(), path="plan.yaml").plan
    assert found is not None
    return found


def about(room: str | None, *items: str) -> Subject[None]:
    return Subject(room=room, items=items, path="", payload=None)


def test_a_mark_is_of_rule_room_and_items_by_their_content(plan: Plan) -> None:
    room = plan.rooms[ROOM]
    strip, lead = room.elements[0], room.leads[0]
    items = sorted(repr(content_of(each)) for each in (strip, lead))
    outline = content_of(room.outline)
    marking = Marking(plan)
    # Written out here as it has always been made: lists of known findings hold such marks.
    expected = mark(("a-rule", outline, items))
    assert marking.mark_of("a-rule", about(ROOM, strip.id, lead.id)) == expected
    assert marking.mark_of("a-rule", about(ROOM, lead.id, strip.id)) == expected
    assert marking.mark_of("other", about(ROOM, lead.id, strip.id)) != expected
    assert marking.mark_of("a-rule", about(ROOM, lead.id)) == mark(
        ("a-rule", outline, [repr(content_of(lead))])
    )
    assert marking.mark_of("a-rule", about(None, "nothing")) == mark(
        ("a-rule", None, ["'nothing'"])
    )


def test_one_name_in_two_places_is_two_things(plan: Plan) -> None:
    marking = Marking(plan)
    strip = plan.rooms[ROOM].elements[0].id
    assert marking.mark_of("a-rule", about(ROOM, strip)) != marking.mark_of(
        "a-rule", about("hall", strip)
    )


def test_a_thing_is_written_once(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[str] = []
    plain = Marking._item

    def counted(marking: Marking, room: object, item: str) -> object:
        written.append(item)
        return plain(marking, room, item)  # type: ignore[arg-type]

    monkeypatch.setattr(content_marks.Marking, "_item", counted)
    marking = Marking(plan)
    lead = plan.rooms[ROOM].leads[0].id
    for strip in plan.rooms[ROOM].elements:
        marking.mark_of("a-rule", about(ROOM, lead, strip.id))
    assert written.count(lead) == 1
