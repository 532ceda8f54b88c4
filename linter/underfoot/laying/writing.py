"""A way of laying as edits of the plan: rows, boards, membrane, box, sensor, leads, circuits."""

import itertools
import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from underfoot.checking.facts import Facts
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.mend import Edit
from underfoot.laying.frame import Point, write_mm
from underfoot.laying.leads import write_stops
from underfoot.laying.rows import write_row
from underfoot.laying.strips import LaidStrip
from underfoot.laying.wiring import Draft, Floor
from underfoot.laying.wishes import CannotLayError
from underfoot.plan import Film, Plan

# What a new circuit's cable is taken as until somebody has measured it.
CABLE = {"size": "2.5 mm2", "length": "15 m", "method": "C", "ambient": "30 degC"}


class Laying(Struct, frozen=True, kw_only=True):
    """One way to lay a room, as edits.

    It heats `heated_m2` of the `open_m2` that strips may reach; no parallel strips of the film heat
    more than `bound_m2`. `drawn` counts the strips that were there before. `cables_taken` says that
    cables stand in it which nobody has measured, `less` why it heats less than that.
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
    drawn: int
    leads: int
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
    known: float,
    open_m2: float,
) -> Laying:
    """Write a laying as edits to the plan's data: what is missing, nothing that is there."""
    rows, box = draft.rows, draft.box
    own = data["rooms"][room.id]
    circuits = _name_circuits(facts, room, draft)
    of = {
        strip: circuit
        for circuit, group in zip(circuits, draft.groups, strict=True)
        for strip in group.strips
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
            "route": write_stops(group.route, draft.pieces),
        }
        for name, circuit, group in zip(
            _next_names("W", set(facts.ids), len(circuits)), circuits, draft.groups, strict=True
        )
    }
    in_room = list(dict.fromkeys((*_circuits_of(draft.floor.drawn), *circuits)))
    path: tuple[str | int, ...] = ("rooms", room.id)
    edits = list(put_on_circuits(own, path, draft.floor.drawn, of))
    edits += fill_in(own, path, "rows", written_rows)
    edits += fill_in(own, path, "insulation", _lay_boards(facts, film))
    edits += fill_in(own, path, "membrane", _lay_membrane(facts))
    at_box = {"at": [write_mm(box[0]), write_mm(box[1])], "height": 450}
    edits += fill_in(own, path, "junction_box", at_box)
    if switched_by(facts.plan, room.id) == room.id:
        edits += fill_in(own, path, "thermostat", _thermostat(room, len(in_room)))
    way = math.hypot(sensor[0] - box[0], sensor[1] - box[1])
    below = {
        "at": [write_mm(sensor[0]), write_mm(sensor[1])],
        "route": ["junction-box"],
        "channel": {"width": 13, "depth": 7, "cut_into": "insulation"},
        "conduit": {"width": 12, "depth": 7},
        "cable": f"{math.ceil((way + 1500) / 1000)} m",
    }
    edits += fill_in(own, path, "sensor", below)
    edits += fill_in(own, path, "leads", leads)
    edits += _write_circuits(facts, room, data, in_room)
    drawn_m2 = sum(each.length * each.width for each in draft.floor.drawn) / 1e6
    return Laying(
        edits=tuple(edits),
        heated_m2=draft.floor.heated * film.width / 1e6 + drawn_m2,
        bound_m2=bound,
        strips=sum(len(row.laid) for _, row in rows),
        rows=len(rows),
        circuits=tuple(circuits),
        film=film.id,
        along=draft.floor.frame.along,
        open_m2=open_m2,
        drawn=len(draft.floor.drawn),
        leads=len(leads),
        cables_taken=any(
            each.path[0] == "circuits" and (len(each.path) <= 2 or each.path[2] == "cable")
            for each in edits
        ),
        less=_say_less(draft.floor, bound, known, drawn_m2, film),
    )


def _circuits_of(drawn: Sequence[LaidStrip]) -> Iterator[str]:
    return (each.circuit for each in drawn if each.circuit is not None)


def put_on_circuits(
    own: Mapping[str, Any],
    path: tuple[str | int, ...],
    drawn: Sequence[LaidStrip],
    of: Mapping[str, str],
) -> Iterator[Edit]:
    """Write the circuits of strips that are drawn and on none: of a whole row, or one by one."""
    by_row: dict[str, list[LaidStrip]] = {}
    for piece in drawn:
        if piece.circuit is None and piece.id in of:
            by_row.setdefault(piece.row, []).append(piece)
    for name, pieces in by_row.items():
        if pieces[0].number == 0:
            yield Edit(op="add", path=(*path, "elements", name, "circuit"), value=of[name])
            continue
        main = Counter(of[piece.id] for piece in pieces).most_common(1)[0][0]
        yield Edit(op="add", path=(*path, "rows", name, "circuit"), value=main)
        others = [piece for piece in pieces if of[piece.id] != main]
        lengths = own["rows"][name].get("lengths")
        if others and lengths is None:
            raise CannotLayError(
                f"row {name} takes more than one circuit, and says its strips in one `length`: "
                "write its `lengths` one by one"
            )
        for piece in others:
            told = lengths[piece.number - 1]
            told = told if isinstance(told, dict) else {"length": told}
            yield Edit(
                op="replace",
                path=(*path, "rows", name, "lengths", piece.number - 1),
                value={**told, "circuit": of[piece.id]},
            )


def _say_less(
    floor: Floor, bound_m2: float, known_m2: float, drawn_m2: float, film: Film
) -> tuple[str, ...]:
    """Say why a floor heats less than the most that strips side by side could."""
    why = []
    cut = sum(strip.cut for row in floor.rows for strip in row.laid)
    if cut:
        why.append(
            f"strips are cut shorter by {cut * film.width / 1e6:.2f} m2, so that none is joined in "
            "a doorway"
        )
    if floor.heated + cut < floor.chosen - 1e-6:
        left_m2 = (floor.chosen - floor.heated - cut) * film.width / 1e6
        why.append(f"strips of {left_m2:.2f} m2 end at no wall along which a lead could reach them")
    if floor.chosen * film.width / 1e6 < known_m2 - drawn_m2 - 1e-6:
        why.append(
            "further strips would leave narrow gaps, or lie another way, in which the leads or "
            "the sensor find no place"
        )
    if bound_m2 > known_m2 + 1e-6:
        why.append(
            f"along walls at an angle no strips were found that heat more than {known_m2:.2f} m2; "
            "that there are none is not proved"
        )
    return tuple(why)


def switched_by(plan: Plan, room: str) -> str:
    """Return the room whose thermostat switches a room's film: its own, or the one reading it."""
    if plan.rooms[room].thermostat is None:
        for other in plan.rooms.values():
            if other.thermostat is not None and room in (other.thermostat.reads or ()):
                return other.id
    return room


def _shared_with(facts: Facts, room: str) -> str | None:
    """Return the circuit that protects a room's film which another room's contact switches.

    One contact switches one protection; a contactor has a pole for each.
    """
    plan = facts.plan
    thermostat = plan.rooms[(other := switched_by(plan, room))].thermostat
    if other == room or thermostat is None or thermostat.contactor is not None:
        return None
    return next(
        (
            name
            for name, circuit in plan.circuits.items()
            if circuit.thermostat == other and circuit.shares is None
        ),
        None,
    )


def _name_circuits(facts: Facts, room: RoomFacts, draft: Draft) -> list[str]:
    """Name each lead's circuit: its own, one that the plan has for the room, or a new one."""
    led = {each.circuit for each in draft.groups if each.circuit is not None}
    own = led | set(_circuits_of(draft.floor.drawn))
    has = [
        name
        for name, circuit in facts.plan.circuits.items()
        if circuit.thermostat == switched_by(facts.plan, room.id)
        and circuit.shares is None
        and not facts.circuits[name].elements
        and name not in own
    ]
    count = len(draft.groups)
    more = _next_names("C", {*facts.ids, *facts.plan.circuits, *own}, count)
    names = iter((*has, *more))
    return [each.circuit or next(names) for each in draft.groups]


def _write_circuits(
    facts: Facts, room: RoomFacts, data: Mapping[str, Any], circuits: Sequence[str]
) -> Iterator[Edit]:
    there = data.get("circuits") or {}
    mains = {"breaker": "10 A", "rcd": "30 mA"}
    fed_by = _shared_with(facts, room.id)
    value: dict[str, Any] = {
        "thermostat": switched_by(facts.plan, room.id),
        **({"breaker": "16 A"} if facts.plan.supply.is_extra_low else mains),
        "cable": dict(CABLE),
    }
    if fed_by is not None:
        value = {"thermostat": value["thermostat"], "shares": fed_by, "cable": dict(CABLE)}
    like: dict[str, Any] = next((there[name] for name in circuits if there.get(name)), {})
    new = {**value, **like} if not {"shares", "links"} & set(like) else value
    of_its_own = [name for name in circuits if not (there.get(name) or {}).get("shares")]
    yield from fill_in(
        data, (), "circuits", {name: value if there.get(name) else new for name in of_its_own}
    )


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
    there = room.drawn.thermostat
    if circuits > 1 and (there is None or there.switches_a is None):
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
