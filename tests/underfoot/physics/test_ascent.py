"""One step, and the climb, to where a floor is deeper: by hand in a band, and what is proven."""

import numpy as np
import pytest
import shapely

from underfoot.physics.ascent import climb, reachable
from underfoot.physics.lines import segments

# Half of it is 500 deep, from 500 mm before the one end to 500 mm before the other.
BAND = shapely.box(0, 0, 1000, 3000)
SIDES = segments(np.array([BAND.exterior]))[0]
NO_WALLS = np.empty((0, 3))


@pytest.mark.parametrize(
    ("x", "y", "reach", "depth"),
    [
        (300, 1500, 100, 400),
        # The far wall comes as near as the near one goes away: a longer step gains no more.
        (470, 1500, 29, 499),
        (470, 1500, 30, 500),
        (470, 1500, 31, 500),
        (470, 1500, 100, 500),
        (450, 1500, 200, 500),
        (530, 1500, 200, 500),
        (500, 1500, 200, 500),
        # In a corner two walls are left behind at once.
        (100, 200, 50, 150),
        (100, 200, 200, 300),
        (200, 100, 200, 300),
        (200, 2900, 200, 300),
    ],
)
def test_how_deep_a_step_leads(x: float, y: float, reach: float, depth: float) -> None:
    """A step is at most `reach` along x and as much along y."""
    found, _ = reachable(np.array((x, y)), reach, SIDES, NO_WALLS)
    assert found == pytest.approx(depth, abs=1e-9)


@pytest.mark.parametrize("reach", [1.0, 30.0, 100.0, 400.0])
def test_no_point_near_lies_deeper_than_what_is_proven(reach: float) -> None:
    """And at a place from which no step leads deeper just its depth is proven."""
    draw = np.random.default_rng(12)
    points = draw.uniform((0, 0), (1000, 3000), (200, 2))
    depths = shapely.distance(BAND.exterior, shapely.points(points))
    still = np.zeros((2, 2))
    for start in points[:20]:
        _, place = reachable(start, reach, SIDES, NO_WALLS)
        assert (place.bound(points, still, SIDES, NO_WALLS) >= depths - 1e-9).all()
    top = climb(np.array((499.0, 1400.0)), reach, BAND, SIDES, NO_WALLS)
    assert top.distance == pytest.approx(500, abs=1e-6)
    assert top.bound(top.point[None], still, SIDES, NO_WALLS) == pytest.approx([500], abs=1e-6)
    assert (top.bound(points, still, SIDES, NO_WALLS) >= depths - 1e-9).all()


def test_the_climb_ends_in_the_middle_of_what_is_as_deep() -> None:
    place = climb(np.array((480.0, 700.0)), 30.0, BAND, SIDES, NO_WALLS)
    assert place.point == pytest.approx((500, 1500), abs=1e-6)
    assert sorted(place.ridge[:, 1]) == pytest.approx([500, 2500], abs=1e-6)
    assert place.length == pytest.approx(2000, abs=1e-6)
    # It goes no farther than twice its reach: from 300 mm by the wall to 360.
    place = climb(np.array((300.0, 1500.0)), 30.0, BAND, SIDES, NO_WALLS)
    assert place.distance == pytest.approx(360, abs=1e-6)
