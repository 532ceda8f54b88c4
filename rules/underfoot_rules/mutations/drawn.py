"""A room as drawn: shapes worked out from the plan as written, by arithmetic of their own."""

import math
from collections.abc import Mapping
from itertools import pairwise
from typing import Any

import shapely
from msgspec import Struct
from shapely import LineString, Point, Polygon

from underfoot.api.rules import Data, read_quantity
from underfoot_rules.mutations.expand_rows import direction, film_width, mm

Spot = tuple[float, float]

# Below this height furniture keeps heat in (mm).
LOW = 60.0


class Strip(Struct, frozen=True, kw_only=True):
    """One strip: its rectangle, its unit vectors, the middles of its two ends."""

    id: str
    film: str
    width: float
    length: float
    along: Spot
    across: Spot
    shape: Any
    start: Spot
    end: Spot
    circuit: str | None
    connected: str


class Fixture(Struct, frozen=True, kw_only=True):
    """One fixture; `clear` is the height below it where that is stated."""

    id: str
    kind: str
    shape: Any
    clear: float | None
    on_subfloor: bool
    outlet: Spot | None
    height: float | None = None
    clearance: float = 0.0

    @property
    def stands(self) -> bool:
        """Everything stands that is not on legs and does not lie flat."""
        return self.kind not in ("on legs", "lying flat")

    @property
    def is_low(self) -> bool:
        """Furniture, known to be so, that lets too little heat out from below it."""
        return not self.stands and self.clear is not None and self.clear < LOW

    @property
    def kept_free(self) -> float:
        """How far strips keep from it: what stands 50 mm, a stove what its maker wants."""
        return max(50.0 if self.stands else 0.0, self.clearance)


class Lead(Struct, frozen=True, kw_only=True):
    """One lead: its line, the strips that it joins in order, what it begins at.

    `stops` are the places of its route with the strip that is joined there; `width` and
    `thickness` are those stated, else the least of its size; `named`
    is the route as written: an end of a strip (``A1.start``), ``junction-box``, None for a bend.
    """

    id: str
    circuit: str
    line: Any
    strips: tuple[str, ...]
    begins: str | None
    stops: tuple[tuple[Spot, str | None], ...]
    width: float
    thickness: float
    named: tuple[str | None, ...]


class Drawn(Struct, frozen=True, kw_only=True):
    """All that is drawn of one room."""

    id: str
    data: Data
    outline: Any
    strips: dict[str, Strip]
    fixtures: dict[str, Fixture]
    joints: dict[str, Any]
    leads: dict[str, Lead]
    box: Spot | None
    sensor: Spot | None
    sensor_way: tuple[Spot, ...]


def draw(plan: Data, name: str) -> Drawn:
    """Draw one room of a plan whose rows have been opened."""
    room = plan["rooms"][name]
    strips = {
        key: _draw_strip(plan, key, told) for key, told in (room.get("elements") or {}).items()
    }
    box = _spot(room["junction_box"]["at"]) if room.get("junction_box") else None
    sensor = room.get("sensor")
    end = _spot(sensor["at"]) if sensor else None
    way: tuple[Spot, ...] = ()
    if sensor and end and sensor.get("route"):
        way = (*_follow(sensor["route"], strips, box), end)
    return Drawn(
        id=name,
        data=room,
        outline=Polygon([_spot(corner) for corner in room["outline"]]),
        strips=strips,
        fixtures={
            key: _draw_fixture(key, told) for key, told in (room.get("fixtures") or {}).items()
        },
        joints={
            key: LineString([_spot(point) for point in line])
            for key, line in (room.get("joints") or {}).items()
        },
        leads={
            key: _draw_lead(key, told, strips, box)
            for key, told in (room.get("leads") or {}).items()
        },
        box=box,
        sensor=end,
        sensor_way=way,
    )


def _spot(pair: Any) -> Spot:
    return mm(pair[0]), mm(pair[1])


def _draw_strip(plan: Data, name: str, told: Data) -> Strip:
    along, across = direction(told["along"])
    width, length = film_width(plan, told["film"]), mm(told["length"])
    x, y = _spot(told["at"])

    def place(later: float, aside: float) -> Spot:
        return (
            x + later * along[0] + aside * across[0],
            y + later * along[1] + aside * across[1],
        )

    return Strip(
        id=name,
        film=told["film"],
        width=width,
        length=length,
        along=along,
        across=across,
        shape=Polygon([place(0, 0), place(length, 0), place(length, width), place(0, width)]),
        start=place(0, width / 2),
        end=place(length, width / 2),
        circuit=told.get("circuit"),
        connected=told.get("connected", "start"),
    )


def _draw_fixture(name: str, told: Data) -> Fixture:
    if "outline" in told:
        shape = Polygon([_spot(corner) for corner in told["outline"]])
    else:
        (x, y), (width, depth) = _spot(told["at"]), _spot(told["size"])
        shape = shapely.box(x, y, x + width, y + depth)
    return Fixture(
        id=name,
        kind=told["kind"],
        shape=shape,
        clear=0.0
        if told["kind"] == "lying flat"
        else mm(told["clear"])
        if "clear" in told
        else None,
        on_subfloor=told.get("stands_on") == "subfloor",
        outlet=_spot(told["outlet"]) if "outlet" in told else None,
        height=mm(told["height"]) if "height" in told else None,
        clearance=mm(told.get("clearance", 0)),
    )


def _draw_lead(name: str, told: Data, strips: dict[str, Strip], box: Spot | None) -> Lead:
    stops = [stop for stop in told["route"] if isinstance(stop, str)]
    joined = [stop.partition(".")[0] for stop in stops if stop != "junction-box"]
    first = told["route"][0]
    begins = first.partition(".")[0] if isinstance(first, str) else None
    places = _follow(told["route"], strips, box)
    kinds = [
        stop.partition(".")[0] if isinstance(stop, str) and stop != "junction-box" else None
        for stop in told["route"]
        if stop != "junction-box" or box is not None
    ]
    width, thickness = _lead_size(told)
    return Lead(
        id=name,
        circuit=told["circuit"],
        line=LineString(places),
        strips=tuple(dict.fromkeys(joined)),
        begins=begins,
        stops=tuple(zip(places, kinds, strict=True)),
        width=width,
        thickness=thickness,
        named=tuple(_name_stop(stop, strips) for stop in told["route"]),
    )


def _name_stop(stop: Any, strips: dict[str, Strip]) -> str | None:
    if not isinstance(stop, str):
        return None
    name, _, end = stop.partition(".")
    return stop if stop == "junction-box" else f"{name}.{end or strips[name].connected}"


# Two insulated conductors side by side, of the sizes (mm2) that plans here are drawn with.
PAIRS: Mapping[float, Spot] = {
    1: (5.2, 2.6), 1.5: (6.0, 3.0), 2.5: (7.2, 3.6), 4: (8.4, 4.2), 6: (9.4, 4.7),
}  # fmt: skip


def _lead_size(told: Data) -> tuple[float, float]:
    """Return the width and the thickness of a lead, none where they are neither told nor known."""
    width, thickness = PAIRS.get(read_quantity(told.get("size", "1.5 mm2"), "mm2"), (0.0, 0.0))
    if "thickness" in told:
        thickness = mm(told["thickness"])
    return (mm(told["width"]) if "width" in told else max(width, thickness)), thickness


def _follow(route: list[Any], strips: dict[str, Strip], box: Spot | None) -> list[Spot]:
    """Return the points of a route."""
    points: list[Spot] = []
    for stop in route:
        if not isinstance(stop, str):
            points.append(_spot(stop))
        elif stop == "junction-box":
            if box is not None:
                points.append(box)
        else:
            name, _, end = stop.partition(".")
            strip = strips[name]
            points.append(getattr(strip, end or strip.connected))
    return points


def heated(room: Drawn) -> Any:
    """Return the heated floor: the union of the strips, gaps of up to 10 mm closed."""
    shapes = [strip.shape for strip in room.strips.values()]
    grown = shapely.union_all(shapely.buffer(shapes, 5, join_style="mitre"))
    return grown.buffer(-5, join_style="mitre")


def inside(point: Spot, shape: Any) -> bool:
    """Tell whether a point lies in a shape or on its edge."""
    return bool(shape.distance(Point(point)) < 1e-3)


def shifted(strip: Strip, told: Data, later: float, aside: float) -> Data:
    """Return a strip's entry, moved so far along its length and so far across it."""
    x, y = _spot(told["at"])
    return {
        **told,
        "at": [
            _round(x + later * strip.along[0] + aside * strip.across[0]),
            _round(y + later * strip.along[1] + aside * strip.across[1]),
        ],
    }


def _round(value: float) -> float | int:
    near = round(value, 6)
    return int(near) if near == int(near) else near


def middle(strip: Strip) -> Spot:
    """Return the middle of a strip."""
    return (strip.start[0] + strip.end[0]) / 2, (strip.start[1] + strip.end[1]) / 2


def share_heated(room: Drawn) -> float:
    """Return the heated share, in percent, of the floor that strips may reach."""
    kept = [f.shape.buffer(f.kept_free) for f in room.fixtures.values() if f.kept_free]
    low = [f.shape for f in room.fixtures.values() if f.is_low]
    reachable = room.outline.buffer(-50).difference(shapely.union_all([*kept, *low]))
    return float(100 * heated(room).intersection(reachable).area / reachable.area)


def cable_needed(room: Drawn) -> float | None:
    """Return the length that a sensor's cable needs in mm; None where the plan does not say."""
    thermostat = room.data.get("thermostat")
    if len(room.sensor_way) < 2 or not thermostat or "height" not in thermostat:
        return None
    if thermostat.get("room", room.id) != room.id:
        return None
    along = sum(math.dist(*pair) for pair in pairwise(room.sensor_way))
    aside = 0.0
    if "at" in thermostat and room.box is not None:
        aside = math.dist(room.box, (mm(thermostat["at"][0]), mm(thermostat["at"][1])))
    return along + mm(thermostat["height"]) + aside
