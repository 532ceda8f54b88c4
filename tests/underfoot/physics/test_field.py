"""Heat in the floor's plane against the one-dimensional split, a balance, and a closed form."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from underfoot.physics.field import Grid, lay_grid, share_cells, solve_field
from underfoot.physics.heat import FLOOR_W_M2K, split_output

scipy = pytest.importorskip("scipy", reason="the extra 'heat' is not installed")

ABOVE, BELOW = 0.13, 1.0
K = 0.003


def field_of(grid: Grid, output: np.ndarray, k: float = K, below_c: float = 10.0):
    one = np.ones((grid.rows, grid.columns))
    return solve_field(
        grid, one, output, one * (ABOVE + 1 / FLOOR_W_M2K), one * BELOW, one * k, 20.0, below_c
    )


@pytest.mark.oracle
def test_the_middle_of_a_wide_field_is_one_dimensional() -> None:
    grid = Grid(x=0, y=0, cell=10, columns=200, rows=200)
    output = np.zeros((200, 200))
    output[20:180, 20:180] = 100.0
    found = field_of(grid, output)
    split = split_output(100.0, ABOVE, BELOW, 20.0, 10.0)
    expected = 20.0 + split.up_w_m2 * (ABOVE + 1 / FLOOR_W_M2K)
    assert found.film_c[100, 100] == pytest.approx(expected, abs=0.1)


def test_heat_across_a_straight_edge_falls_off_as_the_closed_form_says() -> None:
    # Left half heated. With U = 1/R_up + 1/R_down and m = sqrt(U / K) the temperature is half way
    # between both sides at the edge, and nears each as exp(-m x). DERIVED, fin equation.
    grid = Grid(x=0, y=0, cell=2.5, columns=800, rows=3)
    output = np.zeros((3, 800))
    output[:, :400] = 100.0
    film = field_of(grid, output, below_c=20.0).film_c[1]
    u = 1 / (ABOVE + 1 / FLOOR_W_M2K) + 1 / BELOW
    m = np.sqrt(u / K) / 1000  # per mm
    far = 100.0 / u
    for cell in (380, 396, 403, 420):
        x = (cell + 0.5) * 2.5 - 1000
        rise = far * (1 - 0.5 * np.exp(m * x)) if x < 0 else far * 0.5 * np.exp(-m * x)
        assert film[cell] - 20.0 == pytest.approx(rise, abs=0.02 * far)


@given(
    st.floats(0.0005, 0.05),
    st.floats(-5, 25),
    st.lists(st.tuples(st.integers(0, 25), st.integers(0, 25)), min_size=1, max_size=5),
)
@settings(max_examples=25, deadline=None)
def test_what_goes_in_comes_out(k: float, below_c: float, spots: list[tuple[int, int]]) -> None:
    grid = Grid(x=0, y=0, cell=20, columns=30, rows=30)
    output = np.zeros((30, 30))
    for row, column in spots:
        output[row : row + 5, column : column + 5] = 150.0
    found = field_of(grid, output, k, below_c)
    assert found.in_w == pytest.approx(found.up_w + found.down_w, rel=1e-6)


def test_cells_share_an_area_exactly() -> None:
    room = Polygon([(0, 0), (1000, 0), (1000, 350), (420, 730), (0, 730)])
    grid = lay_grid(room, 30, 10_000)
    assert share_cells(grid, room).sum() * grid.cell**2 == pytest.approx(room.area, rel=1e-12)
    assert share_cells(grid, box(-5, -5, 2000, 2000)).min() == 1.0


def test_the_grid_keeps_to_the_most_cells() -> None:
    grid = lay_grid(box(0, 0, 100_000, 50_000), 10, 40_000)
    assert grid.rows * grid.columns == pytest.approx(40_000, rel=0.02)
