"""How far lines with a width lie under and outside things, against hand sums and walking."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from underfoot.physics.bodies import (
    Bodies,
    away_from,
    cut_bodies,
    lengths_outside,
    lengths_under,
    lengths_within,
)
from underfoot.physics.rectangles import corners, turn

# Two strips side by side, 500 x 2750, butted at x = 500.
STRIPS = corners([(0, 0), (500, 0)], 2750, 500, along_y=True)
ROOM = shapely.Polygon([(0, 0), (4000, 0), (4000, 2000), (2000, 2000), (2000, 3000), (0, 3000)])
SEEDS = st.integers(0, 100_000)


def body(points: list[tuple[float, float]], half: float = 3.0, owner: int = 0) -> Bodies:
    way = np.array(points, dtype=float)
    pieces = np.stack((way[:-1], way[1:]), axis=1)
    count = len(pieces)
    return cut_bodies(pieces, np.full(count, owner, np.intp), np.full(count, half))


def under(some: Bodies) -> dict[int, float]:
    pairs, lengths = lengths_under(some, STRIPS)
    return dict(zip(pairs[:, 1].tolist(), lengths.tolist(), strict=True))


class TestUnder:
    def test_across_it_is_measured_from_edge_to_edge(self) -> None:
        assert under(body([(-100, 1000), (2000, 1000)])) == pytest.approx({0: 500, 1: 500})

    def test_along_a_joint_it_lies_under_both(self) -> None:
        assert under(body([(500, -100), (500, 3000)])) == pytest.approx({0: 2750, 1: 2750})

    @pytest.mark.parametrize(
        ("x", "found"), [(-3.0, {}), (-2.9995, {}), (-2.998, {0: 2750}), (503.1, {1: 2750})]
    )
    def test_beside_an_edge_by_half_the_width(self, x: float, found: dict[int, float]) -> None:
        assert under(body([(x, -100), (x, 3000)])) == pytest.approx(found)

    def test_its_ends_are_flat(self) -> None:
        assert under(body([(-100, 1000), (0, 1000)])) == {}
        assert under(body([(-100, 1000), (7, 1000)])) == pytest.approx({0: 7})

    def test_pieces_of_one_owner_add_up_and_others_do_not(self) -> None:
        one, two = body([(-9, 100), (9, 100), (9, 200)]), body([(-9, 300), (9, 300)], owner=5)
        both = Bodies(
            pieces=np.concatenate((one.pieces, two.pieces)),
            owner=np.concatenate((one.owner, two.owner)),
            half=np.concatenate((one.half, two.half)),
        )
        pairs, lengths = lengths_under(both, STRIPS)
        assert pairs.tolist() == [[0, 0], [5, 0]]
        assert lengths == pytest.approx([9 + 100, 9])

    def test_where_it_rests_on_ends_only_its_middle_counts_there(self) -> None:
        def always(piece: np.ndarray, strip: np.ndarray) -> np.ndarray:
            return np.ones(len(piece), dtype=bool)

        along_ends = body([(-100, 0), (1100, 0)])
        assert lengths_under(along_ends, STRIPS)[1] == pytest.approx([500, 500])
        assert len(lengths_under(along_ends, STRIPS, always)[1]) == 0
        inside = body([(100, 1), (300, 1)])
        assert lengths_under(inside, STRIPS, always)[1] == pytest.approx([200])
        # At the long sides the width counts all the same.
        beside = body([(-1, -100), (-1, 3000)])
        assert lengths_under(beside, STRIPS, always)[1] == pytest.approx([2750])

    def test_under_nothing(self) -> None:
        nothing = Bodies(pieces=np.empty((0, 2, 2)), owner=np.empty(0, np.intp), half=np.empty(0))
        assert lengths_under(nothing, STRIPS)[0].shape == (0, 2)
        assert lengths_under(body([(0, 0), (9, 9)]), np.empty((0, 4, 2)))[0].shape == (0, 2)

    @settings(max_examples=25, deadline=None)
    @given(SEEDS, st.floats(-180, 180))
    def test_agrees_with_walking(self, seed: int, angle: float) -> None:
        draw = np.random.default_rng(seed)
        laid = turn(corners(draw.uniform(0, 2000, (4, 2)), 900, 500), (0, 0), angle)
        way = body([tuple(point) for point in draw.uniform(0, 2000, (4, 2)).tolist()], 8.0)
        found = np.zeros(4)
        pairs, lengths = lengths_under(way, laid)
        found[pairs[:, 1]] = lengths
        for strip, polygon in enumerate(shapely.polygons(laid)):
            walked = sum(walk(piece, 8.0, polygon) for piece in way.pieces)
            # A step of 1 mm at each end of each piece's stay.
            assert found[strip] == pytest.approx(walked, abs=2 * len(way.pieces))


def walk(piece: np.ndarray, half: float, area: shapely.Polygon) -> float:
    """Walk along a piece in steps of 1 mm, holding a rod across it, half to either side."""
    run = piece[1] - piece[0]
    size = float(np.hypot(*run))
    unit = run / size
    aside = half * np.array((-unit[1], unit[0]))
    middles = piece[0] + np.arange(0.5, size, 1.0)[:, None] * unit
    rods = shapely.linestrings(np.stack((middles - aside, middles + aside), axis=1))
    return float(shapely.intersects(rods, area).sum())


class TestWithinAndOutside:
    def test_within_an_area_that_stands_in_twice_each_stay_counts(self) -> None:
        comb = shapely.Polygon(
            [(0, 0), (300, 0), (300, 100), (200, 100), (200, 50), (100, 50), (100, 100), (0, 100)]
        )
        areas = np.array([comb, shapely.box(900, 900, 901, 901)], dtype=object)
        pairs, lengths = lengths_within(body([(-50, 75), (350, 75)]), areas)
        assert pairs.tolist() == [[0, 0]]
        assert lengths == pytest.approx([200])

    def test_what_lies_on_both_sides_counts_once(self) -> None:
        # One part reaches under its left side from 0 to 100, the other under its right from 50 on.
        both = shapely.MultiPolygon([shapely.box(0, 2, 100, 50), shapely.box(50, -50, 150, -2)])
        areas = np.array([both], dtype=object)
        assert lengths_within(body([(-50, 0), (350, 0)]), areas)[1] == pytest.approx([150])

    def test_on_a_wall_line_half_of_it_lies_outside(self) -> None:
        way = body([(0, 1500), (0, 30), (30, 30)])
        assert lengths_outside(way, ROOM, 1) == pytest.approx([1470])
        off = body([(3, 1500), (3, 30), (30, 30)])
        assert lengths_outside(off, ROOM, 1).tolist() == [0]

    @pytest.mark.parametrize(("aside", "found"), [(3.1, 0), (1, 4), (0, 6), (-1, 8)])
    def test_past_a_corner_that_stands_in(self, aside: float, found: float) -> None:
        # At 45 degrees past the corner at (2000, 2000), so far aside: its width reaches 3 - aside
        # past the corner, where the wall is twice as wide as that is deep.
        off = aside / 2**0.5
        way = body([(1500 - off, 2500 - off), (2500 - off, 1500 - off)])
        assert lengths_outside(way, ROOM, 1) == pytest.approx([found], abs=0.01)

    def test_owners_without_a_body_have_nothing_outside(self) -> None:
        way = body([(0, 1500), (0, 30)], owner=2)
        assert lengths_outside(way, ROOM, 4) == pytest.approx([0, 0, 1470, 0])


class TestAwayFrom:
    def test_what_lies_round_a_place_is_cut_out(self) -> None:
        left = away_from(body([(0, 0), (1000, 0)]), np.array([(400.0, 0.0)]), 300)
        assert left.pieces[:, :, 0].ravel().tolist() == pytest.approx([0, 100, 700, 1000])
        assert left.half.tolist() == [3, 3]

    def test_a_place_aside_takes_less(self) -> None:
        # Half of the chord at 180 of a circle of 300 is 240.
        left = away_from(body([(0, 0), (1000, 0)]), np.array([(400.0, 180.0)]), 300)
        assert left.pieces[:, :, 0].ravel().tolist() == pytest.approx([0, 160, 640, 1000])

    def test_a_place_far_off_takes_nothing_and_a_near_one_all(self) -> None:
        way = body([(0, 0), (1000, 0)])
        assert away_from(way, np.array([(500.0, 301.0)]), 300).pieces.tolist() == [
            [[0, 0], [1000, 0]]
        ]
        assert len(away_from(way, np.array([(500.0, 0.0)]), 501).pieces) == 0
        assert away_from(way, np.array([(-301.0, 0.0)]), 300).pieces.tolist() == [
            [[0, 0], [1000, 0]]
        ]
        beyond = away_from(way, np.array([(1200.0, 0.0)]), 300).pieces
        assert beyond[:, :, 0].ravel().tolist() == pytest.approx([0, 900])
