"""Circuits divided, protected or fed wrong."""

from __future__ import annotations

import random
from typing import Any

from underfoot.api.rules import Damaged, Data, Mutation, read_quantity
from underfoot_rules.mutations.choosing import (
    choose_room,
    choose_strip,
    damages,
    films_in,
    heated_rooms,
    new_id,
)
from underfoot_rules.mutations.drawn import Drawn, Strip
from underfoot_rules.mutations.expand_rows import copy_plan, open_rows
from underfoot_rules.mutations.loads import loads_as_written, volts


@damages(choose_room)
def skip_strip(plan: Data, room: Drawn, rng: random.Random) -> Damaged | None:
    """Leave a strip out of its lead's route."""
    strip = choose_strip(room, rng).id
    for told in room.data["leads"].values():
        named = [stop for stop in told["route"] if isinstance(stop, str)]
        if strip in named and len(named) > 2:
            told["route"].remove(strip)
    return Damaged(data=plan)


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
    return Damaged(data=plan)


def label_lead_wrong(data: Data, rng: random.Random) -> Damaged | None:
    """Write a lead down on another circuit."""
    chosen = choose_room(data, rng)
    if chosen is None or len(chosen[0]["circuits"]) < 2:
        return None
    plan, room = chosen
    lead = room.data["leads"][rng.choice(list(room.leads))]
    lead["circuit"] = rng.choice([name for name in plan["circuits"] if name != lead["circuit"]])
    return Damaged(data=plan)


def _choose_two(data: Data, rng: random.Random) -> tuple[Data, Drawn, list[Strip], str] | None:
    """Choose a room with two circuits, the strips of one, and the other."""
    chosen = choose_room(data, rng)
    if chosen is None:
        return None
    plan, room = chosen
    used = sorted({str(strip.circuit) for strip in room.strips.values() if strip.circuit})
    if len(used) < 2:
        return None
    own, other = rng.sample(used, 2)
    return plan, room, [strip for strip in room.strips.values() if strip.circuit == own], other


def _add_lead(room: Drawn, like: str, circuit: str, route: list[Any]) -> None:
    name = new_id(room.data, "leads", "lead-added")
    room.data["leads"][name] = {**room.data["leads"][like], "circuit": circuit, "route": route}


def reach_too_far(data: Data, rng: random.Random) -> Damaged | None:
    """Take a lead on to a strip of the next circuit."""
    found = _choose_two(data, rng)
    if found is None:
        return None
    plan, room, strips, other = found
    leads = [told for told in room.data["leads"].values() if told["circuit"] == other]
    if not leads:
        return None
    rng.choice(leads)["route"].append(rng.choice(strips).id)
    return Damaged(data=plan)


def feed_from_second(data: Data, rng: random.Random) -> Damaged | None:
    """Join a strip at its other end to a lead of another circuit from the box."""
    found = _choose_two(data, rng)
    if found is None:
        return None
    plan, room, strips, other = found
    strip = rng.choice(strips)
    end = "end" if strip.connected == "start" else "start"
    _add_lead(room, next(iter(room.leads)), other, ["junction-box", f"{strip.id}.{end}"])
    return Damaged(data=plan)


def label_jumper_wrong(data: Data, rng: random.Random) -> Damaged | None:
    """Join the far ends of two strips by a lead written down on another circuit."""
    found = _choose_two(data, rng)
    if found is None or len(found[2]) < 2:
        return None
    plan, room, strips, other = found
    ends = [f"{s.id}.{'end' if s.connected == 'start' else 'start'}" for s in strips]
    at = rng.randrange(len(ends) - 1)
    _add_lead(room, next(iter(room.leads)), other, ends[at : at + 2])
    return Damaged(data=plan)


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
    return Damaged(data=plan)


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
    return Damaged(data=plan)


def join_circuits(data: Data, rng: random.Random) -> Damaged | None:
    """Put the strips of several circuits on one, and perhaps on one lead."""
    return _join(data, rng, "circuit-current", one_lead=rng.random() < 0.3)


def join_long_circuits(data: Data, rng: random.Random) -> Damaged | None:
    """Put so many metres of strip on one circuit."""
    return _join(data, rng, "circuit-element-length", one_lead=False)


def _join(data: Data, rng: random.Random, rule: str, *, one_lead: bool) -> Damaged | None:
    # Who divides the circuits anew has not measured them yet.
    if data.get("tests"):
        data = {**data, "status": "for review", "tests": []}
        data.pop("handover", None)
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
        if len(mine) < 2:
            return None
        first, *others = mine
        leads[first]["route"] += [
            stop
            for name in others
            for stop in leads.pop(name)["route"]
            if isinstance(stop, str) and stop in room.strips
        ]
    return Damaged(data=plan)


def allow_less(data: Data, rng: random.Random) -> Damaged | None:
    """Use a film whose maker allows fewer metres on one circuit."""
    plan = open_rows(data)
    found = loads_as_written(plan)
    if not found:
        return None
    load = found[rng.choice(list(found))]
    metres = sum(strip.length for strip in load.strips) / 1000
    film = plan["materials"]["films"][rng.choice(load.strips).film]
    film["longest_circuit"] = f"{metres - rng.choice((0.1, 0.5, 1)):.3f} m"
    return Damaged(data=plan)


def press_weak_connectors(data: Data, rng: random.Random) -> Damaged | None:
    """Use film whose connectors may carry less than goes through the first of them."""
    plan = open_rows(data)
    found = loads_as_written(plan)
    if not found:
        return None
    load = found[rng.choice(list(found))]
    film = plan["materials"]["films"][rng.choice(load.strips).film]
    bears_a = load.current_a * rng.uniform(0.2, 0.9)
    if bears_a < 1:
        return None  # no connector is made for so little
    film["largest_current"] = f"{bears_a:.2f} A"
    return Damaged(data=plan)


def order_wrong_film(data: Data, rng: random.Random) -> Damaged | None:
    """Order film for another voltage; what was measured of it was measured right."""
    plan = open_rows(data)
    films = sorted({film for room in heated_rooms(plan) for film in films_in(plan, room)})
    name = rng.choice(films)
    film = plan["materials"]["films"][name]
    factor = rng.choice((0.45, 0.5, 0.85, 0.92, 1.08, 1.15, 1.8))
    before, now = read_quantity(film["voltage"], "V"), round(volts(plan) * factor)
    film["voltage"] = f"{now} V"
    if not _measure_again(plan, name, (now / before) ** 2):
        return None
    return Damaged(data=plan)


def _measure_again(plan: Data, film: str, times: float) -> bool:
    """Change the readings of a film's strips; False where a circuit has another film beside it."""
    films: dict[str, set[str]] = {}
    for room in plan["rooms"].values():
        for strip in (room.get("elements") or {}).values():
            films.setdefault(strip.get("circuit"), set()).add(strip["film"])
    for test in plan.get("tests") or []:
        on_circuit = films.get(test["circuit"], set())
        if film not in on_circuit:
            continue
        if len(on_circuit) > 1:
            return False
        for told, key in (
            (test, "load_resistance"),
            *((test.get("strips") or {}, strip) for strip in test.get("strips") or {}),
        ):
            if key in told:
                told[key] = f"{read_quantity(told[key], 'ohm') * times:.3f} ohm"
    return True


def change_supply(data: Data, rng: random.Random) -> Damaged | None:
    """Feed the floor from another supply than its film is made for."""
    plan = copy_plan(data)
    if plan["supply"].get("system") == "SELV":
        return None
    plan["supply"]["voltage"] = f"{rng.choice((110, 120, 200, 215, 245, 253, 277))} V"
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="circuit-feed", name="strip-skipped",
             says="A strip was passed over when the leads were joined.", apply=skip_strip),
    Mutation(rule="circuit-feed", name="circuits-mixed",
             says="A strip was written down on the other circuit.", apply=mix_circuits),
    Mutation(rule="circuit-feed", name="circuit-forgotten",
             says="A strip was added and put on no circuit.", apply=forget_circuit),
    Mutation(rule="circuit-feed", name="lead-forgotten", says="A circuit's lead was not drawn.",
             apply=forget_lead),
    Mutation(rule="circuit-feed", name="lead-on-the-other-circuit",
             says="A lead was written down on another circuit.", apply=label_lead_wrong),
    Mutation(rule="circuits-joined", name="lead-taken-too-far",
             says="A lead was taken on to a strip of the next circuit.", apply=reach_too_far),
    Mutation(rule="circuits-joined", name="second-circuit-at-the-far-end",
             says="A strip was joined at its far end to another circuit as well.",
             apply=feed_from_second),
    Mutation(rule="circuits-joined", name="jumper-on-the-other-circuit",
             says="A lead between two strips was written down on another circuit.",
             apply=label_jumper_wrong),
    Mutation(rule="circuit-current", name="circuits-joined",
             says="Circuits were made one, to save a breaker.", apply=join_circuits),
    Mutation(rule="circuit-current", name="connectors-too-weak",
             says="Film was bought with connectors made for less current.",
             apply=press_weak_connectors),
    Mutation(rule="circuit-element-length", name="chain-too-long",
             says="Too many strips were chained on one circuit.", apply=join_long_circuits),
    Mutation(rule="circuit-element-length", name="film-for-shorter-chains",
             says="Another make of film was bought of which less may be chained.",
             apply=allow_less),
    Mutation(rule="film-voltage", name="film-for-another-voltage",
             says="Film for another voltage was ordered.", apply=order_wrong_film),
    Mutation(rule="film-voltage", name="another-supply",
             says="The floor was connected to another supply than drawn.", apply=change_supply),
)  # fmt: skip
