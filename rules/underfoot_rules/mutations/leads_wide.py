"""Leads and conduits drawn as if they had no width, and what was set in their way later."""

import math
import random
from typing import Any

from shapely import LineString, Point
from shapely.ops import nearest_points

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import add, choose_room
from underfoot_rules.mutations.damaging import Caused, UnfitError, cause, given, mutation, pick
from underfoot_rules.mutations.drawn import Drawn, Lead, Spot
from underfoot_rules.mutations.expand_rows import mm


def _choose(plan: Data, rng: random.Random) -> tuple[Drawn, Lead]:
    """Choose a room and one of its leads."""
    room = choose_room(plan, rng)
    return room, pick(rng, room.leads.values())


def _write(spot: Spot) -> list[float]:
    return [round(spot[0], 3), round(spot[1], 3)]


def _beside(room: Drawn, line: Any, rng: random.Random, off: float) -> Spot:
    """Choose a spot so far beside a line, 350 mm or more from the box."""
    for _ in range(20):
        far = rng.uniform(5, max(6.0, line.length - 5))
        spot, before = line.interpolate(far), line.interpolate(far - 1)
        if room.box is not None and spot.distance(Point(room.box)) < 350:
            continue
        side = rng.choice((-off, off))
        return spot.x - side * (spot.y - before.y), spot.y + side * (spot.x - before.x)
    raise UnfitError


@mutation("lead-under-element", "up-the-joint")
def lead_up_the_joint(plan: Data, rng: random.Random) -> None:
    """A lead was taken up between two strips, as if it had no width."""
    # Take a lead up along the side of its last strip, to join it at its far end.
    room, lead = _choose(plan, rng)
    given(lead.strips)
    strip = room.strips[lead.strips[-1]]
    route = room.data["leads"][lead.id]["route"]
    given(route[-1] == strip.id)
    away = 1 if strip.connected == "start" else -1
    near, far = (strip.start, strip.end) if away == 1 else (strip.end, strip.start)
    aside = rng.choice((-1, 1)) * (strip.width / 2 + rng.uniform(-1.5, 1.5))

    def place(spot: Spot, later: float) -> list[float]:
        return _write(
            (
                spot[0] + later * away * strip.along[0] + aside * strip.across[0],
                spot[1] + later * away * strip.along[1] + aside * strip.across[1],
            )
        )

    route[-1:] = [place(near, -25), place(far, 25), f"{strip.id}.{'end' if away == 1 else 'start'}"]


@mutation("lead-outside-room", "drawn-on-the-wall-line")
def draw_on_wall_line(plan: Data, rng: random.Random) -> None:
    """A lead was drawn on the wall line, half of it in the wall."""
    room, lead = _choose(plan, rng)
    route = room.data["leads"][lead.id]["route"]
    for place, stop in enumerate(route):
        if isinstance(stop, str):
            continue
        bend = Point(mm(stop[0]), mm(stop[1]))
        wall = nearest_points(room.outline.exterior, bend)[0]
        if wall.distance(bend) < 60:
            route[place] = [round(wall.x, 6), round(wall.y, 6)]


@mutation("lead-under-fixture", "screwed-beside-lead")
def screw_beside(plan: Data, rng: random.Random) -> None:
    """A rail was screwed down close beside a lead."""
    room, lead = _choose(plan, rng)
    spot = _beside(room, lead.line, rng, rng.uniform(15, 58))
    _set(room, spot, 20, "fixings")


@mutation("lead-near-heat", "stove-beside-lead")
def set_stove_by_lead(plan: Data, rng: random.Random) -> None:
    """A stove was placed where leads lie in the floor."""
    room, lead = _choose(plan, rng)
    size = rng.choice((60, 120, 240))
    spot = _beside(room, lead.line, rng, rng.uniform(0, 320) + size / 2)
    _set(room, spot, size, "heat source")


def _set(room: Drawn, spot: Spot, size: float, kind: str) -> None:
    at = [round(spot[0] - size / 2, 1), round(spot[1] - size / 2, 1)]
    add(room.data, "fixtures", "set-later", {"at": at, "size": [size, size], "kind": kind})


@mutation("lead-on-lead", "leads-in-one-line")
def draw_in_one_line(plan: Data, rng: random.Random) -> None:
    """Two leads were drawn in one line, as if one groove held both."""
    room = choose_room(plan, rng)
    given(len(room.leads) >= 2)
    one, other = rng.sample(list(room.leads.values()), 2)
    bends = [Point(spot) for spot, strip in one.stops if strip is None]
    route = room.data["leads"][other.id]["route"]
    for place, stop in enumerate(route):
        if isinstance(stop, str) or not bends:
            continue
        near = min(bends, key=Point(mm(stop[0]), mm(stop[1])).distance)
        if near.distance(Point(mm(stop[0]), mm(stop[1]))) < 80:
            route[place] = [near.x, near.y]


@mutation("lead-on-lead", "lead-goes-back")
def go_back(plan: Data, rng: random.Random) -> None:
    """A lead was taken on past where it was needed, and back on itself."""
    room, lead = _choose(plan, rng)
    _beside(room, lead.line, rng, 0.0)  # a lead that goes farther than the box
    route = room.data["leads"][lead.id]["route"]
    place = pick(rng, (at for at, (_, strip) in enumerate(lead.stops) if strip is None and at > 0))
    back = lead.stops[place - 1][0]
    share = rng.uniform(0.2, 0.7)
    (x, y), (bx, by) = lead.stops[place][0], back
    route.insert(place + 1, _write((x + share * (bx - x), y + share * (by - y))))


def _insulation_below(plan: Data, room: Drawn) -> float:
    """Return how thick a room's insulation is, where every layer covers the whole floor."""
    insulation = room.data.get("insulation") or {}
    board = plan["materials"].get("boards", {}).get(insulation.get("board"), {})
    layers = insulation.get("layers") or []
    whole = all("courses" in each and "over" not in each for each in layers)
    given("thickness" in board and whole)
    return max(1, len(layers)) * mm(board["thickness"])


@mutation("lead-thickness", "strand-for-lead")
def measure_strand(plan: Data, rng: random.Random) -> None:
    """Whoever measured the lead measured a strand of it."""
    room, lead = _choose(plan, rng)
    told = room.data["leads"][lead.id]
    given("size" in told)
    told.pop("width", None)
    told["thickness"] = round(rng.uniform(1.0, 1.3), 2)


@mutation("lead-thickness", "thick-cable-for-lead")
def take_thick_lead(plan: Data, rng: random.Random) -> None:
    """A round cable from the van was taken for a lead."""
    room, lead = _choose(plan, rng)
    thickness = _insulation_below(plan, room) + rng.randint(1, 4)
    room.data["leads"][lead.id]["thickness"] = thickness


@mutation("lead-under-nails", "border-nailed")
def nail_border(plan: Data, rng: random.Random) -> None:
    """A border of nailed boards was let into the covering over leads."""
    room, lead = _choose(plan, rng)
    given("covering" in room.data)
    line = lead.line
    if rng.random() < 0.3 and len(room.sensor_way) > 1:
        line = LineString(room.sensor_way)
    for _ in range(20):
        spot = line.interpolate(rng.uniform(5, max(6.0, line.length - 5)))
        if all(strip.shape.distance(spot) > 16 for strip in room.strips.values()):
            break
    else:
        raise UnfitError
    nailed = {
        "kind": "engineered wood", "thickness": 14, "resistance": "0.10 m2 K/W", "fixing": "nailed",
    }  # fmt: skip
    name = add(plan["materials"], "coverings", "border-strip", nailed)
    low, high = (round(spot.x - 11), round(spot.y - 11)), (round(spot.x + 11), round(spot.y + 11))
    over = [[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]]
    room.data["coverings"] = [
        {"covering": name, "over": over},
        {"covering": room.data.pop("covering")},
    ]


@mutation("sensor-way", "screwed-through-conduit")
def screw_through_conduit(plan: Data, rng: random.Random) -> None:
    """Something was fixed to the floor where the sensor's conduit lies."""
    room = choose_room(plan, rng)
    given(len(room.sensor_way) >= 2)
    kind = rng.choice(("fixings", "fixings", "structure", "heat source"))
    off = rng.uniform(0, 60) if kind == "fixings" else rng.uniform(0, 15)
    spot = _beside(room, LineString(room.sensor_way), rng, off)
    _set(room, spot, 20, kind)


@mutation("sensor-way", "conduit-through-the-wall")
def lead_conduit_outside(plan: Data, rng: random.Random) -> None:
    """The sensor's conduit was taken through the wall beside the box."""
    room = choose_room(plan, rng)
    given(len(room.sensor_way) >= 2 and room.box is not None)
    box, sensor = Point(room.box), Point(room.sensor_way[-1])
    far = room.outline.exterior.interpolate(
        room.outline.exterior.project(box) + rng.choice((-1, 1)) * rng.uniform(350, 700)
    )
    off = rng.uniform(-40, 4)
    by = off / math.dist((far.x, far.y), (sensor.x, sensor.y))
    bend = _write((far.x + by * (sensor.x - far.x), far.y + by * (sensor.y - far.y)))
    told = room.data["sensor"]
    told["route"] = ["junction-box", bend]
    told["cable"] = "40 m"


@mutation("sensor-channel", "conduit-too-deep")
def take_thick_conduit(plan: Data, rng: random.Random) -> Caused:
    """A conduit was bought that is deeper than the boards."""
    room = choose_room(plan, rng)
    given((room.data.get("sensor") or {}).get("channel"))
    depth = _insulation_below(plan, room) + rng.randint(1, 6)
    sensor = room.data["sensor"]
    sensor["conduit"] = {**(sensor.get("conduit") or {"width": 12}), "depth": depth}
    sensor["channel"] = {"width": 13, **sensor["channel"], "depth": depth}
    sensor["channel"]["cut_into"] = "insulation"
    return cause("sensor-channel", room.id, severity="warning")
