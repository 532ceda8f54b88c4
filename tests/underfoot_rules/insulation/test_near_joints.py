"""End joints of courses, against a scan along both sides of every seam between two courses."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.effort import fewer
from tests.there import there
from underfoot.physics import rectangles
from underfoot.physics.courses import lay_courses
from underfoot_rules.insulation.near_joints import count_neighbours, find_courses, find_near_joints

ALONG = {"x": np.array((1.0, 0.0)), "y": np.array((0.0, 1.0))}


def _room(steps: list[tuple[int, int]]) -> shapely.Polygon:
    """A floor below a line of heights: one (width, height) a step, slanted where it is -1 wide."""
    x, top = 0, []
    for width, height in steps:
        top += [(x, height), (x + width, height)]
        x += width
    return shapely.Polygon([(0, 0), (x, 0), *reversed(top)])


def _ends(polygons: np.ndarray, at: float, along: str) -> list[float]:
    """Where boards meet end to end on a line across them."""
    lines = {
        "x": shapely.LineString(((-1e5, at), (1e5, at))),
        "y": shapely.LineString(((at, -1e5), (at, 1e5))),
    }
    spans = []
    for polygon in polygons:
        for part in shapely.get_parts(shapely.intersection(polygon, lines[along])):
            if part.length > 0:
                low_x, low_y, high_x, high_y = part.bounds
                spans.append((low_x, high_x) if along == "x" else (low_y, high_y))
    spans.sort()
    return [end for (_, end), (start, _) in pairwise(spans) if abs(start - end) < 1e-6]


@st.composite
def _cases(draw: st.DrawFn) -> tuple[shapely.Polygon, str, float, float]:
    steps = draw(
        st.lists(
            st.tuples(st.integers(30, 300).map(lambda n: n * 10), st.integers(40, 320)),
            min_size=1,
            max_size=4,
        )
    )
    room = _room([(width, height * 10) for width, height in steps])
    if draw(st.booleans()):  # a slanted wall
        room = shapely.transform(room, lambda points: points @ np.array(((1, 0), (0.3, 1))))
    along = draw(st.sampled_from(("x", "y")))
    stagger = float(draw(st.integers(0, 120)) * 10)
    return room, along, stagger, draw(st.sampled_from((100.0, 150.0, 400.0)))


@settings(max_examples=fewer(60, 150), deadline=None)
@given(_cases())
def test_nearest_joints_agree_with_a_scan(case: tuple[shapely.Polygon, str, float, float]) -> None:
    room, along, stagger, within = case
    laid = lay_courses(room, 1200.0, 600.0, along, stagger)
    found = there(find_courses(laid.corners, ALONG[along]))
    low = laid.corners[:, :, 1 if along == "x" else 0].min(axis=1)
    expected = []
    for course in range(1, int(laid.course.max())):
        seam = float(low[laid.course == course + 1].min())
        below = _ends(laid.polygons[laid.course == course], seam - 0.5, along)
        above = _ends(laid.polygons[laid.course == course + 1], seam + 0.5, along)
        places = [*below, *above]
        across = shapely.points(places, [seam] * len(places))
        if along == "y":
            across = shapely.points([seam] * len(places), places)
        # Within a millimetre or two of a wall the scan and the probes may well disagree.
        assume(not (shapely.distance(across, room.exterior) < 3).any())
        near = [abs(one - other) for one in below for other in above]
        walled = [
            shapely.LineString(_line(one, other, seam, along)).difference(room).length > 1
            for one in below
            for other in above
        ]
        near = [offset for offset, wall in zip(near, walled, strict=True) if not wall]
        if near and min(near) < within:
            expected.append(min(near))
    pairs = find_near_joints(found, room, room, within)
    assert [joints[0].offset for joints in pairs] == pytest.approx(expected)


def _line(one: float, other: float, seam: float, along: str) -> list[tuple[float, float]]:
    places = ((one, seam), (other, seam))
    return [place if along == "x" else place[::-1] for place in places]


def _boards(*places: tuple[float, float, float, float], angle_deg: float = 0.0) -> np.ndarray:
    """Boards (x, y, length, width), turned together about the origin."""
    at = rectangles.turn([place[:2] for place in places], (0.0, 0.0), angle_deg)
    return rectangles.corners(
        at, [place[2] for place in places], [place[3] for place in places], angle_deg
    )


@pytest.mark.parametrize("angle_deg", [0.0, 90.0, 31.0, -17.3])
def test_pieces_in_line_are_courses_however_they_are_turned(angle_deg: float) -> None:
    boards = _boards(
        (0, 0, 1200, 600), (1200, 0, 800, 600), (0, 600, 700, 600), (700, 600, 1200, 600),
        (1900, 600, 100, 600), (0, 1200, 1100, 300), (1100, 1200, 900, 300),
        angle_deg=angle_deg,
    )  # fmt: skip
    found = there(find_courses(boards))
    assert len(found.courses) == 3
    assert count_neighbours(found) == 2
    floor = shapely.union_all(rectangles.polygons(boards)).buffer(1, join_style="mitre")
    pairs = find_near_joints(found, floor, floor, 450.0)
    # Joints at 1200, at 700 and 1900, at 1100: the nearest lie 500 and 400 mm apart.
    assert [joints[0].offset for joints in pairs] == [pytest.approx(400.0)]
    assert pairs[0][0].first == (2, 3)
    assert pairs[0][0].second == (5, 6)


@pytest.mark.parametrize(
    "places",
    [
        # one turned across two others in line
        [(0, 0, 1200, 600), (0, 600, 1200, 600), (1200, 0, 600, 1200)],
        # a narrow one, in line on one side only
        [(0, 0, 1200, 600), (1200, 0, 1200, 500), (0, 600, 1200, 600)],
        # shifted by half a board
        [(0, 0, 1200, 600), (1200, 300, 1200, 600)],
    ],
)
def test_pieces_that_are_no_courses(places: list[tuple[float, float, float, float]]) -> None:
    assert find_courses(_boards(*places)) is None


def test_pieces_at_different_angles_are_no_courses() -> None:
    boards = np.concatenate((_boards((0, 0, 1200, 600)), _boards((0, 700, 1200, 600), angle_deg=3)))
    assert find_courses(boards) is None
