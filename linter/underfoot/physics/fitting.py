"""Where one more strip fits: the longest rectangle of a given width inside what is left."""

from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.physics.lines import segments
from underfoot.physics.rectangles import (
    GRID,
    SAME,
    Bools,
    Floats,
    Geometries,
    Ints,
    ends,
    polygons,
)

# Sides of a round corner's quarter, laid round the circle: at 58 mm 0.07 mm outside it.
_QUARTER = 16
# Where no cut line rounds it off, a length is found to this (mm).
_FINE = 0.001
# Sides in bands looked at together: what thousands of sides need would fill the memory.
_TOGETHER = 500_000
# A strip so narrow that an area holds more half widths side by side is looked for nowhere.
_MOST_STEPS = 200_000


class Fit(Struct, frozen=True, kw_only=True):
    """A strip that fits: its corner with the least x and y, `x` or `y` along, and its length."""

    at: tuple[float, float]
    along: str
    length: float


class Lengths(Struct, frozen=True, kw_only=True):
    """Which lengths a strip may have."""

    least: float
    longest: float | None = None
    cut_every: float | None = None

    def fitting(self, free: Floats) -> Floats:
        """Return the longest that fits each free length: 0 where none does."""
        length = np.maximum(free, 0.0)
        if self.longest is not None:
            length = np.minimum(length, self.longest)
        if self.cut_every is not None:
            length = np.floor((length + SAME) / self.cut_every) * self.cut_every
        fitting: Floats = np.where(length >= self.least - SAME, length, 0.0)
        return fitting


def clear_area(outline: Any, from_wall: float, fixtures: Geometries, from_fixture: float) -> Any:
    """Return the floor on which a strip keeps so far from the outline and from fixtures.

    True distance; round corners are drawn in short sides outside the circle, so that what lies
    on the area keeps its distance, and loses at most 0.13 % of it.
    """
    area = shapely.buffer(outline, -from_wall, quad_segs=_QUARTER)
    discs = [_discs(outline, from_wall, turning=-1.0)]
    kept_off: list[Any] = []
    for fixture in fixtures:
        kept_off.append(shapely.buffer(fixture, from_fixture, quad_segs=_QUARTER))
        discs.append(_discs(fixture, from_fixture, turning=1.0))
    blocked = np.concatenate((np.array(kept_off, dtype=object), *discs))
    if not len(blocked):
        return area
    return shapely.difference(area, shapely.union_all(blocked), grid_size=GRID)


def longest_strip(
    area: Any,
    taken: Floats,
    lines: Geometries,
    width: float,
    along: str,
    lengths: Lengths,
) -> Fit | None:
    """Find the longest strip along `x` or `y` that lies in an area, off what is taken.

    `area` is a Polygon or MultiPolygon of any outline; the strip may lie on its edge. `taken`
    (n, 4, 2) are rectangles whose inside it keeps off, `lines` are joints and leads that may run
    along its edge only. Of equally long strips the one whose low side lies lowest (leftmost,
    along y), then whose start does; between slanted sides, of those looked at. None where none
    of the lengths fits.
    """
    sides, _ = segments(shapely.get_parts(shapely.boundary(shapely.get_parts(area))))
    if not len(sides):
        return None
    middles = np.empty((0, 2, 2))
    if len(taken):
        around = np.stack((taken, np.roll(taken, -1, axis=1)), axis=2).reshape(-1, 2, 2)
        # So that no strip fits within a strip of its own width.
        middles = np.stack(ends(taken), axis=1)
        sides = np.concatenate((sides, around))
    if len(lines):
        sides = np.concatenate((sides, segments(shapely.get_parts(lines))[0]))
    if along == "y":
        sides, middles = sides[:, :, ::-1], middles[:, :, ::-1]
    bottom, top = np.reshape(shapely.bounds(area), (2, 2))[:, 0 if along == "y" else 1].tolist()
    if top - bottom > _MOST_STEPS * width / 2.0:
        return None
    levels = sides[:, :, 1].ravel()
    lows = np.unique(np.concatenate((levels, levels - width)))
    lows = lows[(lows >= bottom - SAME) & (lows <= top - width + SAME)]
    if not len(lows):
        return None
    search = _Search(
        blocking=_Blocking(np.concatenate((sides, middles))),
        free=_Free(area, taken, along == "y"),
        width=width,
        lengths=lengths,
    )
    steps = _roomy_steps(bottom, top, search)
    lows = lows[steps.hold(lows)]
    best = _best(_Found(), lows, search)
    if search.blocking.slanted:
        levels = np.unique(np.concatenate((lows, steps.edges())))
        best = _between(best, levels, steps, search)
    if best.length <= 0.0:
        return None
    at = (best.low, best.start) if along == "y" else (best.start, best.low)
    return Fit(at=at, along=along, length=best.length)


class _Found(Struct, frozen=True, kw_only=True):
    low: float = 0.0
    start: float = 0.0
    length: float = 0.0


class _Gaps(Struct, frozen=True, kw_only=True):
    """Spans that nothing blocks: in which band (g,), from and to which x, and between which sides,
    each (g,)."""

    band: Ints
    left: Floats
    right: Floats
    after: Ints
    before: Ints


class _Blocking:
    """What blocks a strip laid along x: segments (s, 2, 2), read only."""

    def __init__(self, sides: Floats) -> None:
        down = sides[:, 0, 1] > sides[:, 1, 1]
        sides = np.where(down[:, None, None], sides[:, ::-1], sides)
        self.low, self.high = sides[:, 0], sides[:, 1]
        run = self.high - self.low
        self.slope = np.divide(run[:, 0], run[:, 1], out=np.zeros(len(run)), where=run[:, 1] > SAME)
        self.slanted = bool((np.abs(run) > SAME).all(axis=1).any())

    def gaps(self, bottom: Floats, top: Floats, least: float = 0.0) -> _Gaps:
        """Find the free spans of bands (b,), whose bottoms and tops rise."""
        first = np.searchsorted(top, self.low[:, 1], side="right")
        count = np.maximum(np.searchsorted(bottom, self.high[:, 1], side="left") - first, 0)
        if len(bottom) > 1 and count.sum() > _TOGETHER:
            half = len(bottom) // 2
            lower = self.gaps(bottom[:half], top[:half], least)
            upper = self.gaps(bottom[half:], top[half:], least)
            return _Gaps(
                band=np.concatenate((lower.band, upper.band + half)),
                left=np.concatenate((lower.left, upper.left)),
                right=np.concatenate((lower.right, upper.right)),
                after=np.concatenate((lower.after, upper.after)),
                before=np.concatenate((lower.before, upper.before)),
            )
        side = np.repeat(np.arange(len(count)), count)
        band = np.arange(len(side)) - np.repeat(np.cumsum(count) - count, count) + first[side]
        left, right = self.span(side, bottom[band], top[band])
        order = np.lexsort((left, band))
        side, band, left, right = side[order], band[order], left[order], right[order]
        farthest = _running_most(band, right)
        reached = right[farthest]
        free = np.flatnonzero((band[1:] == band[:-1]) & (left[1:] - reached[:-1] > least))
        return _Gaps(
            band=band[free],
            left=reached[free],
            right=left[free + 1],
            after=side[farthest[free]],
            before=side[free + 1],
        )

    def span(self, side: Ints, bottom: Floats, top: Floats) -> tuple[Floats, Floats]:
        """Return the least and the greatest x of sides within bands, all (n,)."""
        low, high = self.low[side], self.high[side]
        enter = low[:, 0] + self.slope[side] * np.maximum(bottom - low[:, 1], 0.0)
        leave = high[:, 0] - self.slope[side] * np.maximum(high[:, 1] - top, 0.0)
        return np.minimum(enter, leave), np.maximum(enter, leave)


class _Free:
    """The area and what is taken of it, read only; `turned` where x and y are changed about."""

    def __init__(self, area: Any, taken: Floats, turned: bool) -> None:
        self.area = area
        self.turned = turned
        self.tree = shapely.STRtree(polygons(taken)) if len(taken) else None
        shapely.prepare(area)

    def holds(self, x: Floats, y: Floats) -> Bools:
        """Tell which points lie in the area and on nothing taken."""
        if self.turned:
            x, y = y, x
        held: Bools = shapely.contains_xy(self.area, x, y)
        if self.tree is not None and held.any():
            index = np.flatnonzero(held)
            dots = shapely.points(x[index], y[index])
            held[index[self.tree.query(dots, predicate="intersects")[0]]] = False
        return held


class _Steps(Struct, frozen=True, kw_only=True):
    """Where the low side may come to lie: the steps (k,) of one height that have room."""

    bottom: float
    height: float
    roomy: Bools

    def hold(self, lows: Floats) -> Bools:
        """Tell which low sides lie in a step that has room."""
        step = np.floor((lows - self.bottom) / self.height).astype(np.intp)
        held: Bools = self.roomy[np.clip(step, 0, len(self.roomy) - 1)]
        return held

    def edges(self) -> Floats:
        """Return the bottoms and tops of the steps that have room."""
        step = np.flatnonzero(self.roomy)
        ends_of_steps = np.concatenate((step, step + 1)).astype(np.float64)
        return self.bottom + self.height * ends_of_steps


class _Search(Struct, frozen=True, kw_only=True):
    """What a strip of one width is looked for among."""

    blocking: _Blocking
    free: _Free
    width: float
    lengths: Lengths


def _roomy_steps(bottom: float, top: float, search: _Search) -> _Steps:
    """Find the steps of half a width in which the part of a strip common to all fits."""
    width, least = search.width, search.lengths.least - 2.0 * SAME
    height = width / 2.0
    count = max(int(np.ceil((top - width - bottom) / height - SAME)), 1)
    step = bottom + height * np.arange(count).astype(np.float64)
    gaps = search.blocking.gaps(step + height + SAME, step + width - SAME, least)
    good = _good(gaps, step + 0.75 * width, search) > 0.0
    roomy = np.zeros(count, np.bool_)
    roomy[gaps.band[good]] = True
    return _Steps(bottom=bottom, height=height, roomy=roomy)


def _good(gaps: _Gaps, middle: Floats, search: _Search, above: float = 0.0) -> Floats:
    """Return the strip that fits each gap, 0 where it is not longer than `above` or not free."""
    fitting = search.lengths.fitting(gaps.right - gaps.left)
    longer = np.flatnonzero(fitting > above + SAME)
    good = np.zeros(len(fitting))
    if len(longer):
        x = (gaps.left[longer] + gaps.right[longer]) / 2.0
        held = longer[search.free.holds(x, middle[gaps.band[longer]])]
        good[held] = fitting[held]
    return good


def _best(best: _Found, lows: Floats, search: _Search) -> _Found:
    """Find the longest strip with its low side at one of `lows`, if it beats the best so far."""
    if not len(lows):
        return best
    least = max(best.length, search.lengths.least) - SAME
    gaps = search.blocking.gaps(lows + SAME, lows + search.width - SAME, least)
    good = _good(gaps, lows + search.width / 2.0, search, best.length)
    if not len(good) or good.max() <= 0.0:
        return best
    first = np.flatnonzero(good >= good.max() - SAME)[0]
    return _Found(
        low=float(lows[gaps.band[first]]), start=float(gaps.left[first]), length=float(good[first])
    )


def _between(best: _Found, levels: Floats, steps: _Steps, search: _Search) -> _Found:
    """Halve the spaces between levels, where slanted sides may let a longer strip in.

    What is common to all strips of a space bounds their length: a space that cannot beat the
    best is dropped.
    """
    blocking, width = search.blocking, search.width
    low, high = levels[:-1], levels[1:]
    inner = steps.hold((low + high) / 2.0) & (high - low > SAME)
    low, high = low[inner], high[inner]
    finer = SAME if search.lengths.cut_every is not None else _FINE
    while len(low):
        gaps = blocking.gaps(high - SAME / 10.0, low + width + SAME / 10.0, best.length)
        # Between two levels no side begins or ends: what it leaves open changes in a line.
        room = np.full(len(gaps.band), -np.inf)
        for level in (low[gaps.band], high[gaps.band]):
            _, left = blocking.span(gaps.after, level, level + width)
            right, _ = blocking.span(gaps.before, level, level + width)
            room = np.maximum(room, right - left)
        room = np.minimum(room, gaps.right - gaps.left)
        wide = replace(gaps, right=gaps.left + room)
        good = _good(wide, (high + low + width) / 2.0, search, best.length + finer)
        index = np.unique(gaps.band[good > 0.0])
        low, high = low[index], high[index]
        middle = (low + high) / 2.0
        best = _best(best, middle, search)
        low, high = np.stack((low, middle), 1).ravel(), np.stack((middle, high), 1).ravel()
        split = high - low > SAME
        low, high = low[split], high[split]
    return best


def _running_most(group: Ints, values: Floats) -> Ints:
    """Return the place of the greatest value so far within each group; groups come in order."""
    order = np.argsort(values, kind="stable")
    rank = np.empty(len(values), np.intp)
    rank[order] = np.arange(len(values))
    base = group * len(values)
    most: Ints = order[np.maximum.accumulate(base + rank) - base]
    return most


def _discs(area: Any, radius: float, turning: float) -> Geometries:
    """Draw polygons round the circles about corners that turn left (1) or right (-1) going
    anticlockwise: those that stand out of an area, or into it."""
    found: list[Any] = []
    for ring in shapely.get_rings(shapely.get_parts(area)):
        points = shapely.get_coordinates(ring)[:-1]
        outward = points - np.roll(points, 1, axis=0)
        onward = np.roll(points, -1, axis=0) - points
        turn = outward[:, 0] * onward[:, 1] - outward[:, 1] * onward[:, 0]
        turn *= turning if shapely.is_ccw(ring) else -turning
        found += list(points[turn > SAME])
    if not found or radius <= 0.0:
        return np.empty(0, dtype=object)
    angle = (np.arange(4 * _QUARTER) + 0.5) * (np.pi / 2.0 / _QUARTER)
    reach = radius / np.cos(np.pi / 4.0 / _QUARTER)
    circle = reach * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    discs: Geometries = shapely.polygons(np.array(found)[:, None] + circle)
    return discs
