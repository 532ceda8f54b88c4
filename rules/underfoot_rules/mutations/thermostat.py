"""Thermostats left out, hung in the wrong place, or made for less."""

import random

from underfoot.api.rules import Data, read_quantity
from underfoot_rules.mutations.choosing import choose_room, choose_with, place_thermostat
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation, pick
from underfoot_rules.mutations.drawn import Drawn, draw
from underfoot_rules.mutations.expand_rows import copy_plan, open_rows
from underfoot_rules.mutations.loads import list_coverings

WARMEST = {"bathroom": 33.0}


@mutation("thermostat-missing", "circuit-unswitched")
def forget_switching(plan: Data, rng: random.Random) -> None:
    """A circuit was connected to its breaker and to no thermostat."""
    # Whether a waiver is still needed hangs on what else the thermostat switches.
    given(not plan.get("waivers"))
    given(pick(rng, (plan.get("circuits") or {}).values()).pop("thermostat", None))


@mutation("thermostat-missing", "thermostat-forgotten")
def forget_thermostat(plan: Data, rng: random.Random) -> None:
    """Nobody drew the thermostat that the circuits name."""
    room = choose_with(plan, rng, "thermostat")
    del plan["rooms"][room]["thermostat"]


@mutation("thermostat-height", "thermostat-hung-wrong")
def hang_wrong(plan: Data, rng: random.Random) -> Caused:
    """The thermostat was hung at the height of a socket or of a fuse board."""
    room = choose_with(plan, rng, "thermostat")
    height = rng.choice((rng.randint(600, 1299), rng.randint(1501, 1900)))
    plan["rooms"][room]["thermostat"]["height"] = height
    return cause("thermostat-height", room, "thermostat", severity="warning")


@mutation("thermostat-rating", "weaker-thermostat")
def take_weaker(plan: Data, rng: random.Random) -> None:
    """A thermostat was bought that switches less than the strips draw."""
    room = choose_with(plan, rng, "thermostat")
    told = plan["rooms"][room]["thermostat"]
    less = f"{rng.choice((1, 2, 3, 4, 6, 8, 10))} A"
    if told.get("contactor"):
        told["contactor"]["rating"] = less
    else:
        told["switches"] = less


@mutation("contact-protection", "breaker-above-the-contact")
def fit_larger_breaker(plan: Data, rng: random.Random) -> None:
    """The breaker that lay in the van was fitted, rated higher than the thermostat's contact."""
    room = choose_with(plan, rng, "thermostat")
    told = plan["rooms"][room]["thermostat"]
    device, key = (told["contactor"], "rating") if told.get("contactor") else (told, "switches")
    name = pick(rng, (n for n, c in plan["circuits"].items() if c.get("thermostat") == room))
    name = plan["circuits"][name].get("shares", name)
    plan["circuits"][name]["breaker"] = f"{rng.choice((16, 20, 25))} A"
    device[key] = f"{rng.choice((10, 13, 15))} A"


@mutation("thermostat-circuits", "contactor-saved")
def save_contactor(plan: Data, rng: random.Random) -> None:
    """The contactor was saved, or bought with one pole."""
    rooms = [n for n, r in plan["rooms"].items() if (r.get("thermostat") or {}).get("contactor")]
    told = plan["rooms"][pick(rng, rooms)]["thermostat"]
    if rng.random() < 0.5:
        del told["contactor"]
    else:
        told["contactor"]["poles"] = 1


@mutation("thermostat-circuits", "protection-parted")
def part_protection(plan: Data, rng: random.Random) -> None:
    """A second breaker was fitted, and one contact left to switch both circuits."""
    # Give a circuit that shared its protection a breaker of its own, on the same contact.
    name = pick(rng, (name for name, told in plan["circuits"].items() if "shares" in told))
    other = plan["circuits"][plan["circuits"][name].pop("shares")]
    own = {key: value for key, value in other.items() if key in ("breaker", "rcd", "cable")}
    plan["circuits"][name].update(copy_plan(own))


@mutation("floor-limit", "limit-not-set")
def set_no_limit(plan: Data, rng: random.Random) -> Caused:
    """Nobody set the floor limit."""
    room = choose_with(plan, rng, "thermostat")
    given(plan["rooms"][room]["thermostat"].pop("floor_limit", None) is not None)
    return cause("floor-limit", room, "thermostat", severity="error")


@mutation("floor-limit", "limit-too-high")
def set_high_limit(plan: Data, rng: random.Random) -> Caused:
    """The floor limit was left where it was set for tiles."""
    # Set the floor limit above what the covering or the room allows.
    room = choose_with(plan, rng, "thermostat")
    told = plan["rooms"][room]
    most = 33.0
    switched = {n for n, c in plan["circuits"].items() if c.get("thermostat") == room}
    if _rooms_of(plan, switched) == {room} and list_coverings(told):
        most = min(warmest(plan, told, covering) for covering in list_coverings(told))
    told["thermostat"]["floor_limit"] = f"{most + rng.choice((0.5, 1, 2, 5)):g} degC"
    return cause("floor-limit", room, "thermostat", severity="error")


def warmest(plan: Data, told: Data, covering: str) -> float:
    """Return the surface limit of a covering in its room, the thermostat's aside."""
    own = plan["materials"]["coverings"][covering].get("warmest_surface")
    of_room = WARMEST.get(room_kind(told), 29.0)
    return of_room if own is None else min(of_room, read_quantity(own, "degC"))


def room_kind(told: Data) -> str:
    """Return a room's use; one with a bath or shower is a bathroom."""
    kinds = [fixture.get("kind") for fixture in (told.get("fixtures") or {}).values()]
    wet = any(kind in ("bath", "shower", "open shower") for kind in kinds)
    return "bathroom" if wet else str(told.get("use", ""))


def _rooms_of(plan: Data, circuits: set[str]) -> set[str]:
    return {
        name
        for name, room in open_rows(plan)["rooms"].items()
        if any(e.get("circuit") in circuits for e in (room.get("elements") or {}).values())
    }


def _near_bath(room: Drawn, rng: random.Random) -> list[float]:
    """Choose a spot on a wall within the reach of a bath's zone."""
    baths = [f for f in room.fixtures.values() if f.kind in ("bath", "shower", "open shower")]
    bath = pick(rng, baths)
    reach = bath.shape.buffer(rng.uniform(50, 590)).intersection(room.outline.exterior)
    given(not reach.is_empty)
    parts = list(getattr(reach, "geoms", [reach]))
    spot = rng.choice(parts).interpolate(rng.uniform(0.02, 0.98), normalized=True)
    return [round(spot.x, 3), round(spot.y, 3)]


@mutation("bath-zone", "thermostat-by-the-bath")
def hang_by_bath(plan: Data, rng: random.Random) -> None:
    """The thermostat was hung where a hand reaches it from the bath."""
    room = choose_room(plan, rng)
    told = given(room.data.get("thermostat"))
    told["at"] = _near_bath(draw(plan, told.get("room", room.id)), rng)
    if room.data.get("sensor"):
        room.data["sensor"]["cable"] = "20 m"


@mutation("bath-zone", "box-by-the-bath")
def set_box_by_bath(plan: Data, rng: random.Random) -> None:
    """The junction box was set beside the bath."""
    room = choose_room(plan, rng)
    given(room.box)
    spot = _near_bath(room, rng)
    place_thermostat(room)
    room.data["junction_box"]["at"] = spot
    if room.data.get("sensor"):
        room.data["sensor"]["cable"] = "30 m"
