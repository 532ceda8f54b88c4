"""Heat in the floor's plane: steady conduction sideways, with losses up and down.

The film's plane is one sheet that conducts sideways as its layers do together. At every place

    K lap(T) + q = (T - T_room) / R_up + (T - T_below) / R_down

with q the film's output there (W/m2), K the sheet's conductance (W/K, conductivity times
thickness, summed), R_up from the film to the room with its surface, R_down to what lies below.
No heat goes into the walls. Solved by finite volumes on square cells, so that what is put in comes
out again whatever the cells' size. scipy is needed (the extra `heat`).
"""

from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from msgspec import Struct

Floats = npt.NDArray[np.float64]


class Grid(Struct, frozen=True, kw_only=True):
    """Square cells over a floor: the low left corner, the cells' side (mm), how many each way."""

    x: float
    y: float
    cell: float
    columns: int
    rows: int

    @property
    def centres(self) -> tuple[Floats, Floats]:
        """x and y of the cells' centres, (rows, columns) each."""
        return np.meshgrid(
            self.x + (np.arange(self.columns) + 0.5) * self.cell,
            self.y + (np.arange(self.rows) + 0.5) * self.cell,
        )


class Field(Struct, frozen=True, kw_only=True):
    """The film's temperature (degC) by cell, NaN outside, and the flows in W over the floor."""

    film_c: Floats
    up_w_m2: Floats
    in_w: float
    up_w: float
    down_w: float


def lay_grid(outline: Any, finest: float, most_cells: int) -> Grid:
    """Lay cells over an outline's bounds, `finest` wide or as wide as `most_cells` allows."""
    low_x, low_y, high_x, high_y = outline.bounds
    width, height = high_x - low_x, high_y - low_y
    cell = max(finest, float(np.sqrt(width * height / most_cells)))
    return Grid(
        x=low_x,
        y=low_y,
        cell=cell,
        columns=int(np.ceil(width / cell)),
        rows=int(np.ceil(height / cell)),
    )


def share_cells(grid: Grid, area: Any) -> Floats:
    """Return the share of each cell that an area covers, (rows, columns), exactly."""
    x = grid.x + np.arange(grid.columns) * grid.cell
    y = grid.y + np.arange(grid.rows) * grid.cell
    low_x, low_y = np.meshgrid(x, y)
    cells = shapely.box(low_x, low_y, low_x + grid.cell, low_y + grid.cell)
    shapely.prepare(area)
    share: Floats = shapely.covers(area, cells).astype(np.float64)
    crossing = (share == 0.0) & shapely.intersects(area, cells)
    share[crossing] = shapely.area(shapely.intersection(area, cells[crossing])) / grid.cell**2
    return share


def solve_field(
    grid: Grid,
    inside: Floats,
    output_w_m2: Floats,
    up_m2k_w: Floats,
    down_m2k_w: Floats,
    sheet_w_k: Floats,
    room_c: float,
    below_c: float,
) -> Field:
    """Solve for the temperature of the film's plane.

    All arrays are (rows, columns): the share of the cell that is floor, the film's output over
    the whole cell, the resistances up and down, the conductance sideways.
    """
    from scipy.sparse import coo_matrix, diags
    from scipy.sparse.linalg import cg, spsolve

    floor = inside > 1e-6
    number = np.full(inside.shape, -1)
    number[floor] = np.arange(int(floor.sum()))
    area_m2 = inside * (grid.cell / 1000) ** 2
    up = np.where(floor, area_m2 / up_m2k_w, 0.0)
    down = np.where(floor, area_m2 / down_m2k_w, 0.0)
    heat_w = np.where(floor, output_w_m2 * (grid.cell / 1000) ** 2, 0.0)
    count = int(floor.sum())
    places, values = [], []
    diagonal = (up + down)[floor]
    for axis in (0, 1):
        one = (slice(None, -1), slice(None)) if axis == 0 else (slice(None), slice(None, -1))
        two = (slice(1, None), slice(None)) if axis == 0 else (slice(None), slice(1, None))
        both = floor[one] & floor[two]
        # Through a face the two half cells conduct in series; a face is as open as its fuller cell
        # is floor, at most as its emptier one.
        first, second = sheet_w_k[one][both], sheet_w_k[two][both]
        conducts = 2.0 * first * second / (first + second)
        conducts *= np.minimum(inside[one][both], inside[two][both])
        a, b = number[one][both], number[two][both]
        np.add.at(diagonal, a, conducts)
        np.add.at(diagonal, b, conducts)
        places += [np.stack((a, b)), np.stack((b, a))]
        values += [-conducts, -conducts]
    own = np.arange(count)
    at = np.concatenate([*places, np.stack((own, own))], axis=1)
    entries = (np.concatenate([*values, diagonal]), (at[0], at[1]))
    matrix = coo_matrix(entries, (count, count)).tocsr()
    right = (heat_w + up * room_c + down * below_c)[floor]
    # The losses up and down outweigh what goes sideways, so conjugate gradients are quick.
    found, unsettled = cg(matrix, right, rtol=1e-13, maxiter=2000, M=diags(1.0 / diagonal))
    if unsettled:
        found = spsolve(matrix.tocsc(), right)
    film_c = np.full(inside.shape, np.nan)
    film_c[floor] = found
    rise = np.where(floor, film_c - room_c, 0.0)
    fall = np.where(floor, film_c - below_c, 0.0)
    with np.errstate(invalid="ignore"):
        up_w_m2 = np.where(floor, (film_c - room_c) / up_m2k_w, np.nan)
    return Field(
        film_c=film_c,
        up_w_m2=up_w_m2,
        in_w=float(heat_w.sum()),
        up_w=float((up * rise).sum()),
        down_w=float((down * fall).sum()),
    )
