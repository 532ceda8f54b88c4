"""Materials that do not go together, and heat that goes the wrong way."""

from __future__ import annotations

import random

from underfoot.api.rules import Damaged, Data, Expected, Mutation
from underfoot_rules.mutations.choosing import choose_covering, damages, films_in, heated_rooms
from underfoot_rules.mutations.drawn import draw, inside
from underfoot_rules.mutations.expand_rows import copy_plan, open_rows
from underfoot_rules.mutations.loads import film_output, list_coverings, strip_power


@damages(choose_covering)
def choose_other_kind(
    plan: Data, covering: str, rooms: list[str], rng: random.Random
) -> Damaged | None:
    """Choose a covering of a kind that the film is not made for."""
    plan["materials"]["coverings"][covering]["kind"] = "cork parquet"
    pairs = [(room, film) for room in rooms for film in films_in(plan, room)]
    own = [
        Expected(rule="covering-suits-film", room=room, items=(film,), severity="error")
        for room, film in pairs
    ]
    return Damaged(data=plan, expected=tuple(own))


@damages(choose_covering)
def nail_down(plan: Data, covering: str, rooms: list[str], rng: random.Random) -> Damaged | None:
    """Nail the covering."""
    plan["materials"]["coverings"][covering]["fixing"] = "nailed"
    own = tuple(
        Expected(rule="covering-fixing", room=room, items=(covering,), severity="error")
        for room in rooms
    )
    return Damaged(data=plan, expected=own)


@damages(choose_covering)
def choose_tender_covering(
    plan: Data, covering: str, rooms: list[str], rng: random.Random
) -> Damaged | None:
    """Choose a covering that bears less than the film gives."""
    pairs = [(film_output(plan, f), r, f) for r in rooms for f in films_in(plan, r)]
    bears = rng.choice(pairs)[0] * rng.uniform(0.5, 0.97)
    plan["materials"]["coverings"][covering]["most_output"] = f"{bears:.2f} W/m2"
    own = tuple(
        Expected(rule="covering-output", room=room, items=(film,), severity="error")
        for output, room, film in pairs
        if output > bears + 0.1
    )
    return Damaged(data=plan, expected=own) if own else None


def lay_thick_covering(data: Data, rng: random.Random) -> Damaged | None:
    """Lay a covering, or an underlay, that keeps the heat down."""
    plan = copy_plan(data)
    rooms = [room for room in heated_rooms(plan) if list_coverings(plan["rooms"][room])]
    if not rooms:
        return None
    room = rng.choice(rooms)
    resists = rng.uniform(0.152, 0.2)
    plan["rooms"][room]["underlay"] = {"thickness": 6, "resistance": f"{resists:.3f} m2 K/W"}
    own = Expected(rule="covering-resistance", room=room, items=(), severity="warning")
    return Damaged(data=plan, expected=(own,))


@damages(choose_covering)
def choose_thick_covering(
    plan: Data, covering: str, rooms: list[str], rng: random.Random
) -> Damaged | None:
    """Choose a covering that keeps the heat down."""
    told = plan["materials"]["coverings"][covering]
    told["resistance"] = f"{rng.uniform(0.152, 0.22):.3f} m2 K/W"
    own = [
        Expected(rule="covering-resistance", room=room, items=(), severity="warning")
        for room in rooms
    ]
    return Damaged(data=plan, expected=tuple(own))


def forget_damp(data: Data, rng: random.Random) -> Damaged | None:
    """Ask nobody whether the slab is dry, and lay no barrier."""
    plan = copy_plan(data)
    rooms = [
        room
        for room in heated_rooms(plan)
        if (plan["rooms"][room].get("subfloor") or {}).get("kind") == "concrete"
        and plan["rooms"][room]["subfloor"].get("below") == "ground"
    ]
    if not rooms:
        return None
    room = rng.choice(rooms)
    plan["rooms"][room]["subfloor"].pop("barrier", None)
    plan["rooms"][room]["subfloor"].pop("moisture", None)
    return Damaged(
        data=plan,
        expected=(Expected(rule="moisture-barrier", room=room, items=(), severity="warning"),),
    )


def take_stronger_film(data: Data, rng: random.Random) -> Damaged | None:
    """Take a film with more output than the floor may pass on."""
    if data.get("tests"):
        return None
    plan = copy_plan(data)
    film = rng.choice(sorted({f for room in heated_rooms(plan) for f in films_in(plan, room)}))
    told = plan["materials"]["films"][film]
    number, unit = told["output"].split()
    told["output"] = f"{float(number) * rng.uniform(1.2, 2.2):.1f} {unit}"
    return Damaged(data=plan)


def take_tender_film(data: Data, rng: random.Random) -> Damaged | None:
    """Take a film that bears less heat than it gets in this floor."""
    plan = copy_plan(data)
    film = rng.choice(sorted({f for room in heated_rooms(plan) for f in films_in(plan, room)}))
    plan["materials"]["films"][film]["warmest"] = f"{rng.uniform(30.5, 45):.1f} degC"
    return Damaged(data=plan)


@damages(choose_covering)
def lay_carpet_thick(plan: Data, name: str, rooms: list[str], rng: random.Random) -> Damaged | None:
    """Lay a thick covering on a soft underlay, and so keep all the heat in."""
    told = plan["materials"]["coverings"][name]
    told["resistance"] = f"{rng.uniform(0.4, 0.59):.3f} m2 K/W"
    for room in rooms:
        soft = f"{rng.uniform(0.4, 0.49):.3f} m2 K/W"
        plan["rooms"][room]["underlay"] = {"thickness": 25, "resistance": soft}
    return Damaged(data=plan)


def mix_films(data: Data, rng: random.Random) -> Damaged | None:
    """Lay the end of a weaker roll where the sensor lies."""
    if data.get("tests"):
        return None
    plan = open_rows(data)
    rooms = [draw(plan, room) for room in heated_rooms(plan)]
    rooms = [room for room in rooms if room.sensor is not None and len(room.strips) > 1]
    if not rooms:
        return None
    room = rng.choice(rooms)
    over = [s for s in room.strips.values() if room.sensor and inside(room.sensor, s.shape)]
    if not over:
        return None
    films = plan["materials"]["films"]
    weaker = {**films[over[0].film]}
    number, unit = weaker["output"].split()
    part = max(rng.uniform(0.1, 0.4), 26 / film_output(plan, over[0].film))
    weaker["output"] = f"{float(number) * part:.2f} {unit}"
    films["film-weaker"] = weaker
    for strip in over:
        room.data["elements"][strip.id]["film"] = "film-weaker"
    return Damaged(data=plan)


def take_radiator_out(data: Data, rng: random.Random) -> Damaged | None:
    """Take the room's other heater out, and leave all to the floor."""
    plan = copy_plan(data)
    rooms = [room for room in heated_rooms(plan) if plan["rooms"][room].get("other_heat")]
    if not rooms:
        return None
    room = rng.choice(rooms)
    del plan["rooms"][room]["other_heat"]
    return Damaged(data=plan)


def forget_foam(data: Data, rng: random.Random) -> Damaged | None:
    """Take it that there is insulation in the subfloor where there is none."""
    plan = copy_plan(data)
    rooms = [
        room
        for room in heated_rooms(plan)
        if len((plan["rooms"][room].get("subfloor") or {}).get("layers") or []) > 1
        and plan["rooms"][room]["subfloor"].get("below") in ("ground", "unheated")
    ]
    if not rooms:
        return None
    room = rng.choice(rooms)
    subfloor = plan["rooms"][room]["subfloor"]
    subfloor["layers"] = subfloor["layers"][:1]
    return Damaged(data=plan)


def underrate_loss(data: Data, rng: random.Random) -> Damaged | None:
    """Heat a room with less than it loses."""
    plan = open_rows(data)
    rooms = [room for room in heated_rooms(plan) if plan["rooms"][room].get("heat_loss")]
    if not rooms:
        return None
    room = rng.choice(rooms)
    power = sum(strip_power(plan, strip) for strip in draw(plan, room).strips.values())
    plan["rooms"][room]["heat_loss"] = f"{power * rng.uniform(0.93, 1.6):.0f} W"
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="covering-suits-film", name="another-covering",
             says="The client chose another covering, and nobody asked the film's maker.",
             apply=choose_other_kind),
    Mutation(rule="covering-fixing", name="covering-nailed",
             says="The covering was to be nailed, as on an unheated floor.", apply=nail_down),
    Mutation(rule="covering-output", name="tender-covering",
             says="The covering bears less heat than the film gives.",
             apply=choose_tender_covering),
    Mutation(rule="covering-resistance", name="thick-underlay",
             says="A soft underlay was put under the covering, against noise.",
             apply=lay_thick_covering),
    Mutation(rule="covering-resistance", name="thick-covering",
             says="The covering was chosen for warm feet, and keeps the heat down.",
             apply=choose_thick_covering),
    Mutation(rule="moisture-barrier", name="damp-forgotten",
             says="Nobody measured how damp the slab is.", apply=forget_damp),
    Mutation(rule="floor-temperature", name="stronger-film",
             says="A stronger film was taken, so that the room gets warm sooner.",
             apply=take_stronger_film),
    Mutation(rule="film-temperature", name="tender-film",
             says="A film was bought that bears less heat than it gets in this floor.",
             apply=take_tender_film),
    Mutation(rule="film-temperature", name="thick-carpet",
             says="A thick carpet was laid on a soft underlay, for warm feet.",
             apply=lay_carpet_thick),
    Mutation(rule="floor-limit", name="weak-film-at-the-sensor",
             says="The end of a weaker roll was laid where the sensor lies.", apply=mix_films),
    Mutation(rule="heat-demand", name="radiator-taken-out",
             says="The radiator beside the heated floor was taken out.", apply=take_radiator_out),
    Mutation(rule="downward-loss", name="foam-forgotten",
             says="There is no insulation in the subfloor after all.", apply=forget_foam),
    Mutation(rule="heat-demand", name="loss-underrated",
             says="The room loses more heat than was thought.", apply=underrate_loss),
)  # fmt: skip
