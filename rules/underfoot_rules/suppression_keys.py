"""What a cause and what it silences have in common: the same thing, room, film, circuit."""

from collections.abc import Hashable, Iterable
from operator import gt

from underfoot.api.facts import Facts
from underfoot.api.rules import Subject


def by_items(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The same thing: same room, same items."""
    return ((subject.room, subject.items),)


def by_items_each(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """Each of the things that a finding names."""
    return subject.items


def by_room(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The same room."""
    return (subject.room,)


def by_room_without_thermostat(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The room, where no thermostat is drawn in it: one that is there is judged as it is."""
    room = facts.plan.rooms.get(subject.room or "")
    return (subject.room,) if room is not None and room.thermostat is None else ()


def by_room_drawn_like_it(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The room, where its strips may be drawn in the unit of its outline: where they reach it."""
    room = facts.plan.rooms[subject.room or ""]
    far = [max(x for x, _ in room.outline), max(y for _, y in room.outline)]
    starts = [element.at for element in room.elements]
    elsewhere = starts and all(any(map(gt, start, far)) for start in starts)
    return () if elsewhere else (subject.room,)


def by_strip_of(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The strip, or the row that it lies in."""
    element = facts.elements.get(subject.items[0])
    row = None if element is None else element.row
    return ((subject.room, each) for each in (subject.items[0], row) if each is not None)


def by_row(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The row that a finding is about; nothing where it is about a single strip."""
    item = subject.items[0]
    return () if item in facts.elements else ((subject.room, item),)


def by_room_not_felt(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """A room whose sensor is read by a thermostat that switches nothing there."""
    readers = facts.readers.get(subject.room or "", ())
    felt = any(
        subject.room in circuit.rooms
        for name in readers
        for circuit in facts.switched.get(name, ())
    )
    return () if felt else (subject.room,)


def by_room_without_strips(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """A room that is not heated; all rooms of a plan that has no strips."""
    return (subject.room,) if subject.room is not None else facts.rooms


def by_films_on(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The films of a circuit's own strips, or of the one strip that was measured."""
    if len(subject.items) == 3 and subject.items[2] in facts.elements:
        return (facts.elements[subject.items[2]].film.id,)
    return (film.id for film in facts.circuits[subject.items[0]].films)


def by_films_fed(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The films behind a cable (of all circuits that share it), lead, thermostat or room."""
    first = subject.items[0] if subject.items else None
    circuits = facts.circuits
    if first in circuits and len(subject.items) == 2:  # a lead carries its own circuit only
        return by_films_on(subject, facts)
    if first is not None and first in circuits:
        protection = circuits[first].protection
        fed = [circuit for circuit in circuits.values() if circuit.protection == protection]
    elif first == "thermostat":
        fed = [c for c in circuits.values() if c.circuit.thermostat == subject.room]
    elif subject.room is not None:
        return {element.film.id for element in facts.rooms[subject.room].elements}
    else:
        return set(facts.films_in_use)
    return {film.id for circuit in fed for film in circuit.films}


def by_circuit(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The circuit, or the circuit of the strip."""
    first = subject.items[0]
    if first in facts.circuits:
        return (first,)
    element = facts.elements.get(first)
    return () if element is None else (element.circuit,)


def by_protection(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The circuit whose protection carries this one."""
    circuit = facts.circuits.get(subject.items[0])
    return subject.items[:1] if circuit is None else (circuit.protection,)


def by_stage(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The same circuit at the same stage."""
    return (subject.items[:2],)


def by_covering(subject: Subject[object], facts: Facts) -> Iterable[Hashable]:
    """The same covering of the same room; it is named last."""
    return ((subject.room, *subject.items[-1:]),)
