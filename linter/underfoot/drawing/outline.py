"""The room itself: walls, clearance border, fixtures, joints and the origin."""

from typing import Any

import shapely
from msgspec.structs import replace

from underfoot.drawing import pens
from underfoot.drawing.labels import LONGEST, Label, size_of
from underfoot.drawing.lettering import SMALL, shorten
from underfoot.drawing.occupancy import Patch, patch_of
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Point, area, group, letters, line
from underfoot.plan import Fixture

WALL = 1.5
# Where a fixture's name is tried: in shares of its size off its middle; beside it, by the side.
_INSIDE = (
    (0.0, 0.0), (0.0, 0.2), (0.0, -0.2), (0.2, 0.0), (-0.2, 0.0), (0.3, 0.3), (-0.3, -0.3),
    (0.3, -0.3), (-0.3, 0.3), (0.0, 0.4), (0.0, -0.4), (0.4, 0.0), (-0.4, 0.0),
)  # fmt: skip
_OUTSIDE = ((0, -1), (0, 1), (1, 0), (-1, 0), (1, -1), (-1, -1), (1, 1), (-1, 1))


def draw_walls(scene: Scene) -> str:
    """Draw the outline; the wall is a band outside it, as thick as reads well."""
    return area(*_wall_rings(scene), fill=pens.WALL) + area(
        scene.view.places(scene.facts.drawn.outline),
        fill="none",
        **pens.pen(pens.INK, pens.MIDDLE),
        class_="outline",
    )


def _wall_rings(scene: Scene) -> list[list[Point]]:
    outline = scene.facts.outline
    grown = outline.buffer(WALL * scene.view.scale, join_style="mitre", mitre_limit=3.0)
    return [*rings_of(scene, grown), *rings_of(scene, outline)]


def wall_lines(scene: Scene) -> list[list[Point]]:
    """Return the edges of the walls, that lettering keeps off."""
    return [[*ring, ring[0]] for ring in _wall_rings(scene)]


def draw_clearance(scene: Scene) -> str:
    """Draw the border that strips keep from the walls, as planned."""
    if not scene.planned_clearance:
        return ""
    inner = scene.facts.outline.buffer(
        -scene.planned_clearance, join_style="mitre", mitre_limit=100.0
    )
    border = shapely.line_merge(
        shapely.difference(
            inner.boundary, shapely.union_all([shape for _, shape in scene.facts.standing])
        )
    )
    ways = [way for way in getattr(border, "geoms", [border]) if not way.is_empty]
    return group(
        *(line(scene.view.places(way.coords)) for way in ways),
        **pens.pen(pens.SOFT, pens.HAIR),
        stroke_dasharray="1.6 0.8",
        class_="clearance",
    )


def rings_of(scene: Scene, shape: Any) -> list[list[Point]]:
    """Return all rings of an area on paper, in a fixed order."""
    parts = [part for part in getattr(shape, "geoms", [shape]) if part.geom_type == "Polygon"]
    return [
        scene.view.places(ring.coords[:-1])
        for part in parts
        if not part.is_empty
        for ring in (part.exterior, *part.interiors)
    ]


def taken_by_origin(scene: Scene) -> list[Patch]:
    """Return the patch that the mark of the origin covers."""
    x, y = scene.view.place((0.0, 0.0))
    return [patch_of(x - 4.2, y + 1.8, 2.6, 3.0)]


def draw_origin(scene: Scene) -> str:
    """Mark the place that the room's coordinates are counted from."""
    x, y = scene.view.place((0.0, 0.0))
    bounds = scene.bounds
    if not (bounds.left < x < bounds.right and bounds.top < y < bounds.bottom):
        return ""
    return group(
        line([(x - 1.6, y), (x + 1.6, y)]),
        line([(x, y - 1.6), (x, y + 1.6)]),
        letters("0", (x - 1.9, y + 4.7), SMALL, anchor="end", fill=pens.INK, stroke="none"),
        **pens.pen(pens.INK, pens.FINE),
        class_="origin",
    )


def draw_fixtures(scene: Scene, *, standing: bool) -> str:
    """Draw what keeps strips away; or what they may pass under, which stands above them."""
    return "".join(
        draw_fixture(scene, fixture, polygon)
        for fixture, polygon in scene.facts.fixtures
        if fixture.is_standing == standing
    )


def draw_fixture(scene: Scene, fixture: Fixture, polygon: shapely.Polygon) -> str:
    """Draw a fixture as it stands."""
    places = scene.view.places(fixture.outline)
    if not fixture.is_standing:
        return area(
            places,
            fill="none",
            **pens.pen(pens.INK, pens.MIDDLE),
            stroke_dasharray="3 1.2",
            data_item=fixture.id,
        )
    stops = fixture.stops_floor
    drawn = area(
        places,
        fill=f"url(#{scene.prefix}structure)" if stops else "#eceef1",
        **pens.pen(pens.INK, pens.MIDDLE),
        data_item=fixture.id,
    )
    if not stops and len(places) == 4:
        drawn += group(
            line([places[0], places[2]]),
            line([places[1], places[3]]),
            **pens.pen(pens.PALE, pens.HAIR),
        )
    if fixture.outlet is not None:
        x, y = scene.view.place(fixture.outlet)
        drawn += group(
            line([(x - 1, y - 1), (x + 1, y + 1)]),
            line([(x - 1, y + 1), (x + 1, y - 1)]),
            **pens.pen(pens.INK, pens.FINE),
        )
    return drawn


def draw_joints(scene: Scene) -> str:
    """Draw movement joints."""
    return "".join(
        line(
            scene.view.places(joint.line),
            **pens.pen(pens.INK, pens.WIDE),
            stroke_dasharray="4 1 0.6 1 0.6 1",
            data_item=joint.id,
        )
        for joint in scene.facts.drawn.joints.values()
    )


def label_shell(scene: Scene) -> list[Label]:
    """Name fixtures and joints: inside where they have room for it, else beside them."""
    labels = [_label_fixture(scene, fixture, polygon) for fixture, polygon in scene.facts.fixtures]
    for joint in scene.facts.drawn.joints.values():
        places = scene.view.places(joint.line)
        ways = shapely.LineString(places)
        middles = [
            (float(at.x) + side * 8.0, float(at.y) + up)
            for share in (0.5, 0.3, 0.7, 0.1, 0.9)
            for at in (ways.interpolate(share, normalized=True),)
            for side, up in ((1, 0.0), (-1, 0.0), (0, -3.0), (0, 3.0))
        ]
        name = shorten(f"joint {joint.id}", LONGEST, SMALL, bold=True)
        labels.append(
            Label(layer="fixtures", item=joint.id, versions=((name,),), middles=tuple(middles))
        )
    return labels


def _label_fixture(scene: Scene, fixture: Fixture, polygon: shapely.Polygon) -> Label:
    low_x, low_y, high_x, high_y = polygon.bounds
    wide, high = scene.view.on_paper(high_x - low_x), scene.view.on_paper(high_y - low_y)
    size = f"{high_x - low_x:.0f} × {high_y - low_y:.0f}"
    kind = fixture.kind
    if fixture.clear is not None and fixture.kind == "on legs":
        kind = f"{kind}, {fixture.clear:.0f} clear"
    if fixture.clearance is not None:
        kind = f"{kind}, {fixture.clearance:.0f} kept free"
    name = shorten(fixture.id, LONGEST, SMALL, bold=True)
    versions: tuple[tuple[str, ...], ...] = (
        (name, kind, size) if kind != name else (name, size),
        (name, size),
        (f"{name}, {size}",),
        (name,),
    )
    middle = polygon.representative_point()
    x, y = scene.view.place((middle.x, middle.y))
    if len(fixture.outline) == 4:
        x, y = scene.view.place(((low_x + high_x) / 2, (low_y + high_y) / 2))
    inside = tuple((x + dx * wide, y + dy * high) for dx, dy in _INSIDE)
    width, height = size_of((name,), bold_first=True)
    aside, above = wide / 2 + width / 2 + 0.6, high / 2 + height / 2 + 0.6
    outside = tuple((x + dx * aside, y + dy * above) for dx, dy in _OUTSIDE)
    beside = Label(layer="fixtures", item=fixture.id, versions=((name,),), middles=outside)
    upright = replace(
        beside,
        versions=versions[2:],
        middles=inside,
        turn_deg=-90.0,
        room=(high, wide),
        otherwise=beside,
    )
    return replace(upright, versions=versions, turn_deg=0.0, room=(wide, high), otherwise=upright)
