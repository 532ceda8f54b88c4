"""What touches what on the sheet."""

import shapely
from hypothesis import given
from hypothesis import strategies as st

from underfoot.drawing.occupancy import (
    is_free,
    nothing_taken,
    patch_of,
    take_line,
    touches,
    turned_patch,
)

numbers = st.integers(-60, 60).map(lambda value: value / 2)
sizes = st.integers(1, 60).map(lambda value: value / 2)
patches = st.builds(
    turned_patch, st.tuples(numbers, numbers), sizes, sizes, st.integers(-90, 90).map(float)
)


@given(patches, patches)
def test_overlap_agrees_with_shapely(one: tuple, other: tuple) -> None:
    shared = shapely.Polygon(one).intersection(shapely.Polygon(other)).area
    if shared > 1e-6:
        assert not is_free(nothing_taken([one]), other)
    elif shapely.Polygon(one).distance(shapely.Polygon(other)) > 1e-6:
        assert is_free(nothing_taken([one]), other)


def test_patches_side_by_side_do_not_overlap() -> None:
    taken = nothing_taken([patch_of(0, 0, 10, 10)])
    assert is_free(taken, patch_of(10, 0, 10, 10))
    assert not is_free(taken, patch_of(9.9, 0, 10, 10))


def test_a_line_through_a_patch_touches_it_once() -> None:
    taken = nothing_taken([patch_of(0, 0, 30, 30), patch_of(50, 0, 5, 5)])
    assert touches(taken, ((-10.0, 15.0), (40.0, 15.0))) == 1
    assert touches(taken, ((-10.0, 2.0), (60.0, 2.0))) == 2
    assert touches(taken, ((-10.0, -2.0), (60.0, -2.0))) == 0


def test_a_taken_line_is_in_the_way() -> None:
    taken = nothing_taken()
    take_line(taken, [(0.0, 0.0), (0.0, 50.0), (0.0, 50.0), (50.0, 50.0)])
    assert not is_free(taken, patch_of(-2, 20, 4, 4))
    assert not is_free(taken, patch_of(20, 48, 4, 4))
    assert is_free(taken, patch_of(10, 10, 4, 4))
