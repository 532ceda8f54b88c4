"""Floor sensors left out, set in the wrong place, or led the wrong way."""

import math
import random
from typing import Any

from shapely import Point

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import (
    choose_room,
    choose_strip,
    heated_rooms,
    lose_room_thing,
    stand,
)
from underfoot_rules.mutations.damaging import Caused, UnfitError, cause, given, mutation, pick
from underfoot_rules.mutations.drawn import Drawn, Spot, cable_needed
from underfoot_rules.mutations.expand_rows import mm


@mutation("sensor-missing", "sensor-forgotten")
def forget_sensor(plan: Data, rng: random.Random) -> Caused:
    """Nobody drew a floor sensor."""
    return cause("sensor-missing", lose_room_thing(plan, rng, "sensor"), severity="error")


def _choose(plan: Data, rng: random.Random) -> Drawn:
    room = choose_room(plan, rng)
    given(room.sensor)
    return room


@mutation("sensor-under-element", "sensor-in-the-border")
def set_beside_strips(plan: Data, rng: random.Random) -> None:
    """The sensor was set in the border, where no strip lies over it."""
    room = _choose(plan, rng)
    strip = choose_strip(room, rng)
    ends = ((strip.start, -1), (strip.end, 1))
    (x, y), way = rng.choice(ends)
    off = way * rng.randint(10, 50)
    room.data["sensor"]["at"] = _write((x + off * strip.along[0], y + off * strip.along[1]))


def _write(spot: Spot) -> list[float]:
    return [round(spot[0], 1), round(spot[1], 1)]


@mutation("sensor-depth", "sensor-near-the-edge")
def set_near_edge(plan: Data, rng: random.Random) -> None:
    """The sensor was set just under the edge of the heated floor, for a short way."""
    room = _choose(plan, rng)
    room.data["sensor"]["at"] = _write(_point_under(room, rng))


@mutation("sensor-seam", "sensor-on-the-seam")
def set_on_seam(plan: Data, rng: random.Random) -> None:
    """The sensor was set where two strips meet, as the channel was cut there."""
    # Set the sensor right below the seam of two strips, or a few millimetres beside it.
    room = _choose(plan, rng)
    strip = choose_strip(room, rng)
    aside = strip.width / 2 + rng.choice((0, 1, -3, 5))
    (x, y), (end_x, end_y) = strip.start, strip.end
    share = rng.uniform(0.2, 0.8)
    room.data["sensor"]["at"] = [
        round(x + share * (end_x - x) + aside * strip.across[0], 4),
        round(y + share * (end_y - y) + aside * strip.across[1], 4),
    ]


def _point_under(room: Drawn, rng: random.Random) -> Spot:
    strip = choose_strip(room, rng)
    later = rng.uniform(20, strip.length - 20) - strip.length / 2
    aside = rng.uniform(20, strip.width - 20) - strip.width / 2
    x = (strip.start[0] + strip.end[0]) / 2 + later * strip.along[0] + aside * strip.across[0]
    y = (strip.start[1] + strip.end[1]) / 2 + later * strip.along[1] + aside * strip.across[1]
    return x, y


@mutation("sensor-channel", "channel-too-small")
def cut_channel_small(plan: Data, rng: random.Random) -> Caused:
    """The channel was cut for a smaller conduit than the one bought."""
    rooms = [n for n in heated_rooms(plan) if (plan["rooms"][n].get("sensor") or {}).get("channel")]
    room = pick(rng, rooms)
    sensor = plan["rooms"][room]["sensor"]
    change = rng.choice(("width", "depth", "conduit"))
    if change == "width":
        sensor["channel"]["width"] = rng.randint(8, 12)
    elif change == "depth":
        sensor["channel"]["depth"] = rng.randint(3, 6)
    else:
        sensor["conduit"] = {"width": 12 + rng.randint(4, 9), "depth": 7}
        given(mm(sensor["channel"].get("width", 13)) <= 15)
    return cause("sensor-channel", room, severity="warning")


@mutation("sensor-channel", "channel-too-deep")
def cut_channel_deep(plan: Data, rng: random.Random) -> Caused:
    """The channel was cut through the insulation, and the slab was not mentioned."""
    # Cut the channel deeper than the insulation and say nothing of the subfloor.
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
    room, thickness = pick(rng, found)
    channel = plan["rooms"][room]["sensor"]["channel"]
    channel["depth"] = thickness + rng.randint(1, 10)
    channel["cut_into"] = "insulation"
    return cause("sensor-channel", room, severity="note")


@mutation("sensor-cable-reach", "cable-too-short")
def buy_short_cable(plan: Data, rng: random.Random) -> Caused:
    """The sensor's cable was bought by the plan's distance, without the way up the wall."""
    room = _choose(plan, rng)
    need = given(cable_needed(room))
    room.data["sensor"]["cable"] = round(need - rng.choice((10, 100, 400, 900)))
    return cause("sensor-cable-reach", room.id, severity="error")


@mutation("sensor-near-lead", "conduit-beside-lead")
def lead_beside_lead(plan: Data, rng: random.Random) -> None:
    """The sensor's conduit was laid in the border beside the leads."""
    room = _choose(plan, rng)
    line = pick(rng, room.leads.values()).line
    given(line.length >= 900)
    first, last = line.interpolate(200), line.interpolate(rng.uniform(700, line.length - 50))
    bends: list[Any] = [first]
    bends += [Point(c) for c in line.coords if 200 < line.project(Point(c)) < line.project(last)]
    bends.append(last)
    off = rng.uniform(15, 35), rng.uniform(15, 35)
    sensor = room.data["sensor"]
    sensor["route"] = ["junction-box", *(_write((p.x + off[0], p.y + off[1])) for p in bends)]
    sensor["cable"] = "30 m"


@mutation("sensor-near-lead", "conduit-across-lead")
def cross_lead(plan: Data, rng: random.Random) -> None:
    """The sensor's conduit was taken across a lead."""
    room = _choose(plan, rng)
    line = pick(rng, room.leads.values()).line
    spot = line.interpolate(rng.uniform(0.3, 0.95), normalized=True)
    sensor = room.data["sensor"]
    x, y = room.sensor or (0.0, 0.0)
    far = math.dist((x, y), (spot.x, spot.y))
    given(far >= 50)
    beyond = rng.uniform(12, 25) / far
    sensor["route"] = [
        *sensor.get("route", ["junction-box"]),
        _write((x + rng.uniform(30, 90), y + rng.uniform(30, 90))),
        _write((spot.x + (spot.x - x) * beyond, spot.y + (spot.y - y) * beyond)),
    ]
    sensor["cable"] = "40 m"


@mutation("sensor-near-heat", "sensor-by-the-stove")
def set_by_stove(plan: Data, rng: random.Random) -> None:
    """The sensor was set by the stove."""
    room = _choose(plan, rng)
    hot = [f.shape for f in room.fixtures.values() if f.kind == "heat source"]
    given(hot)
    for _ in range(40):
        spot = _point_under(room, rng)
        if any(shape.distance(Point(spot)) < 290 for shape in hot):
            room.data["sensor"]["at"] = _write(spot)
            return
    raise UnfitError


@mutation("sensor-near-heat", "stove-by-the-sensor")
def set_stove_by_sensor(plan: Data, rng: random.Random) -> None:
    """A stove was placed by the sensor after the floor was drawn."""
    _add_by_sensor(plan, rng, {"kind": "heat source"}, rng.uniform(180, 350))


def _add_by_sensor(plan: Data, rng: random.Random, told: Data, off: float) -> None:
    room = _choose(plan, rng)
    x, y = room.sensor or (0.0, 0.0)
    turn = rng.uniform(0, 2 * math.pi)
    size = rng.choice((160, 240, 320))
    spot = x + off * math.cos(turn), y + off * math.sin(turn)
    stand(room.data, "thing-added", spot, (size, size), told)


@mutation("sensor-covered", "cabinet-over-sensor")
def stand_on_sensor(plan: Data, rng: random.Random) -> None:
    """A cabinet was placed right over the sensor."""
    _add_by_sensor(plan, rng, {"kind": "floor-mounted"}, rng.uniform(0, 60))


@mutation("sensor-covered", "low-furniture-over-sensor")
def cover_sensor(plan: Data, rng: random.Random) -> None:
    """Furniture with hardly any legs was placed over the sensor."""
    low = {"kind": "on legs", "clear": rng.randint(10, 55)}
    _add_by_sensor(plan, rng, low, rng.uniform(0, 60))


@mutation("sensor-covered", "sensor-under-fixture")
def set_under_fixture(plan: Data, rng: random.Random) -> None:
    """The sensor was set below what stands on the floor."""
    room = _choose(plan, rng)
    spot = pick(rng, (f for f in room.fixtures.values() if f.stands)).shape.representative_point()
    room.data["sensor"]["at"] = _write((spot.x, spot.y))
