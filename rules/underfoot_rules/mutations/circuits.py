"""Circuits divided, protected or fed wrong."""

import random
from typing import Any

from underfoot.api.rules import Data, read_quantity
from underfoot_rules.mutations.choosing import (
    add,
    choose_room,
    choose_strip,
    films_in,
    heated_rooms,
)
from underfoot_rules.mutations.damaging import given, mutation, pick
from underfoot_rules.mutations.drawn import Drawn, Strip
from underfoot_rules.mutations.expand_rows import expand
from underfoot_rules.mutations.loads import loads_as_written, volts


@mutation("circuit-feed", "strip-skipped")
def skip_strip(plan: Data, rng: random.Random) -> None:
    """A strip was passed over when the leads were joined."""
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng).id
    for told in room.data["leads"].values():
        named = [stop for stop in told["route"] if isinstance(stop, str)]
        if strip in named and len(named) > 2:
            told["route"].remove(strip)


@mutation("circuit-feed", "circuits-mixed")
def mix_circuits(plan: Data, rng: random.Random) -> None:
    """A strip was written down on the other circuit."""
    given(not plan.get("tests"))
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng)
    others = {each.circuit for each in room.strips.values()} - {strip.circuit, None}
    room.data["elements"][strip.id]["circuit"] = pick(rng, sorted(map(str, others)))


@mutation("circuit-feed", "circuit-forgotten")
def forget_circuit(plan: Data, rng: random.Random) -> None:
    """A strip was added and put on no circuit."""
    given(not plan.get("tests"))
    room = choose_room(plan, rng)
    strip = choose_strip(room, rng)
    told = room.data["elements"][strip.id]
    if rng.random() < 0.5:
        told.pop("circuit", None)
    else:
        told["circuit"] = "C-unknown"
    for lead in room.data["leads"].values():
        named = [stop for stop in lead["route"] if isinstance(stop, str)]
        if strip.id in named:
            given(len(named) >= 3)
            lead["route"].remove(strip.id)


def _choose_two(plan: Data, rng: random.Random) -> tuple[Drawn, list[Strip], str]:
    """Choose a room with two circuits, the strips of one, and the other."""
    room = choose_room(plan, rng)
    used = sorted({str(strip.circuit) for strip in room.strips.values() if strip.circuit})
    given(len(used) >= 2)
    own, other = rng.sample(used, 2)
    return room, [strip for strip in room.strips.values() if strip.circuit == own], other


def _add_lead(room: Drawn, like: str, circuit: str, route: list[Any]) -> None:
    told = {**room.data["leads"][like], "circuit": circuit, "route": route}
    add(room.data, "leads", "lead-added", told)


@mutation("circuit-feed", "lead-forgotten")
def forget_lead(plan: Data, rng: random.Random) -> None:
    """A circuit's lead was not drawn."""
    expand(plan)
    name = pick(rng, list(plan.get("circuits") or {}))
    for room in plan["rooms"].values():
        leads = room.get("leads") or {}
        room["leads"] = {key: told for key, told in leads.items() if told["circuit"] != name}


@mutation("circuit-feed", "lead-on-the-other-circuit")
def label_lead_wrong(plan: Data, rng: random.Random) -> None:
    """A lead was written down on another circuit."""
    room = choose_room(plan, rng)
    given(len(plan["circuits"]) >= 2)
    lead = room.data["leads"][rng.choice(list(room.leads))]
    lead["circuit"] = rng.choice([name for name in plan["circuits"] if name != lead["circuit"]])


@mutation("circuits-joined", "lead-taken-too-far")
def reach_too_far(plan: Data, rng: random.Random) -> None:
    """A lead was taken on to a strip of the next circuit."""
    room, strips, other = _choose_two(plan, rng)
    leads = [told for told in room.data["leads"].values() if told["circuit"] == other]
    pick(rng, leads)["route"].append(rng.choice(strips).id)


@mutation("circuits-joined", "second-circuit-at-the-far-end")
def feed_from_second(plan: Data, rng: random.Random) -> None:
    """A strip was joined at its far end to another circuit as well."""
    room, strips, other = _choose_two(plan, rng)
    strip = rng.choice(strips)
    end = "end" if strip.connected == "start" else "start"
    _add_lead(room, next(iter(room.leads)), other, ["junction-box", f"{strip.id}.{end}"])


@mutation("circuits-joined", "jumper-on-the-other-circuit")
def label_jumper_wrong(plan: Data, rng: random.Random) -> None:
    """A lead between two strips was written down on another circuit."""
    room, strips, other = _choose_two(plan, rng)
    given(len(strips) >= 2)
    ends = [f"{s.id}.{'end' if s.connected == 'start' else 'start'}" for s in strips]
    at = rng.randrange(len(ends) - 1)
    _add_lead(room, next(iter(room.leads)), other, ends[at : at + 2])


@mutation("circuit-current", "circuits-joined")
def join_circuits(plan: Data, rng: random.Random) -> None:
    """Circuits were made one, to save a breaker."""
    # Put the strips of several circuits on one, and perhaps on one lead.
    _join(plan, rng, "circuit-current", one_lead=rng.random() < 0.3)


@mutation("circuit-current", "connectors-too-weak")
def press_weak_connectors(plan: Data, rng: random.Random) -> None:
    """Film was bought with connectors made for less current."""
    # Use film whose connectors may carry less than goes through the first of them.
    expand(plan)
    load = pick(rng, loads_as_written(plan).values())
    film = plan["materials"]["films"][rng.choice(load.strips).film]
    bears_a = load.current_a * rng.uniform(0.2, 0.9)
    given(bears_a >= 1)  # no connector is made for so little
    film["largest_current"] = f"{bears_a:.2f} A"


def _join(plan: Data, rng: random.Random, rule: str, *, one_lead: bool) -> None:
    # Who divides the circuits anew has not measured them yet.
    if plan.get("tests"):
        plan.update(status="for review", tests=[])
        plan.pop("handover", None)
    room = choose_room(plan, rng)
    names = list(dict.fromkeys(strip.circuit for strip in room.strips.values() if strip.circuit))
    elsewhere = (
        strip.get("circuit")
        for other, told in plan["rooms"].items()
        for strip in (told.get("elements") or {}).values()
        if other != room.id
    )
    given(len(names) >= 2 and not set(names) & set(elsewhere))
    least = len(names) if rule == "circuit-current" else 2
    keep, *lost = rng.sample(names, rng.randint(least, len(names)))
    heads = [name for name in (keep, *lost) if "shares" not in plan["circuits"][name]]
    if heads and "shares" in plan["circuits"][keep]:
        keep, lost = heads[0], [name for name in (keep, *lost) if name != heads[0]]
    for name in lost:
        del plan["circuits"][name]
    for told in plan["circuits"].values():
        if told.get("shares") in lost:
            told["shares"] = keep
    if "length" in plan["circuits"][keep].get("cable", {}):
        plan["circuits"][keep]["cable"]["length"] = "3 m"  # what it drops is another question
    leads = room.data["leads"]
    for told in (*room.data["elements"].values(), *leads.values()):
        if told.get("circuit") in lost:
            told["circuit"] = keep
    mine = [name for name, told in leads.items() if told["circuit"] == keep]
    if one_lead:
        given(len(mine) >= 2)
        first, *others = mine
        leads[first]["route"] += [
            stop
            for name in others
            for stop in leads.pop(name)["route"]
            if isinstance(stop, str) and stop in room.strips
        ]


@mutation("circuit-element-length", "chain-too-long")
def join_long_circuits(plan: Data, rng: random.Random) -> None:
    """Too many strips were chained on one circuit."""
    _join(plan, rng, "circuit-element-length", one_lead=False)


@mutation("circuit-element-length", "film-for-shorter-chains")
def allow_less(plan: Data, rng: random.Random) -> None:
    """Another make of film was bought of which less may be chained."""
    expand(plan)
    load = pick(rng, loads_as_written(plan).values())
    metres = sum(strip.length for strip in load.strips) / 1000
    film = plan["materials"]["films"][rng.choice(load.strips).film]
    film["longest_circuit"] = f"{metres - rng.choice((0.1, 0.5, 1)):.3f} m"


@mutation("film-voltage", "film-for-another-voltage")
def order_wrong_film(plan: Data, rng: random.Random) -> None:
    """Film for another voltage was ordered."""
    # Order film for another voltage; what was measured of it was measured right.
    expand(plan)
    films = sorted({film for room in heated_rooms(plan) for film in films_in(plan, room)})
    name = rng.choice(films)
    film = plan["materials"]["films"][name]
    factor = rng.choice((0.45, 0.5, 0.85, 0.92, 1.08, 1.15, 1.8))
    before, now = read_quantity(film["voltage"], "V"), round(volts(plan) * factor)
    film["voltage"] = f"{now} V"
    _measure_again(plan, name, (now / before) ** 2)


def _measure_again(plan: Data, film: str, times: float) -> None:
    """Change the readings of a film's strips, where no circuit has another film beside it."""
    films: dict[str, set[str]] = {}
    for room in plan["rooms"].values():
        for strip in (room.get("elements") or {}).values():
            films.setdefault(strip.get("circuit"), set()).add(strip["film"])
    for test in plan.get("tests") or []:
        on_circuit = films.get(test["circuit"], set())
        if film not in on_circuit:
            continue
        given(len(on_circuit) == 1)
        for told, key in (
            (test, "load_resistance"),
            *((test.get("strips") or {}, strip) for strip in test.get("strips") or {}),
        ):
            if key in told:
                told[key] = f"{read_quantity(told[key], 'ohm') * times:.3f} ohm"


@mutation("film-voltage", "another-supply")
def change_supply(plan: Data, rng: random.Random) -> None:
    """The floor was connected to another supply than drawn."""
    given(plan["supply"].get("system") != "SELV")
    plan["supply"]["voltage"] = f"{rng.choice((110, 120, 200, 215, 245, 253, 277))} V"
