"""The facts of a whole plan."""

from __future__ import annotations

import copy
from collections.abc import Container, Iterable, Iterator, Mapping
from datetime import date
from functools import cached_property

from msgspec.structs import replace

from underfoot.checking.facts.circuit import CircuitFacts, find_circuits
from underfoot.checking.facts.feed import find_fed_in
from underfoot.checking.facts.once import Once
from underfoot.checking.facts.protection import ProtectionFacts, find_protections
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.facts.thermostats import (
    Reading,
    find_readers,
    find_readings,
    find_switched,
)
from underfoot.checking.finding import Subject
from underfoot.checking.origin import MaterialsFrom
from underfoot.checking.waivers import WaiverState
from underfoot.plan import Element, Film, Lead, Plan, Room
from underfoot.plan.read_only import ReadOnly


class Facts(Once):
    """One plan and what follows from it.

    `limits` are all limits in force by rule and key, as plain numbers. `today` is the day that
    dates are judged by, None where nobody judges any. `materials_from` are the only catalogues
    that the settings let materials come from, None where they leave that open. `is_advised` is
    left out where nobody reads what to do: no rule need try then what it would advise. `is_trial`
    is set where that is tried, on a room drawn otherwise: there it only counts of what a rule finds
    something, and how grave that is. Everything is worked out on first use and kept; nothing of the
    plan is ever changed. Of rooms that `before` has drawn the same, what was worked out there is
    taken over.
    """

    def __init__(
        self,
        plan: Plan,
        limits: Mapping[str, Mapping[str, float]],
        today: date | None = None,
        materials_from: MaterialsFrom | None = None,
        before: Facts | None = None,
    ) -> None:
        self.plan = plan
        self.limits = limits
        self.today = today
        self.materials_from = materials_from
        self.waivers: tuple[WaiverState, ...] = ()
        self.is_trial = False
        self.is_advised = True
        self._whole: Facts | None = None
        self._kept = {}
        self._rooms_before = {} if before is None else before.rooms

    def __reduce__(self) -> tuple[type[Facts], tuple[object, ...], dict[str, object]]:
        """Leave behind, on the way to another process, what was worked out: it is again there."""
        given = (self.plan, self.limits, self.today, self.materials_from)
        return type(self), given, {"waivers": self.waivers}

    def with_waivers(self, states: tuple[WaiverState, ...]) -> Facts:
        """Return the same facts for the rules that judge the waivers."""
        later = copy.copy(self)
        later.__dict__.update(waivers=states, _kept={})
        return later

    def with_room(self, drawn: Room) -> Facts:
        """Return the facts of the plan with one room drawn otherwise, to try advice on.

        What they share with these is not worked out again: the other rooms, and of this one all
        that hangs on nothing that changed.
        """
        room = self.rooms[drawn.id]
        rooms = {**self.rooms, drawn.id: room.redrawn(drawn)}
        plan = replace(self.plan, rooms={name: each.drawn for name, each in rooms.items()})
        trial = Facts(plan, self.limits, self.today, self.materials_from)
        trial.rooms = ReadOnly(rooms)
        trial.is_trial = True
        trial.is_advised = False
        return trial

    def of_rooms(self, ids: Container[str]) -> Facts:
        """Return the same facts with some rooms alone to look at, for rules that look no farther.

        The plan, its circuits and all that hangs on these are whole.
        """
        near = Facts(self.plan, self.limits, self.today, self.materials_from)
        near.is_trial, near.is_advised = self.is_trial, self.is_advised
        near._whole = self
        near.rooms = ReadOnly({name: room for name, room in self.rooms.items() if name in ids})
        near.lead_subjects = tuple(subject for subject in self.lead_subjects if subject.room in ids)
        near._kept = {}
        return near

    @cached_property
    def rooms(self) -> ReadOnly[str, RoomFacts]:
        """Every room by id, in the plan's order."""
        return ReadOnly({name: self._work_out_room(room) for name, room in self.plan.rooms.items()})

    def _work_out_room(self, room: Room) -> RoomFacts:
        known = self._rooms_before.get(room.id)
        if known is not None and (known.drawn, known.supply) == (room, self.plan.supply):
            return known
        return RoomFacts(room, self.plan.supply)

    @cached_property
    def heated_rooms(self) -> tuple[RoomFacts, ...]:
        """The rooms with elements."""
        return tuple(room for room in self.rooms.values() if room.elements)

    @cached_property
    def circuits(self) -> ReadOnly[str, CircuitFacts]:
        """Every circuit by id, in the plan's order."""
        return ReadOnly(find_circuits(self.plan) if self._whole is None else self._whole.circuits)

    @cached_property
    def protections(self) -> ReadOnly[str, ProtectionFacts]:
        """The protection that circuits with elements share or have for themselves, by id."""
        return ReadOnly(find_protections(self.plan, self.circuits))

    @cached_property
    def fed(self) -> frozenset[str]:
        """The elements that leads of their own circuit join to the junction box."""
        return frozenset().union(*(find_fed_in(room) for room in self.heated_rooms))

    @cached_property
    def switched(self) -> ReadOnly[str, tuple[CircuitFacts, ...]]:
        """The circuits with elements by the room whose thermostat switches them."""
        return ReadOnly(find_switched(self.circuits))

    @cached_property
    def readings(self) -> ReadOnly[str, Reading]:
        """What each thermostat reads, by the room that it is drawn in."""
        return ReadOnly(find_readings(self.plan, self.switched))

    @cached_property
    def readers(self) -> ReadOnly[str, tuple[str, ...]]:
        """The thermostats that read a floor sensor, by the sensor's room."""
        return ReadOnly(find_readers(self.readings))

    @cached_property
    def elements(self) -> ReadOnly[str, Element]:
        """Every element of the plan by id."""
        return ReadOnly(
            {element.id: element for room in self.plan.rooms.values() for element in room.elements}
        )

    @cached_property
    def films_in_use(self) -> ReadOnly[str, Film]:
        """The films that elements are cut from, by id, in the plan's order."""
        used = {element.film.id for element in self.elements.values()}
        films = self.plan.materials.films.items()
        return ReadOnly({name: film for name, film in films if name in used})

    @cached_property
    def element_subjects(self) -> tuple[Subject[tuple[RoomFacts, int]], ...]:
        """One subject an element; its payload is the room's facts and its place in `elements`."""
        return tuple(
            Subject(room=room.id, items=(element.id,), path=element.path, payload=(room, place))
            for room in self.heated_rooms
            for place, element in enumerate(room.elements)
        )

    @cached_property
    def room_subjects(self) -> tuple[Subject[RoomFacts], ...]:
        """One subject a room with elements; its payload is the room's facts."""
        return tuple(
            Subject(room=room.id, items=(), path=room.path, payload=room)
            for room in self.heated_rooms
        )

    @cached_property
    def circuit_subjects(self) -> tuple[Subject[CircuitFacts], ...]:
        """One subject a circuit with elements; its payload is the circuit's facts."""
        return tuple(
            Subject(room=None, items=(circuit.id,), path=circuit.path, payload=circuit)
            for circuit in self.circuits.values()
            if circuit.elements
        )

    @cached_property
    def protection_subjects(self) -> tuple[Subject[ProtectionFacts], ...]:
        """One subject a protection that carries elements; its payload is the protection's facts."""
        return tuple(
            Subject(room=None, items=(protection.id,), path=protection.path, payload=protection)
            for protection in self.protections.values()
        )

    @cached_property
    def lead_subjects(self) -> tuple[Subject[Lead], ...]:
        """One subject a lead; its payload is the lead."""
        return tuple(
            Subject(room=room, items=(lead.id,), path=lead.path, payload=lead)
            for room, plan in self.plan.rooms.items()
            for lead in plan.leads
        )

    @cached_property
    def ids(self) -> frozenset[str]:
        """Every id in the plan that a waiver may name."""
        return frozenset(self._all_ids())

    def _all_ids(self) -> Iterator[str]:
        plan = self.plan
        materials = plan.materials
        kinds: tuple[Iterable[str], ...] = (
            materials.films,
            materials.boards,
            materials.sheets,
            materials.coverings,
            plan.rooms,
            plan.circuits,
        )
        for kind in kinds:
            yield from kind
        for room in self.rooms.values():
            yield from room.ids


def each_room(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """One subject a room with elements; its payload is the room's facts."""
    return facts.room_subjects


def each_element(facts: Facts) -> tuple[Subject[tuple[RoomFacts, int]], ...]:
    """One subject a strip; its payload is the room's facts and the place in their `elements`."""
    return facts.element_subjects


def each_circuit(facts: Facts) -> tuple[Subject[CircuitFacts], ...]:
    """One subject a circuit with elements; its payload is the circuit's facts."""
    return facts.circuit_subjects


def each_protection(facts: Facts) -> tuple[Subject[ProtectionFacts], ...]:
    """One subject a protection that carries elements; its payload is the protection's facts."""
    return facts.protection_subjects
