"""Strips laid wrong."""

from __future__ import annotations

import random

from underfoot.api.rules import Damaged, Data, Expected, Mutation, read_quantity
from underfoot_rules.mutations.choosing import (
    choose_end_strip,
    choose_room,
    choose_strip,
    damages,
    drop_strip,
)
from underfoot_rules.mutations.drawn import Drawn, Strip, middle, share_heated, shifted
from underfoot_rules.mutations.expand_rows import film_width, mm, open_rows


def _move_end_strip(data: Data, rng: random.Random, low: int, high: int) -> Damaged | None:
    """Move a strip at the end of its row by so much to its free side."""
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    found = choose_end_strip(room, rng)
    if found is None:
        return None
    strip, way = found
    _shift(room, strip, aside=way * rng.randint(low, high))
    return Damaged(data=plan)


def _shift(room: Drawn, strip: Strip, later: float = 0.0, aside: float = 0.0) -> None:
    elements = room.data["elements"]
    elements[strip.id] = shifted(strip, elements[strip.id], later, aside)


def slide_over_neighbour(data: Data, rng: random.Random) -> Damaged | None:
    """Move a strip at the end of its row onto its neighbour."""
    return _move_end_strip(data, rng, -150, -20)


def push_block_over(data: Data, rng: random.Random) -> Damaged | None:
    """Move a strip and all beyond it in its row over the strip before."""
    return move_block(data, rng, -120, -10)


def pull_block_away(data: Data, rng: random.Random) -> Damaged | None:
    """Move a strip and all beyond it in its row away from the strip before."""
    return move_block(data, rng, 3, 60)


def move_block(data: Data, rng: random.Random, low: int, high: int) -> Damaged | None:
    """Move a strip and all beyond it in its row by so much."""
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    from_here, step = choose_strip(room, rng), rng.randint(low, high)
    across = from_here.across
    limit = middle(from_here)[0] * across[0] + middle(from_here)[1] * across[1] - 1
    for strip in room.strips.values():
        x, y = middle(strip)
        if strip.along == from_here.along and x * across[0] + y * across[1] > limit:
            _shift(room, strip, aside=step)
    return Damaged(data=plan)


@damages(choose_room)
def lay_crooked(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Turn a strip by a few degrees about a corner."""
    strip = choose_strip(room, rng)
    told = room.data["elements"][strip.id]
    by = rng.choice((-1, 1)) * rng.uniform(1.5, 4)
    x, y = (mm(value) for value in told["at"])
    if told["along"] == "y":
        told["at"], told["along"] = [x + strip.width, y], f"{90 + by:.2f} deg"
    elif told["along"] == "x":
        told["along"] = f"{by:.2f} deg"
    else:
        told["along"] = f"{read_quantity(told['along'], 'deg') + by:.2f} deg"
    return Damaged(data=plan)


def push_through_wall(data: Data, rng: random.Random) -> Damaged | None:
    """Move a strip at the end of its row through the wall."""
    return _move_end_strip(data, rng, 65, 240)


def lengthen(data: Data, rng: random.Random) -> Damaged | None:
    """Draw a strip one or two sections too long."""
    if data.get("tests"):
        return None
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    strip = choose_strip(room, rng)
    film = plan["materials"]["films"][strip.film]
    cut = mm(film.get("cut_every", 250))
    length = strip.length + cut * rng.randint(1, 2)
    if "longest_strip" in film and length > mm(film["longest_strip"]):
        return None
    told = room.data["elements"][strip.id]
    told["length"] = round(length, 6)
    return Damaged(data=plan)


def crowd_the_wall(data: Data, rng: random.Random) -> Damaged | None:
    """Move a strip at the end of its row nearly to the wall."""
    return _move_end_strip(data, rng, 5, 100)


@damages(choose_room)
def slide_to_the_wall(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Move a strip along its length towards a wall."""
    strip = choose_strip(room, rng)
    _shift(room, strip, later=rng.choice((-1, 1)) * rng.randint(6, 250))
    return Damaged(data=plan)


@damages(choose_room)
def start_at_the_skirting(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Draw all strips from too near to the wall where they begin."""
    step = rng.choice((-1, 1)) * rng.randint(4, 28)
    for strip in room.strips.values():
        _shift(room, strip, later=step)
    return Damaged(data=plan)


@damages(choose_room)
def plan_too_near(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Leave the least that is allowed at a wall, and nothing for the site."""
    strip = choose_strip(room, rng)
    to_wall = strip.shape.distance(room.outline.exterior)
    step = to_wall - rng.randint(50, 57)
    if not 0 < step < 60:
        return None
    later, aside = rng.choice(((step, 0.0), (-step, 0.0), (0.0, step), (0.0, -step)))
    _shift(room, strip, later, aside)
    return Damaged(data=plan)


def leave_gap(data: Data, rng: random.Random) -> Damaged | None:
    """Leave a gap between a strip at the end of its row and the one before."""
    return _move_end_strip(data, rng, 2, 90)


def cut_anywhere(data: Data, rng: random.Random) -> Damaged | None:
    """Cut a strip between two cut lines."""
    if data.get("tests"):
        return None
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    strip = choose_strip(room, rng)
    film = plan["materials"]["films"][strip.film]
    if "cut_every" not in film:
        return None
    off = rng.randint(2, int(mm(film["cut_every"])) - 2)
    if strip.length - off < 200:
        return None
    room.data["elements"][strip.id]["length"] = strip.length - off
    own = Expected(rule="cut-length", room=room.id, items=(strip.id,), severity="error")
    return Damaged(data=plan, expected=(own,))


def lay_too_long(data: Data, rng: random.Random) -> Damaged | None:
    """Use a film of the same kind whose maker allows only shorter strips."""
    plan = open_rows(data)
    film, told = rng.choice(list(plan["materials"]["films"].items()))
    strips = [
        (name, strip, mm(each["length"]))
        for name, room in plan["rooms"].items()
        for strip, each in (room.get("elements") or {}).items()
        if each["film"] == film
    ]
    if not strips:
        return None
    longest = rng.choice(sorted({length for _, _, length in strips})) - rng.choice((1, 100, 250))
    if longest < 200:
        return None
    told["longest_strip"] = longest
    return Damaged(
        data=plan,
        expected=tuple(
            Expected(rule="strip-length", room=name, items=(strip,), severity="error")
            for name, strip, length in strips
            if length > longest
        ),
    )


def leave_strips_out(data: Data, rng: random.Random) -> Damaged | None:
    """Leave so many strips out that the floor stays cold."""
    chosen = None if data.get("tests") else choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    names = list(room.strips)
    rng.shuffle(names)
    for name in names:
        if not drop_strip(plan, room.id, name):
            return None
        del room.strips[name]
        if not room.strips or share_heated(room) < 79:
            break
    return Damaged(data=plan)


def leave_strip_out(data: Data, rng: random.Random) -> Damaged | None:
    """Leave one strip out where there is room for it."""
    chosen = None if data.get("tests") else choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    strip = choose_strip(room, rng)
    if film_width(plan, strip.film) >= 1000 or not drop_strip(plan, room.id, strip.id):
        return None
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="element-overlap", name="slid-over-neighbour",
             says="The last strip of a row was taped down over the edge of the one before.",
             apply=slide_over_neighbour),
    Mutation(rule="element-overlap", name="row-pushed-together",
             says="From one strip on the row was pushed over the strip before, to save width.",
             apply=push_block_over),
    Mutation(rule="element-overlap", name="laid-crooked",
             says="A strip was rolled out crooked and runs over the one beside it.",
             apply=lay_crooked),
    Mutation(rule="element-outside-room", name="pushed-through-wall",
             says="The room was measured too wide: a strip ends in the wall.",
             apply=push_through_wall),
    Mutation(rule="element-outside-room", name="sections-too-many",
             says="A strip was counted out with too many sections and runs into the wall.",
             apply=lengthen),
    Mutation(rule="wall-clearance", name="crowds-the-wall",
             says="A strip was moved up to the skirting.", apply=crowd_the_wall),
    Mutation(rule="wall-clearance", name="slid-to-the-wall",
             says="A strip was slid along until its end lay near the wall.",
             apply=slide_to_the_wall),
    Mutation(rule="wall-clearance", name="started-at-the-skirting",
             says="All strips were begun where the skirting will stand.",
             apply=start_at_the_skirting),
    Mutation(rule="wall-clearance", name="planned-too-near",
             says="The least distance from the wall was drawn, with nothing over for the site.",
             apply=plan_too_near),
    Mutation(rule="strip-gap", name="last-strip-apart",
             says="The last strip was laid by the wall, not against its neighbour.",
             apply=leave_gap),
    Mutation(rule="strip-gap", name="row-pulled-apart",
             says="From one strip on the row was laid with a gap, to fill the width.",
             apply=pull_block_away),
    Mutation(rule="cut-length", name="cut-anywhere",
             says="A strip was cut to the room's length and not on a marked line.",
             apply=cut_anywhere),
    Mutation(rule="strip-length", name="film-for-shorter-strips",
             says="Another make of film was bought whose strips must be shorter.",
             apply=lay_too_long),
    Mutation(rule="floor-coverage", name="strips-left-out",
             says="Strips were left out because the roll ran short.", apply=leave_strips_out),
    Mutation(rule="cold-area", name="strip-left-out",
             says="One strip was forgotten where there was room for it.", apply=leave_strip_out),
)  # fmt: skip
