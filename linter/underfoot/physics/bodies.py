"""Lines that have a width: how far their bodies lie under, within, outside or on something.

A body is a straight piece of a line with half of its width on either side and flat ends. What
counts is the length of line of which some of the width lies there; what lies within 0.001 mm of an
edge lies on it and does not.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.physics.lines import clip, close_pairs, lay_in_frames, spans_within, sum_pairs
from underfoot.physics.rectangles import EDGE, GRID, Bools, Floats, Geometries, Ints, bounds


class Bodies(Struct, frozen=True, kw_only=True):
    """Straight pieces (s, 2, 2) with whose each is and half of its width, each (s,)."""

    pieces: Floats
    owner: Ints
    half: Floats

    def only(self, which: Any) -> Bodies:
        """Return some of them."""
        return Bodies(pieces=self.pieces[which], owner=self.owner[which], half=self.half[which])

    def polygons(self) -> Geometries:
        """Draw them, an edge's 0.001 mm narrower on either side."""
        run = self.pieces[:, 1] - self.pieces[:, 0]
        size = np.hypot(run[:, 0], run[:, 1])
        across = np.stack((-run[:, 1], run[:, 0]), axis=1) / size[:, None]
        aside = across * (self.half - EDGE)[:, None]
        start, end = self.pieces[:, 0], self.pieces[:, 1]
        drawn: Geometries = shapely.polygons(
            np.stack((start - aside, end - aside, end + aside, start + aside), axis=1)
        )
        return drawn

    def lines(self) -> Geometries:
        """Draw the lines in their middles."""
        drawn: Geometries = shapely.linestrings(self.pieces)
        return drawn


def cut_bodies(pieces: Floats, owner: Ints, half: Floats) -> Bodies:
    """Make bodies of pieces, those without length left out."""
    run = pieces[:, 1] - pieces[:, 0]
    long = np.hypot(run[:, 0], run[:, 1]) > EDGE
    return Bodies(pieces=pieces[long], owner=owner[long], half=half[long])


def lengths_under(
    bodies: Bodies, rectangles: Floats, rests_on_end: Callable[[Ints, Ints], Bools] | None = None
) -> tuple[Ints, Floats]:
    """Measure how far bodies lie under rectangles (n, 4, 2).

    `rests_on_end` tells of pieces and rectangles, each (k,), where only the middle counts at the
    rectangle's ends, and the width at its long sides alone. Returns the pairs (m, 2) of owner and
    rectangle, sorted, and the lengths (m,).
    """
    nothing = np.empty((0, 2), np.intp), np.empty(0)
    if not len(bodies.pieces) or not len(rectangles):
        return nothing
    reach = float(bodies.half.max())
    first, second = close_pairs(bounds(bodies.pieces), bounds(rectangles), reach)
    if not len(first):
        return nothing
    start, run, size = lay_in_frames(bodies.pieces[first], rectangles[second])
    side = bodies.half[first]
    end = side if rests_on_end is None else np.where(rests_on_end(first, second), 0.0, side)
    grown = np.stack((end, side), axis=1)
    enter, leave = clip(start, run, EDGE - grown, size + grown - EDGE)
    near = np.flatnonzero(leave > enter)
    if not len(near):
        return nothing
    some = bodies.only(first[near])
    shared = shapely.intersection(
        some.polygons(), shapely.polygons(rectangles[second[near]]), grid_size=GRID
    )
    # Where only the middle counts, the width adds nothing beyond an end.
    enter, leave = clip(start[near], run[near], -grown[near], size[near] + grown[near])
    long = np.hypot(run[near, 0], run[near, 1])
    lengths = np.array(
        [
            length_beside(*each)
            for each in zip(some.pieces, shared, enter * long, leave * long, strict=True)
        ]
    )
    return sum_pairs(some.owner, second[near], lengths, len(rectangles))


def lengths_within(bodies: Bodies, areas: Geometries) -> tuple[Ints, Floats]:
    """Measure how far bodies lie within areas of any outline.

    Returns the pairs (m, 2) of owner and area, sorted, and the lengths (m,).
    """
    if not len(bodies.pieces) or not len(areas):
        return np.empty((0, 2), np.intp), np.empty(0)
    drawn = bodies.polygons()
    first, second = shapely.STRtree(areas).query(drawn, predicate="intersects")
    shared = shapely.intersection(drawn[first], areas[second], grid_size=GRID)
    lengths = np.array(
        [
            length_beside(bodies.pieces[piece], area)
            for piece, area in zip(first, shared, strict=True)
        ]
    )
    return sum_pairs(bodies.owner[first], second, lengths, len(areas))


def lengths_outside(bodies: Bodies, outline: Any, count: int) -> Floats:
    """Measure how far the bodies of each of `count` owners lie outside an outline, (count,)."""
    lengths = np.zeros(count)
    if len(bodies.pieces):
        drawn = bodies.polygons()
        shapely.prepare(outline)
        for place in np.flatnonzero(~shapely.covers(outline, drawn)):
            beyond = shapely.difference(drawn[place], outline, grid_size=GRID)
            lengths[bodies.owner[place]] += length_beside(bodies.pieces[place], beyond)
    return lengths


def away_from(bodies: Bodies, places: Floats, distance: float) -> Bodies:
    """Return what of bodies lies farther than a distance from each of some places (n, 2)."""
    for place in places:
        if not len(bodies.pieces):
            break
        pieces, owner, half = bodies.pieces, bodies.owner, bodies.half
        start, run = pieces[:, 0], pieces[:, 1] - pieces[:, 0]
        spot = np.broadcast_to(place, (len(pieces), 2, 2))
        enter, leave = spans_within(start, run, spot, distance)
        clear = enter > leave
        before = np.where(clear, 1.0, np.clip(enter, 0.0, 1.0))
        later = np.where(clear, 1.0, np.clip(leave, 0.0, 1.0))
        heads = np.stack((start, start + before[:, None] * run), axis=1)
        tails = np.stack((start + later[:, None] * run, pieces[:, 1]), axis=1)
        bodies = cut_bodies(
            np.concatenate((heads, tails)),
            np.concatenate((owner, owner)),
            np.concatenate((half, half)),
        )
    return bodies


def length_beside(piece: Floats, area: Any, least: float = -np.inf, most: float = np.inf) -> float:
    """Measure how much of a piece, from `least` to `most` along it, an area lies beside."""
    run = piece[1] - piece[0]
    unit = run / np.hypot(*run)
    spans = []
    for part in shapely.get_parts(area):
        if part.area > 0.0:
            along = (shapely.get_coordinates(part) - piece[0]) @ unit
            spans.append((float(along.min()), float(along.max())))
    reached, length = least, 0.0
    for low, high in sorted(spans):
        start, end = max(low, reached), min(high, most)
        if end > start:
            length += end - start
            reached = end
    return length
