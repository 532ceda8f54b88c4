"""Protection, cables and supply that do not fit the load."""

import random
from collections.abc import Mapping

from underfoot.api.rules import Data, read_quantity
from underfoot_rules.mutations.choosing import choose_room, choose_with, films_in, heated_rooms
from underfoot_rules.mutations.damaging import given, mutation, pick
from underfoot_rules.mutations.expand_rows import expand
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


def _change_protection(plan: Data, rng: random.Random) -> tuple[Data, float]:
    """Choose a protection that carries strips; give its entry and its current."""
    expand(plan)
    groups = _protections(plan)
    name = pick(rng, groups)
    return plan["circuits"][name], sum(load.current_a for load in groups[name])


@mutation("breaker-rating", "breaker-forgotten")
def forget_breaker(plan: Data, rng: random.Random) -> None:
    """No breaker was given."""
    given(_change_protection(plan, rng)[0].pop("breaker", None))


@mutation("breaker-rating", "breaker-too-small")
def fit_small_breaker(plan: Data, rng: random.Random) -> None:
    """The breaker that was left over is below the current."""
    told, current = _change_protection(plan, rng)
    smaller = [rating for rating in (1, 2, 4, 6, 10, 13) if rating < current]
    told["breaker"] = f"{pick(rng, smaller)} A"


@mutation("breaker-rating", "breaker-too-large")
def fit_large_breaker(plan: Data, rng: random.Random) -> None:
    """The breaker that kept tripping was replaced by a larger one."""
    # Fit a breaker that the conductors cannot be left to.
    told, _ = _change_protection(plan, rng)
    told["breaker"] = f"{rng.choice((25, 32, 40, 50))} A"


@mutation("breaker-rating", "breaker-above-the-leads")
def keep_large_breaker(plan: Data, rng: random.Random) -> None:
    """The breaker that was there was kept for thinner leads."""
    # Keep a breaker above what the leads carry, which the strips cannot overload.
    told, _ = _change_protection(plan, rng)
    told["breaker"] = f"{rng.choice((13, 16, 20))} A"


def _choose_wire(plan: Data, rng: random.Random) -> Data:
    """Choose a cable, a link or a lead of a circuit with strips."""
    expand(plan)
    found = loads_as_written(plan)
    carried = {*found, *protections(found)}
    told: list[Data] = [
        circuit["cable"]
        for name, circuit in plan["circuits"].items()
        if name in carried and circuit.get("cable")
    ]
    told += [
        lead
        for room in plan["rooms"].values()
        for lead in (room.get("leads") or {}).values()
        if lead["circuit"] in found
    ]
    return pick(rng, told)


@mutation("conductor-size", "bell-wire")
def use_bell_wire(plan: Data, rng: random.Random) -> None:
    """Bell wire was used."""
    # Use conductors thinner than fixed wiring may be.
    wire = _choose_wire(plan, rng)
    sizes = (
        ("0.5 mm2",) if plan["supply"].get("system") == "SELV" else ("0.5 mm2", "0.75 mm2", "1 mm2")
    )
    wire["size"] = rng.choice(sizes)


@mutation("cable-capacity", "capacity-wished-for")
def wish_for_capacity(plan: Data, rng: random.Random) -> None:
    """A capacity was written down that the conductor does not have."""
    # Write down a capacity that no conductor of the size ever has.
    wire = _choose_wire(plan, rng)
    given("size" in wire)
    best = given(BEST_A.get(read_quantity(wire["size"], "mm2")))
    wire["capacity"] = f"{best * rng.uniform(1.05, 2):.1f} A"


@mutation("cable-capacity", "link-too-weak")
def run_weak_link(plan: Data, rng: random.Random) -> None:
    """The second box was joined with what was left over."""
    # Lead on to the second box with what carries less than its strips draw.
    expand(plan)
    found = loads_as_written(plan)
    linked = [load for load in found.values() if "shares" in load.told and load.told.get("cable")]
    load = pick(rng, linked)
    load.told["cable"]["capacity"] = f"{load.current_a * rng.uniform(0.4, 0.95):.2f} A"


@mutation("cable-capacity", "cable-too-thin")
def run_thin_cable(plan: Data, rng: random.Random) -> None:
    """The cable was chosen without asking how warm it gets where it lies."""
    told, current = _change_protection(plan, rng)
    given(told.get("cable"))
    cable = told["cable"]
    if rng.random() < 0.5:
        cable.update(size="1.5 mm2", method="A1", ambient=f"{rng.choice((50, 55, 60))} degC")
        cable.pop("capacity", None)
    else:
        cable["capacity"] = f"{current * rng.uniform(0.4, 0.95):.2f} A"


@mutation("cable-capacity", "lead-too-thin")
def use_thin_lead(plan: Data, rng: random.Random) -> None:
    """A lead was used that carries less than its strips draw."""
    room = choose_room(plan, rng)
    lead = pick(rng, room.leads.values())
    strips = [room.strips[name] for name in lead.strips if name != lead.begins]
    current = sum(strip_power(plan, strip) for strip in strips) / volts(plan)
    room.data["leads"][lead.id]["capacity"] = f"{current * rng.uniform(0.4, 0.95):.2f} A"


@mutation("voltage-drop", "board-far-away")
def run_long_cable(plan: Data, rng: random.Random) -> None:
    """The cable was sized by its current, and nobody asked how long it is."""
    # Run a thin cable a long way from the board.
    told, current = _change_protection(plan, rng)
    given((told.get("cable") or {}).get("size"))
    size = read_quantity(told["cable"]["size"], "mm2")
    for_five = 0.05 * volts(plan) * size / (2 * current * COPPER * 0.8)
    length = for_five * rng.uniform(1.05, 2)
    if length > 390:
        told["cable"]["size"], length = "1.5 mm2", length * 1.5 / size
    given(length <= 390)
    told["cable"]["length"] = f"{length:.1f} m"


@mutation("rcd", "rcd-saved")
def save_rcd(plan: Data, rng: random.Random) -> None:
    """The RCD was left out, or is not one that protects people."""
    # Fit no RCD, or one that trips too late.
    told, _ = _change_protection(plan, rng)
    if rng.random() < 0.5:
        told.pop("rcd", None)
    else:
        told["rcd"] = rng.choice(("100 mA", "300 mA"))


@mutation("protective-grid", "film-without-class")
def lose_class(plan: Data, rng: random.Random) -> None:
    """Film that needs an earthed grid was laid without one."""
    # Use a film that is not of protection class II where no grid lies.
    expand(plan)
    bare = [room for room in heated_rooms(plan) if not plan["rooms"][room].get("grid")]
    told = plan["materials"]["films"][pick(rng, (f for room in bare for f in films_in(plan, room)))]
    told.pop("protection_class", None)
    if rng.random() < 0.5:
        told["protection_class"] = rng.choice(("I", "III"))


@mutation("protective-grid", "bathroom-grid-spoiled")
def spoil_grid(plan: Data, rng: random.Random) -> None:
    """The bathroom's grid was left out, not earthed, or too wide meshed."""
    expand(plan)
    room = plan["rooms"][choose_with(plan, rng, "grid")]
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


@mutation("protective-grid", "grid-floating")
def float_grid(plan: Data, rng: random.Random) -> None:
    """A metal grid was laid over film that needs none, and earthed by nothing."""
    expand(plan)
    bare = [room for room in heated_rooms(plan) if not plan["rooms"][room].get("grid")]
    plan["rooms"][pick(rng, bare)]["grid"] = rng.choice(
        ({"mesh": 20}, {"mesh": 20, "earthed": False}, {"mesh": 20, "earthed": True})
    )


@mutation("supply-capacity", "supply-used-up")
def ask_too_much(plan: Data, rng: random.Random) -> None:
    """The supply had been promised to the kitchen already."""
    # Leave less of the supply than the floor draws.
    expand(plan)
    total = sum(load.current_a for load in loads_as_written(plan).values())
    left_a = total * rng.uniform(0.3, 0.97)
    given(left_a >= 1)  # a figure that would be asked about
    plan["supply"]["available"] = f"{left_a:.2f} A"


@mutation("supply-capacity", "phase-overloaded")
def load_one_phase(plan: Data, rng: random.Random) -> None:
    """All circuits were put on the phase that was nearest."""
    expand(plan)
    groups = given(_protections(plan))
    phase = rng.choice(("L1", "L2", "L3"))
    for name in groups:
        plan["circuits"][name]["phase"] = phase
    total = sum(load.current_a for group in groups.values() for load in group)
    left_a = total * rng.uniform(0.4, 0.97)
    given(left_a >= 1)  # a figure that would be asked about
    plan["supply"].update(phases=3, available=f"{left_a:.2f} A")


@mutation("selv-source", "selv-by-name")
def call_it_selv(plan: Data, rng: random.Random) -> None:
    """The mains was called SELV on the plan."""
    expand(plan)
    given(plan["supply"].get("system") != "SELV")
    plan["supply"]["system"] = "SELV"
    if rng.random() < 0.5:
        plan["supply"]["source"] = {"kind": "safety isolating transformer"}


@mutation("selv-source", "source-not-safe")
def lose_source(plan: Data, rng: random.Random) -> None:
    """The source of a SELV supply was not written down, or is not made for it."""
    # Tests of a floor on SELV are others than those of one on the mains.
    given(plan["supply"].get("source") and not plan.get("tests"))
    expand(plan)
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


@mutation("source-rating", "source-too-weak")
def take_weak_source(plan: Data, rng: random.Random) -> None:
    """A transformer was used that had been left over."""
    given(plan["supply"].get("source"))
    expand(plan)
    total = sum(load.current_a for load in loads_as_written(plan).values()) * volts(plan)
    plan["supply"]["source"]["rating"] = f"{max(total * rng.uniform(0.2, 0.97), 20):.1f} VA"


@mutation("selv-voltage", "set-for-dry-rooms")
def raise_voltage(plan: Data, rng: random.Random) -> None:
    """A bathroom was given the 48 V set of a dry room."""
    given(plan["supply"].get("system") == "SELV" and not plan.get("tests"))
    expand(plan)
    plan["supply"]["voltage"] = "48 V"
    for film in plan["materials"]["films"].values():
        film["voltage"] = "48 V"


@mutation("rcd-type", "rcd-deaf")
def fit_deaf_rcd(plan: Data, rng: random.Random) -> None:
    """The cheapest RCD was fitted."""
    expand(plan)
    for name in given(_protections(plan)):
        plan["circuits"][name]["rcd_type"] = "AC"


@mutation("rcd-leakage", "rcd-crowded")
def crowd_rcd(plan: Data, rng: random.Random) -> None:
    """All circuits were put behind one RCD, and the film leaks."""
    expand(plan)
    groups = given(_protections(plan))
    for name in groups:
        plan["circuits"][name].update(rcd="30 mA", rcd_type="A", rcd_group="R9")
    for film in plan["materials"]["films"].values():
        film["leakage"] = rng.choice(("0.6 mA/m2", "1.5 mA/m2", "0.9 mA/m", "2 mA/m"))
