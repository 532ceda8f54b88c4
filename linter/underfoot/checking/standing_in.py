"""A plan with far too much where something may be missing, without what is not as meant."""

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from underfoot.plan import Element, Film, Lead, Plan, Room, Stop

# Strips that stand in cover a room; in a hall they lie apart.
_MOST_STRIPS = 60
_STAND_IN = "stands-in"

# The doubtful fields of things, by the things' identity.
Doubts = Mapping[int, frozenset[str]]


def fill(plan: Plan, doubts: Doubts) -> Plan | None:
    """Return the plan with strips, leads and a room where some may be missing: far too many.

    What is there and not as it is meant is left out. None where there is no film to lay.
    """
    films = list(plan.materials.films.values())
    if not films:
        return None
    rooms = dict(plan.rooms)
    circuits: list[str | None] = [*plan.circuits] or [None]
    for name, room in plan.rooms.items():
        fields = doubts.get(id(room), frozenset())
        lacks_strips = any(id(each) in doubts for each in room.elements)
        lacks_leads = any(id(each) in doubts for each in room.leads)
        room = _without(room, doubts)
        if "elements" in fields or lacks_strips:
            room = _cover(room, films[0], circuits)
        if "leads" in fields or lacks_leads:
            room = _join_all(room, [each for each in circuits if each is not None])
        rooms[name] = room
    of_plan = doubts.get(id(plan), frozenset())
    if "rooms" in of_plan:
        corners = ((0.0, 0.0), (6000.0, 0.0), (6000.0, 6000.0), (0.0, 6000.0))
        room = Room(id=_STAND_IN, path=f"rooms.{_STAND_IN}", outline=corners)
        rooms[_STAND_IN] = _cover(room, films[0], circuits)
    return replace(plan, rooms=rooms)


def _without(room: Room, doubts: Doubts) -> Room:
    """Leave out of a room what is not as it is meant."""
    return replace(
        room,
        elements=tuple(each for each in room.elements if id(each) not in doubts),
        leads=tuple(each for each in room.leads if id(each) not in doubts),
        fixtures={name: each for name, each in room.fixtures.items() if id(each) not in doubts},
    )


def _cover(room: Room, film: Film, circuits: Sequence[str | None]) -> Room:
    """Lay strips across the whole room, on every circuit."""
    xs, ys = zip(*room.outline, strict=True)
    step = max(film.width, (max(xs) - min(xs)) / _MOST_STRIPS)
    count = max(int((max(xs) - min(xs)) / step) + 1, 2 * len(circuits))
    strips = tuple(
        Element(
            id=f"{_STAND_IN}-{room.id}-{number}",
            path=room.path,
            film=film,
            at=(min(xs) + step * number, min(ys)),
            along="y",
            length=max(ys) - min(ys),
            circuit=circuits[number % len(circuits)],
        )
        for number in range(min(count, _MOST_STRIPS))
    )
    return replace(room, elements=(*room.elements, *strips))


def _join_all(room: Room, circuits: Sequence[str]) -> Room:
    """Join all strips of the room to the junction box, for each circuit."""
    leads = tuple(
        Lead(
            id=f"{_STAND_IN}-{circuit}",
            path=room.path,
            circuit=circuit,
            route=(
                Stop(kind="box", path=room.path),
                *(
                    Stop(kind="strip", path=room.path, element=each.id, end=each.connected)
                    for each in room.elements
                    if each.circuit == circuit
                ),
            ),
        )
        for circuit in circuits
    )
    return replace(room, leads=(*room.leads, *leads))
