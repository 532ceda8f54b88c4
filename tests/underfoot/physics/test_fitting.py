"""The longest strip that fits, against hand sums and a search over every position of a grid."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from tests.there import there
from underfoot.physics import fitting
from underfoot.physics.fitting import Fit, Lengths, clear_area, longest_strip
from underfoot.physics.rectangles import corners, polygons

NONE = np.array([], dtype=object)
BARE = np.empty((0, 4, 2))
CUT = Lengths(least=1000, longest=9000, cut_every=250)
ANY = Lengths(least=1)
ROOM = shapely.box(0, 0, 4200, 3100)
L_ROOM = shapely.Polygon([(0, 0), (6000, 0), (6000, 2500), (3500, 2500), (3500, 4500), (0, 4500)])


def fit(x: float, y: float, along: str, length: float) -> Fit:
    return Fit(at=(x, y), along=along, length=length)


def body(strip: Fit, width: float) -> shapely.Polygon:
    x, y = strip.at
    if strip.along == "x":
        return shapely.box(x, y, x + strip.length, y + width)
    return shapely.box(x, y, x + width, y + strip.length)


class TestLengths:
    def test_down_to_a_cut_line_and_no_longer_than_the_longest(self) -> None:
        free = np.array([999.0, 1000.0, 1249.9999995, 1249.99, 2751.0, 20_000.0])
        assert CUT.fitting(free).tolist() == [0, 1000, 1250, 1000, 2750, 9000]
        assert Lengths(least=1000, longest=2600, cut_every=250).fitting(free)[-1] == 2500
        assert ANY.fitting(np.array([-5.0, 0.5, 1234.5])).tolist() == [0, 0, 1234.5]


class TestRooms:
    def test_no_place_is_looked_for_where_a_width_cannot_be_meant(self) -> None:
        """A film a millionth of a millimetre wide would want terabytes of places."""
        for along in ("x", "y"):
            assert longest_strip(ROOM, BARE, NONE, 1e-6, along, CUT) is None
            thin = longest_strip(ROOM, BARE, NONE, 0.1, along, CUT)
            assert thin == Fit(at=(0, 0), along=along, length=4000 if along == "x" else 3000)

    def test_an_empty_room_at_the_planned_clearance(self) -> None:
        # By hand: 4,200 - 116 = 4,084 and 3,100 - 116 = 2,984, down to a multiple of 250.
        area = clear_area(ROOM, 58, NONE, 50)
        assert longest_strip(area, BARE, NONE, 500, "x", CUT) == fit(58, 58, "x", 4000)
        assert longest_strip(area, BARE, NONE, 500, "y", CUT) == fit(58, 58, "y", 2750)

    def test_beside_the_strips_that_are_there(self) -> None:
        taken = corners([(60 + 500 * i, 60) for i in range(6)], 2750, 500, along_y=True)
        area = clear_area(ROOM, 58, NONE, 50)
        assert longest_strip(area, taken, NONE, 500, "y", CUT) == fit(3060, 58, "y", 2750)
        # 4,142 - 3,060 = 1,082 mm are left beside them.
        assert longest_strip(area, taken, NONE, 500, "x", CUT) == fit(3060, 58, "x", 1000)

    def test_a_full_room_has_no_room(self) -> None:
        taken = corners([(60 + 500 * i, 60) for i in range(8)], 2750, 500, along_y=True)
        area = clear_area(ROOM, 58, NONE, 50)
        assert longest_strip(area, taken, NONE, 500, "x", CUT) is None
        assert longest_strip(area, taken, NONE, 500, "y", CUT) is None

    def test_not_within_a_strip_that_is_there_however_wide(self) -> None:
        for width in (500, 1000, 3000):
            taken = corners([(0, 0)], 4200, width)
            left = longest_strip(ROOM, taken, NONE, 500, "x", CUT)
            assert left == (fit(0, width, "x", 4000) if width < 3000 else None)

    def test_just_wide_enough_is_enough(self) -> None:
        slot = shapely.box(0, 0, 3000, 500)
        assert longest_strip(slot, BARE, NONE, 500, "x", CUT) == fit(0, 0, "x", 3000)
        assert longest_strip(slot, BARE, NONE, 500.01, "x", CUT) is None

    def test_off_joints_and_leads_but_along_them(self) -> None:
        joint = np.array([shapely.LineString([(1900, 0), (1900, 3100)])])
        assert longest_strip(ROOM, BARE, joint, 500, "x", CUT) == fit(1900, 0, "x", 2250)
        middle = np.array([shapely.LineString([(2100, 0), (2100, 3100)])])
        assert longest_strip(ROOM, BARE, middle, 500, "x", CUT) == fit(0, 0, "x", 2000)
        across = np.array([shapely.LineString([(0, 500), (4200, 500)])])
        assert longest_strip(ROOM, BARE, across, 500, "x", CUT) == fit(0, 0, "x", 4000)
        nearer = np.array([shapely.LineString([(0, 499), (4200, 499)])])
        assert longest_strip(ROOM, BARE, nearer, 500, "x", CUT) == fit(0, 499, "x", 4000)

    def test_a_dead_end_of_a_lead_in_the_way(self) -> None:
        lead = np.array([shapely.LineString([(2100, 0), (2100, 1550)])])
        # Above its end only: 3,100 - 1,550.
        assert longest_strip(ROOM, BARE, lead, 1550, "x", CUT) == fit(0, 1550, "x", 4000)
        assert longest_strip(ROOM, BARE, lead, 1551, "x", CUT) == fit(0, 0, "x", 2000)

    def test_the_arms_of_an_l(self) -> None:
        assert longest_strip(L_ROOM, BARE, NONE, 500, "x", CUT) == fit(0, 0, "x", 6000)
        assert longest_strip(L_ROOM, BARE, NONE, 500, "y", CUT) == fit(0, 0, "y", 4500)

    def test_a_hole_is_gone_round(self) -> None:
        holed = ROOM.difference(shapely.box(1000, 400, 1200, 2700))
        assert longest_strip(holed, BARE, NONE, 500, "x", CUT) == fit(1200, 0, "x", 3000)
        assert longest_strip(holed, BARE, NONE, 400, "x", CUT) == fit(0, 0, "x", 4000)

    def test_several_areas_and_none(self) -> None:
        both = shapely.union(shapely.box(0, 0, 2000, 600), shapely.box(0, 1000, 3000, 1600))
        assert longest_strip(both, BARE, NONE, 500, "x", CUT) == fit(0, 1000, "x", 3000)
        assert longest_strip(shapely.Polygon(), BARE, NONE, 500, "x", CUT) is None

    def test_a_narrow_way_between_wide_areas_stops_no_thin_strip(self) -> None:
        neck = shapely.union_all(
            [shapely.box(0, 0, 1000, 2000), shapely.box(1000, 700, 2000, 1200),
             shapely.box(2000, 0, 3000, 2000)]
        )  # fmt: skip
        assert longest_strip(neck, BARE, NONE, 500, "x", CUT) == fit(0, 700, "x", 3000)
        assert longest_strip(neck, BARE, NONE, 501, "x", Lengths(least=1)) == fit(0, 0, "x", 1000)


class TestSlantedSides:
    def test_on_the_long_side_of_a_triangle(self) -> None:
        # By hand: at height 500 the 3-4-5 triangle of 4,000 by 3,000 is 4,000 x 2,500 / 3,000.
        triangle = shapely.Polygon([(0, 0), (4000, 0), (0, 3000)])
        found = there(longest_strip(triangle, BARE, NONE, 500, "x", ANY))
        assert found.at == pytest.approx((0, 0), abs=2e-6)
        assert found.length == pytest.approx(10_000 / 3, abs=1e-5)
        snapped = longest_strip(triangle, BARE, NONE, 500, "x", CUT)
        assert snapped == fit(0, 0, "x", 3250)

    def test_between_corners_where_slanted_sides_trade_off(self) -> None:
        # A square on its tip, |x| + |y| <= 2,000: the longest 1,000 wide strip lies in its
        # middle, from y = -500, and reaches x = -1,500 to 1,500; no corner lies at that height.
        square = shapely.Polygon([(2000, 0), (0, 2000), (-2000, 0), (0, -2000)])
        for along in "xy":
            found = there(longest_strip(square, BARE, NONE, 1000, along, CUT))
            assert found.length == 3000
            assert shapely.covers(square.buffer(2e-6), body(found, 1000))
        # Half a millimetre wider it is half a millimetre too short for that cut line.
        wider = there(longest_strip(square, BARE, NONE, 1000.5, "x", CUT))
        assert wider.length == 2750

    @settings(max_examples=20, deadline=None)
    @given(st.floats(1, 89), st.floats(200, 1200))
    def test_a_turned_square_against_its_chords(self, angle: float, width: float) -> None:
        """In a convex area the longest strip is the least of the chords at its two sides."""
        square = affinity.rotate(shapely.box(0, 0, 3000, 3000), angle, origin=(0, 0))
        found = there(longest_strip(square, BARE, NONE, width, "x", ANY))
        assert shapely.covers(square.buffer(1e-5), body(found, width))
        _, bottom, _, top = square.bounds
        low = np.linspace(bottom, top - width, 400)[1:-1]
        heights = np.stack((low, low + width), axis=1)
        far = np.full_like(heights, 9000.0)
        levels = np.stack((np.stack((-far, heights), -1), np.stack((far, heights), -1)), axis=2)
        chords = shapely.bounds(shapely.intersection(square, shapely.linestrings(levels)))
        best = (chords[:, :, 2].min(axis=1) - chords[:, :, 0].max(axis=1)).max()
        # A step of the sampling moves each end of a chord by at most the step over the tangent.
        radians = np.radians(min(angle, 90 - angle))
        step = (top - bottom - width) / 399 / np.tan(radians)
        assert best - 1e-3 <= found.length <= best + 2 * step + 1e-3


class TestClearArea:
    def test_true_distance_round_corners_that_stand_into_the_room(self) -> None:
        area = clear_area(L_ROOM, 58, NONE, 50)
        corner = shapely.Point(3500, 2500)
        assert shapely.distance(area, corner) == pytest.approx(58, abs=1e-6)
        # Nothing on it lies nearer, and no more than 0.13 % of the distance is given away.
        edge = shapely.points(shapely.get_coordinates(area))
        assert shapely.distance(edge, L_ROOM.exterior).min() >= 58 - 1e-6
        assert shapely.area(area) == pytest.approx(
            shapely.area(L_ROOM.buffer(-58, quad_segs=1000)), abs=0.0013 * 58 * 58 * 2
        )

    def test_fixtures_keep_their_own_distance(self) -> None:
        bench = shapely.box(2000, 1000, 2800, 1600)
        area = clear_area(ROOM, 58, np.array([bench]), 50)
        edge = shapely.points(shapely.get_coordinates(area))
        assert shapely.distance(edge, bench).min() >= 50 - 1e-6
        found = longest_strip(area, BARE, NONE, 500, "x", CUT)
        assert found == fit(58, 58, "x", 4000)
        assert longest_strip(area, BARE, NONE, 900, "x", CUT) == fit(58, 1650, "x", 4000)

    def test_a_fixture_of_any_outline(self) -> None:
        stair = shapely.Polygon([(1000, 1000), (2000, 1000), (2000, 1400), (1500, 2000)])
        area = clear_area(ROOM, 58, np.array([stair]), 50)
        edge = shapely.points(shapely.get_coordinates(area))
        assert shapely.distance(edge, stair).min() >= 50 - 1e-6


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 100_000), st.integers(0, 8), st.integers(0, 3))
def test_agrees_with_every_position_on_a_grid(seed: int, count: int, ways: int) -> None:
    """Everything lies on a grid of 100 mm, so the best strip starts and ends on it."""
    draw = np.random.default_rng(seed)
    size = 100.0
    notch = shapely.box(*np.sort(draw.integers(0, 31, (2, 2)), axis=0).ravel() * size)
    area = shapely.box(0, 0, 3000, 3000).difference(notch)
    taken = corners(
        draw.integers(0, 25, (count, 2)) * size,
        draw.integers(1, 15, count) * size,
        draw.integers(1, 6, count) * size,
        along_y=draw.random(count) < 0.5,
    )
    lines = []
    for _ in range(ways):
        x, y, far = draw.integers(0, 30, 3) * size
        upright = draw.random() < 0.5
        lines.append([(x, y), (x, far + size) if upright else (far + size, y)])
    drawn = np.array([shapely.LineString(line) for line in lines if line[0] != line[1]], object)
    centre = np.arange(30) * size + size / 2
    x, y = np.meshgrid(centre, centre)
    free = shapely.contains_xy(area, x, y)
    for polygon in polygons(taken):
        free &= ~shapely.contains_xy(polygon, x, y)

    # A line between two cells parts them: seen by the little step from one into the next.
    def parted(dx: float, dy: float) -> np.ndarray:
        steps = shapely.linestrings(
            np.stack((np.stack((x, y), -1), np.stack((x + dx, y + dy), -1)), axis=-2)
        )
        met = np.array([shapely.intersects(steps, line) for line in drawn])
        return np.asarray(met.any(axis=0))

    beside = parted(size, 0) if len(drawn) else np.zeros_like(free)
    above = parted(0, size) if len(drawn) else np.zeros_like(free)
    rows = 4
    best = 0
    where: tuple[float, float] | None = None
    for low in range(30 - rows + 1):
        for start in range(30):
            end = start
            while (
                end < 30
                and free[low : low + rows, end].all()
                and not above[low : low + rows - 1, end].any()
                and (end == start or not beside[low : low + rows, end - 1].any())
            ):
                end += 1
            if end - start > best:
                best, where = end - start, (start * size, low * size)
    found = longest_strip(area, taken, drawn, rows * size, "x", Lengths(least=size))
    if where is None:
        assert found is None
    else:
        assert found == Fit(at=where, along="x", length=best * size)
    # The same plan mirrored in its diagonal has the same strips along y.
    flipped = [affinity.affine_transform(shape, (0, 1, 1, 0, 0, 0)) for shape in (area, *drawn)]
    mirrored = longest_strip(
        flipped[0],
        taken[:, ::-1, ::-1],
        np.array(flipped[1:], dtype=object),
        rows * size,
        "y",
        Lengths(least=size),
    )
    if found is None:
        assert mirrored is None
    else:
        assert mirrored == Fit(at=found.at[::-1], along="y", length=found.length)


def test_bands_looked_at_in_parts_give_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    # A round hole, so that lows between the levels of sides are looked at as well.
    floor = shapely.difference(L_ROOM, shapely.Point(2000, 1500).buffer(700))
    found = []
    for together in (fitting._TOGETHER, 50, 1):
        monkeypatch.setattr(fitting, "_TOGETHER", together)
        found.append([longest_strip(floor, BARE, NONE, 400, along, ANY) for along in ("x", "y")])
    assert all(found[0])
    assert found[0] == found[1] == found[2]
