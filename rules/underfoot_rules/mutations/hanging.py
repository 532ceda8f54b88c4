"""Boxes and thermostats hung where they get hot, read wrong or cannot be reached."""

from __future__ import annotations

import random

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import choose_room, choose_strip, damages, new_id
from underfoot_rules.mutations.drawn import Drawn, Spot


def _choose(data: Data, rng: random.Random) -> tuple[Data, Drawn] | None:
    """Choose a room with a box, and write where its thermostat hangs and cable enough."""
    chosen = choose_room(data, rng)
    if chosen is None or chosen[1].box is None:
        return None
    room = chosen[1]
    thermostat = room.data.get("thermostat")
    if thermostat and "at" not in thermostat and "room" not in thermostat:
        thermostat["at"] = list(room.box or ())
    if room.data.get("sensor"):
        room.data["sensor"]["cable"] = "40 m"
    return chosen


def _set_box(data: Data, rng: random.Random, height: float | None) -> Damaged | None:
    chosen = _choose(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    strip = choose_strip(room, rng)
    off = rng.randint(5, 40)
    x, y = rng.choice((strip.start, strip.end))
    way = -1 if (x, y) == strip.start else 1
    spot = (x + way * off * strip.along[0], y + way * off * strip.along[1])
    if rng.random() < 0.5:  # in the middle of the floor
        share = rng.uniform(0.2, 0.8)
        (x, y), (end_x, end_y) = strip.start, strip.end
        spot = (x + share * (end_x - x), y + share * (end_y - y))
    told = room.data["junction_box"]
    told["at"] = [round(spot[0], 1), round(spot[1], 1)]
    told.pop("height", None)
    if height is not None:
        told["height"] = height
    return Damaged(data=plan)


def lay_box_in_floor(data: Data, rng: random.Random) -> Damaged | None:
    """Lay the junction box in the floor where the strips end or between them."""
    return _set_box(data, rng, rng.choice((None, 0, 20, 45)))


def hang_box_on_nothing(data: Data, rng: random.Random) -> Damaged | None:
    """Draw the box at its usual height where no wall is."""
    return _set_box(data, rng, 450)


@damages(_choose)
def hang_box_low(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Hang the box right above the floor."""
    room.data["junction_box"]["height"] = rng.randint(0, 49)
    return Damaged(data=plan)


@damages(_choose)
def hang_box_above_ceiling(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Put the box in the loft, where the cable comes from."""
    room.data["height"] = 2400
    room.data["junction_box"]["height"] = 2400 + rng.randint(0, 500)
    return Damaged(data=plan)


def _stand(room: Drawn, rng: random.Random, spot: Spot, told: Data, off: float) -> str:
    """Stand a fixture at most `off` beside a spot, or on it."""
    size = rng.choice((120, 300, 500))
    shift = [rng.uniform(-off, off) - size / 2 for _ in range(2)]
    name = new_id(room.data, "fixtures", "thing-added")
    room.data.setdefault("fixtures", {})[name] = {
        "at": [round(spot[0] + shift[0]), round(spot[1] + shift[1])],
        "size": [size, size],
        **told,
    }
    return name


@damages(_choose)
def stand_stove_by_box(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Set a stove before the box, or nearer to it than its maker allows."""
    told: Data = {"kind": "heat source"}
    if rng.random() < 0.5:
        told["clearance"] = rng.choice((200, 400))
    _stand(room, rng, room.box or (0, 0), told, 200)
    return Damaged(data=plan)


@damages(_choose)
def stand_wardrobe_before_box(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Stand a wardrobe on the floor before the box."""
    told: Data = {"kind": "floor-mounted"}
    if rng.random() < 0.5:
        told["height"] = rng.choice((900, 2000))
    _stand(room, rng, room.box or (0, 0), told, 100)
    return Damaged(data=plan)


def hang_thermostat_on_nothing(data: Data, rng: random.Random) -> Damaged | None:
    """Draw the thermostat over the floor, or beside the room."""
    chosen = _choose(data, rng)
    if chosen is None or not chosen[1].data.get("thermostat"):
        return None
    plan, room = chosen
    thermostat = room.data["thermostat"]
    if "room" in thermostat:
        return None
    strip = choose_strip(room, rng)
    x, y = strip.start
    _, low_y, high_x, _ = room.outline.bounds
    spot = rng.choice(((x + 90, y + 110), (high_x + 900, y), (x, low_y - 3000)))
    thermostat["at"] = [round(spot[0], 1), round(spot[1], 1)]
    return Damaged(data=plan)


def stand_stove_by_thermostat(data: Data, rng: random.Random) -> Damaged | None:
    """Set a stove below or beside the thermostat."""
    return _by_thermostat(data, rng, {"kind": "heat source"}, 450)


def hide_thermostat(data: Data, rng: random.Random) -> Damaged | None:
    """Stand a wardrobe before the thermostat."""
    return _by_thermostat(data, rng, {"kind": "floor-mounted", "height": 2000}, 100)


def _by_thermostat(data: Data, rng: random.Random, told: Data, off: float) -> Damaged | None:
    chosen = _choose(data, rng)
    thermostat = chosen[1].data.get("thermostat") if chosen is not None else None
    if chosen is None or not thermostat or "room" in thermostat:
        return None
    plan, room = chosen
    spot = (float(thermostat["at"][0]), float(thermostat["at"][1]))
    _stand(room, rng, spot, told, off)
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="box-place", name="box-in-the-floor",
             says="The box was laid where the leads end, to save a channel in the wall.",
             apply=lay_box_in_floor),
    Mutation(rule="box-place", name="stove-by-the-box",
             says="A stove was set where the box already was.", apply=stand_stove_by_box),
    Mutation(rule="box-reach", name="box-on-nothing",
             says="The box was measured from the wrong corner and hangs on no wall.",
             apply=hang_box_on_nothing),
    Mutation(rule="box-reach", name="box-by-the-skirting",
             says="The box was hung right above the floor.", apply=hang_box_low),
    Mutation(rule="box-reach", name="box-in-the-loft",
             says="The box was put where the cable comes from, above the ceiling.",
             apply=hang_box_above_ceiling),
    Mutation(rule="box-reach", name="wardrobe-before-the-box",
             says="A wardrobe was planned where the box already was.",
             apply=stand_wardrobe_before_box),
    Mutation(rule="thermostat-place", name="thermostat-on-nothing",
             says="The thermostat was drawn where no wall is, or beside the room.",
             apply=hang_thermostat_on_nothing),
    Mutation(rule="thermostat-place", name="stove-by-the-thermostat",
             says="A stove was set below the thermostat.", apply=stand_stove_by_thermostat),
    Mutation(rule="thermostat-place", name="wardrobe-before-the-thermostat",
             says="A wardrobe was planned where the thermostat hangs.", apply=hide_thermostat),
)  # fmt: skip
