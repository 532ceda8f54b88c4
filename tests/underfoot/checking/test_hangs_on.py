"""What a room drawn otherwise takes over hangs on no part of the drawing that may have changed."""

from collections.abc import Callable
from typing import Any

import pytest
from msgspec.structs import replace

from tests.there import there
from tests.underfoot_rules.plans import BENCH
from tests.underfoot_rules.test_trying import PLANS
from underfoot.checking.check import examine
from underfoot.checking.facts import RoomFacts, once
from underfoot.checking.facts.room import _HANGS_ON
from underfoot.plan import Room

# What is asked for besides the room.
GIVEN: dict[str, Callable[[RoomFacts], tuple[Any, ...]]] = {
    "clearing_move": lambda room: (0, 100.0),
    "find_near_leads": lambda room: (room.sensor_way, 160.0),
    "find_strip_gaps": lambda room: (1.5, 300.0, 40.0, 90.0),
    "open_floor": lambda room: (45.0, 55.0, 90.0),
    "_cut_reachable": lambda room: (45.0, 55.0, 90.0),
}


class Watched:
    """A drawing that notes which of its parts are looked at."""

    def __init__(self, drawn: Room) -> None:
        self.drawn, self.seen = drawn, set[str]()

    def __getattr__(self, part: str) -> Any:
        self.seen.add(part)
        return getattr(self.drawn, part)


class WatchedRoom(RoomFacts):
    """Facts that ask the drawing for its strips each time."""

    @property
    def elements(self) -> Any:
        return self.drawn.elements

    @elements.setter
    def elements(self, given: Any) -> None:
        pass


def list_rooms() -> list[RoomFacts]:
    found = []
    for name in ("bedroom", "study", "flat", "sun-room"):
        source = (PLANS / f"{name}.yaml").read_bytes()
        facts = there(examine(source, BENCH, path=f"{name}.yaml", folder=PLANS).facts)
        found += [room for room in facts.heated_rooms if room.drawn.sensor is not None]
    return found


ROOMS = list_rooms()


def watch(room: RoomFacts) -> tuple[WatchedRoom, set[str]]:
    drawn = Watched(room.drawn)
    watched = WatchedRoom(drawn, room.supply)  # type: ignore[arg-type]
    drawn.seen.clear()
    return watched, drawn.seen


@pytest.mark.parametrize("name", _HANGS_ON)
def test_facts_look_at_no_other_part(name: str) -> None:
    looked = set()
    for room in ROOMS:
        watched, seen = watch(room)
        getattr(watched, name)
        assert seen <= set(_HANGS_ON[name])
        looked |= seen
    assert looked


@pytest.mark.parametrize("work_out", once._PARTS_OF, ids=lambda work_out: work_out.__name__)
def test_functions_look_at_no_other_part(work_out: Callable[..., Any]) -> None:
    looked = set()
    for room in ROOMS:
        watched, seen = watch(room)
        work_out(watched, *GIVEN.get(work_out.__name__, lambda room: ())(room))
        assert seen <= set(once.parts_of(work_out))
        looked |= seen
    assert looked


def test_a_room_drawn_otherwise_takes_over_what_may_be() -> None:
    room = ROOMS[0]
    work_out = next(each for each in once._PARTS_OF if each.__name__ == "find_heated_parts")
    known = room.once(work_out)
    sensor = there(room.drawn.sensor)
    moved = room.redrawn(replace(room.drawn, sensor=replace(sensor, at=(1.0, 2.0))))
    assert moved.once(work_out) is known
    assert moved.leads is room.leads
    assert moved.sensor_way != room.sensor_way
    fewer = room.redrawn(replace(room.drawn, elements=room.drawn.elements[1:]))
    assert fewer.once(work_out) != known
    assert room.redrawn(room.drawn) is room
