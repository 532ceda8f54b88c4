"""What a tape finds, against looking along every wall, and by hand."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.effort import examples
from tests.underfoot.drawing.rooms import read_text, rooms_of
from tests.underfoot.drawing.test_odd_rooms import RECTANGLE, STRIP, plan_of
from underfoot.checking.facts import RoomFacts
from underfoot.drawing.chains import apart, find_blocks, find_guests, side_of_wall, sides_of_signs
from underfoot.drawing.dimensions import ABOVE, BELOW, CLEAR, TICK, _figure_places
from underfoot.drawing.lining.boards import find_courses
from underfoot.drawing.measures import _lies_along
from underfoot.drawing.setting_out import find_wanted
from underfoot.drawing.tape import Measure, Tape, Wanted, axes_at


def facts_of(more: str = "", outline: str = RECTANGLE) -> RoomFacts:
    (facts,) = rooms_of(plan_of(more, outline)).values()
    return facts


@st.composite
def rooms(draw: st.DrawFn) -> RoomFacts:
    """Rooms of corners round a middle, square or not, now and then with a stack in them."""
    if draw(st.booleans()):
        x, y = draw(st.integers(1000, 3000)), draw(st.integers(1000, 2000))
        outline = [[0, 0], [4000, 0], [4000, y], [x, y], [x, 3000], [0, 3000]]
    else:
        count = draw(st.integers(3, 7))
        reaches = draw(st.lists(st.integers(1200, 3000), min_size=count, max_size=count))
        outline = [
            [round(3000 + r * math.cos(place / count * math.tau)),
             round(3000 + r * math.sin(place / count * math.tau))]
            for place, r in enumerate(reaches)
        ]  # fmt: skip
    return facts_of(outline=str(outline))


spots = st.tuples(st.integers(0, 6000), st.integers(0, 6000))


@examples(60)
@given(rooms(), spots, st.integers(0, 23))
def test_the_first_wall_ahead_is_found_where_it_is_square(
    facts: RoomFacts, at: tuple[int, int], turn: int
) -> None:
    assume(shapely.contains_xy(facts.floor, *at))
    assume(facts.floor.exterior.distance(shapely.Point(at)) > 2)
    tape = Tape(facts)
    angle = math.radians(15 * turn)
    way = (math.cos(angle), math.sin(angle))
    ray = shapely.LineString([at, (at[0] + 9e4 * way[0], at[1] + 9e4 * way[1])])
    # All walls that a ray meets, by where it meets them.
    met = []
    for start, end in pairwise(facts.floor.exterior.coords):
        crossed = ray.intersection(shapely.LineString([start, end]))
        if not crossed.is_empty:
            along = np.subtract(end, start) / math.dist(start, end)
            square = abs(along[0] * way[1] - along[1] * way[0])
            met.append((shapely.Point(at).distance(crossed), square))
    far = min(met)[0]
    square = max(each for away, each in met if away <= far + 1e-3)
    found = tape.to_wall((float(at[0]), float(at[1])), way)
    assert (found is not None) == (square >= math.sqrt(1 - 0.01**2) - 1e-9)
    blunt = tape.to_wall((float(at[0]), float(at[1])), way, 0.5)
    assert (blunt is not None) == (square >= 0.5)
    for each in (found, blunt):
        assert each is None or each.length == pytest.approx(far, abs=2e-3)


@examples(40)
@given(rooms(), spots)
def test_of_the_corners_that_see_a_place_two_fix_it_best(
    facts: RoomFacts, at: tuple[int, int]
) -> None:
    assume(shapely.contains_xy(facts.floor, *at))
    place = (float(at[0]), float(at[1]))
    found = Tape(facts).from_corners(place)
    wide = facts.floor.buffer(1.0, join_style="mitre")
    seen = [
        corner for corner in facts.outline.exterior.coords[:-1]
        if math.dist(corner, at) > 1.0 and wide.covers(shapely.LineString([corner, at]))
    ]  # fmt: skip

    def rank(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[bool, float]:
        a, b = (math.atan2(y - at[1], x - at[0]) for x, y in (one, other))
        return abs(math.sin(a - b)) < 0.35, math.dist(one, at) + math.dist(other, at)

    pairs = [rank(a, b) for place, a in enumerate(seen) for b in seen[place + 1 :]]
    if pairs:
        one, other = found
        mine, best = rank(one.start, other.start), min(pairs)
        assert mine[0] == best[0]
        assert mine[1] == pytest.approx(best[1])
    else:
        assert [each.start for each in found] == seen[:1]
    assert all(each.end == place and not each.may_shift for each in found)


@examples(40)
@given(rooms(), spots)
def test_a_place_lies_beside_the_nearest_wall_that_it_is_square_off(
    facts: RoomFacts, at: tuple[int, int]
) -> None:
    tape = Tape(facts)
    off = []
    for start, end in pairwise(facts.outline.exterior.coords):
        long = math.dist(start, end)
        (dx, dy), away = np.subtract(end, start) / long, np.subtract(at, start)
        along, aside = away[0] * dx + away[1] * dy, abs(dx * away[1] - dy * away[0])
        if long >= 200 and aside <= 200 and -1 <= along <= long + 1:
            off.append(round(float(aside), 1))
    wall = tape.wall_beside((float(at[0]), float(at[1])))
    assert (wall is None) == (not off)
    if wall is not None:
        line = shapely.LineString([np.array(wall[0]), np.array(wall[1])])
        aside = [
            round(abs((u - x) * (at[1] - y) - (v - y) * (at[0] - x)) / line.length, 1)
            for (x, y), (u, v) in [wall]
        ]
        assert aside == [min(off)]


def test_along_a_wall_it_is_measured_from_both_ends_the_nearer_first() -> None:
    tape = Tape(facts_of())
    wall = ((0.0, 0.0), (4000.0, 0.0))
    ways = tape.along_wall(wall, (3000.0, 70.0))
    assert [(each.start, each.end, each.length) for each in ways] == [
        ((4000, 0), (3000, 0), 1000), ((0, 0), (3000, 0), 3000),
    ]  # fmt: skip
    # At a corner nothing is left to be measured from it.
    assert [each.start for each in tape.along_wall(wall, (3999.5, 70.0))] == [(0, 0)]
    assert [each.length for each in tape.along_wall(wall, (3998.0, 70.0))] == [2, 3998]


def test_ways_are_those_that_most_walls_run() -> None:
    assert Tape(facts_of()).angle == 0
    assert axes_at(90.0) == ((0.0, 1.0), (-1.0, 0.0))
    # Of walls of 36.87 degrees and of x as long that of x counts.
    tape = Tape(facts_of(outline="[[0, 0], [4000, 0], [4000, 4000], [3400, 4800], [0, 4800]]"))
    assert tape.angle == 0
    assert tape.is_aligned((1.0, 0.0))
    assert tape.is_aligned((0.0, -1.0))
    assert tape.is_aligned((1.0, 0.0099))
    assert not tape.is_aligned((1.0, 0.0101))


def test_a_dimension_is_told_in_words() -> None:
    way = Measure(start=(0.0, 1200.4), end=(300.0, 1200.4))
    wanted = Wanted(layer="l", item="i", what="w", ways=(way,))
    assert wanted.in_words == "300 from the wall at 0, 1200 to 300, 1200"
    corner = Measure(start=(0.0, 0.0), end=(300.0, 400.0), may_shift=False)
    assert Wanted(layer="l", item="i", what="w", ways=(corner,)).in_words.startswith(
        "500 from the corner at 0, 0 "
    )


def test_a_line_is_measured_where_a_face_is_nearest_along_it() -> None:
    facts = facts_of(
        "    fixtures: {stack: {at: [1000, 1200], size: [600, 600], kind: structure}}\n"
        "    joints: {J: [[500, 1000], [3000, 1000]]}\n"
    )
    found = [
        round(each.ways[0].length, 1)
        for each in find_wanted(facts, {"fixtures"})
        if each.what == "joint J"
    ]
    # It begins 500 from the left; at 0.3 of its way, x = 1250, the stack's face is 200 above it; it
    # ends 1000 from the right, as far from the lower wall as before.
    assert found == [500, 200, 1000]


def test_lines_that_lie_along_each_other() -> None:
    line = ((0.0, 0.0), (10.0, 0.0))
    assert _lies_along(line, ((2.0, 1.1), (9.0, 1.1)))
    assert not _lies_along(line, ((2.0, 1.2), (9.0, 1.2)))
    # They share 1.6, or only 1.5, of their way.
    assert _lies_along(line, ((8.4, 0.0), (20.0, 0.0)))
    assert not _lies_along(line, ((8.5, 0.0), (20.0, 0.0)))
    assert not _lies_along(line, ((-20.0, 0.0), (1.5, 0.0)))
    assert not _lies_along(line, ((5.0, -5.0), (5.0, 5.0)))
    assert not _lies_along(((1.0, 1.0), (1.0, 1.0)), line)
    upright = ((3.0, 0.0), (3.0, 10.0))
    assert _lies_along(upright, ((4.0, 9.0), (4.0, 2.0)))
    assert not _lies_along(upright, ((4.3, 9.0), (4.3, 2.0)))


def test_a_figure_stands_over_its_line_or_past_an_end() -> None:
    # From 10 to 30, a figure of 8: half of it and of what stays clear is 4 + 0.6 + 0.3 = 4.9.
    places = list(_figure_places([10.0, 30.0, 33.0], 0, 8.0))
    assert places[0] == (20, ABOVE)
    room = 10 - (8 / 2 + CLEAR + 0.3)
    assert {round(spot, 6) for spot, off in places if off == ABOVE} == {
        round(20 + share * room, 6) for share in (0, 0.3, -0.3, 0.6, -0.6, 0.9, -0.9)
    }
    assert [spot for spot, off in places if off == BELOW] == [20, 20 + room / 2, 20 - room / 2]
    # Nothing of it reaches beyond its ends.
    assert all(10 + 4.9 <= spot <= 30 - 4.9 for spot, _ in places)
    # From 30 to 33 there is no room for it: past the row's end, else across its line.
    (end, off), *_ = _figure_places([10.0, 30.0, 33.0], 1, 8.0)
    assert (end, off) == (pytest.approx(33 + 4.9 + TICK), ABOVE)
    (start, off), *_ = _figure_places([10.0, 13.0, 33.0], 0, 8.0)
    assert (start, off) == (pytest.approx(10 - 4.9 - TICK), ABOVE)
    # Up the paper rows run the other way.
    (start, _), *_ = _figure_places([33.0, 30.0, 10.0], 0, 8.0)
    assert start == pytest.approx(33 + 4.9 + TICK)
    # Between others it stays by its line, under it first.
    between = list(_figure_places([0.0, 20.0, 23.0, 43.0], 1, 8.0))
    assert between[0] == (21.5, BELOW)
    assert len(between) == 10


def test_strips_beside_each_other_are_a_block() -> None:
    def blocks(*places: tuple[int, int, str, int]) -> list[tuple[float, ...]]:
        lines = "".join(
            f"      E{at}: {STRIP.format(x=x, y=y, along=along, length=long)}\n"
            for at, (x, y, along, long) in enumerate(places)
        )
        return [each.bounds for each in find_blocks(facts_of(f"    elements:\n{lines}"))]

    assert blocks((60, 60, "y", 2000), (560, 60, "y", 1500)) == [(60, 60, 1060, 2060)]
    # A millimetre between them is none; two are.
    assert len(blocks((60, 60, "y", 2000), (561, 60, "y", 2000))) == 1
    assert len(blocks((60, 60, "y", 2000), (562, 60, "y", 2000))) == 2
    # End to end, or touching by a corner alone, they are two.
    assert len(blocks((60, 60, "y", 1000), (560, 1060, "y", 1000))) == 2
    assert len(blocks((60, 60, "y", 1000), (560, 1059, "y", 1000))) == 1
    assert len(blocks((60, 60, "y", 1000), (560, 60, "x", 1000))) == 2


def test_stops_that_are_the_same_are_one() -> None:
    # Within a twentieth of a millimetre.
    assert apart([3.0, 1.0, 1.04, 3.0, 1.06]) == (1.0, 1.06, 3.0)
    assert apart([]) == ()


def test_what_hangs_on_a_wall_is_on_its_side_of_the_room() -> None:
    facts = facts_of()
    sides = {(2000, 0): "below", (4000, 1500): "right", (2000, 3000): "above", (0, 1500): "left"}
    assert {at: side_of_wall(facts, at) for at in sides} == sides
    assert side_of_wall(facts, (2000, 100)) == "below"
    assert side_of_wall(facts, (2000, 101)) is None
    assert side_of_wall(facts_of(outline="[[0, 0], [4000, 900], [0, 3000]]"), (2000, 450)) is None
    hung = facts_of("    junction_box: {at: [0, 900]}\n    thermostat: {at: [0, 1200]}\n")
    assert sides_of_signs(hung) == {"left": [(0, 900), (0, 1200)]}
    assert sides_of_signs(hung, [(2000, 3000)]) == {
        "left": [(0, 900), (0, 1200)], "above": [(2000, 3000)],
    }  # fmt: skip
    plan = plan_of("    thermostat: {room: room, at: [0, 900]}\n")
    assert find_guests(plan, facts) == {}


def test_courses_end_at_the_walls_and_pieces_have_none() -> None:
    boards = (
        "    insulation: {board: b, layers: [{courses: x, stagger: 600}, "
        "{pieces: {B1: {at: [0, 0], along: x}}}]}\n"
    )
    text = (
        "plan_format: 1\nmaterials: {boards: {b: {size: [1200, 600], thickness: 6}}}\n"
        f"supply: {{voltage: 230 V}}\nrooms:\n  room:\n    outline: {RECTANGLE}\n{boards}"
    )
    (facts,) = rooms_of(read_text(text)).values()
    courses, pieces = facts.boards
    # Six hundred each from the lower wall, to the upper one at 3000.
    assert find_courses(facts, courses) == (0, 600, 1200, 1800, 2400, 3000)
    assert find_courses(facts, pieces) is None
