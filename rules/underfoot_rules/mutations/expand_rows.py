"""Opens out what a plan says in short: catalogue, rows, courses and runs become explicit things."""

import json
import math
from collections.abc import Iterator, Mapping
from typing import Any, cast

from underfoot.api.rules import Data, read_quantity


def copy_plan(data: Data) -> Data:
    """Copy a plan's plain data whole."""
    return cast(Data, json.loads(json.dumps(data)))


def mm(value: Any) -> float:
    """Read a length as written."""
    return float(value) if isinstance(value, int | float) else read_quantity(value, "mm")


def direction(along: Any) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the unit vectors along the length and across it, from `at`."""
    if along == "x":
        return (1.0, 0.0), (0.0, 1.0)
    if along == "y":
        return (0.0, 1.0), (1.0, 0.0)
    angle = math.radians(read_quantity(along, "deg"))
    return (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))


def film_width(data: Data, film: str) -> float:
    """Return the width of a film."""
    return mm(data["materials"]["films"][film]["width"])


def open_rows(data: Data) -> Data:
    """Copy a plan with every row of strips opened into elements, in the routes too."""
    plan = copy_plan(data)
    expand(plan)
    return plan


def expand(plan: Data) -> None:
    """Open every row of strips of a plan in place."""
    for room in plan["rooms"].values():
        rows = room.pop("rows", None) or {}
        if not rows:
            continue
        elements = room.setdefault("elements", {})
        by_row: dict[str, list[str]] = {}
        ends: dict[str, tuple[float, float]] = {}
        waiting = list(rows)
        while waiting:
            name = next(n for n in waiting if rows[n].get("after") not in waiting)
            waiting.remove(name)
            opened, ends[name] = _open_row(plan, name, rows[name], ends)
            by_row[name] = list(opened)
            elements.update(opened)
        for thing in (*(room.get("leads") or {}).values(), room.get("sensor") or {}):
            if "route" in thing:
                thing["route"] = [
                    stop
                    for each in thing["route"]
                    for stop in (by_row.get(each, [each]) if isinstance(each, str) else [each])
                ]


def _open_row(
    plan: Data, name: str, row: Data, ends: Mapping[str, tuple[float, float]]
) -> tuple[dict[str, Data], tuple[float, float]]:
    """Return the strips of a row by id, and the point where a row after it goes on."""
    along, across = direction(row["along"])
    spacing = mm(row.get("spacing", 0))
    step = film_width(plan, row["film"]) + spacing
    if "after" in row:
        x, y = ends[row["after"]]
        x, y = x + spacing * across[0], y + spacing * across[1]
    else:
        x, y = (mm(value) for value in row["at"])
    places = row["lengths"] if "lengths" in row else [row["length"]] * row["count"]
    strips: dict[str, Data] = {}
    for number, place in enumerate(places):
        if place is None:
            continue
        own = place if isinstance(place, dict) else {"length": place}
        later, aside = mm(own.get("from", 0)), number * step
        strip = {
            "film": row["film"],
            "at": [
                tidy(x + later * along[0] + aside * across[0]),
                tidy(y + later * along[1] + aside * across[1]),
            ],
            "along": row["along"],
            "length": own["length"],
        }
        for key in ("circuit", "connected"):
            if key in own or key in row:
                strip[key] = own.get(key, row.get(key))
        strips[f"{name}{number + 1}"] = strip
    reach = len(places) * step - spacing
    return strips, (x + reach * across[0], y + reach * across[1])


def tidy(value: float) -> float | int:
    """Write a whole number of millimetres as one."""
    near = round(value)
    return near if abs(value - near) < 1e-9 else value


def box_of(outline: Any) -> tuple[float, float, float, float]:
    """Return the least and greatest x and y of an outline."""
    xs, ys = zip(*((mm(x), mm(y)) for x, y in outline), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def open_courses(data: Data, room: str, layer: int) -> Data:
    """Copy a plan with one layer's courses over a whole outline opened into boards."""
    plan = copy_plan(data)
    insulation = plan["rooms"][room]["insulation"]
    told = insulation["layers"][layer]
    length, width = (mm(side) for side in plan["materials"]["boards"][insulation["board"]]["size"])
    pieces = dict(
        _lay_boards(
            box_of(plan["rooms"][room]["outline"]),
            (length, width),
            told["courses"],
            mm(told.get("stagger", 0)),
            layer + 1,
        )
    )
    insulation["layers"][layer] = {"pieces": pieces}
    return plan


def _lay_boards(
    box: tuple[float, float, float, float],
    size: tuple[float, float],
    along: str,
    stagger: float,
    layer: int,
) -> Iterator[tuple[str, Data]]:
    low_x, low_y, high_x, high_y = box
    start, end, base, top = (
        (low_x, high_x, low_y, high_y) if along == "x" else (low_y, high_y, low_x, high_x)
    )
    length, width = size
    course = 0
    low = base
    while low < top - 1e-6:
        course += 1
        here, number = start, 0
        while here < end - 1e-6:
            number += 1
            whole = stagger if course % 2 == 0 and number == 1 and 0 < stagger < length else length
            board: Data = {"at": [tidy(here), tidy(low)], "along": along}
            if along == "y":
                board["at"] = [tidy(low), tidy(here)]
            cut = min(whole, end - here)
            if cut < length - 1e-6:
                board["length"] = tidy(cut)
            if top - low < width - 1e-6:
                board["width"] = tidy(top - low)
            yield f"B{layer}-{course}-{number}", board
            here += whole
        low += width


def open_runs(data: Data, room: str) -> Data:
    """Copy a plan with the membrane's runs over a whole outline opened into sheets."""
    plan = copy_plan(data)
    membrane = plan["rooms"][room]["membrane"]
    runs = membrane.pop("runs")
    width = mm(plan["materials"]["sheets"][membrane["sheet"]]["width"])
    low_x, low_y, high_x, high_y = box_of(plan["rooms"][room]["outline"])
    along = runs["along"]
    start, end, base, top = (
        (low_x, high_x, low_y, high_y) if along == "x" else (low_y, high_y, low_x, high_x)
    )
    pieces: Data = {}
    low = base
    while True:
        at = [start, low] if along == "x" else [low, start]
        pieces[f"M{len(pieces) + 1}"] = {
            "at": [tidy(value) for value in at],
            "along": along,
            "length": tidy(end - start),
        }
        if low + width >= top - 1e-6:
            break
        low += width - mm(runs["overlap"])
    membrane["pieces"] = pieces
    return plan
