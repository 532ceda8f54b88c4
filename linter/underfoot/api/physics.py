"""Numbers in, numbers out: sizes and ratings, the heat through a floor, moves that part shapes."""

from underfoot.physics import (
    bodies,
    fitting,
    heat,
    heated,
    lines,
    neighbours,
    rectangles,
    shapes,
    ways,
)
from underfoot.physics.conductors import (
    find_rating_at_least,
    find_rating_at_most,
    list_sizes,
)
from underfoot.physics.courses import count_runs
from underfoot.physics.heat import (
    FloorTemperatures,
    compute_surface_output,
)
from underfoot.physics.laps import Lap
from underfoot.physics.separation import (
    separating_move,
)

__all__ = [
    "FloorTemperatures",
    "Lap",
    "bodies",
    "compute_surface_output",
    "count_runs",
    "find_rating_at_least",
    "find_rating_at_most",
    "fitting",
    "heat",
    "heated",
    "lines",
    "list_sizes",
    "neighbours",
    "rectangles",
    "separating_move",
    "shapes",
    "ways",
]
