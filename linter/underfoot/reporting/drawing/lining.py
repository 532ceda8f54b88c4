"""What lies under and over the strips: courses of boards, sheets of the vapour barrier."""

from __future__ import annotations

from typing import Any

import shapely

from underfoot.reporting.drawing import inks
from underfoot.reporting.drawing.labels import Label
from underfoot.reporting.drawing.marks import Point, area, group
from underfoot.reporting.drawing.scene import Scene
from underfoot.reporting.drawing.shell import rings_of
from underfoot.reporting.drawing.strips import written_length

BOARD_INK = "#6b4f00"
SHEET_INK = "#006d77"
# Each layer of boards has a line of its own: solid the lowest, then ever shorter dashes.
_DASHES = (None, "3 1", "1.4 0.9", "0.6 0.8")


def draw_boards(scene: Scene) -> str:
    """Draw the boards of each layer as the walls leave them."""
    return "".join(
        group(
            *(
                area(ring, data_item=name)
                for name, board in zip(layer.names, layer.polygons, strict=True)
                for ring in rings_of(scene, shapely.intersection(board, scene.facts.outline))
            ),
            fill="none",
            stroke=BOARD_INK,
            stroke_width=inks.FINE,
            stroke_dasharray=_DASHES[min(place, len(_DASHES) - 1)],
        )
        for place, layer in enumerate(scene.facts.boards)
    )


def label_boards(scene: Scene) -> list[Label]:
    """Name the boards that have room for it."""
    return [
        _label(scene, "boards", name, polygon, ((name,),), BOARD_INK)
        for layer in scene.facts.boards
        for name, polygon in zip(layer.names, layer.polygons, strict=True)
    ]


def draw_sheets(scene: Scene) -> str:
    """Draw the sheets of the vapour barrier, and where they lap."""
    sheets = scene.facts.sheets
    laps = [
        area(ring, fill=f"url(#{scene.prefix}lap)", stroke="none")
        for _, shape in _laps(scene)
        for ring in rings_of(scene, shape)
    ]
    edges = [
        area(ring, data_item=name)
        for name, sheet in zip(sheets.names, sheets.polygons, strict=True)
        for ring in rings_of(scene, shapely.intersection(sheet, scene.facts.outline))
    ]
    return group(*laps) + group(
        *edges,
        fill="none",
        stroke=SHEET_INK,
        stroke_width=inks.MIDDLE,
        stroke_dasharray="7 1.2",
    )


def label_sheets(scene: Scene) -> list[Label]:
    """Name the sheets, and say how wide they lap."""
    sheets = scene.facts.sheets
    outline = scene.facts.outline
    labels = [
        _label(scene, "membrane", name, shapely.intersection(polygon, outline),
               ((f"sheet {name}",), (name,)), SHEET_INK)
        for name, polygon in zip(sheets.names, sheets.polygons, strict=True)
    ]
    for name, shape in _laps(scene):
        low_x, low_y, high_x, high_y = shape.bounds
        wide = min(high_x - low_x, high_y - low_y)
        labels.append(
            _label(scene, "membrane", name, shape, ((f"lap {written_length(wide)}",),), SHEET_INK,
                   bound=False)
        )
    return labels


def _laps(scene: Scene) -> list[tuple[str, Any]]:
    sheets = scene.facts.sheets
    tree = shapely.STRtree(sheets.polygons)
    pairs = tree.query(sheets.polygons, predicate="intersects").T.tolist()
    laps = []
    for first, second in sorted((a, b) for a, b in pairs if a < b):
        shape = shapely.intersection_all(
            [sheets.polygons[first], sheets.polygons[second], scene.facts.outline]
        )
        if shape.area > 1.0:
            laps.append((f"{sheets.names[first]} {sheets.names[second]}", shape))
    return laps


def _label(
    scene: Scene,
    layer: str,
    name: str,
    shape: Any,
    versions: tuple[tuple[str, ...], ...],
    ink: str,
    *,
    bound: bool = True,
) -> Label:
    if shape.is_empty:
        return Label(layer, name, (), ())
    low_x, low_y, high_x, high_y = shape.bounds
    (left, bottom), (right, top) = scene.view.places(((low_x, low_y), (high_x, high_y)))
    wide, high = right - left, bottom - top
    middles: list[Point] = [
        (left + wide * across, top + high * down)
        for down in (0.5, 0.25, 0.75, 0.12, 0.88)
        for across in (0.5, 0.25, 0.75, 0.12, 0.88)
    ]
    room = (wide, high) if bound else None
    upright = None
    if bound and high > wide:
        upright = Label(layer, name, versions, tuple(middles), -90.0, (high, wide), colour=ink,
                        bold_first=False)
    return Label(layer, name, versions, tuple(middles), 0.0, room, bold_first=False, colour=ink,
                 otherwise=upright)


