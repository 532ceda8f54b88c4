"""The zones of baths and showers, seen from above; nothing in them is planned by them."""

from collections.abc import Sequence

import shapely

from underfoot.checking.facts.bath_zones import BathZone, find_bath_zones
from underfoot.drawing import pens
from underfoot.drawing.labels import Label
from underfoot.drawing.outline import rings_of
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Point, area, box

ZONE_INK = "#3d4fa1"
# Thin with long dashes and two dots: the line of ISO 128-2 for what is no part of the thing drawn.
_DASHES = "4 0.7 0.4 0.7 0.4 0.7"
_TINT = 0.07
_PLACES = 16


def zones_of(scene: Scene) -> list[BathZone]:
    """Find the zones that are drawn: none where no limits say how far they reach."""
    if scene.bath_zones is None:
        return []
    return find_bath_zones(scene.facts, scene.bath_zones)


def draw_zones(scene: Scene) -> str:
    """Draw each zone as a faint tint in a thin line."""
    return "".join(
        area(
            *rings_of(scene, zone.shape),
            fill=ZONE_INK,
            fill_opacity=_TINT,
            **pens.pen(ZONE_INK, pens.HAIR),
            stroke_dasharray=_DASHES,
            class_="zone",
            data_item=f"zone {zone.number} of {zone.fixture}",
        )
        for zone in zones_of(scene)
    )


def zone_lines(scene: Scene) -> list[list[Point]]:
    """Return the edges of the zones."""
    return [[*ring, ring[0]] for zone in zones_of(scene) for ring in rings_of(scene, zone.shape)]


def label_zones(scene: Scene) -> list[Label]:
    """Name each zone with how far it reaches, and what is zone 0 and 1 of a bath itself."""
    labels = [
        Label(
            layer="zones",
            item=f"zone {zone.number} of {zone.fixture}",
            versions=(
                (f"zone {zone.number}", f"{zone.reach:.0f} from {_from(scene, zone)}"),
                (f"zone {zone.number} · {zone.reach:.0f}",),
                (f"zone {zone.number}",),
            ),
            whole=2,
            words=f"{zone.reach:.0f} from {_from(scene, zone)}",
            middles=tuple(_middles(scene, zone)),
            colour=ZONE_INK,
        )
        for zone in zones_of(scene)
    ]
    baths = {zone.fixture for zone in zones_of(scene) if zone.number == 2}
    for fixture, polygon in scene.facts.fixtures:
        if fixture.id in baths:
            low_x, low_y, high_x, high_y = polygon.bounds
            middles = tuple(
                scene.view.place(
                    (low_x + (high_x - low_x) * across, low_y + (high_y - low_y) * up)
                )
                for across, up in (
                    (0.5, 0.15), (0.5, 0.85), (0.2, 0.5), (0.8, 0.5),
                    (0.25, 0.15), (0.75, 0.15), (0.25, 0.85), (0.75, 0.85),
                )
            )  # fmt: skip
            labels.append(
                Label(
                    layer="zones",
                    item=f"zones 0 and 1 of {fixture.id}",
                    versions=(("zones 0 and 1",), ("zones 0, 1",), ("0, 1",)),
                    whole=2,
                    words=f"{fixture.id} itself, and above it",
                    middles=middles,
                    room=(scene.view.on_paper(high_x - low_x), scene.view.on_paper(high_y - low_y)),
                    bold_first=False,
                    colour=ZONE_INK,
                )
            )
    return labels


def _from(scene: Scene, zone: BathZone) -> str:
    return f"outlet of {zone.fixture}" if zone.origin.geom_type == "Point" else zone.fixture


def _middles(scene: Scene, zone: BathZone) -> list[Point]:
    """List places about the middle of a zone's width, those nearest to the room's middle first."""
    places: list[Point] = []
    for share in (0.6, 0.4, 0.8):
        ring = shapely.buffer(zone.origin, zone.reach * share).exterior
        spots = [ring.interpolate(step / _PLACES, normalized=True) for step in range(_PLACES)]
        places += [(spot.x, spot.y) for spot in spots if zone.shape.covers(spot)]
    return [scene.view.place(place) for place in places]


def explain_zones(scene: Scene) -> Sequence[tuple[str, str]]:
    """Return the signs of the legend with their words: zones round, and zones in and above."""
    zones = zones_of(scene)
    if not zones or scene.bath_zones is None:
        return []
    numbers = " and ".join(str(each) for each in sorted({zone.number for zone in zones}))
    edge = {**pens.pen(ZONE_INK, pens.HAIR), "stroke_dasharray": "2.4 0.5 0.4 0.5 0.4 0.5"}
    sign = box(0.5, -1.4, 7, 2.8, fill=ZONE_INK, fill_opacity=_TINT, **edge)
    said = f"zone {numbers} of a bath or shower, to {scene.bath_zones.height:.0f} up"
    return [(sign, said)]
