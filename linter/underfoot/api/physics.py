"""Numbers in, numbers out: sizes and ratings, the heat through a floor, moves that part shapes."""

from underfoot.physics.conductors import (
    find_rating_at_least,
    find_rating_at_most,
    list_sizes,
)
from underfoot.physics.heat import (
    FloorTemperatures,
    compute_surface_output,
)
from underfoot.physics.separation import (
    separating_move,
)

__all__ = [
    "FloorTemperatures",
    "compute_surface_output",
    "find_rating_at_least",
    "find_rating_at_most",
    "list_sizes",
    "separating_move",
]
