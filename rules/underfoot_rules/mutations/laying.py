"""Strips laid wrong."""

import random

from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.choosing import (
    choose_end_strip,
    choose_room,
    choose_strip,
    drop_strip,
)
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation
from underfoot_rules.mutations.drawn import Drawn, Strip, middle, share_heated, shifted
from underfoot_rules.mutations.expand_rows import expand, film_width, mm


def _move_end_strip(plan: Data, rng: random.Random, low: int, high: int) -> None:
    """Move a strip at the end of its row by so much to its free side."""
    room = choose_room(plan, rng)
    strip, way = choose_end_strip(room, rng)
    _shift(room, strip, aside=way * rng.randint(low, high))


def _shift(room: Drawn, strip: Strip, later: float = 0.0, aside: float = 0.0) -> None:
    elements = room.data["elements"]
    elements[strip.id] = shifted(strip, elements[strip.id], later, aside)


@mutation("element-overlap", "slid-over-neighbour")
def slide_over_neighbour(plan: Data, rng: random.Random) -> None:
    """The last strip of a row was taped down over the edge of the one before."""
    # Move a strip at the end of its row onto its neighbour.
    _move_end_strip(plan, rng, -150, -20)


@mutation("element-overlap", "row-pushed-together")
def push_block_over(plan: Data, rng: random.Random) -> None:
    """From one strip on the row was pushed over the strip before, to save width."""
    # Move a strip and all beyond it in its row over the strip before.
    move_block(plan, rng, -120, -10)


@mutation("element-overlap", "laid-crooked")
def lay_crooked(plan: Data, rng: random.Random) -> None:
    """A strip was rolled out crooked and runs over the one beside it."""
    # Turn a strip by a few degrees about a corner.
    room = choose_room(plan, rng)
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


def move_block(plan: Data, rng: random.Random, low: int, high: int) -> None:
    """Move a strip and all beyond it in its row by so much."""
    room = choose_room(plan, rng)
    from_here, step = choose_strip(room, rng), rng.randint(low, high)
    across = from_here.across
    limit = middle(from_here)[0] * across[0] + middle(from_here)[1] * across[1] - 1
    for strip in room.strips.values():
        x, y = middle(strip)
        if strip.along == from_here.along and x * across[0] + y * across[1] > limit:
            _shift(room, strip, aside=step)


@mutation("element-outside-room", "pushed-through-wall")
def push_through_wall(plan: Data, rng: random.Random) -> None:
    """The room was measured too wide: a strip ends in the wall."""
    # Move a strip at the end of its row through the wall.
    _move_end_strip(plan, rng, 65, 240)


def lengthen(plan: Data, rng: random.Random) -> None:
    """Draw a strip one or two sections too long."""
    given(not plan.get("tests"))
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng)
    film = plan["materials"]["films"][strip.film]
    cut = mm(film.get("cut_every", 250))
    length = strip.length + cut * rng.randint(1, 2)
    given("longest_strip" not in film or length <= mm(film["longest_strip"]))
    room.data["elements"][strip.id]["length"] = round(length, 6)


@mutation("element-outside-room", "sections-too-many")
def count_too_many(plan: Data, rng: random.Random) -> None:
    """A strip was counted out with too many sections and runs into the wall."""
    lengthen(plan, rng)


@mutation("wall-clearance", "crowds-the-wall")
def crowd_the_wall(plan: Data, rng: random.Random) -> None:
    """A strip was moved up to the skirting."""
    _move_end_strip(plan, rng, 5, 100)


@mutation("wall-clearance", "slid-to-the-wall")
def slide_to_the_wall(plan: Data, rng: random.Random) -> None:
    """A strip was slid along until its end lay near the wall."""
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng)
    _shift(room, strip, later=rng.choice((-1, 1)) * rng.randint(6, 250))


@mutation("wall-clearance", "started-at-the-skirting")
def start_at_the_skirting(plan: Data, rng: random.Random) -> None:
    """All strips were begun where the skirting will stand."""
    # Draw all strips from too near to the wall where they begin.
    room = choose_room(plan, rng)
    step = rng.choice((-1, 1)) * rng.randint(4, 28)
    for strip in room.strips.values():
        _shift(room, strip, later=step)


@mutation("wall-clearance", "planned-too-near")
def plan_too_near(plan: Data, rng: random.Random) -> None:
    """The least distance from the wall was drawn, with nothing over for the site."""
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng)
    to_wall = strip.shape.distance(room.outline.exterior)
    step = to_wall - rng.randint(50, 57)
    given(0 < step < 60)
    later, aside = rng.choice(((step, 0.0), (-step, 0.0), (0.0, step), (0.0, -step)))
    _shift(room, strip, later, aside)


@mutation("strip-gap", "last-strip-apart")
def leave_gap(plan: Data, rng: random.Random) -> None:
    """The last strip was laid by the wall, not against its neighbour."""
    _move_end_strip(plan, rng, 2, 90)


@mutation("strip-gap", "row-pulled-apart")
def pull_block_away(plan: Data, rng: random.Random) -> None:
    """From one strip on the row was laid with a gap, to fill the width."""
    # Move a strip and all beyond it in its row away from the strip before.
    move_block(plan, rng, 3, 60)


@mutation("cut-length", "cut-anywhere")
def cut_anywhere(plan: Data, rng: random.Random) -> Caused:
    """A strip was cut to the room's length and not on a marked line."""
    given(not plan.get("tests"))
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng)
    film = plan["materials"]["films"][strip.film]
    given("cut_every" in film)
    off = rng.randint(2, int(mm(film["cut_every"])) - 2)
    given(strip.length - off >= 200)
    room.data["elements"][strip.id]["length"] = strip.length - off
    return cause("cut-length", room.id, strip.id, severity="error")


@mutation("strip-length", "film-for-shorter-strips")
def lay_too_long(plan: Data, rng: random.Random) -> Caused:
    """Another make of film was bought whose strips must be shorter."""
    # Use a film of the same kind whose maker allows only shorter strips.
    expand(plan)
    film, told = rng.choice(list(plan["materials"]["films"].items()))
    strips = [
        (name, strip, mm(each["length"]))
        for name, room in plan["rooms"].items()
        for strip, each in (room.get("elements") or {}).items()
        if each["film"] == film
    ]
    given(strips)
    longest = rng.choice(sorted({length for _, _, length in strips})) - rng.choice((1, 100, 250))
    given(longest >= 200)
    told["longest_strip"] = longest
    return tuple(
        Expected(rule="strip-length", room=name, items=(strip,), severity="error")
        for name, strip, length in strips
        if length > longest
    )


@mutation("floor-coverage", "strips-left-out")
def leave_strips_out(plan: Data, rng: random.Random) -> None:
    """Strips were left out because the roll ran short."""
    given(not plan.get("tests"))
    room = choose_room(plan, rng)
    names = list(room.strips)
    rng.shuffle(names)
    for name in names:
        given(drop_strip(plan, room.id, name))
        del room.strips[name]
        if not room.strips or share_heated(room) < 79:
            break


@mutation("cold-area", "strip-left-out")
def leave_strip_out(plan: Data, rng: random.Random) -> None:
    """One strip was forgotten where there was room for it."""
    given(not plan.get("tests"))
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng)
    given(film_width(plan, strip.film) < 1000 and drop_strip(plan, room.id, strip.id))
