"""Plan data opened out: rows into elements, courses into boards, runs into sheets.

Worked out from what the plan format says, not by the code that reads plans, so that both are tried;
rows by the code that damages plans, which does not read them either.
"""

import copy
import re
from typing import Any

import shapely

from underfoot_rules.mutations.expand_rows import open_rows

Data = dict[str, Any]
Point = tuple[float, float]

_LENGTH = re.compile(r"\s*([-+]?[0-9.]+(?:e[-+]?[0-9]+)?)\s*(mm|cm|m|in)\s*", re.IGNORECASE)
_MILLIMETRES = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}


def mm(value: Any) -> float:
    """Read a length: a bare number is millimetres, text carries its unit."""
    if isinstance(value, int | float):
        return float(value)
    found = _LENGTH.fullmatch(value)
    assert found is not None, value
    return float(found[1]) * _MILLIMETRES[found[2].lower()]


def point(value: Any) -> Point:
    """Read a point."""
    return mm(value[0]), mm(value[1])


def points(value: Any) -> list[Point]:
    """Read an outline or a line."""
    return [point(each) for each in value]


def angle_of(along: str) -> float | None:
    """Return the angle that a direction is turned by, None for x and y."""
    return None if along in ("x", "y") else float(along.removesuffix("deg"))


def open_plan(plan: Data) -> Data:
    """Return the same plan with every strip, board and sheet drawn by itself."""
    opened = copy.deepcopy(plan)
    for room in opened["rooms"].values():
        (room.get("rows") or {}).pop("note", None)
    opened = open_rows(opened)
    for room in opened["rooms"].values():
        _open_courses(room, opened["materials"])
        _open_runs(room, opened["materials"])
    return opened


def _box(region: Any, along: str) -> tuple[float, float, float, float]:
    """Return a region's bounds as start, end, base and top of what is laid along an axis."""
    low_x, low_y, high_x, high_y = shapely.bounds(region).tolist()
    return (low_x, high_x, low_y, high_y) if along == "x" else (low_y, high_y, low_x, high_x)


def _open_courses(room: Data, materials: Data) -> None:
    insulation = room.get("insulation")
    if not insulation or not insulation.get("layers"):
        return
    for number, layer in enumerate(insulation["layers"], 1):
        if "courses" not in layer:
            continue
        length, width = (mm(side) for side in materials["boards"][insulation["board"]]["size"])
        along = layer.pop("courses")
        stagger = mm(layer.pop("stagger", None) or 0)
        region = shapely.Polygon(points(layer.pop("over", None) or room["outline"]))
        start, end, base, top = _box(region, along)
        pieces: Data = {}
        course = 0
        while base + course * width < top - 0.001:
            first = stagger if course % 2 and stagger else length
            at, board, size = start, 0, first
            while at < end - 0.001:
                low = base + course * width
                corner = [at, low] if along == "x" else [low, at]
                sides = (size, width) if along == "x" else (width, size)
                whole = shapely.box(*corner, corner[0] + sides[0], corner[1] + sides[1])
                if shapely.intersection(whole, region).area > 0.001:
                    board += 1
                    piece = {"at": corner, "along": along, "length": size}
                    pieces[f"{number}-{course + 1}-{board}"] = piece
                at, size = at + size, length
            course += 1
        layer["pieces"] = pieces


def _open_runs(room: Data, materials: Data) -> None:
    membrane = room.get("membrane")
    if not membrane or not membrane.get("runs"):
        return
    runs = membrane.pop("runs")
    pieces: Data = {}
    for run in runs if isinstance(runs, list) else [runs]:
        width = mm(materials["sheets"][membrane["sheet"]]["width"])
        step = width - mm(run.get("overlap") or 0)
        region = shapely.Polygon(points(run.get("over") or room["outline"]))
        start, end, base, top = _box(region, run["along"])
        low, is_done = base, False
        while not is_done:
            corner = [start, low] if run["along"] == "x" else [low, start]
            pieces[f"R{len(pieces) + 1}"] = {
                "at": corner,
                "along": run["along"],
                "length": end - start,
            }
            is_done = low + width >= top - 0.001
            low += step
    membrane["pieces"] = {**pieces, **(membrane.get("pieces") or {})}
