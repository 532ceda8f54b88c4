"""What the brief gives stands: changes to it are told, and undone before a submission is judged."""

from collections.abc import Collection, Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.marking.brief_changes import BriefChanges
from underfoot.marking.content import (
    is_given,
    is_same,
    is_same_line,
    is_same_ring,
    list_differing,
    match_up,
)
from underfoot.marking.fixing import (
    WHOLE_METHOD,
    restore_circuits,
    restore_method,
    restore_supply,
)
from underfoot.marking.laid_as_given import Placed
from underfoot.marking.material_swap import Swap
from underfoot.marking.placing import Move, Paired, hang, is_same_fixture, pair_rooms
from underfoot.plan import Circuit, Plan, Room
from underfoot.plan_format.fields import words_of

__all__ = ["Change", "Restored", "restore_brief"]


class Change(Struct, frozen=True, kw_only=True):
    """Something of the brief that a submission does not leave as it was."""

    what: str
    said: str


class Restored(Struct, frozen=True, kw_only=True):
    """A submission's plan with the brief's own things put back, and what had been changed.

    `rooms` are the plan's names of the brief's rooms. `remarks` are of what changes nothing.
    """

    plan: Plan
    changes: tuple[Change, ...]
    remarks: tuple[str, ...] = ()
    rooms: Mapping[str, str] = {}


# How a part of a room is called in the scheme and in the plan; whether an empty one binds too.
_ROOM_PARTS: Mapping[str, tuple[tuple[str, ...], bool]] = {
    "outline": (("outline",), True),
    "use": (("use",), False),
    "height": (("height",), False),
    "fixtures": (("fixtures",), True),
    "joints": (("joints",), True),
    "openings": (("openings",), False),
    "subfloor": (("subfloor",), False),
    "covering": (("coverings",), False),
    "underlay": (("underlay",), False),
    "overlay": (("overlay",), False),
    "heat loss": (("heat_loss_w", "fabric", "other_heat_w"), False),
    "junction box": (("junction_box",), False),
}
# Of these what the brief gives binds: figures one by one, boards and sheets as they lie where it
# lays them, a thermostat where it hangs. What it does not give is the planner's.
_FIGURES_OF = {
    "insulation": "the boards do not lie as the brief lays them",
    "membrane": "the sheets of the membrane do not lie as the brief lays them",
    "thermostat": "the thermostat does not hang where the brief has it",
}
_LAID = frozenset({"id", "path", "note", "at", "layers", "runs", "pieces", "room", "reads"})


def restore_brief(plan: Plan, brief: Plan, fixed: Collection[str]) -> Restored:
    """Put back what of `fixed` the plan changed, and say what that was.

    A room is the brief's that has its shape, whatever it is called and however it is turned; else
    one of its name. A room that the brief does not have is left out of the judging; one that the
    plan does not have is judged as one in which nothing lies.
    """
    told = BriefChanges()
    swap = Swap.of(plan, brief.materials, fixed, told)
    pairs = pair_rooms(plan, brief)
    here = {pair.model: pair for pair in pairs}
    restored: dict[str, Room] = {}
    for pair in pairs:
        # A material of one's own is told once, not again where it is laid.
        room = swap.in_room(plan.rooms[pair.name])
        as_given = swap.as_called(brief.rooms[pair.model])
        restored[pair.name] = _restore_room(room, as_given, here, fixed, told)
    names = {pair.model: pair.name for pair in pairs}
    _tell_rooms(plan, brief, names, told)
    for model in brief.rooms:
        if model not in names:
            names[model] = model if model not in restored else f"{model} (not drawn)"
            restored[names[model]] = _bare_room(brief.rooms[model], names[model])
    circuits = {name: _within(circuit, restored) for name, circuit in plan.circuits.items()}
    judged = replace(
        plan,
        rooms={name: _read_within(room, restored) for name, room in restored.items()},
        circuits=restore_circuits(circuits, brief.circuits, fixed, told),
        supply=restore_supply(plan.supply, brief.supply, told)
        if "supply" in fixed
        else plan.supply,
        materials=swap.materials,
    )
    if "method statement" in fixed:
        judged = restore_method(judged, brief, told, whole=WHOLE_METHOD in fixed)
    changes = tuple(Change(what=what, said=said) for what, said in told.changes)
    return Restored(plan=judged, changes=changes, remarks=tuple(told.remarks), rooms=names)


def _tell_rooms(plan: Plan, brief: Plan, names: Mapping[str, str], told: BriefChanges) -> None:
    for model in brief.rooms:
        if model not in names:
            told.change("rooms", f"the brief's room {model} is not in the plan")
        elif names[model] != model:
            told.remark(
                f"The room {model} is called {names[model]} in the plan; that changes no mark."
            )
    for name, room in plan.rooms.items():
        if name in names.values():
            continue
        if room.elements or room.leads or room.sensor is not None:
            told.change(
                "rooms", f"the room {name} is none of the brief's; what lies in it was not judged"
            )
        else:
            told.remark(f"The room {name} is none of the brief's; that changes no mark.")


def _restore_room(
    room: Room, model: Room, here: Mapping[str, Paired], fixed: Collection[str], told: BriefChanges
) -> Room:
    move = here[model.id].move
    for part in fixed:
        if part in _ROOM_PARTS:
            room = _restore_part(room, model, part, move, told)
        elif part in _FIGURES_OF:
            room = _restore_figures(room, model, part, here, told)
            room = _restore_placed(room, model, part, here, told)
    return room


def _restore_part(room: Room, model: Room, part: str, move: Move, told: BriefChanges) -> Room:
    names, binds_empty = _ROOM_PARTS[part]
    given = {name: move.bring(getattr(model, name)) for name in names}
    if part == "outline":
        given = {"outline": move.places(model.outline)}
    if not binds_empty and not any(map(is_given, given.values())):
        return room
    found = {name: getattr(room, name) for name in names}
    if _are_same(part, found, given):
        return room
    if not binds_empty and not any(map(is_given, found.values())):
        was = "were" if part == "openings" else "was"
        told.remark(
            f"{room.id}: the {part} that the brief gives {was} left out, and {was} put back."
        )
    else:
        told.change(part, _tell_part(room, part, found, given))
    put_back: dict[str, Any] = given
    return replace(room, **put_back)


def _are_same(part: str, found: Mapping[str, Any], given: Mapping[str, Any]) -> bool:
    if part == "outline":
        return is_same_ring(found["outline"], given["outline"])
    if part == "fixtures":
        return not any(_sort_entries(found[part], given[part], is_same_fixture))
    if part == "joints":
        return not any(_sort_entries(found[part], given[part], _is_same_joint))
    if part == "openings":
        return not any(_sort_entries(found[part], given[part], _is_same_opening)[:2])
    if part == "covering":
        bare: list[list[Any]] = [[], []]
        for areas, of in ((found["coverings"], bare[0]), (given["coverings"], bare[1])):
            of += [(area.covering, sorted(area.over or ())) for area in areas]
        return match_up(*bare)
    if part == "junction box":
        one, other = found["junction_box"], given["junction_box"]
        return one is not None and is_same_line([one.at], [other.at]) and (
            other.height is None or is_same(one.height, other.height)
        )  # fmt: skip
    return all(is_same(found[name], given[name]) for name in given)


def _is_same_joint(one: Any, other: Any) -> bool:
    return is_same_line(one.line, other.line)


def _is_same_opening(one: Any, given: Any) -> bool:
    """Tell whether an opening is the given one: what the brief does not say of it is free."""
    return (
        one.kind == given.kind
        and is_same_line(one.line, given.line)
        and all(
            getattr(given, key) in (None, getattr(one, key))
            for key in ("opens", "threshold", "sill")
        )
        and (given.hinge is None or _is_same_hinge(one, given))
    )


def _is_same_hinge(one: Any, given: Any) -> bool:
    if one.hinge is None or "both" in (one.hinge, given.hinge):
        return bool(one.hinge == given.hinge)
    ends = [each.line[each.hinge == "to"] for each in (one, given)]
    return is_same_line(ends[:1], ends[1:])


def _sort_entries(
    found: Mapping[str, Any], given: Mapping[str, Any], same: Any
) -> tuple[list[str], list[str], list[str]]:
    """Return what is left out, changed and added, a new name alone being none of these."""
    left = dict(found)
    gone = []
    for name, thing in given.items():
        meant = [one for one in (name, *left) if one in left and same(left[one], thing)]
        if meant:
            del left[meant[0]]
        else:
            gone.append(name)
    changed = [name for name in gone if name in left]
    return (
        [name for name in gone if name not in left],
        changed,
        [name for name in left if name not in changed],
    )


def _tell_part(room: Room, part: str, found: Mapping[str, Any], given: Mapping[str, Any]) -> str:
    same = {"fixtures": is_same_fixture, "joints": _is_same_joint, "openings": _is_same_opening}
    if part in same:
        sorts = _sort_entries(found[part], given[part], same[part])
        parts = [
            f"{', '.join(names)} {verb}"
            for names, verb in zip(sorts, ("left out", "changed", "added"), strict=True)
            if names
        ]
        return f"{room.id}: {part} – {'; '.join(parts)}"
    if part == "outline":
        return f"{room.id}: the room's outline is not the brief's"
    if part == "height":
        high, wanted = found[part], given[part]
        return f"{room.id}: the height is {high:g} mm, where the brief gives {wanted:g} mm"
    if part == "use":
        return f"{room.id}: the use is {found[part]}, where the brief gives {given[part]}"
    return f"{room.id}: the {part} is not the brief's"


def _restore_figures(
    room: Room, model: Room, part: str, here: Mapping[str, Paired], told: BriefChanges
) -> Room:
    move = here[model.id].move
    given, found = getattr(model, part), getattr(room, part)
    if given is None:
        return room
    if found is None:
        told.remark(f"{room.id}: the {part} that the brief gives was left out, and was put back.")
        is_hung = part == "thermostat"
        back: dict[str, Any] = {part: hang(given, move, here) if is_hung else move.bring(given)}
        return replace(room, **back)
    others = {
        field: getattr(given, field)
        for field in list_differing(found, given)
        if field not in _LAID and is_given(getattr(given, field))
    }
    if not others:
        return room
    if any(is_given(getattr(found, field)) for field in others):
        said = ", ".join(words_of(type(found), field) for field in others)
        told.change(part, f"{room.id}: the {part} is not the brief's ({said})")
    put: dict[str, Any] = {part: replace(found, **others)}
    return replace(room, **put)


def _restore_placed(
    room: Room, model: Room, part: str, here: Mapping[str, Paired], told: BriefChanges
) -> Room:
    if getattr(model, part) is None:
        return room
    placed = Placed(part, room, model, here[model.id].move, here)
    if not placed.is_given or placed.is_same:
        return room
    if not placed.is_left_out:
        told.change(part, f"{room.id}: {_FIGURES_OF[part]}")
    elif part != "thermostat":
        told.remark(f"{room.id}: the {part} that the brief lays was left out, and was put back.")
    put: dict[str, Any] = {part: replace(getattr(room, part), **placed.put_back())}
    return replace(room, **put)


def _bare_room(model: Room, name: str) -> Room:
    """Return a room of the brief that the plan does not have: with nothing laid in it."""
    return replace(model, id=name, elements=(), rows=(), leads=(), sensor=None)


def _within(circuit: Circuit, rooms: Mapping[str, Room]) -> Circuit:
    """Take from a circuit what lies in rooms that are not judged."""
    if circuit.thermostat is not None and circuit.thermostat not in rooms:
        circuit = replace(circuit, thermostat=None)
    links = tuple(one for one in circuit.links if one.start in rooms and one.end in rooms)
    return replace(circuit, links=links)


def _read_within(room: Room, rooms: Mapping[str, Room]) -> Room:
    """Take from a thermostat what names rooms that are not judged."""
    thermostat = room.thermostat
    if thermostat is None:
        return room
    if thermostat.room is not None and thermostat.room not in rooms:
        thermostat = replace(thermostat, room=None, at=None)
    if thermostat.reads is not None:
        reads = tuple(name for name in thermostat.reads if name in rooms)
        thermostat = replace(thermostat, reads=reads)
    return replace(room, thermostat=thermostat)
