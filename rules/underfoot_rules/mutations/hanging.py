"""Boxes and thermostats hung where they get hot, read wrong or cannot be reached."""

import random

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import add, choose_room, choose_strip, place_thermostat
from underfoot_rules.mutations.damaging import given, mutation
from underfoot_rules.mutations.drawn import Drawn, Spot


def _choose(plan: Data, rng: random.Random) -> Drawn:
    """Choose a room with a box, and write where its thermostat hangs and cable enough."""
    room = choose_room(plan, rng)
    given(room.box)
    place_thermostat(room)
    if room.data.get("sensor"):
        room.data["sensor"]["cable"] = "40 m"
    return room


def _set_box(plan: Data, rng: random.Random, height: float | None) -> None:
    room = _choose(plan, rng)
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


@mutation("box-place", "box-in-the-floor")
def lay_box_in_floor(plan: Data, rng: random.Random) -> None:
    """The box was laid where the leads end, to save a channel in the wall."""
    # Lay the junction box in the floor where the strips end or between them.
    _set_box(plan, rng, rng.choice((None, 0, 20, 45)))


@mutation("box-place", "stove-by-the-box")
def stand_stove_by_box(plan: Data, rng: random.Random) -> None:
    """A stove was set where the box already was."""
    # Set a stove before the box, or nearer to it than its maker allows.
    room = _choose(plan, rng)
    told: Data = {"kind": "heat source"}
    if rng.random() < 0.5:
        told["clearance"] = rng.choice((200, 400))
    _stand(room, rng, room.box or (0, 0), told, 200)


@mutation("box-reach", "box-on-nothing")
def hang_box_on_nothing(plan: Data, rng: random.Random) -> None:
    """The box was measured from the wrong corner and hangs on no wall."""
    # Draw the box at its usual height where no wall is.
    _set_box(plan, rng, 450)


@mutation("box-reach", "box-by-the-skirting")
def hang_box_low(plan: Data, rng: random.Random) -> None:
    """The box was hung right above the floor."""
    room = _choose(plan, rng)
    room.data["junction_box"]["height"] = rng.randint(0, 49)


def _stand(room: Drawn, rng: random.Random, spot: Spot, told: Data, off: float) -> None:
    """Stand a fixture at most `off` beside a spot, or on it."""
    size = rng.choice((120, 300, 500))
    shift = [rng.uniform(-off, off) - size / 2 for _ in range(2)]
    at = [round(spot[0] + shift[0]), round(spot[1] + shift[1])]
    add(room.data, "fixtures", "thing-added", {"at": at, "size": [size, size], **told})


@mutation("box-reach", "box-in-the-loft")
def hang_box_above_ceiling(plan: Data, rng: random.Random) -> None:
    """The box was put where the cable comes from, above the ceiling."""
    room = _choose(plan, rng)
    room.data["height"] = 2400
    room.data["junction_box"]["height"] = 2400 + rng.randint(0, 500)


@mutation("box-reach", "wardrobe-before-the-box")
def stand_wardrobe_before_box(plan: Data, rng: random.Random) -> None:
    """A wardrobe was planned where the box already was."""
    room = _choose(plan, rng)
    told: Data = {"kind": "floor-mounted"}
    if rng.random() < 0.5:
        told["height"] = rng.choice((900, 2000))
    _stand(room, rng, room.box or (0, 0), told, 100)


@mutation("thermostat-place", "thermostat-on-nothing")
def hang_thermostat_on_nothing(plan: Data, rng: random.Random) -> None:
    """The thermostat was drawn where no wall is, or beside the room."""
    room = _choose(plan, rng)
    thermostat = given(room.data.get("thermostat"))
    given("room" not in thermostat)
    strip = choose_strip(room, rng)
    x, y = strip.start
    _, low_y, high_x, _ = room.outline.bounds
    spot = rng.choice(((x + 90, y + 110), (high_x + 900, y), (x, low_y - 3000)))
    thermostat["at"] = [round(spot[0], 1), round(spot[1], 1)]


@mutation("thermostat-place", "stove-by-the-thermostat")
def stand_stove_by_thermostat(plan: Data, rng: random.Random) -> None:
    """A stove was set below the thermostat."""
    _by_thermostat(plan, rng, {"kind": "heat source"}, 450)


@mutation("thermostat-place", "wardrobe-before-the-thermostat")
def hide_thermostat(plan: Data, rng: random.Random) -> None:
    """A wardrobe was planned where the thermostat hangs."""
    _by_thermostat(plan, rng, {"kind": "floor-mounted", "height": 2000}, 100)


def _by_thermostat(plan: Data, rng: random.Random, told: Data, off: float) -> None:
    room = _choose(plan, rng)
    thermostat = given(room.data.get("thermostat"))
    given("room" not in thermostat)
    spot = (float(thermostat["at"][0]), float(thermostat["at"][1]))
    _stand(room, rng, spot, told, off)
