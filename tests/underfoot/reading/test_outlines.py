import math
import subprocess
import sys

import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from tests.underfoot.reading.samples import SMALL, change, only_problem, read
from underfoot.reading.building.outlines import find_fault

OUTLINE = "[[0, 0], [4200, 0], [4200, 3100], [0, 3100]]"


@pytest.mark.parametrize(
    ("corners", "corner", "words"),
    [
        ("[[0, 0], [9, 0], [9, 9], [0, 0]]", 3, "the first corner is repeated at the end"),
        ("[[0, 0], [9, 0], [9, 0], [0, 9]]", 2, "corner 3 is the same as the one before it"),
        ("[[0, 0], [9, 0], [5, 0]]", 0, "the outline has no area"),
        ("[[0, 0], [9, 0], [5, 0], [5, 9]]", 1, "at corner 2 the outline runs back over itself"),
        (
            "[[0, 0], [9, 9], [9, 0], [0, 9]]",
            2,
            "the side from corner 3 to 4 meets the side from corner 1 to 2",
        ),
        (
            # The corner at (4, 0) lies on the first side.
            "[[0, 0], [9, 0], [9, 9], [4, 0], [0, 9]]",
            2,
            "the side from corner 3 to 4 meets the side from corner 1 to 2",
        ),
        (
            # Two loops that touch in the point (5, 5).
            "[[0, 0], [5, 5], [0, 9], [9, 9], [5, 5], [9, 0]]",
            3,
            "the side from corner 4 to 5 meets the side from corner 1 to 2",
        ),
    ],
)
def test_what_is_no_simple_polygon(corners: str, corner: int, words: str) -> None:
    problem = only_problem(change(SMALL, OUTLINE, corners))
    assert problem.path == f"rooms.study.outline.{corner}"
    assert words in problem.message
    assert problem.line == 8


@pytest.mark.parametrize(
    "corners",
    [
        "[[0, 0], [9, 0], [0, 9]]",
        "[[0, 0], [0, 9], [9, 9], [9, 0]]",
        "[[0, 0], [5, 0], [9, 0], [9, 9]]",
        "[[0, 0], [9, 0], [9, 9], [5, 9], [5, 1], [4, 1], [4, 9], [0, 9]]",
    ],
)
def test_either_way_round_with_straight_and_inner_corners(corners: str) -> None:
    assert read(change(SMALL, OUTLINE, corners)).problems == ()


COORDINATES = st.integers(-6, 6)
POINTS = st.tuples(COORDINATES, COORDINATES)


@given(st.lists(POINTS, min_size=3, max_size=9))
@example([(0, 0), (2, 0), (2, 2), (1, 0), (0, 2)])
def test_the_verdict_is_that_of_a_geometry_library(points: list[tuple[int, int]]) -> None:
    corners = tuple((float(x), float(y)) for x, y in points)
    fault = find_fault(corners)
    repeated = any(corners[n] == corners[n - 1] for n in range(len(corners)))
    if repeated:
        assert fault is not None
    else:
        assert (fault is None) == shapely.Polygon(corners).is_valid


@given(st.lists(POINTS, min_size=3, max_size=9))
def test_many_corners_are_judged_as_few_are(points: list[tuple[int, int]]) -> None:
    few = tuple((60.0 * x, 60.0 * y) for x, y in points)
    if any(few[n] == few[n - 1] for n in range(len(few))):
        return
    # Twenty corners on each side, all on whole millimetres, leave the outline as it was.
    many = tuple(
        (x + (next_x - x) * step / 20, y + (next_y - y) * step / 20)
        for (x, y), (next_x, next_y) in zip(few, (*few[1:], few[0]), strict=True)
        for step in range(20)
    )
    assert len(many) > 48
    assert (find_fault(many) is None) == (find_fault(few) is None)


def star(count: int) -> tuple[tuple[float, float], ...]:
    """A star of many corners, which is simple."""
    return tuple(
        (
            (4000 if number % 2 else 2000) * math.cos(math.tau * number / count),
            (4000 if number % 2 else 2000) * math.sin(math.tau * number / count),
        )
        for number in range(count)
    )


def test_many_corners() -> None:
    corners = star(1000)
    assert find_fault(corners) is None
    # Swapping two neighbours far out makes their sides cross.
    swapped = (*corners[:500], corners[503], corners[502], corners[501], corners[500])
    swapped += corners[504:]
    fault = find_fault(swapped)
    assert fault is not None
    corner, message = fault
    assert 495 <= corner <= 508
    assert "crosses or touches itself near [" in message


def test_more_corners_than_are_read() -> None:
    def outline(count: int) -> str:
        rows = [f"[{n}, {n % 2}]" for n in range(count - 2)]
        return "[" + ", ".join([*rows, f"[{count}, 9]", "[0, 9]"]) + "]"

    assert read(change(SMALL, OUTLINE, outline(10_000))).problems == ()
    problem = only_problem(change(SMALL, OUTLINE, outline(10_001)))
    assert problem.path == "rooms.study.outline"
    assert problem.message == "this outline has 10,001 corners; at most 10,000 are read"


def test_coordinates_reach_one_kilometre() -> None:
    assert read(change(SMALL, OUTLINE, "[[-1 km, 0], [1 km, 0], [0, 1000 m]]")).problems == ()
    problem = only_problem(change(SMALL, OUTLINE, "[[-1 km, 0], [1000001, 0], [0, 1 m]]"))
    assert problem.path == "rooms.study.outline.1.0"
    assert "more than 1 km from the room's origin" in problem.message


def test_the_turn_is_exact_far_from_the_origin() -> None:
    # One thousandth of a millimetre above the line, a kilometre away.
    corners = ((-1e6, -1e6), (1e6, 1e6), (0.0, 0.001))
    assert find_fault(corners) is None
    assert find_fault(((-1e6, -1e6), (1e6, 1e6), (0.5, 0.5))) is not None


def test_a_common_plan_needs_no_geometry_library() -> None:
    code = (
        "import sys; from underfoot.reading import read_plan;"
        "from tests.underfoot.reading.samples import FULL;"
        "assert read_plan(FULL.encode(), path='x').plan;"
        "assert not {'shapely', 'numpy', 'pint', 'jsonschema'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
