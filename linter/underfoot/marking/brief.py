"""What the brief gives stands: changes to it are told, and undone before a submission is judged."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Any, NamedTuple

from underfoot.plan import Circuit, Materials, Plan, Room


class Change(NamedTuple):
    """Something of the brief that a submission does not leave as it was."""

    what: str
    said: str


class Restored(NamedTuple):
    """A submission's plan with the brief's own things put back, and what had been changed."""

    plan: Plan
    changes: tuple[Change, ...]
    remarks: tuple[str, ...] = ()


# How a part of a room is called in the scheme and in the plan; whether an empty one binds too.
_ROOM_PARTS: Mapping[str, tuple[tuple[str, ...], bool]] = {
    "outline": (("outline",), True),
    "use": (("use",), False),
    "height": (("height",), False),
    "fixtures": (("fixtures",), True),
    "joints": (("joints",), True),
    "subfloor": (("subfloor",), False),
    "covering": (("coverings",), False),
    "underlay": (("underlay",), False),
    "overlay": (("overlay",), False),
    "heat loss": (("heat_loss_w", "fabric", "other_heat_w"), False),
    "junction box": (("junction_box",), False),
}
# The unit at the end of a field's name.
_UNIT = re.compile(r"_(?:w_m2|w_m|w_mk|m2k_w|kg_m3|ohm_m|c|v|a)$")
_KINDS = {"films": "film", "boards": "board", "sheets": "sheet", "coverings": "covering"}


def restore_brief(plan: Plan, brief: Plan, fixed: Collection[str]) -> Restored:
    """Put back what of `fixed` the plan changed, and say what that was.

    Rooms go by their names; where brief and plan have one each, these are the same whatever they
    are called. A room that the brief does not have is left out of the judging.
    """
    changes: list[Change] = []
    remarks: list[str] = []
    swap = _Swap.of(plan.materials, brief.materials, changes) if "materials" in fixed else None
    rooms = _pair_rooms(plan, brief, changes, remarks)
    restored: dict[str, Room] = {}
    for name, model in rooms.items():
        # A material of one's own is told once, not again where it is laid.
        room = swap.in_room(plan.rooms[name]) if swap else plan.rooms[name]
        for part in fixed:
            if part in _ROOM_PARTS:
                room = _restore_part(room, model, part, changes)
        restored[name] = room
    circuits = {name: _without_room(circuit, restored) for name, circuit in plan.circuits.items()}
    supply = plan.supply
    if "supply" in fixed and _bare(supply) != _bare(brief.supply):
        changes.append(_tell_supply(plan, brief))
        supply = brief.supply._replace(path=supply.path)
    judged = plan._replace(
        rooms=restored,
        circuits=circuits,
        supply=supply,
        materials=swap.materials if swap else plan.materials,
    )
    return Restored(judged, tuple(changes), tuple(remarks))


def _pair_rooms(
    plan: Plan, brief: Plan, changes: list[Change], remarks: list[str]
) -> dict[str, Room]:
    """Give the plan's rooms that are the brief's, with the brief's room, in the plan's order."""
    if len(plan.rooms) == len(brief.rooms) == 1:
        (name,), (model,) = plan.rooms, brief.rooms
        if name != model:
            remarks.append(f"The room {model} is called {name} in the plan; that changes no mark.")
        return {name: brief.rooms[model]}
    for model in brief.rooms:
        if model not in plan.rooms:
            changes.append(Change("rooms", f"the brief's room {model} is not in the plan"))
    for name in plan.rooms:
        if name not in brief.rooms:
            said = f"the room {name} is none of the brief's; what lies in it was not judged"
            changes.append(Change("rooms", said))
    return {name: brief.rooms[name] for name in plan.rooms if name in brief.rooms}


def _restore_part(room: Room, model: Room, part: str, changes: list[Change]) -> Room:
    names, binds_empty = _ROOM_PARTS[part]
    given = {name: getattr(model, name) for name in names}
    if not binds_empty and not any(value not in (None, (), {}) for value in given.values()):
        return room
    found = {name: getattr(room, name) for name in names}
    if part == "outline":
        same = _ring(room.outline) == _ring(model.outline)
    else:
        same = all(_bare(found[name]) == _bare(given[name]) for name in names)
    if same:
        return room
    changes.append(Change(part, _tell_part(room, part, found, given)))
    put_back: dict[str, Any] = given
    return room._replace(**put_back)


def _tell_part(room: Room, part: str, found: Mapping[str, Any], given: Mapping[str, Any]) -> str:
    if part in ("fixtures", "joints"):
        return f"{room.id}: {part} – {_tell_entries(found[part], given[part])}"
    if part == "outline":
        return f"{room.id}: the room's outline is not the brief's"
    if not any(value not in (None, (), {}) for value in found.values()):
        return f"{room.id}: the {part} that the brief gives is left out"
    if part == "height":
        high, wanted = found[part], given[part]
        return f"{room.id}: the height is {high:g} mm, where the brief gives {wanted:g} mm"
    if part == "use":
        return f"{room.id}: the use is {found[part]}, where the brief gives {given[part]}"
    return f"{room.id}: the {part} is not the brief's"


def _tell_entries(found: Mapping[str, Any], given: Mapping[str, Any]) -> str:
    bare = {name: _bare(thing) for name, thing in found.items()}
    wanted = {name: _bare(thing) for name, thing in given.items()}
    parts = []
    gone = [name for name in wanted if wanted[name] not in bare.values() and name not in bare]
    moved = [name for name in wanted if name in bare and bare[name] != wanted[name]]
    new = [name for name in bare if name not in wanted and bare[name] not in wanted.values()]
    for names, verb in ((gone, "left out"), (moved, "changed"), (new, "added")):
        if names:
            parts.append(f"{', '.join(names)} {verb}")
    return "; ".join(parts) or "not the brief's"


def _tell_supply(plan: Plan, brief: Plan) -> Change:
    parts = []
    for name, unit, word in (
        ("voltage_v", " V", "voltage"),
        ("system", "", "system"),
        ("available_a", " A", "available current"),
    ):
        ours, theirs = getattr(plan.supply, name), getattr(brief.supply, name)
        if ours != theirs:
            shown = "left out" if ours is None else f"{ours:g}{unit}" if unit else str(ours)
            want = (
                "leaves it out"
                if theirs is None
                else (f"gives {theirs:g}{unit}" if unit else f"gives {theirs}")
            )
            parts.append(f"{word} {shown}, where the brief {want}")
    return Change("supply", f"supply: {'; '.join(parts)}")


def _without_room(circuit: Circuit, rooms: Mapping[str, Room]) -> Circuit:
    if circuit.thermostat is not None and circuit.thermostat not in rooms:
        return circuit._replace(thermostat=None)
    return circuit


class _Swap(NamedTuple):
    """Which of a plan's materials give way to which of the brief's."""

    materials: Materials
    by_kind: Mapping[str, Mapping[str, Any]]

    @classmethod
    def of(cls, ours: Materials, theirs: Materials, changes: list[Change]) -> _Swap:
        by_kind: dict[str, dict[str, Any]] = {}
        merged: dict[str, dict[str, Any]] = {}
        for kind, word in _KINDS.items():
            found, given = getattr(ours, kind), getattr(theirs, kind)
            bare = {repr(_bare(thing)): name for name, thing in given.items()}
            swaps: dict[str, Any] = {}
            for name, thing in found.items():
                if repr(_bare(thing)) in bare:
                    continue
                if name in given:
                    model = given[name]
                    parts = _differing(thing, model)
                    said = f"the {word} {name} is not the brief's ({parts})"
                elif len(given) == 1:
                    model = next(iter(given.values()))
                    said = f"the {word} {name} is none of the brief's; {model.id} was taken for it"
                else:
                    changes.append(Change("materials", f"the {word} {name} is none of the brief's"))
                    continue
                changes.append(Change("materials", said))
                swaps[name] = model._replace(id=name, path=thing.path)
            by_kind[kind] = swaps
            merged[kind] = {**found, **swaps}
        return cls(Materials(**merged), by_kind)

    def in_room(self, room: Room) -> Room:
        """Give the room made of the brief's materials."""
        films, boards = self.by_kind["films"], self.by_kind["boards"]
        sheets, coverings = self.by_kind["sheets"], self.by_kind["coverings"]
        elements = tuple(
            one._replace(film=films[one.film.id]) if one.film.id in films else one
            for one in room.elements
        )
        laid = room.insulation
        if laid is not None and laid.board is not None and laid.board.id in boards:
            laid = laid._replace(board=boards[laid.board.id])
        membrane = room.membrane
        if membrane is not None and membrane.sheet is not None and membrane.sheet.id in sheets:
            membrane = membrane._replace(sheet=sheets[membrane.sheet.id])
        subfloor = room.subfloor
        if subfloor is not None and subfloor.barrier is not None and subfloor.barrier.id in sheets:
            subfloor = subfloor._replace(barrier=sheets[subfloor.barrier.id])
        areas = tuple(
            area._replace(covering=coverings[area.covering.id])
            if area.covering.id in coverings
            else area
            for area in room.coverings
        )
        return room._replace(
            elements=elements,
            insulation=laid,
            membrane=membrane,
            subfloor=subfloor,
            coverings=areas,
        )


def _differing(ours: Any, theirs: Any) -> str:
    names = [
        field
        for field, own, other in zip(ours._fields, ours, theirs, strict=True)
        if field not in ("id", "path", "note") and _bare(own) != _bare(other)
    ]
    return ", ".join(_UNIT.sub("", name).replace("_", " ") for name in names)


def _bare(value: Any) -> Any:
    """Give a thing's content alone: without ids, places in the file, remarks and order of keys."""
    if hasattr(value, "_fields"):
        return tuple(
            (field, _bare(inner))
            for field, inner in zip(value._fields, value, strict=True)
            if field not in ("id", "path", "note")
        )
    if isinstance(value, Mapping):
        return tuple(sorted(repr(_bare(inner)) for inner in value.values()))
    if isinstance(value, list | tuple | set | frozenset):
        return tuple(_bare(inner) for inner in value)
    if isinstance(value, float | int) and not isinstance(value, bool):
        return round(float(value), 6)
    return value


def _ring(corners: Any) -> tuple[tuple[float, float], ...]:
    """Give an outline from its least corner on, anticlockwise."""
    points = [(round(float(x), 6), round(float(y), 6)) for x, y in corners]
    area = sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True)
    )
    if area < 0:
        points.reverse()
    first = points.index(min(points))
    return tuple(points[first:] + points[:first])
