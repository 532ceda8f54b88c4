"""What is wrong with cables, links, leads and the breakers before them, by sums of currents."""

from collections.abc import Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from tests.second_opinion.comparing import UnclearError, exceeds
from tests.second_opinion.load_limits import fed_wrong, is_selv, wrong_films
from tests.second_opinion.saying import error, warning
from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.drawn import Drawn
from underfoot_rules.mutations.expand_rows import mm
from underfoot_rules.mutations.loads import (
    Load,
    loads,
    protections,
    strip_power,
    volts,
)
from underfoot_rules.mutations.protection import BEST_A, COPPER

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


class Bears(Struct, frozen=True, kw_only=True):
    """What a conductor bears in A: for sure, at most, and at most in the best of cases."""

    sure: float
    most: float
    best: float


class Wire(Struct, frozen=True, kw_only=True):
    """A conductor: its entry, what it bears (None: not known), its load, what a finding names."""

    told: Data
    bears: Bears | None
    load_a: float
    room: str | None
    items: tuple[str, ...]


def conductor_faults(plan: Data, drawn: Mapping[str, Drawn]) -> Iterator[Expected]:
    """Judge the wiring of every protection; UnclearError where that is too close to tell."""
    wrong = wrong_films(plan, drawn)
    for name, group in protections(loads(plan, drawn)).items():
        told = plan["circuits"][name]
        current = sum(load.current_a for load in group)
        wires = list(_wires(plan, drawn, name, group, current))
        for wire in wires:
            yield from _of_size(plan, wire)
        if fed_wrong(group, wrong):
            continue
        for wire in wires:
            yield from _of_capacity(wire)
        whole = bool(told.get("cable")) and not _lacks_link(drawn, name, group)
        yield from _of_breaker(told.get("breaker"), name, current, wires, whole=whole)
        yield from _of_drop(plan, drawn, told.get("cable"), group, current)


def _wires(
    plan: Data, drawn: Mapping[str, Drawn], name: str, group: tuple[Load, ...], current: float
) -> Iterator[Wire]:
    cable = plan["circuits"][name].get("cable")
    if cable:
        yield Wire(told=cable, bears=cable_bears(cable), load_a=current, room=None, items=(name,))
    for load in group:
        if load.told.get("links"):
            raise UnclearError
        link = load.told.get("cable")
        if load.id != name and link:
            beyond = [other for other in group if set(other.rooms) & set(load.rooms)]
            if len(beyond) > 1 or len(load.rooms) > 1:
                raise UnclearError
            yield Wire(
                told=link,
                bears=cable_bears(link),
                load_a=load.current_a,
                room=None,
                items=(load.id,),
            )
    own = {load.id for load in group}
    for room in drawn.values():
        for lead in room.leads.values():
            if lead.circuit in own:
                told = room.data["leads"][lead.id]
                items = (lead.circuit, lead.id)
                carries = lead_current(plan, room, lead.id)
                yield Wire(
                    told=told, bears=lead_bears(told), load_a=carries, room=room.id, items=items
                )


def _lacks_link(drawn: Mapping[str, Drawn], name: str, group: tuple[Load, ...]) -> bool:
    boxes = {
        load.id: {
            r.id for r in drawn.values() if any(w.circuit == load.id for w in r.leads.values())
        }
        for load in group
        if load.id == name or not load.told.get("cable")
    }
    return len({room for rooms in boxes.values() for room in rooms}) > 1


def cable_bears(told: Data) -> Bears | None:
    """Return what a cable or a link bears; how it lies may be left out."""
    warm = WARM.get(read_quantity(told.get("ambient", "30 degC"), "degC"))
    if warm is None:
        raise UnclearError
    found = _read(told, told.get("method"), warm)
    if found is not None and "ambient" not in told and "capacity" not in told:
        found = replace(found, sure=found.sure * WARM[60])
    return found


def lead_bears(told: Data) -> Bears | None:
    """Return what a lead bears, at 40 degC and by method A1."""
    stated = told.get("capacity")
    if stated is None or "size" not in told:
        return _read(told, "A1", WARM[40])
    bears = min(read_quantity(stated, "A"), _best(told))
    return Bears(sure=bears, most=bears, best=_best(told))


def _read(told: Data, method: str | None, warm: float) -> Bears | None:
    stated = read_quantity(told["capacity"], "A") if "capacity" in told else None
    if "size" not in told:
        return None if stated is None else Bears(sure=stated, most=stated, best=stated)
    size = read_quantity(told["size"], "mm2")
    row = BEST_A if method is None else CARRIES_A[method]
    listed = size if size > 1.5 else 1.5
    if listed not in row:
        raise UnclearError
    most = row[listed] * warm
    if stated is not None:
        return Bears(sure=min(stated, most), most=min(stated, most), best=_best(told))
    return Bears(sure=0.0 if size < 1.5 or method is None else most, most=most, best=_best(told))


def _best(told: Data) -> float:
    size = max(read_quantity(told["size"], "mm2"), 1.5)
    if size not in BEST_A:
        raise UnclearError
    return BEST_A[size]


def _of_size(plan: Data, wire: Wire) -> Iterator[Expected]:
    selv = is_selv(plan)
    least = 0.75 if selv else 1.5
    if "size" in wire.told and read_quantity(wire.told["size"], "mm2") < least:
        yield error("conductor-size", wire.room, *wire.items[-1:])


def _of_capacity(wire: Wire) -> Iterator[Expected]:
    if wire.bears is None:
        return
    too_little = exceeds(wire.load_a, wire.bears.most, 0.01)
    stated = wire.told.get("capacity")
    if too_little or (stated and exceeds(read_quantity(stated, "A"), wire.bears.best, 1e-9)):
        yield error("cable-capacity", wire.room, *wire.items)


def _of_breaker(
    told: str | None, name: str, current: float, wires: list[Wire], *, whole: bool
) -> Iterator[Expected]:
    """Judge the breaker: a warning stays unsaid while something that may be an error is open."""
    if told is None or exceeds(current, read_quantity(told, "A"), 0.001):
        yield error("breaker-rating", None, name)
        return
    rated = read_quantity(told, "A")
    wrong, doubtful, is_open = False, False, not whole
    for wire in wires:
        if wire.bears is None:
            is_open = True
            continue
        sure, most, best = wire.bears.sure, wire.bears.most, wire.bears.best
        if not exceeds(rated, sure, 0.001):
            continue
        idle = not exceeds(wire.load_a, 0.8 * sure, 0.01)
        if exceeds(rated, max(best, most), 0.001):
            wrong = True
        elif not exceeds(rated, most, 0.001):
            is_open = is_open or not idle
        elif idle:
            doubtful = True
        elif exceeds(wire.load_a, 0.8 * most, 0.01):
            wrong = True
        else:
            is_open = True
    if wrong:
        yield error("breaker-rating", None, name)
    elif doubtful and not is_open:
        yield warning("breaker-rating", None, name)


def lead_current(plan: Data, room: Drawn, name: str) -> float:
    """Return the current at the head of a lead: its strips', and of leads that go on from them."""
    strips = set(room.leads[name].strips) - {room.leads[name].begins}
    waiting = [lead for lead in room.leads.values() if lead.id != name]
    while going := [lead for lead in waiting if lead.begins in strips]:
        waiting = [lead for lead in waiting if lead not in going]
        strips.update(strip for lead in going for strip in lead.strips)
    strips.discard(room.leads[name].begins or "")
    return sum(strip_power(plan, room.strips[strip]) for strip in strips) / volts(plan)


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
        if "shares" in load.told and load.told.get("cable"):
            link = load.told["cable"]
            if "size" not in link or "length" not in link:
                raise UnclearError
            ohms += 2 * mm(link["length"]) / 1000 * COPPER / read_quantity(link["size"], "mm2")
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
        yield warning("voltage-drop", None, group[0].told.get("shares", group[0].id))
    elif (least / 0.8 + farthest) * 1.1 > 5:
        raise UnclearError
