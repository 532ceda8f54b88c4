"""How much of a floor is heated, and whether one more strip would fit on the rest."""

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from tests.second_opinion.comparing import UnclearError, falls_short
from tests.second_opinion.saying import expect, warning
from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.drawn import Drawn, share_heated
from underfoot_rules.mutations.expand_rows import mm


def floor_faults(plan: Data, room: Drawn) -> Iterator[Expected]:
    """Judge the floor of one room; UnclearError where that is too close to tell."""
    if not room.strips:
        return
    if falls_short(share_heated(room), 80, 0.5):
        yield warning("floor-coverage", room.id)
    if _has_cold_area(plan, room):
        yield expect("cold-area", room.id, severity="note")


def _has_cold_area(plan: Data, room: Drawn) -> bool:
    areas: dict[str, float] = {}
    for strip in room.strips.values():
        areas[strip.film] = areas.get(strip.film, 0.0) + strip.length * strip.width
    film_id = max(areas, key=lambda film: areas[film])
    if sum(area > areas[film_id] * 0.999 for area in areas.values()) > 1:
        raise UnclearError
    film = plan["materials"]["films"][film_id]
    width, cut = mm(film["width"]), mm(film.get("cut_every", 1))
    length = math.ceil(1000 / cut - 1e-9) * cut
    if "longest_strip" in film and length > mm(film["longest_strip"]):
        return False
    free = free_floor(room)
    if free.buffer(-(width / 2 - 1)).is_empty:
        return False
    low = [fixture.shape for fixture in room.fixtures.values() if fixture.is_low]
    lesser = free.difference(shapely.union_all(low)) if low else free
    if not (fits(free, width - 1, length - 1) or fits(free, length - 1, width - 1)):
        return False
    if fits(lesser, width + 1, length + 1) or fits(lesser, length + 1, width + 1):
        return True
    raise UnclearError


def free_floor(room: Drawn) -> Any:
    """Return the floor on which one more strip could lie."""
    taken = [strip.shape for strip in room.strips.values()]
    taken += [
        f.shape.buffer(f.kept_free, quad_segs=32) for f in room.fixtures.values() if f.kept_free
    ]
    taken += [line.buffer(0.01) for line in room.joints.values()]
    taken += [lead.line.buffer(0.01) for lead in room.leads.values()]
    return room.outline.buffer(-58, quad_segs=32).difference(shapely.union_all(taken))


def fits(free: Any, width: float, height: float) -> bool:
    """Tell whether a rectangle so wide in x and so high in y fits somewhere in a shape.

    Its low left corner may be wherever no edge of the shape passes through it: each edge bars the
    hull of itself and of itself moved by the rectangle's sides.
    """
    if free.is_empty:
        return False
    edges = np.concatenate(
        [
            np.stack((ring[:-1], ring[1:]), axis=1)
            for ring in map(shapely.get_coordinates, shapely.get_parts(free.boundary))
            for ring in _rings(ring)
        ]
    )
    moves = np.array(((0, 0), (-width, 0), (0, -height), (-width, -height)))
    clouds = (edges[:, :, None, :] + moves[None, None]).reshape(len(edges), 8, 2)
    barred = shapely.union_all(shapely.convex_hull(shapely.multipoints(clouds)))
    return bool(free.difference(barred).area > 1e-3)


def _rings(ring: Any) -> Iterator[Any]:
    if len(ring) > 1:
        yield ring
