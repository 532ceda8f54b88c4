"""Lanes are chosen as well as they can be: held against HiGHS, and against every millimetre."""

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from underfoot.laying.bound import bound_heated
from underfoot.laying.lanes import Cuts, Lane, choose_lanes, lessen_lanes, list_lanes

CUTS = Cuts(width=500, step=250, shortest=500, longest=4000)


@st.composite
def floors(draw: st.DrawFn, most: int = 3500) -> Any:
    """Floors with a slanted wall and up to two holes, in whole millimetres."""
    width, height = draw(st.integers(1000, most)), draw(st.integers(900, most))
    slant = draw(st.integers(0, 400))
    floor = shapely.Polygon([(0, 0), (width, 0), (width, height), (0, height - slant)])
    for _ in range(draw(st.integers(0, 2))):
        x, y = draw(st.integers(0, width - 200)), draw(st.integers(0, height - 200))
        floor = floor.difference(
            shapely.box(x, y, x + draw(st.integers(100, 900)), y + draw(st.integers(100, 900)))
        )
    return floor


def length_at(floor: Any, u: float) -> float:
    """Find what a strip's width of floor takes, by rows of its own: a raster of 1 mm along."""
    band = shapely.box(u, -1, u + CUTS.width, 5000)
    blocked = shapely.difference(band, floor)
    edges = [
        (part.bounds[1], part.bounds[3]) for part in shapely.get_parts(blocked) if part.area > 1
    ]
    taken = np.zeros(5001, dtype=bool)
    for low, high in edges:
        taken[max(0, math.floor(low + 1e-6)) : max(0, math.ceil(high - 1e-6))] = True
    total, run = 0.0, 0
    for is_taken in [*taken.tolist(), True]:
        if not is_taken:
            run += 1
            continue
        length = min(run, CUTS.longest) // CUTS.step * CUTS.step
        total += length if length >= CUTS.shortest else 0
        run = 0
    return total


def best_by_solver(lanes: list[Lane]) -> float:
    """The most length of lanes that do not overlap, by HiGHS."""
    if not lanes:
        return 0.0
    starts = np.array([lane.u for lane in lanes])
    covers = (starts[None] <= starts[:, None] + 1e-6) & (
        starts[:, None] < starts[None] + CUTS.width - 1e-6
    )
    found = milp(
        c=[-lane.heated for lane in lanes],
        constraints=LinearConstraint(covers.astype(float), -np.inf, 1),
        integrality=np.ones(len(lanes)),
        bounds=Bounds(0, 1),
    )
    assert found.success
    return -float(found.fun)


@settings(max_examples=25, deadline=None)
@given(floors())
def test_the_most_is_what_a_solver_finds(floor: Any) -> None:
    lanes = list_lanes(floor, CUTS)
    choice = choose_lanes(lanes, CUTS, gap=1000)
    assert choice.most == pytest.approx(best_by_solver(lanes))
    assert choice.heated <= choice.most + 1e-6


@pytest.mark.long
@settings(max_examples=10, deadline=None)
@given(floors(1700))
def test_no_other_millimetre_would_have_done_better(floor: Any) -> None:
    """Lanes begin at corners of the floor alone; lanes at every millimetre heat no more."""
    right = math.floor(floor.bounds[2] - CUTS.width)
    values = [length_at(floor, u) for u in range(right + 1)]
    best = [0.0] * (right + 2 + int(CUTS.width))
    for u in range(right, -1, -1):
        best[u] = max(best[u + 1], values[u] + best[u + int(CUTS.width)])
    choice = choose_lanes(list_lanes(floor, CUTS), CUTS, gap=1000)
    # Along a slanted wall some other millimetre may win one cut; the bound holds for that, too.
    assert best[0] - CUTS.step <= choice.most <= best[0] + 1e-6
    assert best[0] <= bound_heated(floor, CUTS, choice.most) + 1e-6


@settings(max_examples=25, deadline=None)
@given(floors())
def test_lanes_butt_or_lie_apart(floor: Any) -> None:
    chosen = choose_lanes(list_lanes(floor, CUTS), CUTS, gap=1000).lanes
    for one, other in pairwise(chosen):
        between = other.u - one.u - CUTS.width
        assert between > -1e-6
        facing = any(
            min(a.high, b.high) - max(a.low, b.low) >= 100 for a in one.spaces for b in other.spaces
        )
        assert between < 1e-6 or between >= 1000 - 1e-6 or not facing
    for lane in chosen:
        for space in lane.spaces:
            strip = shapely.box(lane.u, space.low, lane.u + CUTS.width, space.low + space.length)
            assert strip.difference(floor).area < 2


def test_a_plain_room_is_filled() -> None:
    choice = choose_lanes(list_lanes(shapely.box(60, 60, 2560, 2310), CUTS), CUTS, gap=1000)
    assert [lane.u for lane in choice.lanes] == [60, 560, 1060, 1560, 2060]
    assert {space.length for lane in choice.lanes for space in lane.spaces} == {2250}
    assert choice.heated == choice.most == 5 * 2250


def test_nothing_fits_where_nothing_is_wide_enough() -> None:
    assert list_lanes(shapely.box(0, 0, 499, 4000), CUTS) == []
    assert list_lanes(shapely.box(0, 0, 4000, 499), CUTS) == []
    assert list_lanes(shapely.Polygon(), CUTS) == []
    assert choose_lanes([], CUTS, gap=1000).lanes == ()


def test_a_stretch_longer_than_a_strip_takes_several() -> None:
    """As few as can be, as long as one another but for a cut; the last where it may still move."""
    (lane,) = list_lanes(shapely.box(0, 0, 500, 9100), CUTS)
    assert [(space.low, space.length) for space in lane.spaces] == [
        (0, 3000), (3000, 3000), (6000, 3000),
    ]  # fmt: skip
    assert lane.spaces[-1].high == 9100
    (lane,) = list_lanes(shapely.box(0, 0, 500, 4249), CUTS)
    assert [space.length for space in lane.spaces] == [4000]
    (lane,) = list_lanes(shapely.box(0, 0, 500, 4250), CUTS)
    assert [space.length for space in lane.spaces] == [2250, 2000]
    assert list_lanes(shapely.box(0, 0, 500, 499), CUTS) == []


def test_less_is_laid_evenly_from_both_sides() -> None:
    lanes = choose_lanes(list_lanes(shapely.box(60, 60, 2560, 2310), CUTS), CUTS, gap=1000).lanes
    assert lessen_lanes(lanes, CUTS, 1.0) == lanes
    some = lessen_lanes(lanes, CUTS, 0.9)
    assert [lane.heated for lane in some] == [2000, 2000, 2250, 2000, 2000]
    # A shortened strip lies in the middle, give or take half a cut, so that strips begin in line.
    assert [(space.low, space.high) for space in some[0].spaces] == [(60, 2310)]
    less = lessen_lanes(lanes, CUTS, 0.7)
    assert [lane.heated for lane in less] == [1500, 1750, 1500, 1750, 1500]
    (space,) = less[0].spaces
    assert (space.low + space.high) / 2 == pytest.approx((60 + 2310) / 2, abs=1)
    assert space.high - space.low == 1500 + CUTS.step
    assert [lane.heated for lane in lessen_lanes(lanes, CUTS, 0.0)] == [500] * 5
    assert [lane.u for lane in less] == [lane.u for lane in lanes]


@settings(max_examples=25, deadline=None)
@given(floors(), st.integers(0, 9999))
def test_no_strips_anywhere_heat_more_than_the_bound(floor: Any, seed: int) -> None:
    """Strips laid at random, as a greedy hand would, never pass what is proved."""
    bound = bound_heated(floor, CUTS, choose_lanes(list_lanes(floor, CUTS), CUTS, gap=0).most)
    rng = np.random.default_rng(seed)
    left, _, right, _ = floor.bounds
    for _ in range(3):
        u, heated = left, 0.0
        while (u := u + rng.random() * 120) + CUTS.width <= right:
            length = length_at(floor, u)
            heated += length
            u += CUTS.width if length else 0.0
        assert heated <= bound + 1e-6


def test_the_bound_is_exact_where_all_walls_are_square() -> None:
    assert bound_heated(shapely.box(60, 60, 2560, 2310), CUTS, 11250) == 11250
    # Half a millimetre off, or at an angle, it is only proved that no more than this fits.
    assert bound_heated(shapely.box(60.5, 60, 2560.5, 2310), CUTS, 9000) == 11250
    slanted = shapely.Polygon([(0, 0), (1100, 0), (1100, 1100), (0, 1000)])
    (lane, *_) = list_lanes(slanted, CUTS)
    assert bound_heated(slanted, CUTS, 2 * lane.heated) >= 2000
    # A hair wider than one strip: 1000 fit, for at 10 mm in it is 1001 long, and no more than that.
    narrow = shapely.Polygon([(0, 0), (510, 0), (510, 1051), (0, 1000)])
    assert bound_heated(narrow, CUTS, 0) == 1000
    assert bound_heated(shapely.Polygon([(0, 0), (400, 0), (0, 400)]), CUTS, 0) == 0
    assert bound_heated(shapely.Polygon(), CUTS, 0) == 0
