"""Floor that stays cold: the longest further strip that would still fit."""

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely
from msgspec import Struct

from underfoot.api.facts import RoomFacts, keep_off, low_fixtures, make_lead_bodies, open_floor
from underfoot.api.physics import fitting, heated, lines, neighbours, rectangles, shapes
from underfoot.api.plan import Film
from underfoot_rules.laying.may_lie import may_lie

# A gap to a strip alongside that another rule would find: the offer is moved up to it.
_BUTTED_FROM = 250.0
# Middles of discs with more corners than this are drawn more simply, by so much of a radius, before
# the floor round them is: a hundred fixtures cost half a minute else.
_MANY_CORNERS, _ROUGHLY = 500, 0.1


class Clearances(Struct, frozen=True, kw_only=True):
    """What a strip keeps clear of: walls, standing fixtures, and fixtures on legs too low."""

    wall: float
    fixture: float
    legs: float


class Offer(Struct, frozen=True, kw_only=True):
    """A further strip as a plan writes it: `at`, `along` and `length`; `shape` where it lies."""

    at: tuple[float, float]
    along: str
    length: float
    shape: Any


def main_film(room: RoomFacts) -> Film:
    """Return the film with the most area in a room; of equal ones the widest, and so on."""
    films = {element.film.id: element.film for element in room.elements}
    if len(films) == 1:
        return room.elements[0].film
    area: dict[str, float] = {}
    for element in room.elements:
        area[element.film.id] = area.get(element.film.id, 0.0) + element.length * element.film.width

    def rank(film: Film) -> tuple[float, ...]:
        longest = film.longest_strip or math.inf
        return (round(area[film.id], 6), film.width, longest, film.cut_every or 0.0)

    return max(sorted(films.values(), key=lambda film: film.id), key=rank)


def is_filled(
    room: RoomFacts,
    width: float,
    least: float,
    from_wall: float,
    from_fixture: float,
    legs: float,
) -> bool:
    """Tell whether no strip, `width` by `least`, fits on the floor that stays cold.

    Then none need be looked for. The distances are those that floor-coverage measures with, so that
    the floor is cut only once; they are no greater than what a further strip keeps. Of gaps between
    turned strips, which count as heated, a strip might cover some.
    """
    if not room.is_upright:
        return False
    floor = open_floor(room, from_wall, from_fixture, legs)
    if floor.cold_area < width * least - rectangles.EDGE:
        return True
    return bool(_middles(floor.cold, min(width, least) / 2.0).is_empty)


def find_offers(room: RoomFacts, film: Film, least: float, clear: Clearances) -> tuple[Offer, ...]:
    """Find the longest further strip of a film that fits along x, and along y; the larger first.

    It keeps all clearances, lies on no other strip and off joints and leads. Where the film gives
    no cut lines or no longest strip, any length from `least` is taken.
    """
    kept_off = [polygon for _, polygon in low_fixtures(room, clear.legs)]
    area = _open_floor(room, film, least, clear, kept_off)
    if area is None:
        return ()
    leads = make_lead_bodies(room).bodies.polygons()
    leads = leads[shapely.intersects(area, leads)]
    if len(leads):
        kept_off += leads.tolist()
        parts = shapely.get_parts(
            shapely.difference(area, shapely.union_all(leads), grid_size=rectangles.GRID)
        )
        area = shapely.multipolygons(parts[shapely.get_type_id(parts) == 3])
    barred = np.array([line for _, line in room.joints], dtype=object)
    pieces = shapely.linestrings(lines.segments(barred)[0])
    met = shapely.STRtree(shapely.get_parts(area)).query(pieces, predicate="intersects")[0]
    within = pieces[np.unique(met)]
    lengths = fitting.Lengths(least=least, longest=film.longest_strip, cut_every=film.cut_every)
    nothing = np.empty((0, 4, 2))
    offers = []
    for along in ("x", "y"):
        fit = fitting.longest_strip(area, nothing, within, film.width, along, lengths)
        if fit is not None:
            offers.append(_offered(room, film, fit, clear, kept_off, barred))
    return tuple(sorted(offers, key=lambda offer: -offer.length))


def _open_floor(
    room: RoomFacts, film: Film, least: float, clear: Clearances, kept_off: list[Any]
) -> Any:
    """Return the open floor that is wide enough for a strip, None where there is none."""
    standing = keep_off(room, clear.fixture)
    # Whatever lies in a closed gap between upright strips cannot be wide enough for a strip.
    taken = room.heated if room.is_upright else heated.joined(room.corners)
    if kept_off:
        taken = shapely.union_all([taken, *kept_off], grid_size=rectangles.GRID)
    # A strip holds a row of discs as wide as itself, and its corners lie sqrt 2 radii from the
    # middles of the first and last. All that is drawn here errs to the side of too much floor.
    radius = min(film.width, least) / 2.0
    rough = shapes.set_back(room.outline, clear.wall, standing, clear.fixture)
    middles = _middles(shapely.difference(rough, taken, grid_size=rectangles.GRID), radius)
    if middles.is_empty:
        return None
    area = fitting.clear_area(room.outline, clear.wall, standing, clear.fixture)
    if shapely.get_num_coordinates(middles) > _MANY_CORNERS:
        middles = shapely.simplify(middles, _ROUGHLY * radius)
    near = shapely.buffer(middles, 1.7 * radius, quad_segs=2)
    parts = shapely.get_parts(
        shapely.intersection(shapely.difference(area, taken, grid_size=rectangles.GRID), near)
    )
    return shapely.multipolygons(parts[shapely.get_type_id(parts) == 3])


def _middles(floor: Any, radius: float) -> Any:
    """Return where the middles of discs of a radius may lie; errs to the side of too much."""
    return shapely.buffer(floor, -0.97 * radius, quad_segs=2)


def _offered(
    room: RoomFacts,
    film: Film,
    fit: fitting.Fit,
    clear: Clearances,
    kept_off: list[Any],
    barred: np.ndarray,
) -> Offer:
    """Return a place that can be pasted: in whole millimetres, butted to its neighbour, if it may.

    Else to a tenth, a hundredth, a thousandth of one.
    """
    places = np.array([*dict.fromkeys(_places(room, film, fit)), fit.at])
    tries = _laid(places, fit.along, fit.length, film.width)
    good = may_lie(room, tries, clear.wall, clear.fixture)
    if kept_off:
        pairs, _ = shapes.lying_on(rectangles.polygons(tries), np.array(kept_off, dtype=object))
        good[pairs[:, 0]] = False
    if len(barred):
        pairs, under = lines.lengths_under(barred, tries)
        good[pairs[under > rectangles.EDGE, 1]] = False
    which = int(np.argmax(good)) if good.any() else len(places) - 1
    x, y = places[which].tolist()
    return Offer(
        at=(x, y),
        along=fit.along,
        length=fit.length,
        shape=rectangles.polygons(tries[which : which + 1])[0],
    )


def _places(room: RoomFacts, film: Film, fit: fitting.Fit) -> Iterator[tuple[float, float]]:
    """Yield the places to try, the best to paste first."""
    for at in (*_butted(room, film, fit), fit.at):
        for step in (1.0, 0.1, 0.01, 0.001):
            for x in _rounded(at[0], step):
                for y in _rounded(at[1], step):
                    yield x, y


def _rounded(value: float, step: float) -> tuple[float, ...]:
    units = value / step
    up, down = math.ceil(units), math.floor(units)
    return tuple(
        round(whole * step, 3)
        for whole in dict.fromkeys((round(units), up, down, up + 1, down - 1))
    )


def _butted(room: RoomFacts, film: Film, fit: fitting.Fit) -> Iterator[tuple[float, float]]:
    """Yield the places across, nearest first, that close a narrow gap to a strip alongside."""
    laid = _laid(np.array([fit.at]), fit.along, fit.length, film.width)
    reach = shapely.box(*rectangles.bounds(rectangles.grown(laid, _BUTTED_FROM))[0])
    near = room.corners[np.sort(room.tree.query(reach))]
    found = neighbours.gaps_between(np.concatenate((laid, near)), _BUTTED_FROM, rectangles.EDGE)
    axis = 1 if fit.along == "x" else 0
    own = found.pairs[:, 0] == 0
    for gap, corners in sorted(
        zip(found.gap[own].tolist(), found.corners[own].tolist(), strict=True)
    ):
        at = list(fit.at)
        side = np.mean(corners, axis=0)[axis] - at[axis]
        at[axis] += gap if side > 0 else -gap
        yield at[0], at[1]


def _laid(places: np.ndarray, along: str, length: float, width: float) -> np.ndarray:
    return rectangles.corners(places, length, width, 0.0, along == "y")
