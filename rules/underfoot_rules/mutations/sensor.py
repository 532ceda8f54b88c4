"""Floor sensors left out, set in the wrong place, or led the wrong way."""

from __future__ import annotations

import math
import random
from typing import Any

from shapely import Point

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import (
    cause,
    choose_room,
    choose_strip,
    damages,
    heated_rooms,
    lose_room_thing,
    new_id,
)
from underfoot_rules.mutations.drawn import Drawn, Spot, cable_needed
from underfoot_rules.mutations.expand_rows import copy_plan, mm


def forget_sensor(data: Data, rng: random.Random) -> Damaged | None:
    """Leave the sensor out."""
    lost = lose_room_thing(data, rng, "sensor")
    return cause(lost[0], "sensor-missing", lost[1], severity="error") if lost else None


def _choose(data: Data, rng: random.Random) -> tuple[Data, Drawn] | None:
    chosen = choose_room(data, rng)
    return chosen if chosen is not None and chosen[1].sensor is not None else None


@damages(_choose)
def set_on_seam(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Set the sensor right below the seam of two strips, or a few millimetres beside it."""
    strip = choose_strip(room, rng)
    aside = strip.width / 2 + rng.choice((0, 1, -3, 5))
    (x, y), (end_x, end_y) = strip.start, strip.end
    share = rng.uniform(0.2, 0.8)
    room.data["sensor"]["at"] = [
        round(x + share * (end_x - x) + aside * strip.across[0], 4),
        round(y + share * (end_y - y) + aside * strip.across[1], 4),
    ]
    return Damaged(data=plan)


def _write(spot: Spot) -> list[float]:
    return [round(spot[0], 1), round(spot[1], 1)]


@damages(_choose)
def set_beside_strips(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Set the sensor in the border beyond a strip's end."""
    strip = choose_strip(room, rng)
    ends = ((strip.start, -1), (strip.end, 1))
    (x, y), way = rng.choice(ends)
    off = way * rng.randint(10, 50)
    room.data["sensor"]["at"] = _write((x + off * strip.along[0], y + off * strip.along[1]))
    return Damaged(data=plan)


@damages(_choose)
def set_near_edge(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Set the sensor below a strip, too near to the edge of the heated floor."""
    room.data["sensor"]["at"] = _write(_point_under(room, rng))
    return Damaged(data=plan)


def _point_under(room: Drawn, rng: random.Random) -> Spot:
    strip = choose_strip(room, rng)
    later = rng.uniform(20, strip.length - 20) - strip.length / 2
    aside = rng.uniform(20, strip.width - 20) - strip.width / 2
    x = (strip.start[0] + strip.end[0]) / 2 + later * strip.along[0] + aside * strip.across[0]
    y = (strip.start[1] + strip.end[1]) / 2 + later * strip.along[1] + aside * strip.across[1]
    return x, y


def cut_channel_small(data: Data, rng: random.Random) -> Damaged | None:
    """Cut the channel too narrow or too shallow, or take a wider conduit."""
    plan = copy_plan(data)
    rooms = [n for n in heated_rooms(plan) if (plan["rooms"][n].get("sensor") or {}).get("channel")]
    if not rooms:
        return None
    room = rng.choice(rooms)
    sensor = plan["rooms"][room]["sensor"]
    change = rng.choice(("width", "depth", "conduit"))
    if change == "width":
        sensor["channel"]["width"] = rng.randint(8, 12)
    elif change == "depth":
        sensor["channel"]["depth"] = rng.randint(3, 6)
    else:
        sensor["conduit"] = {"width": 12 + rng.randint(4, 9), "depth": 7}
        if mm(sensor["channel"].get("width", 13)) > 15:
            return None
    return cause(plan, "sensor-channel", room, severity="warning")


def cut_channel_deep(data: Data, rng: random.Random) -> Damaged | None:
    """Cut the channel deeper than the insulation and say nothing of the subfloor."""
    plan = copy_plan(data)
    found = []
    for room in heated_rooms(plan):
        told = plan["rooms"][room]
        insulation = told.get("insulation") or {}
        layers = insulation.get("layers") or []
        if (
            (told.get("sensor") or {}).get("channel")
            and "board" in insulation
            and all("courses" in layer and "over" not in layer for layer in layers)
        ):
            board = plan["materials"]["boards"][insulation["board"]]
            found.append((room, len(layers) * mm(board["thickness"])))
    if not found:
        return None
    room, thickness = rng.choice(found)
    channel = plan["rooms"][room]["sensor"]["channel"]
    channel["depth"] = thickness + rng.randint(1, 10)
    channel["cut_into"] = "insulation"
    return cause(plan, "sensor-channel", room, severity="note")


def buy_short_cable(data: Data, rng: random.Random) -> Damaged | None:
    """Buy a sensor cable that ends short of the thermostat."""
    chosen = _choose(data, rng)
    need = cable_needed(chosen[1]) if chosen is not None else None
    if chosen is None or need is None:
        return None
    plan, room = chosen
    room.data["sensor"]["cable"] = round(need - rng.choice((10, 100, 400, 900)))
    return cause(plan, "sensor-cable-reach", room.id, severity="error")


def lead_beside_lead(data: Data, rng: random.Random) -> Damaged | None:
    """Take the sensor's conduit along the border beside a lead, or across one."""
    chosen = _choose(data, rng)
    if chosen is None or not chosen[1].leads:
        return None
    plan, room = chosen
    line = rng.choice(list(room.leads.values())).line
    if line.length < 900:
        return None
    first, last = line.interpolate(200), line.interpolate(rng.uniform(700, line.length - 50))
    bends: list[Any] = [first]
    bends += [Point(c) for c in line.coords if 200 < line.project(Point(c)) < line.project(last)]
    bends.append(last)
    off = rng.uniform(15, 35), rng.uniform(15, 35)
    sensor = room.data["sensor"]
    sensor["route"] = ["junction-box", *(_write((p.x + off[0], p.y + off[1])) for p in bends)]
    sensor["cable"] = "30 m"
    return Damaged(data=plan)


def cross_lead(data: Data, rng: random.Random) -> Damaged | None:
    """Take the sensor's conduit out over a lead and back."""
    chosen = _choose(data, rng)
    if chosen is None or not chosen[1].leads:
        return None
    plan, room = chosen
    line = rng.choice(list(room.leads.values())).line
    spot = line.interpolate(rng.uniform(0.3, 0.95), normalized=True)
    sensor = room.data["sensor"]
    x, y = room.sensor or (0.0, 0.0)
    far = math.dist((x, y), (spot.x, spot.y))
    if far < 50:
        return None
    beyond = rng.uniform(12, 25) / far
    sensor["route"] = [
        *sensor.get("route", ["junction-box"]),
        _write((x + rng.uniform(30, 90), y + rng.uniform(30, 90))),
        _write((spot.x + (spot.x - x) * beyond, spot.y + (spot.y - y) * beyond)),
    ]
    sensor["cable"] = "40 m"
    return Damaged(data=plan)


@damages(_choose)
def set_by_stove(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Set the sensor below a strip beside a heat source."""
    hot = [f.shape for f in room.fixtures.values() if f.kind == "heat source"]
    if not hot:
        return None
    for _ in range(40):
        spot = _point_under(room, rng)
        if any(shape.distance(Point(spot)) < 290 for shape in hot):
            room.data["sensor"]["at"] = _write(spot)
            return Damaged(data=plan)
    return None


def set_stove_by_sensor(data: Data, rng: random.Random) -> Damaged | None:
    """Add a stove beside the sensor."""
    return _add_by_sensor(data, rng, {"kind": "heat source"}, rng.uniform(180, 350))


def _add_by_sensor(data: Data, rng: random.Random, told: Data, off: float) -> Damaged | None:
    chosen = _choose(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    x, y = room.sensor or (0.0, 0.0)
    turn = rng.uniform(0, 2 * math.pi)
    size = rng.choice((160, 240, 320))
    at = [
        round(x + off * math.cos(turn) - size / 2),
        round(y + off * math.sin(turn) - size / 2),
    ]
    name = new_id(room.data, "fixtures", "thing-added")
    room.data.setdefault("fixtures", {})[name] = {"at": at, "size": [size, size], **told}
    return Damaged(data=plan)


def stand_on_sensor(data: Data, rng: random.Random) -> Damaged | None:
    """Stand a cabinet on the floor over the sensor."""
    return _add_by_sensor(data, rng, {"kind": "floor-mounted"}, rng.uniform(0, 60))


def cover_sensor(data: Data, rng: random.Random) -> Damaged | None:
    """Set furniture on short legs over the sensor."""
    low = {"kind": "on legs", "clear": rng.randint(10, 55)}
    return _add_by_sensor(data, rng, low, rng.uniform(0, 60))


@damages(_choose)
def set_under_fixture(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Set the sensor below a fixture that stands on the floor."""
    standing = [f for f in room.fixtures.values() if f.stands]
    if not standing:
        return None
    spot = rng.choice(standing).shape.representative_point()
    room.data["sensor"]["at"] = _write((spot.x, spot.y))
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(
        rule="sensor-missing",
        name="sensor-forgotten",
        says="Nobody drew a floor sensor.",
        apply=forget_sensor,
    ),
    Mutation(
        rule="sensor-under-element",
        name="sensor-in-the-border",
        says="The sensor was set in the border, where no strip lies over it.",
        apply=set_beside_strips,
    ),
    Mutation(
        rule="sensor-depth",
        name="sensor-near-the-edge",
        says="The sensor was set just under the edge of the heated floor, for a short way.",
        apply=set_near_edge,
    ),
    Mutation(
        rule="sensor-seam",
        name="sensor-on-the-seam",
        says="The sensor was set where two strips meet, as the channel was cut there.",
        apply=set_on_seam,
    ),
    Mutation(
        rule="sensor-channel",
        name="channel-too-small",
        says="The channel was cut for a smaller conduit than the one bought.",
        apply=cut_channel_small,
    ),
    Mutation(
        rule="sensor-channel",
        name="channel-too-deep",
        says="The channel was cut through the insulation, and the slab was not mentioned.",
        apply=cut_channel_deep,
    ),
    Mutation(
        rule="sensor-cable-reach",
        name="cable-too-short",
        says="The sensor's cable was bought by the plan's distance, without the way up the wall.",
        apply=buy_short_cable,
    ),
    Mutation(
        rule="sensor-near-lead",
        name="conduit-beside-lead",
        says="The sensor's conduit was laid in the border beside the leads.",
        apply=lead_beside_lead,
    ),
    Mutation(
        rule="sensor-near-lead",
        name="conduit-across-lead",
        says="The sensor's conduit was taken across a lead.",
        apply=cross_lead,
    ),
    Mutation(
        rule="sensor-near-heat",
        name="sensor-by-the-stove",
        says="The sensor was set by the stove.",
        apply=set_by_stove,
    ),
    Mutation(
        rule="sensor-near-heat",
        name="stove-by-the-sensor",
        says="A stove was placed by the sensor after the floor was drawn.",
        apply=set_stove_by_sensor,
    ),
    Mutation(
        rule="sensor-covered",
        name="cabinet-over-sensor",
        says="A cabinet was placed right over the sensor.",
        apply=stand_on_sensor,
    ),
    Mutation(
        rule="sensor-covered",
        name="low-furniture-over-sensor",
        says="Furniture with hardly any legs was placed over the sensor.",
        apply=cover_sensor,
    ),
    Mutation(
        rule="sensor-covered",
        name="sensor-under-fixture",
        says="The sensor was set below what stands on the floor.",
        apply=set_under_fixture,
    ),
)
