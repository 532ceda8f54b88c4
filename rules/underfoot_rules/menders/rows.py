"""Moves a row, a block of strips that butt, or one that stands alone, to where it may lie."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts, floor_in
from underfoot.api.physics import neighbours, separation
from underfoot.api.plan import Element, Lead
from underfoot.api.rules import Edit, Proposal, ToMend, join_names, move_text
from underfoot_rules.laying.may_lie import may_lie
from underfoot_rules.laying.mending import clearing_move, moves_off
from underfoot_rules.laying.wall_clearance import measure_to_walls
from underfoot_rules.menders.layout import LEADS, Fault, Faults, lay_out, list_brought, list_faults
from underfoot_rules.menders.written import Path, length_of, look_up, write_point

Step = tuple[float, float]
Group = tuple[int, ...]

# Strips are not moved farther than this to mend them, nor is one sought so far away to butt.
_FARTHEST, _BESIDE = 600.0, 300.0
# So near beside a strip that is moved, the bends of a lead are moved with it.
_BESIDE_STRIP = 120.0
# So many moves are looked at more closely, and so many where none of them is clear of all.
_MOST_TRIED, _MOST_UNCLEAR = 6, 4


class Move(Struct, frozen=True, kw_only=True):
    """Strips moved together, the bends of leads moved with them, and what is then wrong.

    `brings` is what was not wrong before: only leads that would lie under strips.
    """

    group: Group
    step: Step
    leads: dict[str, Lead]
    faults: Faults
    brings: frozenset[Fault]


def list_moves(found: ToMend) -> list[Move]:
    """List the moves that leave the fewest faults, the best first."""
    facts, room = found.facts, found.room_facts
    before = list_faults(facts, room)
    target: Fault = (found.rule, found.items)
    moves: list[Move] = []
    for group, step in _sieve(facts, room, list(_list_tries(facts, room, found))):
        move = _try(facts, room, group, step, before)
        if target not in move.faults and all(rule == LEADS for rule, _ in move.brings):
            moves.append(move)
    fewest = min((len(move.faults) for move in moves), default=0)

    def rank(move: Move) -> tuple[float, ...]:
        return (len(move.leads), len(move.group), math.hypot(*move.step))

    return sorted((move for move in moves if len(move.faults) == fewest), key=rank)


def _sieve(
    facts: Facts, room: RoomFacts, tries: list[tuple[Group, Step]]
) -> list[tuple[Group, Step]]:
    """Keep the moves after which all that was moved lies clear; where none is, the first few."""
    limits = facts.limits
    wall = max(limits["wall-clearance"]["planned"], limits["wall-clearance"]["minimum"])
    fixture = limits["fixture-clearance"]["minimum"]
    good = []
    for group in dict.fromkeys(group for group, _ in tries):
        steps = [step for each, step in tries if each == group]
        corners = room.corners[list(group)][None] + np.array(steps)[:, None, None]
        clear = may_lie(room, corners.reshape(-1, 4, 2), wall, fixture, group)
        kept = np.flatnonzero(clear.reshape(len(steps), len(group)).all(axis=1))
        good += [(group, steps[which]) for which in kept.tolist()]
    return good[:_MOST_TRIED] or tries[:_MOST_UNCLEAR]


def _list_tries(facts: Facts, room: RoomFacts, found: ToMend) -> Iterator[tuple[Group, Step]]:
    """List what to move and by how much, no pair twice."""
    tried = set()
    rows = _rows(found)
    whole = tuple(range(len(room.elements)))
    places = [room.place_of[name] for name in found.items if name in room.place_of]
    for place in places:
        off = next((other for other in places if other != place), None)
        groups = dict.fromkeys(
            _with_rows(room, group, rows)
            for group in (_butted(room, place, off), _butted(room, place, None), (place,), whole)
        )
        for group in groups:
            if off in group:
                continue
            for step in _list_steps(facts, room, found, place, off, group):
                if (group, step) not in tried and 0.05 < math.hypot(*step) <= _FARTHEST:
                    tried.add((group, step))
                    yield group, step


def _list_steps(
    facts: Facts, room: RoomFacts, found: ToMend, place: int, off: int | None, group: Group
) -> Iterator[Step]:
    """List moves for a strip: off what it lies on, away from what it is too near to, up to others.

    Where it is moved with others, what clears the worst of them of the walls is tried as well.
    """
    limits = facts.limits
    wall = max(limits["wall-clearance"]["planned"], limits["wall-clearance"]["minimum"])
    steps: list[Step | None] = []
    if off is not None:
        steps.append(separation.separating_move(room.strips[place], room.strips[off]))
        yield from (_exactly(step) for step in steps if step is not None)
    else:
        worst = min(group, key=lambda i: measure_to_walls(room)[i])
        steps += [clearing_move(room, each, wall) for each in dict.fromkeys((worst, place))]
    if found.rule == "fixture-clearance":
        fixture, polygon = next(f for f in room.fixtures if f[0].id == found.items[1])
        free = fixture.keep_free(limits["fixture-clearance"]["minimum"])
        steps += moves_off(room, place, polygon, free)[:2]
    if found.rule == "threshold-fixing":
        floor = floor_in(room, room.drawn.openings[found.items[1]])
        steps += moves_off(room, place, floor, limits["threshold-fixing"]["apart"])[:2]
    if found.rule == "joint-crossing":
        joint = dict(room.joints)[found.items[1]]
        under = shapely.intersection(joint, room.strips[place])
        steps += moves_off(room, place, under, 0.0)[:2]
    if off is None:
        yield from (_rounded_up(step) for step in steps if step is not None)
    yield from map(_exactly, _closing_steps(room, place))
    yield from map(_exactly, _aligning_steps(room, place))


def _closing_steps(room: RoomFacts, place: int) -> list[Step]:
    """Return the moves across a strip that butt it to the nearest strip on either side."""
    found = neighbours.gaps_between(room.corners, _BESIDE, 0.05)
    steps = []
    for (first, second), gap in zip(found.pairs.tolist(), found.gap.tolist(), strict=True):
        if place not in (first, second):
            continue
        other = second if place == first else first
        across = _across(room, other)
        away = (room.corners[other].mean(axis=0) - room.corners[place].mean(axis=0)) @ across
        steps.append((gap, float(np.sign(away)) * gap * across))
    steps.sort(key=lambda each: each[0])
    return [(float(dx), float(dy)) for _, (dx, dy) in steps[:2]]


def _aligning_steps(room: RoomFacts, place: int) -> list[Step]:
    """Return the moves along a strip that bring its start or its end in line with a neighbour's."""
    along = room.corners[place][1] - room.corners[place][0]
    along = along / np.hypot(*along)
    near = room.tree.query(room.strips[place], predicate="dwithin", distance=_BESIDE).tolist()
    found: dict[float, Step] = {}
    for other in sorted(near):
        if other == place:
            continue
        for end in (0, 1):
            by = float((room.connections[other][end] - room.connections[place][end]) @ along)
            if 0.05 < abs(by) <= _BESIDE and all(abs(by - one) > 0.05 for one in found):
                dx, dy = by * along
                found[by] = (float(dx), float(dy))
    return [found[by] for by in sorted(found, key=abs)[:2]]


def _rounded_up(step: Step) -> Step:
    """Return a step in whole millimetres: what is moved need not butt then."""
    dx, dy = (math.copysign(math.ceil(abs(part) - 0.01), part) for part in step)
    return dx, dy


def _exactly(step: Step) -> Step:
    return round(step[0], 4), round(step[1], 4)


def _try(facts: Facts, room: RoomFacts, group: Group, step: Step, before: Faults) -> Move:
    moved = {room.elements[i].id: _moved(room.elements[i], step) for i in group}
    faults = list_faults(facts, lay_out(room, moved))
    brings = list_brought(before, faults)
    leads = {items[0] for rule, items in brings if rule == LEADS}
    if leads:
        shifted = {
            lead.id: way
            for lead in room.drawn.leads
            if lead.id in leads and (way := _shift_bends(room, lead, group, step)) is not lead
        }
        with_leads = list_faults(facts, lay_out(room, moved, shifted)) if shifted else faults
        if len(with_leads) < len(faults):
            brings = list_brought(before, with_leads)
            return Move(group=group, step=step, leads=shifted, faults=with_leads, brings=brings)
    return Move(group=group, step=step, leads={}, faults=faults, brings=brings)


def _moved(element: Element, step: Step) -> Element:
    return replace(element, at=(element.at[0] + step[0], element.at[1] + step[1]))


def _shift_bends(room: RoomFacts, lead: Lead, group: Group, step: Step) -> Lead:
    """Move the bends of a lead that lie beside strips that are moved, as far as these come nearer.

    Beside a strip's long side that is across it, beside its end along it, at a corner both.
    """
    strips = room.strips[list(group)]
    route = []
    for stop in lead.route:
        if stop.at is not None:
            away = shapely.distance(strips, shapely.Point(stop.at))
            nearest = int(np.argmin(away))
            if away[nearest] < _BESIDE_STRIP:
                by = _part_of(room.corners[group[nearest]], np.array(stop.at), np.array(step))
                x, y = (np.array(stop.at) + by).round(2).tolist()
                stop = replace(stop, at=(x, y))
        route.append(stop)
    return replace(lead, route=tuple(route)) if tuple(route) != lead.route else lead


def _part_of(corners: np.ndarray, place: np.ndarray, step: np.ndarray) -> np.ndarray:
    """Return the part of a strip's step that a place beside it goes along with."""
    part: np.ndarray = np.zeros(2)
    for side in (1, 3):
        way = corners[side] - corners[0]
        size = float(np.hypot(*way))
        way = way / size
        if not 0.0 < float((place - corners[0]) @ way) < size:
            part = part + (step @ way) * way
    return part


def propose_move(found: ToMend, move: Move) -> Proposal:
    room = found.room_facts
    rows = _rows(found)
    edits = []
    for path in dict.fromkeys(_place_of(room, i, rows) for i in move.group):
        old = look_up(found.data, path)
        x, y = (length_of(part) for part in old)
        new = write_point(x + move.step[0], y + move.step[1], old)
        edits.append(Edit(op="replace", path=path, value=new))
    for name, lead in move.leads.items():
        edits += _write_bends(found, room, name, lead)
    said = f"Move {_name(room, move.group)} by {move_text(*move.step)}"
    if move.leads:
        said += f", and the bends of {join_names(list(move.leads))} beside it as far"
    return Proposal(says=f"{said}.", edits=tuple(edits))


def _write_bends(found: ToMend, room: RoomFacts, name: str, lead: Lead) -> Iterator[Edit]:
    was = next(each for each in room.drawn.leads if each.id == name)
    for old, new in zip(was.route, lead.route, strict=True):
        if old.at != new.at and new.at is not None:
            path = ("rooms", room.id, "leads", name, "route", int(old.path.rsplit(".", 1)[1]))
            value = write_point(*new.at, look_up(found.data, path))
            yield Edit(op="replace", path=path, value=value)


def _name(room: RoomFacts, group: Group) -> str:
    rows = dict.fromkeys(
        f"row {room.elements[i].row}" if room.elements[i].row else room.elements[i].id
        for i in group
    )
    if len(rows) > 1 and len(group) == len(room.elements):
        return "all strips of the room"
    return join_names(list(rows))


def _rows(found: ToMend) -> Mapping[str, Any]:
    """Return the rows of the room as they are written."""
    rows: Mapping[str, Any] = look_up(found.data, ("rooms", found.room or "", "rows")) or {}
    return rows


def _root(rows: Mapping[str, Any], name: str | None) -> str | None:
    """Name the row whose place decides where a row lies: that which it goes on after, if any."""
    while name is not None and "after" in rows.get(name, ()):
        name = rows[name]["after"]
    return name


def _place_of(room: RoomFacts, place: int, rows: Mapping[str, Any]) -> Path:
    element = room.elements[place]
    if element.row is None:
        return ("rooms", room.id, "elements", element.id, "at")
    return ("rooms", room.id, "rows", _root(rows, element.row) or element.row, "at")


def _with_rows(room: RoomFacts, group: Group, rows: Mapping[str, Any]) -> Group:
    """Add to strips all others of their rows, and of the rows that go on after one another."""
    roots = {_root(rows, room.elements[i].row) for i in group} - {None}
    if not roots:
        return group
    return tuple(
        i for i, e in enumerate(room.elements) if i in group or _root(rows, e.row) in roots
    )


def _butted(room: RoomFacts, place: int, off: int | None) -> Group:
    """Return the strips that hang together with one edge to edge, `off` and beyond left out."""
    found, edge = {place}, [place]
    while edge:
        near = room.tree.query(room.strips[edge], predicate="dwithin", distance=1.0)[1]
        edge = sorted(set(near.tolist()) - found - {off})
        found.update(edge)
    return tuple(sorted(found))


def _across(room: RoomFacts, place: int) -> np.ndarray:
    across = room.corners[place][3] - room.corners[place][0]
    unit: np.ndarray = across / np.hypot(*across)
    return unit
