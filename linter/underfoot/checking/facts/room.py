"""The facts of a room: its shapes, and where its strips, leads and sensor lie in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from shapely import LineString, MultiLineString, Polygon

from underfoot.checking.facts.floor import LaidBoards, LaidSheets, lay_boards, lay_sheets
from underfoot.checking.facts.once import Once, parts_of
from underfoot.physics import depth, heated, laps, neighbours, rectangles, shapes
from underfoot.physics.rectangles import GRID
from underfoot.plan import Element, Fixture, Lead, Room, Stop, Supply

Place = tuple[float, float]

# What is worked out of the drawing, and of which of its parts alone.
_HANGS_ON = {
    "outline": ("outline",),
    "walls": ("outline",),
    "fixtures": ("fixtures",),
    "standing": ("fixtures",),
    "floor": ("outline", "fixtures"),
    "joints": ("joints",),
    "boards": ("outline", "insulation"),
    "sheets": ("outline", "membrane"),
    "place_of": ("elements",),
    "corners": ("elements",),
    "strip_boxes": ("elements",),
    "strips": ("elements",),
    "tree": ("elements",),
    "outside": ("outline", "elements"),
    "heated": ("elements",),
    "connections": ("elements",),
    "_connections": ("elements",),
    "is_upright": ("elements",),
    "overlapping": ("elements",),
    "overlaps": ("elements",),
    "leads": ("leads", "elements", "junction_box"),
    "sensor_way": ("sensor", "elements", "junction_box"),
}


class LaidLead(Struct, frozen=True, kw_only=True):
    """A lead with its way over the floor.

    `line` is None where it has fewer than two places, and in parts where strips carry it on.
    """

    lead: Lead
    places: tuple[Place, ...]
    line: LineString | MultiLineString | None


class RoomFacts(Once):
    """One room and what follows from its drawing. Lengths and coordinates in mm.

    The arrays run over `elements` in the plan's order.
    """

    def __init__(self, room: Room, supply: Supply) -> None:
        self.drawn = room
        self.supply = supply
        self.id = room.id
        self.path = room.path
        self.elements: tuple[Element, ...] = room.elements
        self._kept = {}
        self.seal()

    def redrawn(self, drawn: Room) -> RoomFacts:
        """Return the facts of the same room drawn otherwise; itself where nothing is.

        What hangs on parts of the drawing alone that are still the same is taken over.
        """
        if drawn is self.drawn:
            return self
        other = RoomFacts(drawn, self.supply)

        def is_same(parts: Iterable[str]) -> bool:
            return all(getattr(drawn, part) is getattr(self.drawn, part) for part in parts)

        for key, hanging in _HANGS_ON.items():
            if key in self.__dict__ and is_same(hanging):
                other.__dict__[key] = self.__dict__[key]
        for asked, found in self._kept.items():
            if (parts := parts_of(asked[0])) and is_same(parts):
                other._kept[asked] = found
        return other

    @cached_property
    def place_of(self) -> dict[str, int]:
        """An element's place in the arrays."""
        return {element.id: place for place, element in enumerate(self.elements)}

    @cached_property
    def outline(self) -> Polygon:
        """The room's floor."""
        outline = Polygon(self.drawn.outline)
        shapely.prepare(outline)
        return outline

    @cached_property
    def walls(self) -> Any:
        """The outline as a line."""
        walls = self.outline.exterior
        shapely.prepare(walls)
        return walls

    @cached_property
    def corners(self) -> np.ndarray:
        """Corners of the elements, (n, 4, 2)."""
        elements = self.elements
        laid = np.array(
            [
                (*each.at, each.length, each.film.width, each.angle_deg, each.along == "y")
                for each in elements
            ],
            dtype=float,
        ).reshape(-1, 6)
        length, width, angle_deg, along_y = laid[:, 2:].T
        return rectangles.corners(laid[:, :2], length, width, angle_deg, along_y)

    @cached_property
    def strip_boxes(self) -> list[list[float]]:
        """Least x, least y, greatest x, greatest y of each element."""
        listed: list[list[float]] = rectangles.bounds(self.corners).tolist()
        return listed

    @cached_property
    def strips(self) -> np.ndarray:
        """The elements as polygons, (n,)."""
        strips = rectangles.polygons(self.corners)
        shapely.prepare(strips)
        return strips

    @cached_property
    def tree(self) -> shapely.STRtree:
        """An index over the strips."""
        return shapely.STRtree(self.strips)

    @cached_property
    def outside(self) -> np.ndarray:
        """How far each strip's farthest outside point lies from the outline, (n,); 0 inside."""
        return depth.distances_outside(self.strips, self.outline)

    @cached_property
    def overlapping(self) -> neighbours.Overlaps:
        """Pairs of strips that share area, and whether the search for them came to its end."""
        return neighbours.overlaps(self.corners)

    @cached_property
    def overlaps(self) -> tuple[tuple[int, int, float], ...]:
        """Pairs of strips (lower place first) that share area, with its least width."""
        found = self.overlapping
        return tuple(
            (int(i), int(j), float(width))
            for (i, j), width in zip(found.pairs, found.width, strict=True)
        )

    @cached_property
    def heated(self) -> Any:
        """The heated floor: the strips with gaps of up to 10 mm closed."""
        return heated.heated_floor(self.corners)

    @cached_property
    def is_upright(self) -> bool:
        """Whether all strips run along x or y."""
        return all(element.angle_deg % 90.0 == 0.0 for element in self.elements)

    def floor_left_bare(self, cover: Any) -> tuple[float, Any]:
        """Return the share of the floor, in percent, that a cover leaves bare, and where."""
        share, bare = shapes.uncovered(self.floor, cover)
        return 100 * share, bare

    def sheet_laps(self, minimum: float) -> tuple[laps.Lap, ...]:
        """Return how neighbouring sheets of the membrane lap; see `find_laps`."""
        return laps.find_laps(self.sheets.corners, self.outline, minimum)

    @cached_property
    def fixtures(self) -> tuple[tuple[Fixture, Polygon], ...]:
        """The fixtures with their outlines."""
        return tuple(
            (fixture, Polygon(fixture.outline)) for fixture in self.drawn.fixtures.values()
        )

    @cached_property
    def standing(self) -> tuple[tuple[Fixture, Polygon], ...]:
        """The fixtures that are not on legs."""
        return tuple(pair for pair in self.fixtures if pair[0].is_standing)

    @cached_property
    def floor(self) -> Any:
        """The floor that insulation and membrane must cover: less what stops the floor."""
        return cut_out(
            self.outline, (polygon for fixture, polygon in self.fixtures if fixture.stops_floor)
        )

    @cached_property
    def joints(self) -> tuple[tuple[str, LineString], ...]:
        """The movement joints."""
        return tuple((joint.id, LineString(joint.line)) for joint in self.drawn.joints.values())

    @cached_property
    def box(self) -> Place | None:
        """Where the junction box is."""
        return self.drawn.junction_box.at if self.drawn.junction_box else None

    @cached_property
    def connections(self) -> np.ndarray:
        """Middles of the strips' ends, (n, 2, 2): start, end."""
        starts, ends = rectangles.ends(self.corners)
        return np.stack((starts, ends), axis=1)

    @cached_property
    def _connections(self) -> tuple[list[list[float]], list[list[float]]]:
        starts, ends = rectangles.ends(self.corners)
        return starts.tolist(), ends.tolist()

    def place_of_stop(self, stop: Stop) -> Place | None:
        """Where a stop of a route is; None for a junction box that is not drawn."""
        if stop.kind == "box":
            return self.box
        if stop.kind == "bend":
            return stop.at
        place = self.place_of.get(stop.element or "")
        if place is None:
            return None
        x, y = self._connections[1 if stop.end == "end" else 0][place]
        return (x, y)

    @cached_property
    def leads(self) -> tuple[LaidLead, ...]:
        """The leads with their ways."""
        laid = []
        for lead in self.drawn.leads:
            stops = [(stop, self.place_of_stop(stop)) for stop in lead.route]
            places = tuple(place for _, place in stops if place is not None)
            laid.append(LaidLead(lead=lead, places=places, line=_draw(_pieces(stops))))
        return tuple(laid)

    def places_of(self, route: Iterable[Stop]) -> tuple[Place, ...]:
        """The places of a route's stops, in order, those not drawn left out."""
        return tuple(place for stop in route if (place := self.place_of_stop(stop)) is not None)

    @cached_property
    def sensor_way(self) -> tuple[Place, ...]:
        """The sensor's route, ending at the sensor; empty without one."""
        sensor = self.drawn.sensor
        return () if sensor is None else (*self.places_of(sensor.route), sensor.at)

    @cached_property
    def boards(self) -> tuple[LaidBoards, ...]:
        """The insulation's layers from the subfloor up, courses laid out."""
        return lay_boards(self.drawn, self.outline)

    @cached_property
    def sheets(self) -> LaidSheets:
        """The vapour barrier's sheets, runs laid out."""
        return lay_sheets(self.drawn, self.outline)

    @property
    def ids(self) -> Iterable[str]:
        """The ids of all things in the room."""
        room = self.drawn
        things: tuple[Mapping[str, object], ...] = (room.fixtures, room.joints, room.openings)
        for thing in things:
            yield from thing
        yield from (row.id for row in room.rows)
        yield from (element.id for element in room.elements)
        yield from (lead.id for lead in room.leads)
        if room.insulation is not None:
            yield from (name for layer in self.boards for name in layer.names)
        if room.membrane is not None:
            yield from self.sheets.names
        if room.junction_box is not None:
            yield "junction-box"
        if room.thermostat is not None:
            yield "thermostat"
        if room.sensor is not None:
            yield "sensor"


def cut_out(outline: Polygon, holes: Iterable[Polygon]) -> Any:
    """Cut holes out of an outline."""
    cut = list(holes)
    return shapely.difference(outline, shapely.union_all(cut), grid_size=GRID) if cut else outline


def _pieces(stops: Iterable[tuple[Stop, Place | None]]) -> list[list[Place]]:
    """Cut a lead where its current goes on in a strip: between the two ends of that strip."""
    pieces: list[list[Place]] = [[]]
    last: Stop | None = None
    for stop, place in stops:
        if last is not None and stop.element is not None and stop.element == last.element:
            pieces.append([])
        if place is not None:
            pieces[-1].append(place)
        last = stop
    return [piece for piece in pieces if len(piece) > 1]


def _draw(pieces: list[list[Place]]) -> LineString | MultiLineString | None:
    """Draw a lead in its pieces; None where it has none."""
    if len(pieces) > 1:
        return MultiLineString(pieces)
    return LineString(pieces[0]) if pieces else None
