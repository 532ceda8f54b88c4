"""Boards laid in courses, and sheets laid in runs, over a floor of any outline."""

import math
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.physics.rectangles import EDGE, Floats, Geometries, Ints, polygons
from underfoot.physics.shapes import clip


class LaidCourses(Struct, frozen=True, kw_only=True):
    """Boards in courses: numbers from 1, whole rectangles (n, 4, 2), and what the floor leaves."""

    course: Ints
    board: Ints
    corners: Floats
    polygons: Geometries


def lay_courses(
    region: Any, length: float, width: float, along: str, stagger: float
) -> LaidCourses:
    """Lay boards in brickwork over a region, from the low left corner of its bounds.

    In every second course the first board is `stagger` long, whole where that is 0. Boards are
    cut at the region's edge; those that do not lie on it are left out, and the rest numbered
    along their course from 1.
    """
    low_x, low_y, high_x, high_y = region.bounds
    start, end = (low_x, high_x) if along == "x" else (low_y, high_y)
    base, top = (low_y, high_y) if along == "x" else (low_x, high_x)
    count = max(1, math.ceil((top - base - EDGE) / width))
    whole = np.arange(start, end - EDGE, length)
    short = start + stagger
    offset = np.concatenate(((start,), np.arange(short, end - EDGE, length)))
    firsts, lasts, numbers = [], [], []
    for course in range(1, count + 1):
        cut = course % 2 == 0 and EDGE < stagger < length
        begins = offset if cut else whole
        ends = np.minimum(begins + length, math.inf)
        if cut:
            ends[0] = short
        firsts.append(begins)
        lasts.append(ends)
        numbers.append(np.full(len(begins), course))
    first, last, course_of = map(np.concatenate, (firsts, lasts, numbers))
    low = base + (course_of - 1) * width
    corners = _boxes(first, low, last, low + width, along)
    shapes = polygons(corners)
    shapely.prepare(region)
    cut_shapes = shapes.copy()
    crossing = ~shapely.covers(region, shapes)
    cut_shapes[crossing] = clip(shapes[crossing], region)
    keep = shapely.area(cut_shapes) > EDGE
    course_of, corners, cut_shapes = course_of[keep], corners[keep], cut_shapes[keep]
    breaks = np.concatenate(((0,), np.flatnonzero(np.diff(course_of)) + 1))
    started = np.repeat(breaks, np.diff(np.concatenate((breaks, (len(course_of),)))))
    board = np.arange(len(course_of)) - started + 1
    return LaidCourses(course=course_of, board=board, corners=corners, polygons=cut_shapes)


class LaidRuns(Struct, frozen=True, kw_only=True):
    """Sheets in runs: whole rectangles (n, 4, 2), from the low side."""

    corners: Floats


def lay_runs(region: Any, width: float, along: str, overlap: float) -> LaidRuns:
    """Lay sheets side by side over a region, each lapping the last by `overlap`.

    Each reaches as far as the region does where it lies; where the region goes on beyond a gap
    that is as wide as the sheet, a sheet of its own does. ValueError where the overlap is not
    smaller than the width.
    """
    if overlap >= width:
        raise ValueError("a lap as wide as its sheet")
    low_x, low_y, high_x, high_y = region.bounds
    start, end = (low_x, high_x) if along == "x" else (low_y, high_y)
    base, top = (low_y, high_y) if along == "x" else (low_x, high_x)
    low = base + np.arange(count_runs(top - base, width, overlap)) * (width - overlap)
    first, last = np.full(len(low), start), np.full(len(low), end)
    if region.area < (high_x - low_x) * (high_y - low_y) * (1 - 1e-9):
        low, first, last = _reach(region, low, width, along)
    return LaidRuns(corners=_boxes(first, low, last, low + width, along))


def _reach(region: Any, low: Floats, width: float, along: str) -> tuple[Floats, Floats, Floats]:
    """Return where each sheet lies across, begins and ends: in parts where the region does."""
    axis = 0 if along == "x" else 1
    ends = region.bounds[axis], region.bounds[axis + 2]
    whole = _boxes(np.full(len(low), ends[0]), low, np.full(len(low), ends[1]), low + width, along)
    parts, owners = shapely.get_parts(
        shapely.intersection(polygons(whole), region), return_index=True
    )
    bounds = shapely.bounds(parts)[shapely.area(parts) > 0.0]
    owners = owners[shapely.area(parts) > 0.0]
    found: list[list[float]] = []
    order = np.lexsort((bounds[:, axis], owners))
    for place in order.tolist():
        at, start, end = low[owners[place]], bounds[place, axis], bounds[place, axis + 2]
        if found and found[-1][0] == at and start <= found[-1][2] + EDGE:
            found[-1][2] = max(found[-1][2], end)
        else:
            found.append([at, start, end])
    rows = np.array(found, dtype=float).reshape(-1, 3)
    return rows[:, 0], rows[:, 1], rows[:, 2]


def count_runs(span: float, width: float, overlap: float) -> int:
    """Count the sheets that reach over a span, each lapping the last by `overlap`."""
    return max(1, math.ceil((span - overlap - EDGE) / (width - overlap)))


def _boxes(first: Floats, low: Floats, last: Floats, high: Floats, along: str) -> Floats:
    if along == "x":
        rows = ((first, low), (last, low), (last, high), (first, high))
    else:
        rows = ((high, first), (high, last), (low, last), (low, first))
    return np.stack([np.stack(corner, axis=1) for corner in rows], axis=1)
