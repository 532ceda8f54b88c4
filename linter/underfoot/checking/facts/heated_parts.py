"""The parts of a heated floor: which film lies under which covering, on how many boards."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from shapely import Polygon

from underfoot.checking.facts.once import hangs_on
from underfoot.checking.facts.room import RoomFacts
from underfoot.physics.rectangles import GRID
from underfoot.plan import Courses, CoveredArea, Film

# What is no wider than this is a joint between boards or coverings, not a part of the floor (mm).
_JOINT = 10.0


class HeatedPart(Struct, frozen=True, kw_only=True):
    """Strips of one film under one covering, on so many layers of board.

    `covering` is None where none is drawn; `boards` 0 where the strips lie on no board;
    `area_m2` is the strips' own area as far as they lie in the room.
    """

    film: Film
    covering: CoveredArea | None
    boards: int
    area_m2: float


@hangs_on("outline", "elements", "coverings", "insulation")
def find_heated_parts(room: RoomFacts) -> tuple[HeatedPart, ...]:
    """Find the parts, films in the order met, coverings as listed, most boards first.

    Where the `over` of two coverings lie on each other the first listed counts.
    """
    places: dict[str, list[int]] = {}
    for place, element in enumerate(room.elements):
        places.setdefault(element.film.id, []).append(place)
    coverings = room.drawn.coverings
    one_covering = not coverings or (len(coverings) == 1 and coverings[0].over is None)
    regions = list_board_regions(room)
    layers = sum(region is None for region in regions)
    partial = [region for region in regions if region is not None]
    inside = _inside(room)
    parts = []
    for members in places.values():
        film = room.elements[members[0]].film
        if one_covering and not partial:
            area = (
                float(shapely.area(inside[members]).sum())
                if inside is not room.strips
                else film.width * sum(room.elements[place].length for place in members)
            )
            parts.append(
                HeatedPart(
                    film=film,
                    covering=coverings[0] if coverings else None,
                    boards=layers,
                    area_m2=area / 1e6,
                )
            )
            continue
        strips = inside[members]
        for covering, covered in _share(strips, coverings):
            for boards, laid in _count_layers(covered, partial):
                area = float(shapely.area(laid).sum())
                parts.append(
                    HeatedPart(
                        film=film, covering=covering, boards=layers + boards, area_m2=area / 1e6
                    )
                )
    return tuple(part for part in parts if part.area_m2 > 0.0)


def _inside(room: RoomFacts) -> Any:
    """Return the strips as far as they lie in the room; the strips themselves where all do."""
    if not room.outside.any():
        return room.strips
    return shapely.intersection(room.strips, room.outline, grid_size=GRID)


def find_part_at(room: RoomFacts, at: tuple[float, float]) -> HeatedPart | None:
    """Find the part that a place lies in; None where no strip lies there. Its area is 0."""
    point = shapely.Point(at)
    over = np.flatnonzero(shapely.intersects(room.strips, point))
    if not len(over):
        return None
    film = room.elements[int(over[0])].film
    covering = next(
        (
            area
            for area in _overs_first(room.drawn.coverings)
            if area.over is None or shapely.intersects(Polygon(area.over), point)
        ),
        None,
    )
    boards = sum(
        region is None or bool(shapely.intersects(region, point))
        for region in list_board_regions(room)
    )
    return HeatedPart(film=film, covering=covering, boards=boards, area_m2=0.0)


def _overs_first(coverings: tuple[CoveredArea, ...]) -> tuple[CoveredArea, ...]:
    """Put what lies over the rest of the room last."""
    return tuple(sorted(coverings, key=lambda area: area.over is None))


def list_board_regions(room: RoomFacts) -> list[Any]:
    """Return where each layer of boards lies; None for the whole floor."""
    insulation = room.drawn.insulation
    if insulation is None:
        return []
    regions: list[Any] = []
    for number, layer in enumerate(insulation.layers):
        if not isinstance(layer, Courses):
            regions.append(room.boards[number].together)
        else:
            regions.append(None if layer.over is None else Polygon(layer.over))
    return regions


def _share(
    strips: Any, coverings: tuple[CoveredArea, ...]
) -> Iterator[tuple[CoveredArea | None, Any]]:
    """Share strips among the coverings; what none covers comes last."""
    left = strips
    for covering in _overs_first(coverings):
        if covering.over is None:
            inside, left = left, left[:0]
        else:
            inside, left = _divide(left, Polygon(covering.over))
        if len(inside):
            yield covering, inside
    if len(left):
        yield None, left


def _count_layers(strips: Any, regions: list[Any]) -> Iterator[tuple[int, Any]]:
    """Divide strips by the number of regions that they lie in, most first."""
    counted = {0: strips}
    for region in regions:
        later: dict[int, list[Any]] = {}
        for count, areas in counted.items():
            inside, outside = _divide(areas, region)
            later.setdefault(count + 1, []).append(inside)
            later.setdefault(count, []).append(outside)
        # So many lists at most as there are layers: each is divided but once.
        counted = {count: np.concatenate(areas) for count, areas in later.items()}
    for count in sorted(counted, reverse=True):
        if len(counted[count]):
            yield count, counted[count]


def _divide(areas: Any, region: Any) -> tuple[Any, Any]:
    """Divide areas into what lies in a region and what does not; mere joints are left out."""
    shapely.prepare(region)
    whole = shapely.covers(region, areas)
    apart = ~whole & ~shapely.intersects(region, areas)
    cut = areas[~whole & ~apart]
    if not len(cut):
        return areas[whole], areas[apart]
    within = _wide(shapely.intersection(cut, region, grid_size=GRID))
    without = _wide(shapely.difference(cut, region, grid_size=GRID))
    return np.concatenate((areas[whole], within)), np.concatenate((areas[apart], without))


def _wide(areas: Any) -> Any:
    parts = shapely.get_parts(areas)
    return parts[~shapely.is_empty(shapely.buffer(parts, -_JOINT / 2, join_style="mitre"))]
