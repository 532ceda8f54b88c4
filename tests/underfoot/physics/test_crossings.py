"""Where lines cross: worked out by hand on a joint up the page, unless said otherwise."""

import itertools

import numpy as np
import pytest
from shapely import LineString, MultiLineString
from shapely.affinity import rotate, scale, translate

from underfoot.physics.crossings import find_crossing_pairs, find_crossings

JOINT = LineString([(0, 0), (0, 1000)])


@pytest.mark.parametrize(
    ("line", "places"),
    [
        ([(-100, 500), (100, 500)], [(0, 500)]),
        ([(-100, 500), (0, 500)], []),  # ends at it
        ([(-100, 500), (-0.0005, 500), (-100, 600)], []),  # a bend that lies on it, and back
        ([(-100, 500), (0, 500), (0, 700), (-100, 700)], []),  # along it, and back
        ([(-100, 500), (0, 500), (0, 700), (100, 700)], [(0, 600)]),  # along it, and over
        ([(-100, 500), (100, 500), (100, 700), (-100, 700)], [(0, 500), (0, 700)]),
        ([(-100, 1000), (100, 1000)], [(0, 1000)]),  # over its very end
        ([(-100, 1001), (100, 1001)], []),  # past it
        ([(-100, 100), (-100, 900)], []),  # beside it
    ],
)
@pytest.mark.parametrize("angle", [0, 37])
@pytest.mark.parametrize("mirrored", [False, True])
def test_line_and_straight_joint(
    line: list[tuple[float, float]],
    places: list[tuple[float, float]],
    angle: float,
    mirrored: bool,
) -> None:
    def place(shape: object) -> object:
        turned = rotate(shape, angle, origin=(0, 0))
        return translate(scale(turned, -1 if mirrored else 1, 1, origin=(0, 0)), 3000, 2000)

    found = find_crossings(place(LineString(line)), place(JOINT))
    wanted = [place(LineString([at, at])).coords[0] for at in places]  # type: ignore[attr-defined]
    assert found == pytest.approx(np.array(wanted).reshape(-1, 2), abs=0.002)


@pytest.mark.parametrize(("x", "count"), [(-1, 0), (1, 1)])
def test_a_line_through_the_corner_of_a_joint_crosses_it_only_where_it_ends_beyond(
    x: float, count: int
) -> None:
    # The joint is a V with its point at the origin, open to the right.
    joint = LineString([(1000, 1000), (0, 0), (1000, -1000)])
    line = LineString([(-500, 0), (0, 0), (500 * x, 0 if x > 0 else 100)])
    assert len(find_crossings(line, joint)) == count


def test_no_crossing_between_the_parts_of_a_line() -> None:
    line = MultiLineString([[(-200, 500), (-100, 500)], [(100, 500), (200, 500)]])
    assert len(find_crossings(line, JOINT)) == 0


def test_pairs() -> None:
    lines = np.array([LineString([(-1, 5), (-1, 9)]), LineString([(-1, 5), (1, 5)])], dtype=object)
    joints = np.array([LineString([(9, 0), (9, 9)]), JOINT], dtype=object)
    pairs = find_crossing_pairs(lines, joints)
    assert [(line, joint, places.tolist()) for line, joint, places in pairs] == [(1, 1, [[0, 5]])]


# From above its point to below it around the outside, to its inside and out, and to its inside.
@pytest.mark.parametrize(
    ("way", "count"),
    [
        ([(-320, 380), (0, 0), (-320, -380)], 0),
        ([(-320, 380), (0, 0), (-500, 0)], 0),
        ([(-320, 380), (0, 0), (500, 0)], 1),
        ([(-320, -380), (0, 0), (500, 20)], 1),
        ([(500, 20), (0, 0), (500, -20)], 0),
    ],
)
@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("mirrored", [False, True])
def test_at_a_sharp_corner_of_a_joint_both_its_sides_decide(
    way: list[tuple[float, float]], count: int, backwards: bool, mirrored: bool
) -> None:
    # Its point is at the origin, 40 degrees wide: what lies beside the point, and not before it,
    # is left of one of its sides and right of the other, and outside all the same.
    track = [(1000, 1364), (1000, 364), (0, 0), (1000, -364), (1000, -1364)]
    joint = LineString(track[::-1] if backwards else track)
    line = LineString(way)
    if mirrored:
        joint, line = (scale(each, -1, 1, origin=(0, 0)) for each in (joint, line))
    assert len(find_crossings(line, joint)) == count


@pytest.mark.parametrize("way", [[(-100, 0), (100, 0)], [(1000, 900), (1000, 1100)]])
@pytest.mark.parametrize("backwards", [False, True])
def test_over_the_very_end_of_a_joint_with_a_corner(
    way: list[tuple[float, float]], backwards: bool
) -> None:
    # It goes up from the origin and then to the right: each end is of one straight piece alone.
    track = [(0, 0), (0, 1000), (1000, 1000)]
    joint = LineString(track[::-1] if backwards else track)
    found = find_crossings(LineString(way), joint)
    assert found == pytest.approx(np.array([LineString(way).centroid.coords[0]]), abs=0.002)


def proper_crossings(line: np.ndarray, other: np.ndarray) -> list[tuple[float, float]]:
    """Find where two polylines without common corners cross, in the order of the first."""
    found: list[tuple[float, tuple[float, float]]] = []
    for place, (a, b) in enumerate(itertools.pairwise(line)):
        for c, d in itertools.pairwise(other):
            across = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
            t = ((c[0] - a[0]) * (d[1] - c[1]) - (c[1] - a[1]) * (d[0] - c[0])) / across
            u = ((c[0] - a[0]) * (b[1] - a[1]) - (c[1] - a[1]) * (b[0] - a[0])) / across
            if 0 < t < 1 and 0 < u < 1:
                found.append((place + t, (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))))
    return [at for _, at in sorted(found)]


def test_against_the_crossings_of_their_straight_pieces() -> None:
    draw = np.random.default_rng(12)
    lines = [draw.uniform(0, 900, (draw.integers(2, 6), 2)) for _ in range(12)]
    joints = [draw.uniform(0, 900, (draw.integers(2, 6), 2)) for _ in range(8)]
    # Each corner twice, as a careless drawing has them: nothing changes by that.
    drawn = np.array([LineString(np.repeat(each, 2, axis=0)) for each in joints], dtype=object)
    pairs = find_crossing_pairs(np.array([LineString(each) for each in lines], dtype=object), drawn)
    wanted = {
        (number, other): proper_crossings(line, joint)
        for number, line in enumerate(lines)
        for other, joint in enumerate(joints)
    }
    assert [(line, joint) for line, joint, _ in pairs] == sorted(
        pair for pair, places in wanted.items() if places
    )
    assert len(pairs) > 40
    for line, joint, places in pairs:
        assert places == pytest.approx(np.array(wanted[line, joint]), abs=0.01)
