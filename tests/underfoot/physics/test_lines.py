"""How far lines run under, inside, outside and near things, against hand sums and sampling."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from underfoot.physics import lines as module
from underfoot.physics.lines import (
    lengths_near,
    lengths_outside,
    lengths_under,
    spans_within,
)
from underfoot.physics.rectangles import corners, polygons, turn

L_ROOM = shapely.Polygon([(0, 0), (6000, 0), (6000, 2500), (3500, 2500), (3500, 4500), (0, 4500)])
STRIPS = corners([(0, 0), (500, 0)], 2750, 500, along_y=True)
NONE = np.array([], dtype=object)
SEEDS = st.integers(0, 100_000)


def lines(*points: list[tuple[float, float]]) -> np.ndarray:
    return np.array([shapely.LineString(line) for line in points], dtype=object)


class TestUnderRectangles:
    def test_a_line_across_two_strips_is_measured_from_edge_to_edge(self) -> None:
        pairs, lengths = lengths_under(lines([(-100, 1000), (2000, 1000)]), STRIPS)
        assert pairs.tolist() == [[0, 0], [0, 1]]
        assert lengths == pytest.approx([500, 500])

    def test_a_line_that_turns_back_counts_twice(self) -> None:
        way = lines([(-100, 1000), (100, 1000), (100, 1100), (-100, 1100)])
        pairs, lengths = lengths_under(way, STRIPS)
        assert pairs.tolist() == [[0, 0]]
        assert lengths == pytest.approx([300])

    @pytest.mark.parametrize("aside", [0.0, 0.0009, -0.0009])
    def test_along_an_edge_is_not_under(self, aside: float) -> None:
        way = lines([(500 + aside, -100), (500 + aside, 3000)])
        assert len(lengths_under(way, STRIPS)[0]) == 0

    def test_a_little_farther_in_is_under(self) -> None:
        pairs, lengths = lengths_under(lines([(500.0012, -100), (500.0012, 3000)]), STRIPS)
        assert pairs.tolist() == [[0, 1]]
        assert lengths == pytest.approx([2750])

    def test_along_the_edges_of_turned_strips_is_not_under(self) -> None:
        for angle in range(0, 360, 7):
            turned = turn(STRIPS, (17, 29), angle)
            way = turn([(500, -100), (500, 3000)], (17, 29), angle)
            assert len(lengths_under(lines(way.tolist()), turned)[0]) == 0

    def test_nothing_runs_under_nothing(self) -> None:
        assert lengths_under(lines([(0, 0), (1, 1)]), np.empty((0, 4, 2)))[0].shape == (0, 2)
        assert lengths_under(NONE, STRIPS)[0].shape == (0, 2)

    @settings(max_examples=25, deadline=None)
    @given(SEEDS, st.floats(-180, 180), st.sampled_from((5, 400)))
    def test_agrees_with_shapely(self, seed: int, angle: float, count: int) -> None:
        draw = np.random.default_rng(seed)
        laid = turn(
            corners(draw.uniform(0, 9000, (count, 2)), draw.uniform(250, 3000, count), 500),
            (0, 0),
            angle,
        )
        ways = np.array([shapely.LineString(draw.uniform(0, 9000, (4, 2))) for _ in range(12)])
        pairs, lengths = lengths_under(ways, laid)
        expected = shapely.length(shapely.intersection(ways[:, None], polygons(laid)[None]))
        found = np.zeros_like(expected)
        found[pairs[:, 0], pairs[:, 1]] = lengths
        # A corner cut by less than 0.001 mm is no way under, however it lies.
        assert found == pytest.approx(expected, abs=0.01)
        assert found[expected > 0.1] == pytest.approx(expected[expected > 0.1], abs=1e-6)


class TestAreasOfAnyOutline:
    def test_outside_of_a_room(self) -> None:
        # By hand: 2,500 in the room, 1,000 outside beyond its inner corner.
        way = lines([(1000, 3500), (4500, 3500)])
        assert lengths_outside(way, L_ROOM) == pytest.approx([1000])

    def test_along_a_wall_and_on_through_the_room(self) -> None:
        """A wall from (6000, 2500) to (3500, 2500), then across to (0, 2500)."""
        way = lines([(6000, 2500), (0, 2500)])
        assert lengths_outside(way, L_ROOM).tolist() == [0]

    @settings(max_examples=50, deadline=None)
    @given(st.floats(-180, 180))
    def test_a_turned_room_changes_nothing(self, angle: float) -> None:
        room = shapely.Polygon(turn(shapely.get_coordinates(L_ROOM), (123, 456), angle))
        ways = [[(6000, 2500), (0, 2500)], [(1000, 3500), (4500, 3500)], [(0, 0), (0, 4500)]]
        turned = lines(*[turn(way, (123, 456), angle).tolist() for way in ways])
        assert lengths_outside(turned, room) == pytest.approx([0, 1000, 0], abs=1e-6)

    def test_a_hole_is_outside(self) -> None:
        room = shapely.box(0, 0, 4000, 3000).difference(shapely.box(1000, 1000, 1400, 2000))
        assert lengths_outside(lines([(0, 1500), (4000, 1500)]), room) == pytest.approx([400])
        assert lengths_outside(lines([(0, 1000), (4000, 1000)]), room).tolist() == [0]

    @settings(max_examples=25, deadline=None)
    @given(SEEDS)
    def test_outside_of_a_star_agrees_with_shapely(self, seed: int) -> None:
        draw = np.random.default_rng(seed)
        star = np.linspace(0, 2 * np.pi, 30, endpoint=False)
        reach = draw.uniform(500, 3000, 30)
        room = shapely.Polygon(np.stack((np.cos(star), np.sin(star)), axis=1) * reach[:, None])
        ways = np.array([shapely.LineString(draw.uniform(-3000, 3000, (3, 2))) for _ in range(9)])
        beyond = shapely.length(shapely.difference(ways, room))
        assert lengths_outside(ways, room) == pytest.approx(beyond, abs=0.01)


class TestNear:
    def test_alongside_nearer_than_apart_counts_and_at_it_does_not(self) -> None:
        route = lines([(0, 0), (3000, 0)])[0]
        leads = lines([(500, 49.9), (1500, 49.9)], [(500, 50), (1500, 50)], [(500, 0), (1500, 0)])
        # By hand: the round ends reach sqrt(50^2 - 49.9^2) = 3.1607 mm and 50 mm beyond.
        reach = np.sqrt(50**2 - 49.9**2)
        found = lengths_near(route, leads, 50)
        assert found == pytest.approx([1000 + 2 * reach, 0, 1100], abs=1e-4)

    def test_a_crossing_counts_its_way_through(self) -> None:
        route = lines([(0, 0), (3000, 0)])[0]
        assert lengths_near(route, lines([(1000, -500), (1000, 500)]), 50) == pytest.approx(
            [100], abs=1e-5
        )

    def test_near_two_legs_of_one_lead_counts_once(self) -> None:
        route = lines([(0, 0), (3000, 0)])[0]
        lead = lines([(500, 20), (1500, 20), (1500, -20), (500, -20)])
        reach = np.sqrt(50**2 - 20**2)
        # Past the lead's upright end at x = 1,500 the way is 50 mm, before its open ends less.
        assert lengths_near(route, lead, 50) == pytest.approx([1000 + reach + 50], abs=1e-5)

    def test_no_leads(self) -> None:
        assert lengths_near(lines([(0, 0), (1, 0)])[0], NONE, 50).shape == (0,)

    @settings(max_examples=25, deadline=None)
    @given(SEEDS, st.floats(1, 500))
    def test_agrees_with_sampling(self, seed: int, apart: float) -> None:
        draw = np.random.default_rng(seed)
        route = shapely.LineString(draw.uniform(0, 2000, (4, 2)))
        leads = np.array([shapely.LineString(draw.uniform(0, 2000, (3, 2))) for _ in range(5)])
        steps = (np.arange(4000) + 0.5) / 4000 * route.length
        dots = shapely.line_interpolate_point(route, steps)
        expected = [(shapely.distance(dots, lead) < apart).mean() * route.length for lead in leads]
        # Each end of each stretch is off by up to a step of the sampling.
        assert lengths_near(route, leads, apart) == pytest.approx(
            expected, abs=20 * route.length / 4000
        )

    def test_the_span_near_a_segment_is_exact(self) -> None:
        start, end = spans_within(
            np.array([(0.0, 30.0), (0.0, 60.0), (5.0, 0.0)]),
            np.array([(1.0, 0.0), (1.0, 0.0), (0.0, 0.0)]),
            np.array([[(100.0, 0.0), (200.0, 0.0)]] * 2 + [[(0.0, 0.0), (0.0, 0.0)]]),
            50.0,
        )
        # 3-4-5: 40 mm before and after the segment; never; always, standing still beside a point.
        assert (start[0], end[0]) == (60, 240)
        assert start[1] > end[1]
        assert (start[2], end[2]) == (-np.inf, np.inf)


@pytest.mark.parametrize("reach", [0.0, 25.0])
def test_few_boxes_and_many_are_paired_alike(monkeypatch: pytest.MonkeyPatch, reach: float) -> None:
    """Pairs come in the order of the one and then of the other, however they were found."""
    drawn = np.random.default_rng(7).integers(0, 400, (60, 2)).astype(np.float64)
    every = np.concatenate((drawn, drawn + 50.0), axis=1)
    these, others = every[:35], every[35:]
    few = module.close_pairs(these, others, reach)
    monkeypatch.setattr(module, "_FEW", 0)
    many = module.close_pairs(these, others, reach)
    assert len(few[0]) > 20
    assert [each.tolist() for each in few] == [each.tolist() for each in many]
    assert list(zip(*(each.tolist() for each in many), strict=True)) == sorted(
        zip(*(each.tolist() for each in many), strict=True)
    )
