"""A way of laying as edits of the plan: rows, boards, membrane, box, sensor, leads, circuits."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from underfoot.checking.facts import Facts
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.mend import Edit
from underfoot.laying.frame import Point, write_mm
from underfoot.laying.leads import Route, write_stops
from underfoot.laying.rows import write_row
from underfoot.laying.wiring import Draft, Floor
from underfoot.plan import Film

# What a new circuit's cable is taken as until somebody has measured it.
CABLE = {"size": "2.5 mm2", "length": "15 m", "method": "C", "ambient": "30 degC"}


class Laying(Struct, frozen=True, kw_only=True):
    """One way to lay a room, as edits.

    It heats `heated_m2` of the `open_m2` that strips may reach; no parallel strips of the film heat
    more than `bound_m2`. `cables_taken` says that cables stand in it which nobody has measured,
    `less` why it heats less than that.
    """

    edits: tuple[Edit, ...]
    heated_m2: float
    bound_m2: float
    strips: int
    rows: int
    circuits: tuple[str, ...]
    film: str
    along: str
    open_m2: float
    cables_taken: bool = False
    less: tuple[str, ...] = ()


def _next_names(
    letter: str, taken: Iterator[str] | Sequence[str] | set[str], count: int
) -> list[str]:
    used = set(taken)
    names = (f"{letter}{number}" for number in itertools.count(1))
    return list(itertools.islice((name for name in names if name not in used), count))


def write_laying(
    facts: Facts,
    room: RoomFacts,
    data: Mapping[str, Any],
    film: Film,
    draft: Draft,
    sensor: Point,
    bound: float,
    open_m2: float,
) -> Laying:
    """Write a laying as edits to the plan's data."""
    rows, routes, box = draft.rows, draft.routes, draft.box
    own = data["rooms"][room.id]
    circuits = _circuit_names(facts, room, data, len(routes))
    of = {
        strip: circuit
        for circuit, (group, _) in zip(circuits, routes, strict=True)
        for strip in group
    }
    written_rows = {
        name: write_row(
            row,
            draft.floor.frame,
            film.id,
            [of[f"{name}{number}"] for number, strip in enumerate(row.strips, 1) if strip],
        )
        for name, row in rows
    }
    leads = {
        name: {
            "circuit": circuit,
            "size": "1.5 mm2",
            "recessed": True,
            "route": write_stops(route, rows),
        }
        for name, circuit, (_, route) in zip(
            _next_names("W", set(facts.ids), len(routes)), circuits, routes, strict=True
        )
    }
    path: tuple[str | int, ...] = ("rooms", room.id)
    edits = [Edit(op="add", path=(*path, "rows"), value=written_rows)]
    edits += fill_in(own, path, "insulation", _lay_boards(facts, film))
    edits += fill_in(own, path, "membrane", _lay_membrane(facts))
    at_box = {"at": [write_mm(box[0]), write_mm(box[1])], "height": 450}
    edits += fill_in(own, path, "junction_box", at_box)
    edits += fill_in(own, path, "thermostat", _thermostat(room, len(routes)))
    way = math.hypot(sensor[0] - box[0], sensor[1] - box[1])
    below = {
        "at": [write_mm(sensor[0]), write_mm(sensor[1])],
        "route": ["junction-box"],
        "channel": {"width": 13, "depth": 7, "cut_into": "insulation"},
        "conduit": {"width": 12, "depth": 7},
        "cable": f"{math.ceil((way + 1500) / 1000)} m",
    }
    edits += fill_in(own, path, "sensor", below)
    edits.append(Edit(op="add", path=(*path, "leads"), value=leads))
    edits += _write_circuits(facts, room, data, circuits, routes)
    return Laying(
        edits=tuple(edits),
        heated_m2=draft.floor.heated * film.width / 1e6,
        bound_m2=bound,
        strips=sum(len(row.laid) for _, row in rows),
        rows=len(rows),
        circuits=tuple(circuits),
        film=film.id,
        along=draft.floor.frame.along,
        open_m2=open_m2,
        cables_taken=any(name not in facts.plan.circuits for name in circuits),
        less=_say_less(draft.floor, bound, film),
    )


def _say_less(floor: Floor, bound_m2: float, film: Film) -> tuple[str, ...]:
    """Say why a floor heats less than the most that strips side by side could."""
    why = []
    if floor.heated < floor.chosen - 1e-6:
        left_m2 = (floor.chosen - floor.heated) * film.width / 1e6
        why.append(f"strips of {left_m2:.2f} m2 end at no wall along which a lead could reach them")
    if floor.chosen * film.width / 1e6 < bound_m2 - 1e-6:
        why.append(
            "further strips would leave narrow gaps, or lie another way, in which the leads or "
            "the sensor find no place"
        )
    return tuple(why)


def _circuit_names(facts: Facts, room: RoomFacts, data: Mapping[str, Any], count: int) -> list[str]:
    """Name the circuits: those that the plan has for the room already, then new ones."""
    has = [
        name
        for name, circuit in facts.plan.circuits.items()
        if circuit.thermostat == room.id and circuit.shares is None
    ]
    more = _next_names("C", set(facts.ids) | set(facts.plan.circuits), count)
    return [*has, *more][:count]


def _write_circuits(
    facts: Facts,
    room: RoomFacts,
    data: Mapping[str, Any],
    circuits: Sequence[str],
    routes: Sequence[tuple[list[str], Route]],
) -> Iterator[Edit]:
    there = data.get("circuits")
    new = [name for name in circuits if name not in (there or {})]
    if not new:
        return
    like = next((data["circuits"][name] for name in circuits if name in (there or {})), None)
    value: dict[str, Any] = {
        "thermostat": room.id,
        "breaker": "16 A" if facts.plan.supply.is_extra_low else "10 A",
        **({} if facts.plan.supply.is_extra_low else {"rcd": "30 mA"}),
        "cable": dict(CABLE),
    }
    value = dict(like) if like is not None else value
    if there is None:
        yield Edit(op="add", path=("circuits",), value=dict.fromkeys(new, value))
        return
    for name in new:
        yield Edit(op="add", path=("circuits", name), value=value)


def _thermostat(room: RoomFacts, circuits: int) -> dict[str, Any]:
    warmest = [
        area.covering.warmest_surface_c
        for area in room.drawn.coverings
        if area.covering.warmest_surface_c is not None
    ]
    limit = min([33.0 if room.drawn.use == "bathroom" else 29.0, *warmest])
    value: dict[str, Any] = {
        "height": "1.4 m",
        "switches": "16 A",
        "floor_limit": f"{limit:g} degC",
    }
    if circuits > 1:
        value["contactor"] = {"poles": circuits, "rating": "20 A"}
    return value


def _lay_boards(facts: Facts, film: Film) -> dict[str, Any]:
    boards = facts.plan.materials.boards
    named = [name for name in film.boards or boards if name in boards]
    if not named:
        return {}
    stagger = round(boards[named[0]].size[0] / 2)
    return {
        "board": named[0],
        "joints_taped": True,
        "layers": [{"courses": "x", "stagger": stagger}],
    }


def _lay_membrane(facts: Facts) -> dict[str, Any]:
    sheets = facts.plan.materials.sheets
    if not sheets:
        return {}
    return {
        "sheet": next(iter(sheets)),
        "overlaps_taped": True,
        "perimeter_taped": True,
        "runs": {"along": "x", "overlap": 150},
    }


def fill_in(
    own: Mapping[str, Any], path: tuple[str | int, ...], key: str, value: dict[str, Any]
) -> Iterator[Edit]:
    """Write what is laid under a key; of what the plan says there itself nothing is changed.

    A plan that draws its boards or sheets one by one has laid them.
    """
    if not value:
        return
    has = own.get(key)
    if has is None:
        yield Edit(op="add", path=(*path, key), value=value)
        return
    if not isinstance(has, dict):
        return
    for inner, told in value.items():
        if inner in has and isinstance(told, dict):
            yield from fill_in(has, (*path, key), inner, told)
        elif inner not in has and not _is_drawn_otherwise(key, inner, has):
            yield Edit(op="add", path=(*path, key, inner), value=told)


def _is_drawn_otherwise(key: str, inner: str, has: Mapping[str, Any]) -> bool:
    """Tell whether a membrane's sheets are drawn one by one, where none are laid in runs."""
    return key == "membrane" and inner == "runs" and bool(has.get("pieces"))
