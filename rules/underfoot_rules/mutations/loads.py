"""What is wrong with circuits, their protection and what switches them, by sums of currents."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from underfoot.api import Data, Expected, read_quantity
from underfoot_rules.mutations.comparing import UnclearError, exceeds
from underfoot_rules.mutations.drawn import Drawn, Strip, draw
from underfoot_rules.mutations.opening import mm

# IEC 60364-5-52, table B.52.2 (copper, PVC, two loaded) and table B.52.14 (PVC in air).
CARRIES_A: Mapping[str, Mapping[float, float]] = {
    "A1": {1.5: 14.5, 2.5: 19.5, 4: 26, 6: 34, 10: 46},
    "A2": {1.5: 14, 2.5: 18.5, 4: 25, 6: 32, 10: 43},
    "B1": {1.5: 17.5, 2.5: 24, 4: 32, 6: 41, 10: 57},
    "B2": {1.5: 16.5, 2.5: 23, 4: 30, 6: 38, 10: 52},
    "C": {1.5: 19.5, 2.5: 27, 4: 36, 6: 46, 10: 63},
}
WARM: Mapping[float, float] = {
    10: 1.22,
    15: 1.17,
    20: 1.12,
    25: 1.06,
    30: 1.0,
    35: 0.94,
    40: 0.87,
    45: 0.79,
    50: 0.71,
    55: 0.61,
    60: 0.5,
}
COPPER = 0.0225  # ohm mm2/m, warm


class Load(NamedTuple):
    """What one circuit carries: its strips, metres and current."""

    id: str
    told: Data
    strips: tuple[Strip, ...]
    rooms: tuple[str, ...]
    current_a: float


def film_output(plan: Data, film: str) -> float:
    """Give a film's output in W/m2 at the supply voltage."""
    told = plan["materials"]["films"][film]
    if "W/m2" in told["output"].replace("²", "2"):
        rated = read_quantity(told["output"], "W/m2")
    else:
        rated = read_quantity(told["output"], "W/m") / (mm(told["width"]) / 1000)
    return rated * (volts(plan) / read_quantity(told["voltage"], "V")) ** 2


def volts(plan: Data) -> float:
    """Give the supply voltage."""
    return read_quantity(plan["supply"]["voltage"], "V")


def strip_power(plan: Data, strip: Strip) -> float:
    """Give a strip's power in W at the supply voltage."""
    return film_output(plan, strip.film) * strip.length * strip.width / 1e6


def loads(plan: Data, drawn: Mapping[str, Drawn]) -> dict[str, Load]:
    """Add up each circuit that has strips."""
    found = {}
    for name, told in (plan.get("circuits") or {}).items():
        strips = [s for room in drawn.values() for s in room.strips.values() if s.circuit == name]
        rooms = [r.id for r in drawn.values() if any(s.circuit == name for s in r.strips.values())]
        if strips:
            power = sum(strip_power(plan, strip) for strip in strips)
            found[name] = Load(name, told, tuple(strips), tuple(rooms), power / volts(plan))
    return found


def loads_as_written(plan: Data) -> dict[str, Load]:
    """Add up the circuits of a plan whose rows are open."""
    return loads(plan, {name: draw(plan, name) for name in plan["rooms"]})


def protections(found: Mapping[str, Load]) -> dict[str, tuple[Load, ...]]:
    """Give the circuits that each protection carries."""
    groups: dict[str, tuple[Load, ...]] = {}
    for load in found.values():
        key = load.told.get("shares", load.id)
        groups[key] = (*groups.get(key, ()), load)
    return groups


def wrong_films(plan: Data, drawn: Mapping[str, Drawn]) -> set[str]:
    """Give the films in use whose rated voltage is too far from the supply's."""
    used = {strip.film for room in drawn.values() for strip in room.strips.values()}
    wrong = set()
    for film in used:
        rated = read_quantity(plan["materials"]["films"][film]["voltage"], "V")
        if exceeds(100 * abs(volts(plan) - rated) / rated, 10, 0.05):
            wrong.add(film)
    return wrong


def load_faults(plan: Data, drawn: Mapping[str, Drawn]) -> Iterator[Expected]:
    """Judge circuits, protection, thermostats and supply; UnclearError where too close to tell."""
    wrong = wrong_films(plan, drawn)
    for film in wrong:
        yield Expected("film-voltage", None, (film,), "error")
    yield from _of_coverings(plan, drawn)
    found = loads(plan, drawn)
    total = sum(load.current_a for load in found.values())
    available = plan["supply"].get("available")
    if not wrong and available and exceeds(total, read_quantity(available, "A"), 0.001):
        yield Expected("supply-capacity", None, (), "error")
    for load in found.values():
        if not _fed_wrong((load,), wrong) and exceeds(load.current_a, 10, 0.001):
            yield Expected("circuit-current", None, (load.id,), "error")
        if _too_long(plan, load):
            yield Expected("circuit-element-length", None, (load.id,), "warning")
    for name, group in protections(found).items():
        yield from _of_protection(plan, drawn, name, group, wrong)
    yield from _of_thermostats(plan, found, wrong)


def list_coverings(told: Data) -> list[str]:
    """Give the ids of a room's coverings, each once."""
    if "coverings" in told:
        return list(dict.fromkeys(each["covering"] for each in told["coverings"]))
    return [told["covering"]] if "covering" in told else []


def _of_coverings(plan: Data, drawn: Mapping[str, Drawn]) -> Iterator[Expected]:
    for room in drawn.values():
        names = list_coverings(room.data)
        told = [plan["materials"]["coverings"][name] for name in names]
        for film in {strip.film for strip in room.strips.values()}:
            output = film_output(plan, film)
            passes = [
                exceeds(output, read_quantity(each["most_output"], "W/m2"), 0.01)
                for each in told
                if "most_output" in each
            ]
            if any(passes):
                if len(names) > 1:
                    raise UnclearError
                yield Expected("covering-output", room.id, (film,), "error")


def _fed_wrong(group: tuple[Load, ...], wrong: set[str]) -> bool:
    return any(strip.film in wrong for load in group for strip in load.strips)


def _too_long(plan: Data, load: Load) -> bool:
    films = {strip.film: plan["materials"]["films"][strip.film] for strip in load.strips}
    makers = [mm(told["longest_circuit"]) for told in films.values() if "longest_circuit" in told]
    metres = sum(strip.length for strip in load.strips) / 1000
    if makers and exceeds(metres, min(makers) / 1000, 0.0001):
        return True
    if len(makers) == len(films):
        return False
    equal = sum(strip.length * strip.width for strip in load.strips) / 500 / 1000
    return exceeds(equal, 30, 0.0001) if abs(equal - 30) > 1e-9 else False


def carried(told: Data, method: str, ambient_c: float) -> float | None:
    """Give what a conductor can carry in A; None where the plan does not say enough."""
    if "capacity" in told:
        return read_quantity(told["capacity"], "A")
    if "size" not in told:
        return None
    size = read_quantity(told["size"], "mm2")
    rated = CARRIES_A[method].get(size)
    if rated is None or ambient_c not in WARM:
        raise UnclearError
    return rated * WARM[ambient_c]


def cable_carries(told: Data | None) -> float | None:
    """Give what a circuit's cable can carry in A."""
    if not told or ("method" not in told and "capacity" not in told):
        return None
    ambient = read_quantity(told.get("ambient", "30 degC"), "degC")
    return carried(told, told.get("method", "C"), ambient)


def _of_protection(
    plan: Data,
    drawn: Mapping[str, Drawn],
    name: str,
    group: tuple[Load, ...],
    wrong: set[str],
) -> Iterator[Expected]:
    told = plan["circuits"][name]
    selv = plan["supply"].get("system") == "SELV" and volts(plan) <= 50
    residual = told.get("rcd")
    if not selv and (residual is None or exceeds(read_quantity(residual, "mA"), 30, 0.0)):
        yield Expected("rcd", None, (name,), "error")
    if _fed_wrong(group, wrong):
        return
    current = sum(load.current_a for load in group)
    cable = cable_carries(told.get("cable"))
    weakest = [] if cable is None else [cable]
    if cable is not None and exceeds(current, cable, 0.01):
        yield Expected("cable-capacity", None, (name,), "error")
    own = {load.id: load for load in group}
    for room in drawn.values():
        for lead in room.leads.values():
            if lead.circuit not in own:
                continue
            carries = carried(room.data["leads"][lead.id], "A1", 40)
            if carries is None:
                continue
            weakest.append(carries)
            if exceeds(_lead_current(plan, room, lead.id), carries, 0.01):
                yield Expected("cable-capacity", room.id, (lead.circuit, lead.id), "error")
    breaker = told.get("breaker")
    rated = None if breaker is None else read_quantity(breaker, "A")
    if (
        rated is None
        or exceeds(current, rated, 0.001)
        or (weakest and exceeds(rated, min(weakest), 0.001))
    ):
        yield Expected("breaker-rating", None, (name,), "error")
    yield from _of_drop(plan, drawn, told.get("cable"), group, current)


def _lead_current(plan: Data, room: Drawn, name: str) -> float:
    """Give the current at the head of a lead: its strips', and of leads that go on from them."""
    lead = room.leads[name]
    strips = list(lead.strips)
    if lead.begins in strips:
        strips.remove(lead.begins)
    total = sum(strip_power(plan, room.strips[strip]) for strip in strips) / volts(plan)
    for other in room.leads.values():
        if other.id != name and other.begins in strips:
            total += _lead_current(plan, room, other.id)
    return total


def _of_drop(
    plan: Data,
    drawn: Mapping[str, Drawn],
    cable: Data | None,
    group: tuple[Load, ...],
    total: float,
) -> Iterator[Expected]:
    """Bound the drop from both sides: the cable alone, and all current to the end of every lead."""
    if not cable or "size" not in cable or "length" not in cable:
        return
    size, metres = read_quantity(cable["size"], "mm2"), mm(cable["length"]) / 1000
    least = 100 * 2 * metres * total * COPPER * 0.8 / size / volts(plan)
    farthest = 0.0
    for load in group:
        ohms = 0.0
        for room in drawn.values():
            for lead in room.leads.values():
                if lead.circuit == load.id:
                    told = room.data["leads"][lead.id]
                    if "size" not in told:
                        raise UnclearError
                    way = lead.line.length / 1000 + 0.5
                    ohms += 2 * way * COPPER / read_quantity(told["size"], "mm2")
        farthest = max(farthest, 100 * ohms * load.current_a / volts(plan))
    if least > 5:
        # One cable, one finding, about the circuit that it is given for.
        yield Expected("voltage-drop", None, (group[0].told.get("shares", group[0].id),), "warning")
    elif (least / 0.8 + farthest) * 1.1 > 5:
        raise UnclearError


def _of_thermostats(plan: Data, found: Mapping[str, Load], wrong: set[str]) -> Iterator[Expected]:
    rooms = plan["rooms"]
    without: set[str] = set()
    for load in found.values():
        place = load.told.get("thermostat")
        if place is None or not rooms[place].get("thermostat"):
            without |= set(load.rooms)
    for name in rooms:
        if name in without:
            yield Expected("thermostat-missing", name, (), "error")
    for name, room in rooms.items():
        told = room.get("thermostat")
        if not told or name in without:
            continue
        switched = [load for load in found.values() if load.told.get("thermostat") == name]
        groups = protections({load.id: load for load in switched})
        contactor = told.get("contactor")
        if len(groups) > 1 and (not contactor or contactor.get("poles", len(groups)) < len(groups)):
            yield Expected("thermostat-circuits", name, ("thermostat",), "error")
        if _fed_wrong(tuple(switched), wrong):
            continue
        if _overloads(told, groups):
            yield Expected("thermostat-rating", name, ("thermostat",), "error")


def _overloads(told: Data, groups: Mapping[str, tuple[Load, ...]]) -> bool:
    contactor: Any = told.get("contactor")
    sums = [sum(load.current_a for load in group) for group in groups.values()]
    if contactor:
        rating = contactor.get("rating")
        return (
            bool(sums)
            and rating is not None
            and exceeds(max(sums), read_quantity(rating, "A"), 0.001)
        )
    switches = told.get("switches")
    return switches is not None and exceeds(sum(sums), read_quantity(switches, "A"), 0.001)
