"""Protection, cables and supply that do not fit the load."""

from __future__ import annotations

import random
from collections.abc import Mapping

from underfoot.api.rules import Damaged, Data, Mutation, read_quantity
from underfoot_rules.mutations.choosing import choose_room, films_in, heated_rooms
from underfoot_rules.mutations.expand_rows import open_rows
from underfoot_rules.mutations.loads import (
    Load,
    loads_as_written,
    protections,
    strip_power,
    volts,
)

COPPER = 0.0225  # ohm mm2/m, warm
# The best of IEC 60364-5-52, table B.52.2, for each size (mm2: A), method D1 among its methods.
BEST_A: Mapping[float, float] = {1.5: 22, 2.5: 29, 4: 37, 6: 46, 10: 63}


def _protections(plan: Data) -> dict[str, tuple[Load, ...]]:
    return protections(loads_as_written(plan))


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
    return Damaged(data=chosen[0])


def fit_small_breaker(data: Data, rng: random.Random) -> Damaged | None:
    """Fit a breaker below the current."""
    chosen = _change_protection(data, rng)
    if chosen is None:
        return None
    smaller = [rating for rating in (1, 2, 4, 6, 10, 13) if rating < chosen[2]]
    if not smaller:
        return None
    chosen[1]["breaker"] = f"{rng.choice(smaller)} A"
    return Damaged(data=chosen[0])


def fit_large_breaker(data: Data, rng: random.Random) -> Damaged | None:
    """Fit a breaker that the conductors cannot be left to."""
    chosen = _change_protection(data, rng)
    if chosen is None:
        return None
    chosen[1]["breaker"] = f"{rng.choice((25, 32, 40, 50))} A"
    return Damaged(data=chosen[0])


def keep_large_breaker(data: Data, rng: random.Random) -> Damaged | None:
    """Keep a breaker above what the leads carry, which the strips cannot overload."""
    chosen = _change_protection(data, rng)
    if chosen is None:
        return None
    chosen[1]["breaker"] = f"{rng.choice((13, 16, 20))} A"
    return Damaged(data=chosen[0])


def _choose_wire(plan: Data, rng: random.Random) -> tuple[Data, str | None] | None:
    """Choose a cable, a link or a lead of a circuit with strips; give the room of a lead."""
    found = loads_as_written(plan)
    carried = {*found, *protections(found)}
    told: list[tuple[Data, str | None]] = [
        (circuit["cable"], None)
        for name, circuit in plan["circuits"].items()
        if name in carried and circuit.get("cable")
    ]
    told += [
        (lead, name)
        for name, room in plan["rooms"].items()
        for lead in (room.get("leads") or {}).values()
        if lead["circuit"] in found
    ]
    return rng.choice(told) if told else None


def use_bell_wire(data: Data, rng: random.Random) -> Damaged | None:
    """Use conductors thinner than fixed wiring may be."""
    plan = open_rows(data)
    chosen = _choose_wire(plan, rng)
    if chosen is None:
        return None
    sizes = (
        ("0.5 mm2",) if plan["supply"].get("system") == "SELV" else ("0.5 mm2", "0.75 mm2", "1 mm2")
    )
    chosen[0]["size"] = rng.choice(sizes)
    return Damaged(data=plan)


def wish_for_capacity(data: Data, rng: random.Random) -> Damaged | None:
    """Write down a capacity that no conductor of the size ever has."""
    plan = open_rows(data)
    chosen = _choose_wire(plan, rng)
    if chosen is None or "size" not in chosen[0]:
        return None
    best = BEST_A.get(read_quantity(chosen[0]["size"], "mm2"))
    if best is None:
        return None
    chosen[0]["capacity"] = f"{best * rng.uniform(1.05, 2):.1f} A"
    return Damaged(data=plan)


def run_weak_link(data: Data, rng: random.Random) -> Damaged | None:
    """Lead on to the second box with what carries less than its strips draw."""
    plan = open_rows(data)
    found = loads_as_written(plan)
    linked = [load for load in found.values() if "shares" in load.told and load.told.get("cable")]
    if not linked:
        return None
    load = rng.choice(linked)
    load.told["cable"]["capacity"] = f"{load.current_a * rng.uniform(0.4, 0.95):.2f} A"
    return Damaged(data=plan)


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
    return Damaged(data=plan)


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
    return Damaged(data=plan)


def run_long_cable(data: Data, rng: random.Random) -> Damaged | None:
    """Run a thin cable a long way from the board."""
    chosen = _change_protection(data, rng)
    if chosen is None or not (chosen[1].get("cable") or {}).get("size"):
        return None
    plan, told, current = chosen
    size = read_quantity(told["cable"]["size"], "mm2")
    for_five = 0.05 * volts(plan) * size / (2 * current * COPPER * 0.8)
    length = for_five * rng.uniform(1.05, 2)
    if length > 390:
        told["cable"]["size"], length = "1.5 mm2", length * 1.5 / size
    if length > 390:
        return None
    told["cable"]["length"] = f"{length:.1f} m"
    return Damaged(data=plan)


def save_rcd(data: Data, rng: random.Random) -> Damaged | None:
    """Fit no RCD, or one that trips too late."""
    chosen = _change_protection(data, rng)
    if chosen is None:
        return None
    if rng.random() < 0.5:
        chosen[1].pop("rcd", None)
    else:
        chosen[1]["rcd"] = rng.choice(("100 mA", "300 mA"))
    return Damaged(data=chosen[0])


def lose_class(data: Data, rng: random.Random) -> Damaged | None:
    """Use a film that is not of protection class II where no grid lies."""
    plan = open_rows(data)
    bare = [(r, f) for r in heated_rooms(plan) for f in films_in(plan, r) if not _has_grid(plan, r)]
    if not bare:
        return None
    film = rng.choice(bare)[1]
    told = plan["materials"]["films"][film]
    told.pop("protection_class", None)
    if rng.random() < 0.5:
        told["protection_class"] = rng.choice(("I", "III"))
    return Damaged(data=plan)


def _has_grid(plan: Data, room: str) -> bool:
    return bool(plan["rooms"][room].get("grid"))


def spoil_grid(data: Data, rng: random.Random) -> Damaged | None:
    """Leave the grid of a bathroom out or unearthed, or take one with too wide a mesh."""
    plan = open_rows(data)
    rooms = [room for room in heated_rooms(plan) if _has_grid(plan, room)]
    if not rooms:
        return None
    room = plan["rooms"][rng.choice(rooms)]
    change = rng.choice(("none", "earth", "conductor", "thin", "mesh"))
    if change == "none":
        del room["grid"]
        if room.get("use") == "bathroom" and rng.random() < 0.5:
            room["use"] = "other"  # which makes it no less of a bathroom
    elif change == "earth":
        room["grid"]["earthed"] = False
    elif change == "conductor":
        del room["grid"]["protective_conductor"]
    elif change == "thin":
        room["grid"]["protective_conductor"] = rng.choice(("0.5 mm2", "0.75 mm2", "1 mm2"))
    else:
        room["grid"]["mesh"] = rng.randint(31, 80)
    return Damaged(data=plan)


def float_grid(data: Data, rng: random.Random) -> Damaged | None:
    """Lay a metal grid where none is asked for, and earth it by nothing."""
    plan = open_rows(data)
    bare = [room for room in heated_rooms(plan) if not _has_grid(plan, room)]
    if not bare:
        return None
    plan["rooms"][rng.choice(bare)]["grid"] = rng.choice(
        ({"mesh": 20}, {"mesh": 20, "earthed": False}, {"mesh": 20, "earthed": True})
    )
    return Damaged(data=plan)


def ask_too_much(data: Data, rng: random.Random) -> Damaged | None:
    """Leave less of the supply than the floor draws."""
    plan = open_rows(data)
    total = sum(load.current_a for load in loads_as_written(plan).values())
    left_a = total * rng.uniform(0.3, 0.97)
    if left_a < 1:
        return None  # a figure that would be asked about
    plan["supply"]["available"] = f"{left_a:.2f} A"
    return Damaged(data=plan)


def load_one_phase(data: Data, rng: random.Random) -> Damaged | None:
    """Put all circuits on one phase of three."""
    plan = open_rows(data)
    groups = _protections(plan)
    if not groups:
        return None
    phase = rng.choice(("L1", "L2", "L3"))
    for name in groups:
        plan["circuits"][name]["phase"] = phase
    total = sum(load.current_a for group in groups.values() for load in group)
    left_a = total * rng.uniform(0.4, 0.97)
    if left_a < 1:
        return None  # a figure that would be asked about
    plan["supply"].update(phases=3, available=f"{left_a:.2f} A")
    return Damaged(data=plan)


def call_it_selv(data: Data, rng: random.Random) -> Damaged | None:
    """Call the mains SELV, so that nobody asks for an RCD."""
    plan = open_rows(data)
    if plan["supply"].get("system") == "SELV":
        return None
    plan["supply"]["system"] = "SELV"
    if rng.random() < 0.5:
        plan["supply"]["source"] = {"kind": "safety isolating transformer"}
    return Damaged(data=plan)


def lose_source(data: Data, rng: random.Random) -> Damaged | None:
    """Name no source of a SELV supply, or one that is not made for it."""
    if not data["supply"].get("source") or data.get("tests"):
        return None  # tests of a floor on SELV are others than those of one on the mains
    plan = open_rows(data)
    source = plan["supply"]["source"]
    change = rng.choice(("none", "kind", "other", "standard", "wrong standard"))
    if change == "none":
        del plan["supply"]["source"]
    elif change == "kind":
        del source["kind"]
    elif change == "other":
        source["kind"] = rng.choice(("isolating transformer", "autotransformer", "other"))
    elif change == "standard":
        source.pop("standard", None)
    else:
        source["standard"] = rng.choice(("IEC 61558-2-4", "IEC 61558-2-13", "a sound standard"))
    return Damaged(data=plan)


def take_weak_source(data: Data, rng: random.Random) -> Damaged | None:
    """Use a transformer that was left over."""
    if not data["supply"].get("source"):
        return None
    plan = open_rows(data)
    total = sum(load.current_a for load in loads_as_written(plan).values()) * volts(plan)
    plan["supply"]["source"]["rating"] = f"{max(total * rng.uniform(0.2, 0.97), 20):.1f} VA"
    return Damaged(data=plan)


def raise_voltage(data: Data, rng: random.Random) -> Damaged | None:
    """Buy the set for dry rooms for a bathroom: 48 V."""
    if data["supply"].get("system") != "SELV" or data.get("tests"):
        return None
    plan = open_rows(data)
    plan["supply"]["voltage"] = "48 V"
    for film in plan["materials"]["films"].values():
        film["voltage"] = "48 V"
    return Damaged(data=plan)


def fit_deaf_rcd(data: Data, rng: random.Random) -> Damaged | None:
    """Fit RCDs of type AC."""
    plan = open_rows(data)
    groups = _protections(plan)
    for name in groups:
        plan["circuits"][name]["rcd_type"] = "AC"
    return Damaged(data=plan) if groups else None


def crowd_rcd(data: Data, rng: random.Random) -> Damaged | None:
    """Put all circuits behind one RCD, with film that leaks more than a little."""
    plan = open_rows(data)
    groups = _protections(plan)
    if not groups:
        return None
    for name in groups:
        plan["circuits"][name].update(rcd="30 mA", rcd_type="A", rcd_group="R9")
    for film in plan["materials"]["films"].values():
        film["leakage"] = rng.choice(("0.6 mA/m2", "1.5 mA/m2", "0.9 mA/m", "2 mA/m"))
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="breaker-rating", name="breaker-forgotten", says="No breaker was given.",
             apply=forget_breaker),
    Mutation(rule="breaker-rating", name="breaker-too-small",
             says="The breaker that was left over is below the current.", apply=fit_small_breaker),
    Mutation(rule="breaker-rating", name="breaker-too-large",
             says="The breaker that kept tripping was replaced by a larger one.",
             apply=fit_large_breaker),
    Mutation(rule="breaker-rating", name="breaker-above-the-leads",
             says="The breaker that was there was kept for thinner leads.",
             apply=keep_large_breaker),
    Mutation(rule="conductor-size", name="bell-wire", says="Bell wire was used.",
             apply=use_bell_wire),
    Mutation(rule="cable-capacity", name="capacity-wished-for",
             says="A capacity was written down that the conductor does not have.",
             apply=wish_for_capacity),
    Mutation(rule="cable-capacity", name="link-too-weak",
             says="The second box was joined with what was left over.", apply=run_weak_link),
    Mutation(rule="cable-capacity", name="cable-too-thin",
             says="The cable was chosen without asking how warm it gets where it lies.",
             apply=run_thin_cable),
    Mutation(rule="cable-capacity", name="lead-too-thin",
             says="A lead was used that carries less than its strips draw.", apply=use_thin_lead),
    Mutation(rule="voltage-drop", name="board-far-away",
             says="The cable was sized by its current, and nobody asked how long it is.",
             apply=run_long_cable),
    Mutation(rule="rcd", name="rcd-saved",
             says="The RCD was left out, or is not one that protects people.",
             apply=save_rcd),
    Mutation(rule="protective-grid", name="film-without-class",
             says="Film that needs an earthed grid was laid without one.", apply=lose_class),
    Mutation(rule="protective-grid", name="bathroom-grid-spoiled",
             says="The bathroom's grid was left out, not earthed, or too wide meshed.",
             apply=spoil_grid),
    Mutation(rule="protective-grid", name="grid-floating",
             says="A metal grid was laid over film that needs none, and earthed by nothing.",
             apply=float_grid),
    Mutation(rule="supply-capacity", name="supply-used-up",
             says="The supply had been promised to the kitchen already.", apply=ask_too_much),
    Mutation(rule="supply-capacity", name="phase-overloaded",
             says="All circuits were put on the phase that was nearest.", apply=load_one_phase),
    Mutation(rule="selv-source", name="selv-by-name",
             says="The mains was called SELV on the plan.", apply=call_it_selv),
    Mutation(rule="selv-source", name="source-not-safe",
             says="The source of a SELV supply was not written down, or is not made for it.",
             apply=lose_source),
    Mutation(rule="source-rating", name="source-too-weak",
             says="A transformer was used that had been left over.", apply=take_weak_source),
    Mutation(rule="selv-voltage", name="set-for-dry-rooms",
             says="A bathroom was given the 48 V set of a dry room.", apply=raise_voltage),
    Mutation(rule="rcd-type", name="rcd-deaf", says="The cheapest RCD was fitted.",
             apply=fit_deaf_rcd),
    Mutation(rule="rcd-leakage", name="rcd-crowded",
             says="All circuits were put behind one RCD, and the film leaks.", apply=crowd_rcd),
)  # fmt: skip
