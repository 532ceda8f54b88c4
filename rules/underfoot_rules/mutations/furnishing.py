"""Strips in the way of fixtures and movement joints."""

from __future__ import annotations

import random

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import (
    choose_room,
    choose_strip,
    damages,
    new_id,
)
from underfoot_rules.mutations.drawn import Drawn
from underfoot_rules.mutations.expand_rows import mm
from underfoot_rules.mutations.laying import lengthen, move_block


def run_under_fixture(data: Data, rng: random.Random) -> Damaged | None:
    """Draw a strip too long, up to a fixture or under it."""
    if not any(room.get("fixtures") for room in data["rooms"].values()):
        return None
    return lengthen(data, rng)


@damages(choose_room)
def move_fixture(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Move a standing fixture towards the strips that were laid round it."""
    found = [f for f in room.fixtures.values() if f.stands and "at" in room.data["fixtures"][f.id]]
    if not found:
        return None
    told = room.data["fixtures"][rng.choice(found).id]
    step = rng.choice((-1, 1)) * rng.randint(30, 300)
    x, y = (mm(value) for value in told["at"])
    told["at"] = [x + step, y] if rng.random() < 0.5 else [x, y + step]
    if "outlet" in told:
        return None
    return Damaged(data=plan)


def stand_on_strip(data: Data, rng: random.Random) -> Damaged | None:
    """Add a fixture after the floor was drawn, and leave the strips below it."""
    return _add_fixture(data, rng, {"kind": "floor-mounted"})


@damages(choose_room)
def buy_hotter_stove(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Take a stove whose maker wants more kept free than the strips leave."""
    stoves = [f.id for f in room.fixtures.values() if f.kind == "heat source"]
    if not stoves:
        return None
    room.data["fixtures"][rng.choice(stoves)]["clearance"] = rng.choice((200, "0.4 m", 800))
    return Damaged(data=plan)


@damages(choose_room)
def draw_beside_room(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Draw a fixture or a joint from another room's corner, or too large for its place."""
    low_x, low_y, high_x, high_y = room.outline.bounds
    far = rng.randint(600, 4000)
    x, y = rng.choice(((high_x + far, low_y), (low_x - far - 500, high_y), (low_x, high_y + far)))
    if rng.random() < 0.25:
        name = new_id(room.data, "joints", "J9")
        room.data.setdefault("joints", {})[name] = [[x, y], [x + 100, y + 500]]
        return Damaged(data=plan)
    kind = rng.choice(("floor-mounted", "on legs", "structure", "fixings", "heat source"))
    name = new_id(room.data, "fixtures", "thing-outside")
    room.data.setdefault("fixtures", {})[name] = {"at": [x, y], "size": [400, 300], "kind": kind}
    return Damaged(data=plan)


@damages(choose_room)
def push_through_wall(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Draw a cabinet that reaches through the wall."""
    wall = room.outline.exterior.interpolate(rng.random(), normalized=True)
    size = rng.choice((130, 240, 600))
    name = new_id(room.data, "fixtures", "cabinet")
    room.data.setdefault("fixtures", {})[name] = {
        "at": [round(wall.x - size / 2), round(wall.y - size / 2)],
        "size": [size, size],
        "kind": rng.choice(("floor-mounted", "basin")),
    }
    return Damaged(data=plan)


def _add_fixture(data: Data, rng: random.Random, told: Data) -> Damaged | None:
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    strip = choose_strip(room, rng)
    share = rng.uniform(0.15, 0.85)
    x, y = (a + share * (b - a) for a, b in zip(strip.start, strip.end, strict=True))
    width, depth = rng.choice(((200, 200), (350, 300), (600, 550)))
    fixtures = room.data.setdefault("fixtures", {})
    name = new_id(room.data, "fixtures", "cabinet")
    fixtures[name] = {
        "at": [round(x - width / 2), round(y - depth / 2)],
        "size": [width, depth],
        **told,
    }
    return Damaged(data=plan)


@damages(choose_room)
def lower_fixture(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Put a fixture on shorter legs over the strips."""
    found = [f.id for f in room.fixtures.values() if not f.stands and f.clear is not None]
    if not found:
        return None
    room.data["fixtures"][rng.choice(found)]["clear"] = rng.randint(10, 59)
    return Damaged(data=plan)


def add_low_fixture(data: Data, rng: random.Random) -> Damaged | None:
    """Put a fixture on legs too short over the strips."""
    return _add_fixture(data, rng, {"kind": "on legs", "clear": rng.randint(10, 59)})


def lay_on_the_floor(data: Data, rng: random.Random) -> Damaged | None:
    """Lay a rug or a mattress on the heated floor."""
    return _add_fixture(data, rng, {"kind": "lying flat"})


@damages(choose_room)
def hang_a_skirt(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Let fabric hang down to the floor round a piece of furniture that stands high enough."""
    found = [f.id for f in room.fixtures.values() if f.kind == "on legs"]
    if not found:
        return None
    room.data["fixtures"][rng.choice(found)]["clear"] = 0
    return Damaged(data=plan)


@damages(choose_room)
def cut_a_joint_below(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Leave a movement joint out of account that runs across one strip."""
    strip = choose_strip(room, rng)
    share = rng.uniform(0.2, 0.8)
    x, y = (a + share * (b - a) for a, b in zip(strip.start, strip.end, strict=True))
    lean = rng.uniform(-80, 80)
    half, (cx, cy), (ux, uy) = strip.width / 2, strip.across, strip.along
    name = new_id(room.data, "joints", "J9")
    room.data.setdefault("joints", {})[name] = [
        [x - half * cx - lean * ux, y - half * cy - lean * uy],
        [x + half * cx + lean * ux, y + half * cy + lean * uy],
    ]
    return Damaged(data=plan)


def slide_over_joint(data: Data, rng: random.Random) -> Damaged | None:
    """Move strips over the movement joint beside them."""
    if not any(room.get("joints") for room in data["rooms"].values()):
        return None
    return move_block(data, rng, -60, -15)


MUTATIONS = (
    Mutation(rule="fixture-clearance", name="run-under-fixture",
             says="A strip was counted out with too many sections and runs up to a fixture.",
             apply=run_under_fixture),
    Mutation(rule="fixture-clearance", name="fixture-moved",
             says="A fixture was moved after the floor had been laid round it.",
             apply=move_fixture),
    Mutation(rule="fixture-clearance", name="fixture-added",
             says="A cabinet was added to the plan, and nobody took the strips from under it.",
             apply=stand_on_strip),
    Mutation(rule="fixture-clearance", name="hotter-stove",
             says="A stove was bought whose maker wants more kept free.", apply=buy_hotter_stove),
    Mutation(rule="drawn-outside-room", name="drawn-beside-the-room",
             says="A thing was measured from another room's corner.", apply=draw_beside_room),
    Mutation(rule="drawn-outside-room", name="pushed-through-the-wall",
             says="A cabinet was drawn that is too large for its place.", apply=push_through_wall),
    Mutation(rule="covered-floor", name="legs-shortened",
             says="A piece of furniture came with shorter legs than drawn.", apply=lower_fixture),
    Mutation(rule="covered-floor", name="low-fixture-added",
             says="A piece of furniture with hardly any legs was set on the heated floor.",
             apply=add_low_fixture),
    Mutation(rule="covered-floor", name="rug-laid",
             says="A rug or a mattress was laid on the heated floor.", apply=lay_on_the_floor),
    Mutation(rule="covered-floor", name="skirt-hung",
             says="The sofa has a skirt that hangs down to the floor.", apply=hang_a_skirt),
    Mutation(rule="joint-crossing", name="joint-forgotten",
             says="The slab's movement joint was not marked when the strips were drawn.",
             apply=cut_a_joint_below),
    Mutation(rule="joint-crossing", name="slid-over-joint",
             says="A row was pushed on until it reached over the movement joint.",
             apply=slide_over_joint),
)  # fmt: skip
