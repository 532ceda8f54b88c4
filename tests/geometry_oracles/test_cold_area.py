"""The longest further strip: what is offered fits, and no longer one does.

Looked for in every band across the room that begins or ends at a corner of the free floor, and
every 25 mm besides. The free floor is pyclipper's, its round corners true to 0.02 mm; so what is
found there is tried exactly before it counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given

from tests.effort import examples
from tests.geometry_oracles.clipping import (
    Rings,
    area_of,
    grow,
    intersect,
    least_width,
    length_within,
    subtract,
    unite,
)
from tests.geometry_oracles.raster import cells_over, closed, distance_between, rectangle
from tests.geometry_oracles.rooms import WIDTH, Drawn, rooms
from tests.underfoot_rules.laying.rooms import offered
from tests.underfoot_rules.plans import check, of_rule

pytestmark = pytest.mark.oracle

# Planned distance to walls and least distance to fixtures: the rules' defaults.
WALL, FIXTURE = 58.0, 50.0
# The base plan's film is cut every 250 mm, up to 9 m; the rule's least length is 1 m.
CUT, LONGEST, LEAST = 250.0, 9000.0, 1000.0
ROUNDING = 0.1
STEP = 25.0
# What lies within this of an edge lies on it.
EDGE = 0.001


@dataclass(frozen=True, slots=True)
class Floor:
    """What a further strip must keep clear of."""

    outline: np.ndarray
    fixtures: list[np.ndarray]
    taken: list[np.ndarray]
    lines: list[np.ndarray]

    def takes(self, strip: np.ndarray) -> bool:
        """Tell whether a strip keeps every distance, to 2e-6 mm, and lies on nothing."""
        ring = closed(strip)
        if area_of(subtract(unite([strip]), [self.outline])) > 1e-2:
            return False
        if distance_between(ring, closed(self.outline)) < WALL - 2e-6:
            return False
        for fixture in self.fixtures:
            if area_of(intersect(unite([strip]), [fixture])) > 1e-2:
                return False
            if distance_between(ring, closed(fixture)) < FIXTURE - 2e-6:
                return False
        if any(least_width(intersect(unite([strip]), [other])) > EDGE for other in self.taken):
            return False
        inner = grow(unite([strip]), -EDGE, square=True)
        return all(length_within(line, inner) <= EDGE for line in self.lines)

    @property
    def free(self) -> Rings:
        """The floor where a strip may lie, lines aside."""
        left = grow(unite([self.outline]), -WALL)
        for fixture in self.fixtures:
            left = subtract(left, grow(unite([fixture]), FIXTURE))
        return subtract(left, unite(self.taken))

    def turned(self) -> Floor:
        """The same floor with x and y changed over."""
        return Floor(
            self.outline[::-1, ::-1],
            [each[::-1, ::-1] for each in self.fixtures],
            [each[::-1, ::-1] for each in self.taken],
            [each[:, ::-1] for each in self.lines],
        )


def _floor(room: Drawn) -> Floor:
    return Floor(
        room.outline,
        list(room.standing.values()),
        [*room.strips.values(), *room.low.values()],
        [*room.joints.values(), *room.leads.values()],
    )


def _longest_in_band(floor: Floor, free: Rings, low: float) -> tuple[float, float]:
    """Return the longest stretch of a band across the floor that is free all through: x, length."""
    (left, _), (right, _) = floor.outline.min(axis=0), floor.outline.max(axis=0)
    band = np.array([(left, low), (right, low), (right, low + WIDTH), (left, low + WIDTH)])
    blocked = [
        (float(ring[:, 0].min()), float(ring[:, 0].max()))
        for ring in subtract(unite([band]), free)
        if len(ring) and least_width([ring]) > EDGE
    ]
    blocked += [reach for line in floor.lines for reach in _reaches(line, low)]
    best, start = (left, 0.0), left
    for a, b in [*sorted(blocked), (right, right)]:
        if a - start > best[1]:
            best = (start, a - start)
        start = max(start, b)
    return best


def _reaches(line: np.ndarray, low: float) -> list[tuple[float, float]]:
    """Return from where to where a line crosses the inside of a band, part by part."""
    found = []
    bottom, top = low + EDGE, low + WIDTH - EDGE
    for (x0, y0), (x1, y1) in pairwise(line):
        if min(y0, y1) >= top or max(y0, y1) <= bottom:
            continue
        shares = [0.0, 1.0]
        if y0 != y1:
            shares = sorted(float(np.clip((y - y0) / (y1 - y0), 0, 1)) for y in (bottom, top))
        xs = [x0 + share * (x1 - x0) for share in shares]
        found.append((float(min(xs)), float(max(xs))))
    return found


def _longer(floor: Floor, than: float) -> tuple[float, float, float] | None:
    """Find a strip along x that is longer by a cut, and fits: x, y, length."""
    free = floor.free
    if not free:
        return None
    corners = np.concatenate([*free, *floor.lines])[:, 1]
    bottom, top = floor.outline[:, 1].min(), floor.outline[:, 1].max()
    lows = np.concatenate((corners, corners - WIDTH, np.arange(bottom, top, STEP)))
    for low in np.unique(np.round(lows[(lows > bottom) & (lows < top - WIDTH)], 1)):
        x, length = _longest_in_band(floor, free, float(low))
        length = min(np.floor((length - 2 * ROUNDING) / CUT) * CUT, LONGEST)
        if length > max(than, LEAST - CUT) + 1:
            strip = rectangle((x + ROUNDING, low), "x", length, WIDTH)
            if floor.takes(strip):
                return float(x + ROUNDING), float(low), float(length)
    return None


def _longest_on_raster(floor: Floor, size: float) -> tuple[float, float, float] | None:
    """Find the longest strip along x made up of cells that are free all over: x, y, length."""
    cells = cells_over(floor.outline, size)
    free = cells.within(floor.outline) & (
        cells.distances(closed(floor.outline)) >= WALL + size * 0.71
    )
    for fixture in floor.fixtures:
        away = cells.distances(closed(fixture)) >= FIXTURE + size * 0.71
        free &= ~cells.within(fixture) & away
    for other in floor.taken:
        free &= ~cells.within(other) & (cells.distances(closed(other)) >= size * 0.71)
    for line in floor.lines:
        free &= cells.distances(line) >= size * 0.71
    rows = int(WIDTH / size)
    best: tuple[float, float, float] | None = None
    for row in range(free.shape[0] - rows + 1):
        run = 0
        for column, is_free in enumerate(free[row : row + rows].all(axis=0)):
            run = run + 1 if is_free else 0
            if best is None or run * size > best[2]:
                x = float(cells.x[0, column] + size / 2 - run * size)
                best = (x, float(cells.y[row, 0] - size / 2), run * size)
    return best


@examples(14, everyday=3)
@given(rooms())
def test_the_offer_fits_and_no_longer_strip_does(room: Drawn) -> None:
    change = {"rooms": {"room": room.data}}
    report = check(change)
    assert not report.faults, report.faults
    offers = {"x": 0.0, "y": 0.0}
    floor = _floor(room)
    for finding in of_rule(report, "cold-area"):
        found = offered(change)
        assert found
        for each in found:
            (x, y), along, length = each["at"], each["along"], each["length"]
            offers[along] = length
            strip = rectangle((x, y), along, length, WIDTH)
            assert floor.takes(strip), finding.remedy
            assert length % CUT == 0
            assert LEAST <= length <= LONGEST
        assert finding.measured is not None
        assert finding.measured.value == max(offers.values()) * WIDTH / 1e6
    for along, seen in (("x", floor), ("y", floor.turned())):
        assert _longer(seen, offers[along]) is None
        on_raster = _longest_on_raster(seen, STEP)
        if on_raster is not None:
            length = min(np.floor(on_raster[2] / CUT) * CUT, LONGEST)
            assert length < LEAST or length <= offers[along], on_raster
