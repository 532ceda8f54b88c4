"""What lies under and over the strips: boards, sheets of the vapour barrier, coverings."""

from typing import Any

import shapely

from underfoot.drawing import pens
from underfoot.drawing.labels import Label, fit_either_way
from underfoot.drawing.outline import rings_of
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import written_length
from underfoot.drawing.svg import Point, area, group

BOARD_INK = "#6b4f00"
SHEET_INK = "#006d77"
COVERING_INK = "#7a3e00"
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
            **pens.pen(BOARD_INK, pens.FINE),
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
        for _, shape, _ in _laps(scene)
        for ring in rings_of(scene, shape)
    ]
    edges = [
        area(ring, data_item=name)
        for name, sheet in zip(sheets.names, sheets.polygons, strict=True)
        for ring in rings_of(scene, shapely.intersection(sheet, scene.facts.outline))
    ]
    return group(*laps) + group(
        *edges, fill="none", **pens.pen(SHEET_INK, pens.MIDDLE), stroke_dasharray="7 1.2"
    )


def label_sheets(scene: Scene) -> list[Label]:
    """Name the sheets, and say how wide they lap."""
    sheets = scene.facts.sheets
    outline = scene.facts.outline
    labels = [
        _label(
            scene,
            "membrane",
            name,
            shapely.intersection(polygon, outline),
            ((f"sheet {name}",), (name,)),
            SHEET_INK,
        )
        for name, polygon in zip(sheets.names, sheets.polygons, strict=True)
    ]
    for name, shape, wide in _laps(scene):
        labels.append(
            _label(
                scene,
                "membrane",
                name,
                shape,
                ((f"lap {written_length(wide)}",),),
                SHEET_INK,
                bound=False,
            )
        )
    return labels


def draw_coverings(scene: Scene) -> str:
    """Draw where coverings that lie over a part of the room end."""
    return group(
        *(
            area(scene.view.places(each.over), data_item=each.covering.id)
            for each in scene.facts.drawn.coverings
            if each.over is not None
        ),
        fill="none",
        **pens.pen(COVERING_INK, pens.MIDDLE),
        stroke_dasharray="0.4 1",
        stroke_linecap="round",
    )


def label_coverings(scene: Scene) -> list[Label]:
    """Name the coverings that lie over a part of the room."""
    return [
        _label(
            scene,
            "coverings",
            each.covering.id,
            shapely.Polygon(each.over),
            ((each.covering.id,),),
            COVERING_INK,
        )
        for each in scene.facts.drawn.coverings
        if each.over is not None
    ]


def _laps(scene: Scene) -> list[tuple[str, Any, float]]:
    """Return the laps in the room: a name, the shape, and how wide."""
    names = scene.facts.sheets.names
    laps = []
    for lap in scene.facts.sheet_laps(0.0):
        shape = shapely.intersection(lap.shape, scene.facts.outline)
        if lap.width > 0 and not shape.is_empty:
            laps.append((f"{names[lap.first]} {names[lap.second]}", shape, lap.width))
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
        return Label(layer=layer, item=name, versions=(), middles=())
    low_x, low_y, high_x, high_y = shape.bounds
    (left, bottom), (right, top) = scene.view.places(((low_x, low_y), (high_x, high_y)))
    wide, high = right - left, bottom - top
    middles: list[Point] = [
        (left + wide * across, top + high * down)
        for down in (0.5, 0.25, 0.75, 0.12, 0.88)
        for across in (0.5, 0.25, 0.75, 0.12, 0.88)
    ]
    label = Label(
        layer=layer,
        item=name,
        versions=versions,
        middles=tuple(middles),
        room=(wide, high) if bound else None,
        bold_first=False,
        colour=ink,
    )
    return fit_either_way(label, wide, high) if bound and high > wide else label
