"""Leads and conduits drawn as if they had no width, and what was set in their way later."""

from __future__ import annotations

import math
import random
from typing import Any

from shapely import LineString, Point
from shapely.ops import nearest_points

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import cause, choose_room, damages, new_id
from underfoot_rules.mutations.drawn import Drawn, Lead, Spot
from underfoot_rules.mutations.expand_rows import mm


def _choose(data: Data, rng: random.Random) -> tuple[Data, Drawn, Lead] | None:
    """Choose a room and one of its leads."""
    chosen = choose_room(data, rng)
    if chosen is None or not chosen[1].leads:
        return None
    plan, room = chosen
    return plan, room, rng.choice(list(room.leads.values()))


def _write(spot: Spot) -> list[float]:
    return [round(spot[0], 3), round(spot[1], 3)]


def _beside(room: Drawn, line: Any, rng: random.Random, off: float) -> Spot | None:
    """Choose a spot so far beside a line, 350 mm or more from the box."""
    for _ in range(20):
        far = rng.uniform(5, max(6.0, line.length - 5))
        spot, before = line.interpolate(far), line.interpolate(far - 1)
        if room.box is not None and spot.distance(Point(room.box)) < 350:
            continue
        side = rng.choice((-off, off))
        return spot.x - side * (spot.y - before.y), spot.y + side * (spot.x - before.x)
    return None


def lead_up_the_joint(data: Data, rng: random.Random) -> Damaged | None:
    """Take a lead up along the side of its last strip, to join it at its far end."""
    chosen = _choose(data, rng)
    if chosen is None or not chosen[2].strips:
        return None
    plan, room, lead = chosen
    strip = room.strips[lead.strips[-1]]
    route = room.data["leads"][lead.id]["route"]
    if route[-1] != strip.id:
        return None
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
    return Damaged(data=plan)


@damages(_choose)
def draw_on_wall_line(plan: Data, room: Drawn, lead: Lead, rng: random.Random) -> Damaged | None:
    """Draw a lead on the wall line instead of beside it."""
    route = room.data["leads"][lead.id]["route"]
    for place, stop in enumerate(route):
        if isinstance(stop, str):
            continue
        bend = Point(mm(stop[0]), mm(stop[1]))
        wall = nearest_points(room.outline.exterior, bend)[0]
        if wall.distance(bend) < 60:
            route[place] = [round(wall.x, 6), round(wall.y, 6)]
    return Damaged(data=plan)


@damages(_choose)
def screw_beside(plan: Data, room: Drawn, lead: Lead, rng: random.Random) -> Damaged | None:
    """Screw a rail down close beside a lead."""
    spot = _beside(room, lead.line, rng, rng.uniform(15, 58))
    return None if spot is None else _set(plan, room, spot, 20, "fixings")


@damages(_choose)
def set_stove_by_lead(plan: Data, room: Drawn, lead: Lead, rng: random.Random) -> Damaged | None:
    """Set a heat source beside a lead, or over it."""
    size = rng.choice((60, 120, 240))
    spot = _beside(room, lead.line, rng, rng.uniform(0, 320) + size / 2)
    return None if spot is None else _set(plan, room, spot, size, "heat source")


def _set(plan: Data, room: Drawn, spot: Spot, size: float, kind: str) -> Damaged | None:
    name = new_id(room.data, "fixtures", "set-later")
    at = [round(spot[0] - size / 2, 1), round(spot[1] - size / 2, 1)]
    fixtures = room.data.setdefault("fixtures", {})
    fixtures[name] = {"at": at, "size": [size, size], "kind": kind}
    return Damaged(data=plan)


def draw_in_one_line(data: Data, rng: random.Random) -> Damaged | None:
    """Draw two leads in one line, as if they were one."""
    chosen = choose_room(data, rng)
    if chosen is None or len(chosen[1].leads) < 2:
        return None
    plan, room = chosen
    one, other = rng.sample(list(room.leads.values()), 2)
    bends = [Point(spot) for spot, strip in one.stops if strip is None]
    route = room.data["leads"][other.id]["route"]
    for place, stop in enumerate(route):
        if isinstance(stop, str) or not bends:
            continue
        near = min(bends, key=Point(mm(stop[0]), mm(stop[1])).distance)
        if near.distance(Point(mm(stop[0]), mm(stop[1]))) < 80:
            route[place] = [near.x, near.y]
    return Damaged(data=plan)


@damages(_choose)
def go_back(plan: Data, room: Drawn, lead: Lead, rng: random.Random) -> Damaged | None:
    """Take a lead on past a bend, and back the same way."""
    spot = _beside(room, lead.line, rng, 0.0)
    if spot is None:
        return None
    route = room.data["leads"][lead.id]["route"]
    bends = [at for at, (_, strip) in enumerate(lead.stops) if strip is None and at > 0]
    if not bends:
        return None
    place = rng.choice(bends)
    back = lead.stops[place - 1][0]
    share = rng.uniform(0.2, 0.7)
    (x, y), (bx, by) = lead.stops[place][0], back
    route.insert(place + 1, _write((x + share * (bx - x), y + share * (by - y))))
    return Damaged(data=plan)


def _insulation_below(plan: Data, room: Drawn) -> float | None:
    """Return how thick a room's insulation is, where every layer covers the whole floor."""
    insulation = room.data.get("insulation") or {}
    board = plan["materials"].get("boards", {}).get(insulation.get("board"), {})
    layers = insulation.get("layers") or []
    whole = all("courses" in each and "over" not in each for each in layers)
    if "thickness" not in board or not whole:
        return None
    return max(1, len(layers)) * mm(board["thickness"])


@damages(_choose)
def take_thick_lead(plan: Data, room: Drawn, lead: Lead, rng: random.Random) -> Damaged | None:
    """Take a round cable, thicker than the insulation, for a lead."""
    deep = _insulation_below(plan, room)
    if deep is None:
        return None
    room.data["leads"][lead.id]["thickness"] = deep + rng.randint(1, 4)
    return Damaged(data=plan)


@damages(_choose)
def measure_strand(plan: Data, room: Drawn, lead: Lead, rng: random.Random) -> Damaged | None:
    """Write down as the thickness of a lead what one strand of it has."""
    told = room.data["leads"][lead.id]
    if "size" not in told:
        return None
    told.pop("width", None)
    told["thickness"] = round(rng.uniform(1.0, 1.3), 2)
    return Damaged(data=plan)


def nail_border(data: Data, rng: random.Random) -> Damaged | None:
    """Let a border of nailed boards into the covering where leads or conduit lie."""
    chosen = _choose(data, rng)
    if chosen is None or "covering" not in chosen[1].data:
        return None
    plan, room, lead = chosen
    line = lead.line
    if rng.random() < 0.3 and len(room.sensor_way) > 1:
        line = LineString(room.sensor_way)
    for _ in range(20):
        spot = line.interpolate(rng.uniform(5, max(6.0, line.length - 5)))
        if all(strip.shape.distance(spot) > 16 for strip in room.strips.values()):
            break
    else:
        return None
    name = new_id(plan["materials"], "coverings", "border-strip")
    plan["materials"].setdefault("coverings", {})[name] = {
        "kind": "engineered wood", "thickness": 14, "resistance": "0.10 m2 K/W", "fixing": "nailed",
    }  # fmt: skip
    low, high = (round(spot.x - 11), round(spot.y - 11)), (round(spot.x + 11), round(spot.y + 11))
    over = [[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]]
    room.data["coverings"] = [
        {"covering": name, "over": over},
        {"covering": room.data.pop("covering")},
    ]
    return Damaged(data=plan)


def screw_through_conduit(data: Data, rng: random.Random) -> Damaged | None:
    """Set a rail, a post or a stove on the way of the sensor's conduit, or close to it."""
    chosen = choose_room(data, rng)
    if chosen is None or len(chosen[1].sensor_way) < 2:
        return None
    plan, room = chosen
    kind = rng.choice(("fixings", "fixings", "structure", "heat source"))
    off = rng.uniform(0, 60) if kind == "fixings" else rng.uniform(0, 15)
    spot = _beside(room, LineString(room.sensor_way), rng, off)
    return None if spot is None else _set(plan, room, spot, 20, kind)


def lead_conduit_outside(data: Data, rng: random.Random) -> Damaged | None:
    """Draw the sensor's conduit round through the wall beside the box."""
    chosen = choose_room(data, rng)
    if chosen is None or len(chosen[1].sensor_way) < 2 or chosen[1].box is None:
        return None
    plan, room = chosen
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
    return Damaged(data=plan)


def take_thick_conduit(data: Data, rng: random.Random) -> Damaged | None:
    """Take a conduit deeper than the insulation that its channel is cut into."""
    chosen = choose_room(data, rng)
    if chosen is None or not (chosen[1].data.get("sensor") or {}).get("channel"):
        return None
    plan, room = chosen
    deep = _insulation_below(plan, room)
    if deep is None:
        return None
    depth = deep + rng.randint(1, 6)
    sensor = room.data["sensor"]
    sensor["conduit"] = {**(sensor.get("conduit") or {"width": 12}), "depth": depth}
    sensor["channel"] = {"width": 13, **sensor["channel"], "depth": depth}
    sensor["channel"]["cut_into"] = "insulation"
    return cause(plan, "sensor-channel", room.id, severity="warning")


MUTATIONS = (
    Mutation(rule="lead-under-element", name="up-the-joint",
             says="A lead was taken up between two strips, as if it had no width.",
             apply=lead_up_the_joint),
    Mutation(rule="lead-outside-room", name="drawn-on-the-wall-line",
             says="A lead was drawn on the wall line, half of it in the wall.",
             apply=draw_on_wall_line),
    Mutation(rule="lead-under-fixture", name="screwed-beside-lead",
             says="A rail was screwed down close beside a lead.", apply=screw_beside),
    Mutation(rule="lead-near-heat", name="stove-beside-lead",
             says="A stove was placed where leads lie in the floor.", apply=set_stove_by_lead),
    Mutation(rule="lead-on-lead", name="leads-in-one-line",
             says="Two leads were drawn in one line, as if one groove held both.",
             apply=draw_in_one_line),
    Mutation(rule="lead-on-lead", name="lead-goes-back",
             says="A lead was taken on past where it was needed, and back on itself.",
             apply=go_back),
    Mutation(rule="lead-thickness", name="strand-for-lead",
             says="Whoever measured the lead measured a strand of it.", apply=measure_strand),
    Mutation(rule="lead-thickness", name="thick-cable-for-lead",
             says="A round cable from the van was taken for a lead.", apply=take_thick_lead),
    Mutation(rule="lead-under-nails", name="border-nailed",
             says="A border of nailed boards was let into the covering over leads.",
             apply=nail_border),
    Mutation(rule="sensor-way", name="screwed-through-conduit",
             says="Something was fixed to the floor where the sensor's conduit lies.",
             apply=screw_through_conduit),
    Mutation(rule="sensor-way", name="conduit-through-the-wall",
             says="The sensor's conduit was taken through the wall beside the box.",
             apply=lead_conduit_outside),
    Mutation(rule="sensor-channel", name="conduit-too-deep",
             says="A conduit was bought that is deeper than the boards.", apply=take_thick_conduit),
)  # fmt: skip
