"""Materials that do not go together, and heat that goes the wrong way."""

import random

from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.choosing import (
    choose_covering,
    choose_with,
    films_in,
    heated_rooms,
    lose_room_thing,
)
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation, pick
from underfoot_rules.mutations.drawn import draw, inside
from underfoot_rules.mutations.expand_rows import expand
from underfoot_rules.mutations.loads import film_output, list_coverings, strip_power


@mutation("covering-suits-film", "another-covering")
def choose_other_kind(plan: Data, rng: random.Random) -> Caused:
    """The client chose another covering, and nobody asked the film's maker."""
    covering, rooms = choose_covering(plan, rng)
    plan["materials"]["coverings"][covering]["kind"] = "cork parquet"
    pairs = [(room, film) for room in rooms for film in films_in(plan, room)]
    return tuple(
        Expected(rule="covering-suits-film", room=room, items=(film,), severity="error")
        for room, film in pairs
    )


@mutation("covering-fixing", "covering-nailed")
def nail_down(plan: Data, rng: random.Random) -> Caused:
    """The covering was to be nailed, as on an unheated floor."""
    covering, rooms = choose_covering(plan, rng)
    plan["materials"]["coverings"][covering]["fixing"] = "nailed"
    return tuple(
        Expected(rule="covering-fixing", room=room, items=(covering,), severity="error")
        for room in rooms
    )


@mutation("covering-output", "tender-covering")
def choose_tender_covering(plan: Data, rng: random.Random) -> Caused:
    """The covering bears less heat than the film gives."""
    covering, rooms = choose_covering(plan, rng)
    pairs = [(film_output(plan, f), r, f) for r in rooms for f in films_in(plan, r)]
    bears = rng.choice(pairs)[0] * rng.uniform(0.5, 0.97)
    plan["materials"]["coverings"][covering]["most_output"] = f"{bears:.2f} W/m2"
    own = tuple(
        Expected(rule="covering-output", room=room, items=(film,), severity="error")
        for output, room, film in pairs
        if output > bears + 0.1
    )
    return given(own)


@mutation("covering-resistance", "thick-underlay")
def lay_thick_covering(plan: Data, rng: random.Random) -> Caused:
    """A soft underlay was put under the covering, against noise."""
    # Lay a covering, or an underlay, that keeps the heat down.
    rooms = [room for room in heated_rooms(plan) if list_coverings(plan["rooms"][room])]
    room = pick(rng, rooms)
    resists = rng.uniform(0.152, 0.2)
    plan["rooms"][room]["underlay"] = {"thickness": 6, "resistance": f"{resists:.3f} m2 K/W"}
    return cause("covering-resistance", room, severity="warning")


@mutation("covering-resistance", "thick-covering")
def choose_thick_covering(plan: Data, rng: random.Random) -> Caused:
    """The covering was chosen for warm feet, and keeps the heat down."""
    covering, rooms = choose_covering(plan, rng)
    told = plan["materials"]["coverings"][covering]
    told["resistance"] = f"{rng.uniform(0.152, 0.22):.3f} m2 K/W"
    return tuple(
        Expected(rule="covering-resistance", room=room, items=(), severity="warning")
        for room in rooms
    )


@mutation("moisture-barrier", "damp-forgotten")
def forget_damp(plan: Data, rng: random.Random) -> Caused:
    """Nobody measured how damp the slab is."""
    # Ask nobody whether the slab is dry, and lay no barrier.
    rooms = [
        room
        for room in heated_rooms(plan)
        if (plan["rooms"][room].get("subfloor") or {}).get("kind") == "concrete"
        and plan["rooms"][room]["subfloor"].get("below") == "ground"
    ]
    room = pick(rng, rooms)
    plan["rooms"][room]["subfloor"].pop("barrier", None)
    plan["rooms"][room]["subfloor"].pop("moisture", None)
    return cause("moisture-barrier", room, severity="warning")


@mutation("floor-temperature", "stronger-film")
def take_stronger_film(plan: Data, rng: random.Random) -> None:
    """A stronger film was taken, so that the room gets warm sooner."""
    given(not plan.get("tests"))
    film = rng.choice(sorted({f for room in heated_rooms(plan) for f in films_in(plan, room)}))
    told = plan["materials"]["films"][film]
    number, unit = told["output"].split()
    told["output"] = f"{float(number) * rng.uniform(1.2, 2.2):.1f} {unit}"


@mutation("film-temperature", "tender-film")
def take_tender_film(plan: Data, rng: random.Random) -> None:
    """A film was bought that bears less heat than it gets in this floor."""
    film = rng.choice(sorted({f for room in heated_rooms(plan) for f in films_in(plan, room)}))
    plan["materials"]["films"][film]["warmest"] = f"{rng.uniform(30.5, 45):.1f} degC"


@mutation("film-temperature", "thick-carpet")
def lay_carpet_thick(plan: Data, rng: random.Random) -> None:
    """A thick carpet was laid on a soft underlay, for warm feet."""
    name, rooms = choose_covering(plan, rng)
    told = plan["materials"]["coverings"][name]
    told["resistance"] = f"{rng.uniform(0.4, 0.59):.3f} m2 K/W"
    for room in rooms:
        soft = f"{rng.uniform(0.4, 0.49):.3f} m2 K/W"
        plan["rooms"][room]["underlay"] = {"thickness": 25, "resistance": soft}


@mutation("floor-limit", "weak-film-at-the-sensor")
def mix_films(plan: Data, rng: random.Random) -> None:
    """The end of a weaker roll was laid where the sensor lies."""
    given(not plan.get("tests"))
    expand(plan)
    rooms = [draw(plan, room) for room in heated_rooms(plan)]
    room = pick(rng, (room for room in rooms if room.sensor is not None and len(room.strips) > 1))
    over = [s for s in room.strips.values() if room.sensor and inside(room.sensor, s.shape)]
    given(over)
    films = plan["materials"]["films"]
    weaker = {**films[over[0].film]}
    number, unit = weaker["output"].split()
    part = max(rng.uniform(0.1, 0.4), 26 / film_output(plan, over[0].film))
    weaker["output"] = f"{float(number) * part:.2f} {unit}"
    films["film-weaker"] = weaker
    for strip in over:
        room.data["elements"][strip.id]["film"] = "film-weaker"


@mutation("heat-demand", "radiator-taken-out")
def take_radiator_out(plan: Data, rng: random.Random) -> None:
    """The radiator beside the heated floor was taken out."""
    lose_room_thing(plan, rng, "other_heat")


@mutation("downward-loss", "foam-forgotten")
def forget_foam(plan: Data, rng: random.Random) -> None:
    """There is no insulation in the subfloor after all."""
    rooms = [
        room
        for room in heated_rooms(plan)
        if len((plan["rooms"][room].get("subfloor") or {}).get("layers") or []) > 1
        and plan["rooms"][room]["subfloor"].get("below") in ("ground", "unheated")
    ]
    room = pick(rng, rooms)
    subfloor = plan["rooms"][room]["subfloor"]
    subfloor["layers"] = subfloor["layers"][:1]


@mutation("heat-demand", "loss-underrated")
def underrate_loss(plan: Data, rng: random.Random) -> None:
    """The room loses more heat than was thought."""
    expand(plan)
    room = choose_with(plan, rng, "heat_loss")
    power = sum(strip_power(plan, strip) for strip in draw(plan, room).strips.values())
    plan["rooms"][room]["heat_loss"] = f"{power * rng.uniform(0.93, 1.6):.0f} W"
