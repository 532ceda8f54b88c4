"""Strips in the way of fixtures and movement joints."""

import random

from underfoot.api.rules import Data
from underfoot_rules.mutations.choosing import (
    add,
    choose_room,
    choose_strip,
    stand,
)
from underfoot_rules.mutations.damaging import given, mutation
from underfoot_rules.mutations.expand_rows import mm
from underfoot_rules.mutations.laying import lengthen, move_block


@mutation("fixture-clearance", "run-under-fixture")
def run_under_fixture(plan: Data, rng: random.Random) -> None:
    """A strip was counted out with too many sections and runs up to a fixture."""
    given(any(room.get("fixtures") for room in plan["rooms"].values()))
    lengthen(plan, rng)


@mutation("fixture-clearance", "fixture-moved")
def move_fixture(plan: Data, rng: random.Random) -> None:
    """A fixture was moved after the floor had been laid round it."""
    room = choose_room(plan, rng)
    found = given(
        [f for f in room.fixtures.values() if f.stands and "at" in room.data["fixtures"][f.id]]
    )
    told = room.data["fixtures"][rng.choice(found).id]
    step = rng.choice((-1, 1)) * rng.randint(30, 300)
    x, y = (mm(value) for value in told["at"])
    told["at"] = [x + step, y] if rng.random() < 0.5 else [x, y + step]
    given("outlet" not in told)


@mutation("fixture-clearance", "fixture-added")
def stand_on_strip(plan: Data, rng: random.Random) -> None:
    """A cabinet was added to the plan, and nobody took the strips from under it."""
    _add_fixture(plan, rng, {"kind": "floor-mounted"})


@mutation("fixture-clearance", "hotter-stove")
def buy_hotter_stove(plan: Data, rng: random.Random) -> None:
    """A stove was bought whose maker wants more kept free."""
    room = choose_room(plan, rng)
    stoves = given([f.id for f in room.fixtures.values() if f.kind == "heat source"])
    room.data["fixtures"][rng.choice(stoves)]["clearance"] = rng.choice((200, "0.4 m", 800))


@mutation("drawn-outside-room", "drawn-beside-the-room")
def draw_beside_room(plan: Data, rng: random.Random) -> None:
    """A thing was measured from another room's corner."""
    room = choose_room(plan, rng)
    low_x, low_y, high_x, high_y = room.outline.bounds
    far = rng.randint(600, 4000)
    x, y = rng.choice(((high_x + far, low_y), (low_x - far - 500, high_y), (low_x, high_y + far)))
    if rng.random() < 0.25:
        add(room.data, "joints", "J9", [[x, y], [x + 100, y + 500]])
        return
    kind = rng.choice(("floor-mounted", "on legs", "structure", "fixings", "heat source"))
    told = {"at": [x, y], "size": [400, 300], "kind": kind}
    add(room.data, "fixtures", "thing-outside", told)


@mutation("drawn-outside-room", "pushed-through-the-wall")
def push_through_wall(plan: Data, rng: random.Random) -> None:
    """A cabinet was drawn that is too large for its place."""
    room = choose_room(plan, rng)
    wall = room.outline.exterior.interpolate(rng.random(), normalized=True)
    size = rng.choice((130, 240, 600))
    kind = rng.choice(("floor-mounted", "basin"))
    stand(room.data, "cabinet", (wall.x, wall.y), (size, size), {"kind": kind})


def _add_fixture(plan: Data, rng: random.Random, told: Data) -> None:
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng)
    share = rng.uniform(0.15, 0.85)
    x, y = (a + share * (b - a) for a, b in zip(strip.start, strip.end, strict=True))
    size = rng.choice(((200, 200), (350, 300), (600, 550)))
    stand(room.data, "cabinet", (x, y), size, told)


@mutation("covered-floor", "legs-shortened")
def lower_fixture(plan: Data, rng: random.Random) -> None:
    """A piece of furniture came with shorter legs than drawn."""
    room = choose_room(plan, rng)
    found = given([f.id for f in room.fixtures.values() if not f.stands and f.clear is not None])
    room.data["fixtures"][rng.choice(found)]["clear"] = rng.randint(10, 59)


@mutation("covered-floor", "low-fixture-added")
def add_low_fixture(plan: Data, rng: random.Random) -> None:
    """A piece of furniture with hardly any legs was set on the heated floor."""
    _add_fixture(plan, rng, {"kind": "on legs", "clear": rng.randint(10, 59)})


@mutation("covered-floor", "rug-laid")
def lay_on_the_floor(plan: Data, rng: random.Random) -> None:
    """A rug or a mattress was laid on the heated floor."""
    _add_fixture(plan, rng, {"kind": "lying flat"})


@mutation("covered-floor", "skirt-hung")
def hang_a_skirt(plan: Data, rng: random.Random) -> None:
    """The sofa has a skirt that hangs down to the floor."""
    room = choose_room(plan, rng)
    found = given([f.id for f in room.fixtures.values() if f.kind == "on legs"])
    room.data["fixtures"][rng.choice(found)]["clear"] = 0


@mutation("joint-crossing", "joint-forgotten")
def cut_a_joint_below(plan: Data, rng: random.Random) -> None:
    """The slab's movement joint was not marked when the strips were drawn."""
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng)
    share = rng.uniform(0.2, 0.8)
    x, y = (a + share * (b - a) for a, b in zip(strip.start, strip.end, strict=True))
    lean = rng.uniform(-80, 80)
    half, (cx, cy), (ux, uy) = strip.width / 2, strip.across, strip.along
    joint = [
        [x - half * cx - lean * ux, y - half * cy - lean * uy],
        [x + half * cx + lean * ux, y + half * cy + lean * uy],
    ]
    add(room.data, "joints", "J9", joint)


@mutation("joint-crossing", "slid-over-joint")
def slide_over_joint(plan: Data, rng: random.Random) -> None:
    """A row was pushed on until it reached over the movement joint."""
    given(any(room.get("joints") for room in plan["rooms"].values()))
    move_block(plan, rng, -60, -15)
