"""Laying the brief's room on the plan's, and which of a plan's rooms is the largest."""

import pytest
from msgspec.structs import replace

from tests.there import there
from tests.underfoot.marking.demo import demo_desk
from underfoot.marking.placing import Move, find_move
from underfoot.marking.traits import list_traits
from underfoot.marking.turns import TURNS
from underfoot.plan import Room

((NAME, ROOM),) = demo_desk().brief.rooms.items()


def brought(move: Move) -> Room:
    room: Room = move.bring(ROOM)
    return replace(
        room,
        outline=move.places(ROOM.outline),
        fixtures=move.bring(ROOM.fixtures),
        joints=move.bring(ROOM.joints),
    )


@pytest.mark.parametrize("by", [(0.0, 0.0), (2.0, 0.0), (-2.0, 4.0), (812.0, -3000.0)])
def test_the_move_is_found_again(by: tuple[float, float]) -> None:
    for turn in TURNS.values():
        move = Move(turn=turn, by=by)
        _, found, fits = find_move(ROOM, brought(move))
        assert fits
        for was, now in zip(move.places(ROOM.outline), found.places(ROOM.outline), strict=True):
            assert now == pytest.approx(was, abs=1.0)


def test_what_is_drawn_a_little_beside_is_not_moved() -> None:
    for by in ((0.0, 0.0), (0.4, -0.3)):
        assert find_move(ROOM, brought(Move(by=by)))[1:] == (Move(), True)


def test_every_corner_fixture_and_joint_that_agrees_is_counted() -> None:
    agreed, _, fits = find_move(ROOM, ROOM)
    # A corner and a joint count once, a fixture twice: it is of a kind, too.
    assert (agreed, fits) == (4 + 2 * len(ROOM.fixtures) + len(ROOM.joints), True)
    bare, _, fits = find_move(ROOM, replace(ROOM, fixtures={}, joints={}))
    assert (bare, fits) == (4, True)


def square(side: float, at: tuple[float, float]) -> Room:
    x, y = at
    corners = ((x, y), (x + side, y), (x + side, y + side), (x, y + side))
    return replace(ROOM, outline=corners)


@pytest.mark.parametrize("at", [(0.0, 0.0), (20000.0, 20000.0), (-9000.0, 4000.0)])
def test_the_largest_room_goes_first_wherever_it_is_drawn(at: tuple[float, float]) -> None:
    for small, large in ((at, (0.0, 0.0)), ((0.0, 0.0), at)):
        rooms = {"a": square(1000, small), "b": square(3000, large)}
        traits = there(list_traits(replace(demo_desk().brief, rooms=rooms)))
        bare = [there(list_traits(replace(demo_desk().brief, rooms={"a": one}))) for one in
                (rooms["b"], rooms["a"])]  # fmt: skip
        assert traits.rooms == tuple(one.rooms[0] for one in bare)
