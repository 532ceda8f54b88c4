"""Laying the brief's room on the plan's, and which of a plan's rooms is the largest."""

import pytest
from msgspec.structs import replace

from tests.there import there
from tests.underfoot.marking.demo import FOLDER, demo_desk
from underfoot.marking.placing import Move, find_move
from underfoot.marking.traits import RoomTraits, Traits, list_traits, sum_up
from underfoot.marking.turns import TURNS
from underfoot.plan import Room
from underfoot.reading import read_plan

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


LAID = read_plan((FOLDER / "submissions/apprentice-01.yaml").read_bytes(), path="plan.yaml").plan
assert LAID is not None
((_, STRIPS),) = LAID.rooms.items()


def square(side: float, at: tuple[float, float]) -> Room:
    x, y = at
    corners = ((x, y), (x + side, y), (x + side, y + side), (x, y + side))
    return replace(STRIPS, outline=corners)


def traits_of(**rooms: Room) -> tuple[RoomTraits, ...]:
    assert LAID is not None
    return there(list_traits(replace(LAID, rooms=rooms))).rooms


@pytest.mark.parametrize("at", [(0.0, 0.0), (20000.0, 20000.0), (-9000.0, 4000.0)])
def test_the_largest_room_goes_first_wherever_it_is_drawn(at: tuple[float, float]) -> None:
    for small, large in ((at, (0.0, 0.0)), ((0.0, 0.0), at)):
        a, b = square(1000, small), square(3000, large)
        (first,), (second,) = traits_of(a=b), traits_of(a=a)
        assert first != second
        assert traits_of(a=a, b=b) == traits_of(a=b, b=a) == (first, second)


@pytest.mark.parametrize(
    ("angle_deg", "centre", "half"),
    [
        (0.0, (1000.0, 250.0), (1000.0, 250.0)),
        (90.0, (-250.0, 1000.0), (250.0, 1000.0)),
        (180.0, (-1000.0, -250.0), (1000.0, 250.0)),
        (270.0, (250.0, -1000.0), (250.0, 1000.0)),
    ],
)
def test_a_strip_at_a_right_angle_lies_as_one_along_an_axis(
    angle_deg: float, centre: tuple[float, float], half: tuple[float, float]
) -> None:
    """2000 x 500 mm, turned about its corner, which lies 300 and 200 mm from the middle."""
    (strip, *_) = STRIPS.elements
    laid = replace(strip, at=(300.0, 200.0), length=2000.0, along="angle", angle_deg=angle_deg)
    middle = square(2000, (-1000.0, -1000.0))
    ((rect,),) = (room.rects for room in traits_of(a=replace(middle, elements=(laid,))))
    assert rect[1] == pytest.approx((300 + centre[0], 200 + centre[1]))
    assert rect[2] == pytest.approx(half)


def test_what_lies_within_half_a_millimetre_of_the_middle_is_in_one_place() -> None:
    def at(x: float) -> str:
        room = RoomTraits(rects=(), spots=(("sensor", (x, -x)),))
        return sum_up(Traits(rooms=(room,), figures=()))

    assert at(0.3) == at(-0.3) == at(0.0)
    assert len({at(0.0), at(0.6), at(-0.6), at(1.6)}) == 4
