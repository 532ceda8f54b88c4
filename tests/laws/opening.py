"""Plan data opened out: rows into elements, courses into boards, runs into sheets.

Worked out from what the plan format says, not by the code that reads plans, so that both are tried.
"""

from __future__ import annotations

import copy
import math
import re
from collections.abc import Iterator
from typing import Any

import shapely

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
    """Give the angle that a direction is turned by, None for x and y."""
    return None if along in ("x", "y") else float(along.removesuffix("deg"))


def open_plan(plan: Data) -> Data:
    """Give the same plan with every strip, board and sheet drawn by itself."""
    opened = copy.deepcopy(plan)
    for room in opened["rooms"].values():
        strips = _open_rows(room, opened["materials"])
        for route in _routes(room):
            route[:] = [stop for each in route for stop in _named(each, strips)]
        _open_courses(room, opened["materials"])
        _open_runs(room, opened["materials"])
    return opened


def _routes(room: Data) -> Iterator[list[Any]]:
    for thing in (room.get("sensor"), *(room.get("leads") or {}).values()):
        if isinstance(thing, dict) and thing.get("route"):
            yield thing["route"]


def _named(stop: Any, strips: dict[str, list[str]]) -> list[Any]:
    return strips.get(stop, [stop]) if isinstance(stop, str) else [stop]


def _open_rows(room: Data, materials: Data) -> dict[str, list[str]]:
    """Replace rows by elements; give the strips of each row."""
    rows: Data = room.pop("rows", None) or {}
    names: dict[str, list[str]] = {}
    elements = room.get("elements") or {}
    for name, row in rows.items():
        if name == "note":
            continue
        names[name] = []
        at, spacing, width = _start_of(name, rows, materials)
        for number, place in enumerate(_places(row)):
            if place is None:
                continue
            entry = place if isinstance(place, dict) else {"length": place}
            x, y = _along(at, row["along"], mm(entry.get("from") or 0), number * (width + spacing))
            strip = {
                "film": row["film"],
                "at": [x, y],
                "along": row["along"],
                "length": mm(entry["length"]),
                "circuit": entry.get("circuit", row.get("circuit")),
                "connected": entry.get("connected", row.get("connected", "start")),
            }
            names[name].append(f"{name}{number + 1}")
            elements[f"{name}{number + 1}"] = {k: v for k, v in strip.items() if v is not None}
    if elements:
        room["elements"] = elements
    return names


def _places(row: Data) -> list[Any]:
    if row.get("lengths") is not None:
        return list(row["lengths"])
    return [row["length"]] * int(row["count"])


def _start_of(name: str, rows: Data, materials: Data) -> tuple[Point, float, float]:
    """Give where a row begins, its spacing, and how wide its film is."""
    row = rows[name]
    width = mm(materials["films"][row["film"]]["width"])
    spacing = mm(row.get("spacing") or 0)
    if row.get("after") is None:
        return point(row["at"]), spacing, width
    at, gap, wide = _start_of(row["after"], rows, materials)
    count = len(_places(rows[row["after"]]))
    across = count * wide + max(0, count - 1) * gap + spacing
    return _along(at, row["along"], 0.0, across), spacing, width


def _along(at: Point, along: str, later: float, across: float) -> Point:
    angle = angle_of(along)
    if angle is None:
        return (at[0] + later, at[1] + across) if along == "x" else (at[0] + across, at[1] + later)
    cosine, sine = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return (
        at[0] + later * cosine - across * sine,
        at[1] + later * sine + across * cosine,
    )


def _box(region: Any, along: str) -> tuple[float, float, float, float]:
    """Give a region's bounds as start, end, base and top of what is laid along an axis."""
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
