"""Divides a circuit that has too much: the strips, their leads, protection and a pole for each."""

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import CircuitFacts, RoomFacts, element_current_a, strips_of
from underfoot.api.physics import conductors
from underfoot.api.plan import Element, Lead
from underfoot.api.rules import Edit, Mender, Proposal, ToMend, below
from underfoot_rules.circuits.residual import RcdFacts, find_rcds
from underfoot_rules.circuits.split_circuit import find_division, may_be_one, name_strips
from underfoot_rules.menders.joining import (
    add_lead,
    draw_lead,
    leave_stops_out,
    put_on_circuits,
    write_lead,
)
from underfoot_rules.menders.laid import is_cut, is_laid
from underfoot_rules.menders.spelled import new_name
from underfoot_rules.menders.thermostat import choose_contactor_rating
from underfoot_rules.menders.written import change, look_up

Runs = Sequence[Sequence[Element]]

# Nobody divides a circuit into more at a stroke.
_MOST_PARTS = 4
# What of a lead stands with one that is drawn like it.
_LIKE = ("size", "width", "thickness", "recessed")
# What of a circuit stands with one that is fed like it.
_FED = ("thermostat", "shares", "breaker", "rcd", "rcd_type", "phase", "cable")


class Wiring(Struct, frozen=True, kw_only=True):
    """The leads of a room as a division makes them: shorter ones, renamed ones, new ones."""

    shorter: Mapping[str, Lead]
    renamed: Mapping[str, str]
    added: Sequence[tuple[Lead, dict[str, Any]]]


def divide_circuit(found: ToMend) -> Iterator[Proposal]:
    """Propose circuits lead by lead, else by the fewest runs of neighbours."""
    facts = found.facts
    circuit = facts.circuits[found.items[0]]
    if len(circuit.rooms) != 1 or circuit.circuit.links:
        return
    room = facts.rooms[circuit.rooms[0]]
    if is_cut(facts, room.id) or is_laid(facts, room.id):
        return
    if found.rule == "circuit-current" and found.finding.basis is not None:
        yield from _part_leads(found, room, circuit)
        return
    by_leads = _group_by_leads(room, circuit)
    if 1 < len(by_leads) <= _MOST_PARTS and all(may_be_one(run, facts) for run in by_leads):
        yield from _divide(found, room, circuit, by_leads)
    runs = find_division(circuit, facts)
    if runs is not None and 1 < len(runs) <= _MOST_PARTS:
        yield from _divide(found, room, circuit, runs)


def divide_leaking(found: ToMend) -> Iterator[Proposal]:
    """Propose circuits of which each leaks little enough for an RCD of its own.

    Of strips of one film each leaks as it draws.
    """
    facts = found.facts
    most_ma, leaks_ma = found.finding.most, found.finding.measured
    rcd = next((each for each in facts.once(find_rcds) if found.items[0] in _behind(each)), None)
    if rcd is None or len(_behind(rcd)) != 1 or most_ma is None or not leaks_ma:
        return
    (protection,) = rcd.protections
    circuit = protection.circuits[0]
    if len(protection.circuits) > 1 or len(circuit.films) > 1 or len(circuit.rooms) > 1:
        return
    room = facts.rooms[circuit.rooms[0]]
    if is_cut(facts, room.id) or is_laid(facts, room.id) or circuit.circuit.links:
        return
    runs = find_division(circuit, facts, circuit.current_a * most_ma / leaks_ma)
    if runs is not None and 1 < len(runs) <= _MOST_PARTS:
        yield from _divide(found, room, circuit, runs)


def _behind(rcd: RcdFacts) -> list[str]:
    return [protection.id for protection in rcd.protections]


def _part_leads(found: ToMend, room: RoomFacts, circuit: CircuitFacts) -> Iterator[Proposal]:
    """Propose leads of their own for some of the strips, whose connectors bear no more."""
    stated = [each.largest_current_a for each in circuit.films if each.largest_current_a]
    runs = find_division(circuit, found.facts, min(stated, default=math.inf))
    if runs is None or not 1 < len(runs) <= _MOST_PARTS:
        return
    wiring = _rewire(found, room, [(circuit.id, run) for run in runs], circuit.id)
    if wiring is None or not wiring.added:
        return
    says = [
        f"Take lead {lead.id} of its own from the junction box to "
        f"{name_strips(_in_order(room, strips_of(lead)))}."
        for lead, _ in wiring.added
    ]
    yield Proposal(says=" ".join(says), edits=_write_wiring(found, room, wiring))


def _group_by_leads(room: RoomFacts, circuit: CircuitFacts) -> list[list[Element]]:
    """Group a circuit's strips by the lead that joins them, where each joins some of its own."""
    groups = []
    left = {element.id: element for element in circuit.elements}
    for lead in room.drawn.leads:
        if lead.circuit == circuit.id:
            groups.append([left.pop(name) for name in strips_of(lead) if name in left])
    return [] if left else [group for group in groups if group]


def _divide(
    found: ToMend, room: RoomFacts, circuit: CircuitFacts, runs: Runs
) -> Iterator[Proposal]:
    first = circuit.elements[0].id
    kept = next(run for run in runs if any(element.id == first for element in run))
    others = [run for run in runs if run is not kept]
    names: dict[str, Sequence[Element]] = {}
    for run in others:
        names[new_name({*found.facts.circuits, *names}, _stem(circuit.id))] = run
    wiring = _rewire(found, room, [(circuit.id, kept), *names.items()], circuit.id)
    if wiring is None:
        return
    edits = [*put_on_circuits(found, room.id, names)]
    for name, run in names.items():
        told = _feed_like(found, circuit, run)
        edits.append(Edit(op="add", path=("circuits", name), value=told))
    edits += _write_wiring(found, room, wiring)
    edits += _add_poles(found, circuit, names)
    yield Proposal(says=" ".join(_say(room, circuit, names, wiring)), edits=tuple(edits))


def _write_wiring(found: ToMend, room: RoomFacts, wiring: Wiring) -> tuple[Edit, ...]:
    edits: list[Edit] = []
    for lead in wiring.shorter.values():
        edits += write_lead(found, room, lead)
    for lead_id, name in wiring.renamed.items():
        path = ("rooms", room.id, "leads", lead_id, "circuit")
        edits.append(Edit(op="replace", path=path, value=name))
    for lead, told in wiring.added:
        edits += add_lead(room, lead, told)
    return tuple(edits)


def _say(
    room: RoomFacts,
    circuit: CircuitFacts,
    names: Mapping[str, Sequence[Element]],
    wiring: Wiring,
) -> Iterator[str]:
    shared = circuit.circuit.shares is not None
    for name, run in names.items():
        led = [lead for lead, of in wiring.renamed.items() if of == name]
        led += [lead.id for lead, _ in wiring.added if lead.circuit == name]
        fed = f"fed with it from {circuit.circuit.shares}" if shared else "protected by itself"
        strips = name_strips(_in_order(room, [each.id for each in run]))
        yield (
            f"Put {strips} of circuit {circuit.id} on a circuit {name}, {fed}, with "
            f"{'lead' if len(led) == 1 else 'leads'} {' and '.join(led)}."
        )


def _in_order(room: RoomFacts, names: Sequence[str]) -> list[Element]:
    return [element for element in room.elements if element.id in names]


def _rewire(
    found: ToMend, room: RoomFacts, parts: Sequence[tuple[str, Sequence[Element]]], old: str
) -> Wiring | None:
    """Leave to each lead the strips of one part, and draw leads to what is then cut off.

    `parts` are strips by the circuit that they go on, `old` the one that they were all on.
    """
    of = {element.id: place for place, (_, run) in enumerate(parts) for element in run}
    mine = [lead for lead in room.drawn.leads if lead.circuit == old]
    shorter: dict[str, Lead] = {}
    renamed: dict[str, str] = {}
    fed: set[str] = set()
    for lead in mine:
        strips = strips_of(lead)
        part = next((of[name] for name in strips if name in of), 0)
        foreign = [name for name in strips if of.get(name, part) != part]
        if foreign:
            left = leave_stops_out(lead, foreign)
            if left is None:
                return None
            shorter[lead.id] = left
        if parts[part][0] != old:
            renamed[lead.id] = parts[part][0]
        fed |= set(strips) - set(foreign)
    if not mine:
        return None
    told = look_up(found.data, ("rooms", room.id, "leads", mine[0].id)) or {}
    like = {key: told[key] for key in _LIKE if key in told}
    taken = {lead.id for each in found.facts.plan.rooms.values() for lead in each.leads}
    added: list[tuple[Lead, dict[str, Any]]] = []
    for name, run in parts:
        cut_off = [element for element in run if element.id not in fed]
        if not cut_off:
            continue
        lead_id = new_name({*taken, *(lead.id for lead, _ in added)}, "W")
        blank = replace(mine[0], id=lead_id, path="", circuit=name, route=())
        changed = [*shorter.values(), *(lead for lead, _ in added)]
        drawn = draw_lead(found.facts, room, blank, cut_off, changed)
        if drawn is None:
            return None
        added.append((drawn, like))
    return Wiring(shorter=shorter, renamed=renamed, added=added)


def _feed_like(found: ToMend, circuit: CircuitFacts, run: Sequence[Element]) -> dict[str, Any]:
    """Feed a new circuit as the old one is, with a breaker that carries it."""
    told = look_up(found.data, ("circuits", circuit.id)) or {}
    breaker: dict[str, Any] = {}
    if circuit.circuit.shares is None:
        supply_v = found.facts.plan.supply.voltage_v
        current_a = math.fsum(element_current_a(element, supply_v) for element in run)
        old_a = circuit.circuit.breaker_a
        rating = conductors.find_rating_at_least(current_a)
        if old_a is not None and not below(old_a, current_a):
            breaker = {"breaker": told["breaker"]}
        elif rating is not None:
            breaker = {"breaker": f"{rating:g} A"}
    fed = {**told, **breaker}
    return {key: fed[key] for key in _FED if key in fed}


def _add_poles(
    found: ToMend, circuit: CircuitFacts, names: Mapping[str, Sequence[Element]]
) -> list[Edit]:
    """Give the thermostat's contactor a pole for each circuit that is protected by itself."""
    place = circuit.circuit.thermostat
    if place is None or circuit.circuit.shares is not None:
        return []
    thermostat = found.facts.plan.rooms[place].thermostat
    if thermostat is None:
        return []
    switched = found.facts.switched.get(place, ())
    poles = len({each.protection for each in switched}) + len(names)
    path = ("rooms", place, "thermostat", "contactor")
    if thermostat.contactor is None:
        rating = choose_contactor_rating(max(each.current_a for each in switched))
        if rating is None:
            return []
        return [change(found.data, path, {"poles": poles, "rating": f"{rating:g} A"})]
    if thermostat.contactor.poles is not None and thermostat.contactor.poles >= poles:
        return []
    return [change(found.data, (*path, "poles"), poles)]


def _stem(name: str) -> str:
    told = re.fullmatch(r"(.*?)\d+", name)
    return told[1] if told is not None and told[1] else "C"


MENDERS = (
    Mender(rule="circuit-current", propose=divide_circuit),
    Mender(rule="circuit-element-length", propose=divide_circuit),
    Mender(rule="rcd-leakage", propose=divide_leaking),
)
