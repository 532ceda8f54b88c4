"""Circuits divided, protected or fed wrong."""

from __future__ import annotations

import random

from underfoot.api import Damaged, Data, Expected, Mutation, read_quantity
from underfoot_rules.mutations.causing import cause, cause_drawn
from underfoot_rules.mutations.choosing import choose_room, choose_strip, films_in, heated_rooms
from underfoot_rules.mutations.drawn import draw
from underfoot_rules.mutations.loads import COPPER, Load, loads, protections, strip_power, volts
from underfoot_rules.mutations.opening import copy_plan, open_rows


def skip_strip(data: Data, rng: random.Random) -> Damaged | None:
    """Leave a strip out of its lead's route."""
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    strip = choose_strip(room, rng).id
    for told in room.data["leads"].values():
        named = [stop for stop in told["route"] if isinstance(stop, str)]
        if strip in named and len(named) > 2:
            told["route"].remove(strip)
    return cause_drawn(plan, "circuit-feed", (room.id,))


def mix_circuits(data: Data, rng: random.Random) -> Damaged | None:
    """Write a strip down on another circuit than the lead that joins it."""
    if data.get("tests"):
        return None
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    strip = choose_strip(room, rng)
    others = {each.circuit for each in room.strips.values()} - {strip.circuit, None}
    if not others:
        return None
    room.data["elements"][strip.id]["circuit"] = rng.choice(sorted(map(str, others)))
    return cause_drawn(plan, "circuit-feed", (room.id,))


def forget_circuit(data: Data, rng: random.Random) -> Damaged | None:
    """Lay a strip that nobody put on a circuit or joined."""
    if data.get("tests"):
        return None
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    strip = choose_strip(room, rng)
    told = room.data["elements"][strip.id]
    if rng.random() < 0.5:
        told.pop("circuit", None)
    else:
        told["circuit"] = "C-unknown"
    for lead in room.data["leads"].values():
        named = [stop for stop in lead["route"] if isinstance(stop, str)]
        if strip.id in named:
            if len(named) < 3:
                return None
            lead["route"].remove(strip.id)
    return cause_drawn(plan, "circuit-feed", (room.id,))


def forget_lead(data: Data, rng: random.Random) -> Damaged | None:
    """Draw no lead for a circuit."""
    plan = open_rows(data)
    circuits = list(plan.get("circuits") or {})
    if not circuits:
        return None
    name = rng.choice(circuits)
    for room in plan["rooms"].values():
        leads = room.get("leads") or {}
        room["leads"] = {key: told for key, told in leads.items() if told["circuit"] != name}
    return cause_drawn(plan, "circuit-feed")


def join_circuits(data: Data, rng: random.Random) -> Damaged | None:
    """Put the strips of several circuits on one, and perhaps on one lead."""
    return _join(data, rng, "circuit-current", one_lead=rng.random() < 0.3)


def join_long_circuits(data: Data, rng: random.Random) -> Damaged | None:
    """Put so many metres of strip on one circuit."""
    return _join(data, rng, "circuit-element-length", one_lead=False)


def _join(data: Data, rng: random.Random, rule: str, *, one_lead: bool) -> Damaged | None:
    if data.get("tests"):
        return None
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    names = list(dict.fromkeys(strip.circuit for strip in room.strips.values() if strip.circuit))
    if len(names) < 2 or any(
        strip.get("circuit") in names
        for other, told in plan["rooms"].items()
        for strip in (told.get("elements") or {}).values()
        if other != room.id
    ):
        return None
    keep, *lost = rng.sample(names, rng.randint(2, len(names)))
    heads = [name for name in (keep, *lost) if "shares" not in plan["circuits"][name]]
    if heads and "shares" in plan["circuits"][keep]:
        keep, lost = heads[0], [name for name in (keep, *lost) if name != heads[0]]
    for name in lost:
        del plan["circuits"][name]
    for told in plan["circuits"].values():
        if told.get("shares") in lost:
            told["shares"] = keep
    leads = room.data["leads"]
    for told in (*room.data["elements"].values(), *leads.values()):
        if told.get("circuit") in lost:
            told["circuit"] = keep
    mine = [name for name, told in leads.items() if told["circuit"] == keep]
    if one_lead:
        if len(mine) < 2:
            return None
        first, *others = mine
        leads[first]["route"] += [
            stop
            for name in others
            for stop in leads.pop(name)["route"]
            if isinstance(stop, str) and stop in room.strips
        ]
    return cause_drawn(plan, rule, (room.id,))


def allow_less(data: Data, rng: random.Random) -> Damaged | None:
    """Use a film whose maker allows fewer metres on one circuit."""
    plan = open_rows(data)
    found = _loads(plan)
    if not found:
        return None
    load = found[rng.choice(list(found))]
    metres = sum(strip.length for strip in load.strips) / 1000
    film = plan["materials"]["films"][rng.choice(load.strips).film]
    film["longest_circuit"] = f"{metres - rng.choice((0.1, 0.5, 1)):.3f} m"
    return cause_drawn(plan, "circuit-element-length", ())


def _loads(plan: Data) -> dict[str, Load]:
    return loads(plan, {name: draw(plan, name) for name in plan["rooms"]})


def order_wrong_film(data: Data, rng: random.Random) -> Damaged | None:
    """Order film for another voltage."""
    plan = copy_plan(data)
    films = sorted({film for room in heated_rooms(plan) for film in films_in(plan, room)})
    film = plan["materials"]["films"][rng.choice(films)]
    factor = rng.choice((0.45, 0.5, 0.85, 1.15, 1.8))
    film["voltage"] = f"{round(volts(plan) * factor)} V"
    return cause_drawn(plan, "film-voltage", tuple(plan["rooms"]), heat="another floor")


def change_supply(data: Data, rng: random.Random) -> Damaged | None:
    """Feed the floor from another supply than its film is made for."""
    plan = copy_plan(data)
    if plan["supply"].get("system") == "SELV":
        return None
    plan["supply"]["voltage"] = f"{rng.choice((110, 120, 200, 277))} V"
    return cause_drawn(plan, "film-voltage", tuple(plan["rooms"]), heat="another floor")


def _protections(plan: Data) -> dict[str, tuple[Load, ...]]:
    return protections(_loads(plan))


def _change_protection(data: Data, rng: random.Random) -> tuple[Data, Data, float] | None:
    """Choose a protection that carries strips; give its entry and its current."""
    plan = open_rows(data)
    groups = _protections(plan)
    if not groups:
        return None
    name = rng.choice(list(groups))
    return plan, plan["circuits"][name], sum(load.current_a for load in groups[name])


def forget_breaker(data: Data, rng: random.Random) -> Damaged | None:
    """Give no breaker."""
    chosen = _change_protection(data, rng)
    if chosen is None or chosen[1].pop("breaker", None) is None:
        return None
    return cause_drawn(chosen[0], "breaker-rating", ())


def fit_small_breaker(data: Data, rng: random.Random) -> Damaged | None:
    """Fit a breaker below the current."""
    chosen = _change_protection(data, rng)
    if chosen is None:
        return None
    smaller = [rating for rating in (1, 2, 4, 6, 10, 13) if rating < chosen[2]]
    if not smaller:
        return None
    chosen[1]["breaker"] = f"{rng.choice(smaller)} A"
    return cause_drawn(chosen[0], "breaker-rating", ())


def fit_large_breaker(data: Data, rng: random.Random) -> Damaged | None:
    """Fit a breaker that the conductors cannot be left to."""
    chosen = _change_protection(data, rng)
    if chosen is None:
        return None
    chosen[1]["breaker"] = f"{rng.choice((20, 25, 32, 40))} A"
    return cause_drawn(chosen[0], "breaker-rating", ())


def run_thin_cable(data: Data, rng: random.Random) -> Damaged | None:
    """Run a cable that cannot carry the current where it lies."""
    chosen = _change_protection(data, rng)
    if chosen is None or not chosen[1].get("cable"):
        return None
    plan, told, current = chosen
    cable = told["cable"]
    if rng.random() < 0.5:
        cable.update(size="1.5 mm2", method="A1", ambient=f"{rng.choice((50, 55, 60))} degC")
        cable.pop("capacity", None)
    else:
        cable["capacity"] = f"{current * rng.uniform(0.4, 0.95):.2f} A"
    return cause_drawn(plan, "cable-capacity", ())


def use_thin_lead(data: Data, rng: random.Random) -> Damaged | None:
    """Use a lead that carries less than its strips draw, by its maker's figure."""
    chosen = choose_room(data, rng)
    if chosen is None or not chosen[1].leads:
        return None
    plan, room = chosen
    lead = room.leads[rng.choice(list(room.leads))]
    strips = [room.strips[name] for name in lead.strips if name != lead.begins]
    current = sum(strip_power(plan, strip) for strip in strips) / volts(plan)
    room.data["leads"][lead.id]["capacity"] = f"{current * rng.uniform(0.4, 0.95):.2f} A"
    return cause_drawn(plan, "cable-capacity", ())


def run_long_cable(data: Data, rng: random.Random) -> Damaged | None:
    """Run a thin cable a long way from the board."""
    chosen = _change_protection(data, rng)
    if chosen is None or not (chosen[1].get("cable") or {}).get("size"):
        return None
    plan, told, current = chosen
    size = read_quantity(told["cable"]["size"], "mm2")
    for_five = 0.05 * volts(plan) * size / (2 * current * COPPER * 0.8)
    length = for_five * rng.uniform(1.05, 2)
    if length > 990:
        told["cable"]["size"], length = "1.5 mm2", length * 1.5 / size
    if length > 990:
        return None
    told["cable"]["length"] = f"{length:.1f} m"
    return cause_drawn(plan, "voltage-drop", ())


def save_rcd(data: Data, rng: random.Random) -> Damaged | None:
    """Fit no RCD, or one that trips too late."""
    chosen = _change_protection(data, rng)
    if chosen is None:
        return None
    if rng.random() < 0.5:
        chosen[1].pop("rcd", None)
    else:
        chosen[1]["rcd"] = rng.choice(("100 mA", "300 mA"))
    return cause_drawn(chosen[0], "rcd", ())


def lose_class(data: Data, rng: random.Random) -> Damaged | None:
    """Use a film that is not of protection class II where no grid lies."""
    plan = copy_plan(data)
    if plan["supply"].get("system") == "SELV":
        return None
    bare = [(r, f) for r in heated_rooms(plan) for f in films_in(plan, r) if not _has_grid(plan, r)]
    if not bare:
        return None
    film = rng.choice(bare)[1]
    told = plan["materials"]["films"][film]
    told.pop("protection_class", None)
    if rng.random() < 0.3:
        told["protection_class"] = "I"
    own = tuple(Expected("protective-grid", r, (f,), "error") for r, f in bare if f == film)
    return Damaged(plan, own)


def _has_grid(plan: Data, room: str) -> bool:
    return bool(plan["rooms"][room].get("grid"))


def spoil_grid(data: Data, rng: random.Random) -> Damaged | None:
    """Leave the grid of a bathroom out or unearthed, or take one with too wide a mesh."""
    plan = copy_plan(data)
    rooms = [
        room
        for room in heated_rooms(plan)
        if plan["rooms"][room].get("use") == "bathroom" and _has_grid(plan, room)
    ]
    if not rooms or plan["supply"].get("system") == "SELV":
        return None
    room = rng.choice(rooms)
    change = rng.choice(("none", "earth", "mesh"))
    if change == "none":
        del plan["rooms"][room]["grid"]
    elif change == "earth":
        plan["rooms"][room]["grid"]["earthed"] = False
    else:
        plan["rooms"][room]["grid"]["mesh"] = rng.randint(31, 80)
    own = tuple(Expected("protective-grid", room, (f,), "error") for f in films_in(plan, room))
    return Damaged(plan, own)


def ask_too_much(data: Data, rng: random.Random) -> Damaged | None:
    """Leave less of the supply than the floor draws."""
    plan = open_rows(data)
    total = sum(load.current_a for load in _loads(plan).values())
    plan["supply"]["available"] = f"{total * rng.uniform(0.3, 0.97):.2f} A"
    return cause(plan, "supply-capacity", None, severity="error")


MUTATIONS = (
    Mutation("circuit-feed", "strip-skipped",
             "A strip was passed over when the leads were joined.", skip_strip),
    Mutation("circuit-feed", "circuits-mixed",
             "A strip was written down on the other circuit.", mix_circuits),
    Mutation("circuit-feed", "circuit-forgotten",
             "A strip was added and put on no circuit.", forget_circuit),
    Mutation("circuit-feed", "lead-forgotten", "A circuit's lead was not drawn.", forget_lead),
    Mutation("circuit-current", "circuits-joined",
             "Circuits were made one, to save a breaker.", join_circuits),
    Mutation("circuit-element-length", "chain-too-long",
             "Too many strips were chained on one circuit.", join_long_circuits),
    Mutation("circuit-element-length", "film-for-shorter-chains",
             "Another make of film was bought of which less may be chained.", allow_less),
    Mutation("film-voltage", "film-for-another-voltage",
             "Film for another voltage was ordered.", order_wrong_film),
    Mutation("film-voltage", "another-supply",
             "The floor was connected to another supply than drawn.", change_supply),
    Mutation("breaker-rating", "breaker-forgotten", "No breaker was given.", forget_breaker),
    Mutation("breaker-rating", "breaker-too-small",
             "The breaker that was left over is below the current.", fit_small_breaker),
    Mutation("breaker-rating", "breaker-too-large",
             "The breaker that kept tripping was replaced by a larger one.", fit_large_breaker),
    Mutation("cable-capacity", "cable-too-thin",
             "The cable was chosen without asking how warm it gets where it lies.",
             run_thin_cable),
    Mutation("cable-capacity", "lead-too-thin",
             "Bell wire was used for a lead.", use_thin_lead),
    Mutation("voltage-drop", "board-far-away",
             "The cable was sized by its current, and nobody asked how long it is.",
             run_long_cable),
    Mutation("rcd", "rcd-saved", "The RCD was left out, or is not one that protects people.",
             save_rcd),
    Mutation("protective-grid", "film-without-class",
             "Film that needs an earthed grid was laid without one.", lose_class),
    Mutation("protective-grid", "bathroom-grid-spoiled",
             "The bathroom's grid was left out, not earthed, or too wide meshed.", spoil_grid),
    Mutation("supply-capacity", "supply-used-up",
             "The supply had been promised to the kitchen already.", ask_too_much),
)  # fmt: skip
