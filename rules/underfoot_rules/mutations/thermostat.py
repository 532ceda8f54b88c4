"""Thermostats left out, hung in the wrong place, or made for less."""

from __future__ import annotations

import random

from underfoot.api.rules import Damaged, Data, Expected, Mutation, read_quantity
from underfoot_rules.mutations.choosing import cause, choose_room, damages, heated_rooms
from underfoot_rules.mutations.drawn import Drawn, draw
from underfoot_rules.mutations.expand_rows import copy_plan, open_rows
from underfoot_rules.mutations.loads import list_coverings

WARMEST = {"bathroom": 33.0}


def _with_thermostat(data: Data, rng: random.Random) -> tuple[Data, str] | None:
    plan = copy_plan(data)
    rooms = [name for name in heated_rooms(plan) if plan["rooms"][name].get("thermostat")]
    return (plan, rng.choice(rooms)) if rooms else None


def forget_switching(data: Data, rng: random.Random) -> Damaged | None:
    """Leave a circuit on no thermostat."""
    if data.get(
        "waivers"
    ):  # whether one is still needed hangs on what else the thermostat switches
        return None
    plan = copy_plan(data)
    circuits = list(plan.get("circuits") or {})
    if not circuits or not plan["circuits"][rng.choice(circuits)].pop("thermostat", None):
        return None
    return Damaged(data=plan)


@damages(_with_thermostat)
def forget_thermostat(plan: Data, room: str, rng: random.Random) -> Damaged | None:
    """Leave the thermostat out that circuits name."""
    del plan["rooms"][room]["thermostat"]
    return Damaged(data=plan)


@damages(_with_thermostat)
def hang_wrong(plan: Data, room: str, rng: random.Random) -> Damaged | None:
    """Hang the thermostat too low or too high."""
    height = rng.choice((rng.randint(600, 1299), rng.randint(1501, 1900)))
    plan["rooms"][room]["thermostat"]["height"] = height
    own = Expected(rule="thermostat-height", room=room, items=("thermostat",), severity="warning")
    return Damaged(data=plan, expected=(own,))


@damages(_with_thermostat)
def take_weaker(plan: Data, room: str, rng: random.Random) -> Damaged | None:
    """Take a thermostat or contactor that switches less."""
    told = plan["rooms"][room]["thermostat"]
    less = f"{rng.choice((1, 2, 3, 4, 6, 8, 10))} A"
    if told.get("contactor"):
        told["contactor"]["rating"] = less
    else:
        told["switches"] = less
    return Damaged(data=plan)


def save_contactor(data: Data, rng: random.Random) -> Damaged | None:
    """Leave the contactor out, or take one with too few poles."""
    plan = copy_plan(data)
    rooms = [n for n, r in plan["rooms"].items() if (r.get("thermostat") or {}).get("contactor")]
    if not rooms:
        return None
    told = plan["rooms"][rng.choice(rooms)]["thermostat"]
    if rng.random() < 0.5:
        del told["contactor"]
    else:
        told["contactor"]["poles"] = 1
    return Damaged(data=plan)


def part_protection(data: Data, rng: random.Random) -> Damaged | None:
    """Give a circuit that shared its protection a breaker of its own, on the same contact."""
    plan = copy_plan(data)
    sharing = [name for name, told in plan["circuits"].items() if "shares" in told]
    if not sharing:
        return None
    name = rng.choice(sharing)
    other = plan["circuits"][plan["circuits"][name].pop("shares")]
    own = {key: value for key, value in other.items() if key in ("breaker", "rcd", "cable")}
    plan["circuits"][name].update(copy_plan(own))
    return Damaged(data=plan)


def set_no_limit(data: Data, rng: random.Random) -> Damaged | None:
    """Set no floor limit."""
    chosen = _with_thermostat(data, rng)
    if (
        chosen is None
        or chosen[0]["rooms"][chosen[1]]["thermostat"].pop("floor_limit", None) is None
    ):
        return None
    return cause(chosen[0], "floor-limit", chosen[1], "thermostat", severity="error")


@damages(_with_thermostat)
def set_high_limit(plan: Data, room: str, rng: random.Random) -> Damaged | None:
    """Set the floor limit above what the covering or the room allows."""
    told = plan["rooms"][room]
    most = 33.0
    switched = {n for n, c in plan["circuits"].items() if c.get("thermostat") == room}
    if _rooms_of(plan, switched) == {room} and list_coverings(told):
        most = min(warmest(plan, told, covering) for covering in list_coverings(told))
    told["thermostat"]["floor_limit"] = f"{most + rng.choice((0.5, 1, 2, 5)):g} degC"
    return cause(plan, "floor-limit", room, "thermostat", severity="error")


def warmest(plan: Data, told: Data, covering: str) -> float:
    """Give the surface limit of a covering in its room, the thermostat's aside."""
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


def _near_bath(plan: Data, room: Drawn, rng: random.Random) -> list[float] | None:
    """Choose a spot on a wall within the reach of a bath's zone."""
    baths = [f for f in room.fixtures.values() if f.kind in ("bath", "shower", "open shower")]
    if not baths:
        return None
    bath = rng.choice(baths)
    walls = room.outline.exterior
    reach = bath.shape.buffer(rng.uniform(50, 590)).intersection(walls)
    if reach.is_empty:
        return None
    parts = list(getattr(reach, "geoms", [reach]))
    spot = rng.choice(parts).interpolate(rng.uniform(0.02, 0.98), normalized=True)
    return [round(spot.x, 3), round(spot.y, 3)]


def hang_by_bath(data: Data, rng: random.Random) -> Damaged | None:
    """Hang the thermostat within reach of the bath."""
    chosen = choose_room(data, rng)
    if chosen is None or not chosen[1].data.get("thermostat"):
        return None
    plan, room = chosen
    told = room.data["thermostat"]
    where = draw(plan, told.get("room", room.id))
    spot = _near_bath(plan, where, rng)
    if spot is None:
        return None
    told["at"] = spot
    if room.data.get("sensor"):
        room.data["sensor"]["cable"] = "20 m"
    return Damaged(data=plan)


def set_box_by_bath(data: Data, rng: random.Random) -> Damaged | None:
    """Set the junction box within reach of the bath."""
    chosen = choose_room(data, rng)
    if chosen is None or chosen[1].box is None:
        return None
    plan, room = chosen
    spot = _near_bath(plan, room, rng)
    if spot is None:
        return None
    thermostat = room.data.get("thermostat")
    if thermostat and "at" not in thermostat and "room" not in thermostat:
        thermostat["at"] = list(room.box or ())
    room.data["junction_box"]["at"] = spot
    if room.data.get("sensor"):
        room.data["sensor"]["cable"] = "30 m"
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="thermostat-missing", name="circuit-unswitched",
             says="A circuit was connected to its breaker and to no thermostat.",
             apply=forget_switching),
    Mutation(rule="thermostat-missing", name="thermostat-forgotten",
             says="Nobody drew the thermostat that the circuits name.", apply=forget_thermostat),
    Mutation(rule="thermostat-height", name="thermostat-hung-wrong",
             says="The thermostat was hung at the height of a socket or of a fuse board.",
             apply=hang_wrong),
    Mutation(rule="thermostat-rating", name="weaker-thermostat",
             says="A thermostat was bought that switches less than the strips draw.",
             apply=take_weaker),
    Mutation(rule="thermostat-circuits", name="contactor-saved",
             says="The contactor was saved, or bought with one pole.", apply=save_contactor),
    Mutation(rule="thermostat-circuits", name="protection-parted",
             says="A second breaker was fitted, and one contact left to switch both circuits.",
             apply=part_protection),
    Mutation(rule="floor-limit", name="limit-not-set", says="Nobody set the floor limit.",
             apply=set_no_limit),
    Mutation(rule="floor-limit", name="limit-too-high",
             says="The floor limit was left where it was set for tiles.", apply=set_high_limit),
    Mutation(rule="bath-zone", name="thermostat-by-the-bath",
             says="The thermostat was hung where a hand reaches it from the bath.",
             apply=hang_by_bath),
    Mutation(rule="bath-zone", name="box-by-the-bath",
             says="The junction box was set beside the bath.", apply=set_box_by_bath),
)  # fmt: skip
