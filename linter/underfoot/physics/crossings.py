"""Where one line crosses another: not where it merely touches it, ends at it or runs along it."""

from typing import Any

import numpy as np
import shapely

from underfoot.physics.rectangles import EDGE, Floats, Geometries, Ints


def find_crossing_pairs(lines: Geometries, others: Geometries) -> list[tuple[int, int, Floats]]:
    """Find the lines that cross others: line, other, and the places (n, 2), sorted by pair."""
    if not len(lines) or not len(others):
        return []
    pairs: Ints = shapely.STRtree(lines).query(others, predicate="dwithin", distance=EDGE)[::-1].T
    found = []
    for line, other in pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]:
        places = find_crossings(lines[line], others[other])
        if len(places):
            found.append((int(line), int(other), places))
    return found


def find_crossings(line: Any, other: Any) -> Floats:
    """Find the places (n, 2) where a line, which may be in parts, goes from one side to the other.

    They come in the order of the line. What lies within 0.001 mm of the other lies on it; a
    stretch along it counts once, in its middle, where the line leaves it on the other side.
    Passing its very end counts.
    """
    near = shapely.buffer(other, EDGE)
    track = shapely.get_coordinates(other)
    places: list[Floats] = []
    for part in shapely.get_parts(line):
        crossed: list[float] = []
        length = shapely.length(part)
        shared = shapely.intersection(part, near)
        if shared.geom_type == "MultiLineString":
            shared = shapely.line_merge(shared)
        for stretch in shapely.get_parts(shared):
            if stretch.is_empty or stretch.geom_type != "LineString":
                continue
            ends = shapely.points(shapely.get_coordinates(stretch)[[0, -1]])
            start, end = sorted(shapely.line_locate_point(part, ends).tolist())
            before, after = start - EDGE, end + EDGE
            if before <= 0.0 or after >= length:
                continue
            points = shapely.get_coordinates(shapely.line_interpolate_point(part, (before, after)))
            sides = [_is_left(point, track) for point in points]
            if sides[0] != sides[1]:
                crossed.append((start + end) / 2.0)
        places.extend(
            shapely.get_coordinates(shapely.line_interpolate_point(part, sorted(crossed)))
        )
    return np.array(places, dtype=np.float64).reshape(-1, 2)


def _is_left(point: Floats, track: Floats) -> bool:
    """Tell whether a point lies to the left of the nearest place of a polyline (n, 2)."""
    track = track[np.concatenate(((True,), (np.diff(track, axis=0) != 0.0).any(axis=1)))]
    base, run = track[:-1], np.diff(track, axis=0)
    offset = point - base
    share = np.clip((offset * run).sum(axis=1) / (run * run).sum(axis=1), 0.0, 1.0)
    gap = np.hypot(*(offset - share[:, None] * run).T)
    left = run[:, 0] * offset[:, 1] - run[:, 1] * offset[:, 0] > 0.0
    nearest = int(np.argmin(gap))
    # At a corner of the polyline the two sides of it decide together.
    corner = nearest + 1 if share[nearest] == 1.0 else nearest
    if share[nearest] in (0.0, 1.0) and 0 < corner < len(run):
        first, second = run[corner - 1], run[corner]
        turns_left = first[0] * second[1] - first[1] * second[0] > 0.0
        both = left[corner - 1], left[corner]
        return bool(all(both) if turns_left else any(both))
    return bool(left[nearest])
