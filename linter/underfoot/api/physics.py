"""Numbers in, numbers out: geometry, sizes and ratings, the heat through a floor, by module."""

from underfoot.physics import (
    bodies,
    conductors,
    courses,
    electrics,
    fitting,
    heat,
    heated,
    laps,
    lines,
    neighbours,
    network,
    rectangles,
    separation,
    shapes,
    ways,
)

__all__ = [
    "bodies",
    "conductors",
    "courses",
    "electrics",
    "fitting",
    "heat",
    "heated",
    "laps",
    "lines",
    "neighbours",
    "network",
    "rectangles",
    "separation",
    "shapes",
    "ways",
]
