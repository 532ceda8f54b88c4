"""The membrane drawn to be cut and laid: where each sheet begins, and how far it laps the last."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from underfoot.checking.facts import RoomFacts
from underfoot.checking.facts.lining import CutPiece
from underfoot.drawing import pens
from underfoot.drawing.chains import MOST_STOPS, apart, is_turned
from underfoot.drawing.floor_layers import SHEET_INK
from underfoot.drawing.lining.first_edge import set_out_first_edge
from underfoot.drawing.lining.parts import Lining, Row, edges_of, label_piece
from underfoot.drawing.outline import rings_of
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Look, area, group, line
from underfoot.drawing.tape import Measure, Wanted
from underfoot.physics.laps import Lap

# The laps of more sheets than these are not looked for: nothing could be read any more.
MOST_SHEETS = 40
# No floor has so many: their names would cover it, and take minutes to find places for.
MOST_NAMED = 300
GROUND = "#eef6f6"
HIDDEN_DASHES = "2.2 1"
_ALONG = (0.5, 0.3, 0.7, 0.15, 0.85)


def find_rows(facts: RoomFacts) -> Iterator[Row]:
    """Choose what to dimension outside: where sheets begin and end, corners, the whole."""
    for axis in () if is_turned(facts) else (0, 1):
        low, high = facts.outline.bounds[axis], facts.outline.bounds[axis + 2]
        stops = apart([low, high, *find_edges(facts, axis)])
        if 2 < len(stops) <= MOST_STOPS:
            yield Row(along_x=axis == 0, stops=stops, what="sheets")
        corners = apart(corner[axis] for corner in facts.drawn.outline)
        if 2 < len(corners) <= MOST_STOPS and corners != stops:
            yield Row(along_x=axis == 0, stops=corners, what="corners")
        yield Row(along_x=axis == 0, stops=(low, high), what="overall")


def find_edges(facts: RoomFacts, axis: int) -> list[float]:
    """Return where upright sheets begin within the room, and end where no other goes on."""
    low, high = facts.outline.bounds[axis], facts.outline.bounds[axis + 2]
    boxes = [
        (float(ring[:, axis].min()), float(ring[:, axis].max()))
        for ring in facts.sheets.corners
        if min(abs(ring[1] - ring[0])) < 1e-6
    ]
    starts = [start for start, _ in boxes]
    ends = [end for _, end in boxes if not any(one < end < two + 1e-6 for one, two in boxes
                                               if two > end + 1e-6)]  # fmt: skip
    return [edge for edge in (*starts, *ends) if low < edge < high]


def find_laps(facts: RoomFacts) -> list[tuple[str, Lap]]:
    """Return the laps that lie in the room, and the names of the two sheets."""
    names = facts.sheets.names
    if len(names) > MOST_SHEETS:
        return []
    return [
        (f"lap of {names[lap.first]} and {names[lap.second]}", lap)
        for lap in facts.sheet_laps(0.0)
        if lap.width > 0 and shapely.intersection(lap.shape, facts.floor).area > 1.0
    ]


def measure_lap(facts: RoomFacts, name: str, lap: Lap) -> Wanted | None:
    """Dimension how wide two sheets lap, at one of several places along the lap."""
    box = shapely.minimum_rotated_rectangle(lap.shape)
    if box.geom_type != "Polygon":
        return None
    ring = np.array(box.exterior.coords)
    across, along = ring[1] - ring[0], ring[2] - ring[1]
    start = ring[0]
    if np.hypot(*across) > np.hypot(*along):
        across, along, start = along, across, ring[0]
    middle = start + across / 2
    way = shapely.intersection(shapely.LineString([middle, middle + along]), facts.floor)
    lines = getattr(way, "geoms", [way])
    parts = [part for part in lines if part.geom_type == "LineString" and part.length > 0]
    if not parts or np.hypot(*across) > lap.width + 0.05:
        return None
    longest = max(parts, key=lambda part: float(part.length))
    ways = []
    for share in _ALONG:
        at = longest.interpolate(share, normalized=True)
        half = across / 2
        one, two = (at.x - half[0], at.y - half[1]), (at.x + half[0], at.y + half[1])
        # Sheets are laid from the low side: begin there.
        begin, end = sorted((one, two))
        ways.append(Measure(start=begin, end=end, may_shift=False))
    return Wanted(layer="membrane", item=name, what=name, ways=tuple(ways))


def line_sheets(scene: Scene, pieces: tuple[CutPiece, ...]) -> Lining:
    """Draw the sheets with the dimensions of their laps, and their names."""
    facts = scene.facts
    if not scene.names_strips or len(pieces) > MOST_NAMED:
        drawn = group(_draw_edges(scene, pieces), data_layer="membrane")
        return Lining(drawn=drawn, pieces=(), edges=(), wanted=(), labels=())
    laps = find_laps(facts)
    hatch = f"url(#{scene.prefix}lap)"
    drawn = group(
        *(area(*rings_of(scene, piece.shape), fill=GROUND, stroke="none") for piece in pieces)
    )
    drawn += group(
        *(
            area(*rings_of(scene, shapely.intersection(lap.shape, facts.floor)), fill=hatch)
            for _, lap in laps
        ),
        class_="laps",
    )
    drawn += _draw_edges(scene, pieces)
    begun = (
        set_out_first_edge(facts, facts.sheets.corners, "membrane", "edge to begin with")
        if is_turned(facts)
        else ()
    )
    wanted = [measure_lap(facts, name, lap) for name, lap in laps]
    return Lining(
        drawn=group(drawn, data_layer="membrane"),
        pieces=pieces,
        edges=edges_of(scene, [piece.shape for piece in pieces]),
        wanted=[*begun, *(each for each in wanted if each is not None)],
        labels=[
            label_piece(scene, piece, "membrane", SHEET_INK, (f"sheet {piece.name}", piece.name))
            for piece in pieces
        ],
    )


def _draw_edges(scene: Scene, pieces: tuple[CutPiece, ...]) -> str:
    """Draw each sheet's edge; dashed, as what is hidden, where a later sheet lies over it."""
    if len(pieces) > MOST_SHEETS:
        return group(
            *(area(*rings_of(scene, piece.shape), data_item=piece.name) for piece in pieces),
            fill="none", **pens.pen(SHEET_INK, pens.FINE)
        )  # fmt: skip
    edges: dict[bool, list[str]] = {True: [], False: []}
    over: Any = shapely.Polygon()
    for piece in reversed(pieces):
        edge = piece.shape.boundary
        for hidden, part in (
            (True, shapely.intersection(edge, over)),
            (False, shapely.difference(edge, over)),
        ):
            merged = shapely.line_merge(part) if part.geom_type == "MultiLineString" else part
            for way in getattr(merged, "geoms", [merged]):
                if way.geom_type == "LineString" and way.length > 1.0:
                    places = scene.view.places(way.coords)
                    edges[hidden].append(line(places, data_item=piece.name))
        over = shapely.union(over, piece.shape)
    look: Look = {"stroke": SHEET_INK, "stroke_width": pens.MIDDLE}
    return group(*edges[True], stroke_dasharray=HIDDEN_DASHES, **look) + group(
        *edges[False], **look
    )
