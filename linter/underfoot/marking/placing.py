"""Finds the brief's rooms in a plan by their shape: moved, in quarter turns, or mirrored."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.marking.content import Spot, clean_ring, is_same, is_same_line, is_same_ring
from underfoot.marking.turns import AS_DRAWN, TURNS, Turn, turn_place
from underfoot.plan import Fixture, Plan, Room, Thermostat

# No more places of a room than this are compared: a room that people draw has far fewer.
_MOST_PLACES = 120


class Move(Struct, frozen=True, kw_only=True):
    """Turned by quarters or mirrored about the origin, then moved by `by`."""

    turn: Turn = AS_DRAWN
    by: Spot = (0.0, 0.0)

    def place(self, spot: Spot) -> Spot:
        """Say where a place goes."""
        x, y = turn_place(self.turn, spot)
        return x + self.by[0], y + self.by[1]

    def places(self, spots: Iterable[Spot]) -> tuple[Spot, ...]:
        """Say where places go."""
        return tuple(self.place(spot) for spot in spots)

    def bring(self, thing: Any) -> Any:
        """Bring a thing of the brief to where it is in the plan."""
        if isinstance(thing, Mapping):
            return {name: self.bring(one) for name, one in thing.items()}
        if isinstance(thing, tuple):
            return tuple(self.bring(one) for one in thing)
        if not isinstance(thing, Struct):
            return thing
        changed: dict[str, Any] = {}
        for field in thing.__struct_fields__:
            value = getattr(thing, field)
            if field in ("outline", "line", "over") and value is not None:
                changed[field] = self.places(value)
            elif field in ("at", "outlet") and value is not None:
                changed[field] = self.place(value)
            elif field in ("layers", "runs", "pieces"):
                changed[field] = self.bring(value)
        if "along" in thing.__struct_fields__:
            changed |= self._lie(thing)
        return replace(thing, **changed) if changed else thing

    def _lie(self, laid: Any) -> dict[str, Any]:
        """Say how courses, a board or a sheet lie then: their direction, and of which corner."""
        a, b, c, d = self.turn
        other = {"x": "y", "y": "x"}
        if not hasattr(laid, "at"):
            return {"along": laid.along if a else other[laid.along]}
        if laid.along == "angle":
            angle = math.radians(laid.angle_deg)
            cosine, sine = math.cos(angle), math.sin(angle)
            at = laid.at
            if a * d - b * c < 0:  # mirrored: another corner is the one that it is turned about
                at = (at[0] - sine * laid.width, at[1] + cosine * laid.width)
            u, v = a * cosine + b * sine, c * cosine + d * sine
            return {"at": self.place(at), "angle_deg": math.degrees(math.atan2(v, u)) % 360}
        wide, deep = laid.length, laid.width
        if laid.along == "y":
            wide, deep = deep, wide
        x, y = laid.at
        ends = self.places(((x, y), (x + wide, y + deep)))
        return {
            "along": laid.along if a else other[laid.along],
            "at": (min(ends[0][0], ends[1][0]), min(ends[0][1], ends[1][1])),
        }


class Paired(Struct, frozen=True, kw_only=True):
    """A room of the plan that is one of the brief's, and how the brief's lies in it.

    `fits` tells whether the outline is the brief's.
    """

    name: str
    model: str
    move: Move
    fits: bool


def hang(thermostat: Thermostat, move: Move, others: Mapping[str, Paired]) -> Thermostat:
    """Bring a thermostat of the brief to where it hangs in the plan, in this room or another.

    `others` are the plan's rooms by the brief's names.
    """
    if thermostat.room is None:
        return move.bring(thermostat)  # type: ignore[no-any-return]
    other = others.get(thermostat.room)
    if other is None:
        return thermostat
    at = None if thermostat.at is None else other.move.place(thermostat.at)
    return replace(thermostat, room=other.name, at=at)


def pair_rooms(plan: Plan, brief: Plan) -> tuple[Paired, ...]:
    """Pair rooms by their shape and what stands in them, then by name, then the last of each."""
    fitting = [
        (agreed, name == model, Paired(name=name, model=model, move=move, fits=True))
        for model, wanted in brief.rooms.items()
        for name, room in plan.rooms.items()
        if _may_fit(wanted, room)
        for agreed, move, fits in (find_move(wanted, room),)
        if fits
    ]
    # Of rooms that are as like the brief's, the one of its name is meant.
    fitting.sort(key=lambda one: (-one[0], not one[1]))
    pairs: list[Paired] = []
    for _, _, pair in fitting:
        _take(pair, pairs)
    for model in brief.rooms:
        if model in plan.rooms:
            _take(_by_force(model, model, plan, brief), pairs)
    left = [name for name in plan.rooms if name not in {pair.name for pair in pairs}]
    missing = [name for name in brief.rooms if name not in {pair.model for pair in pairs}]
    if len(left) == len(missing) == 1 and len(plan.rooms) == len(brief.rooms):
        _take(_by_force(left[0], missing[0], plan, brief), pairs)
    order = list(plan.rooms)
    return tuple(sorted(pairs, key=lambda pair: order.index(pair.name)))


def _take(pair: Paired, pairs: list[Paired]) -> None:
    if all(pair.name != one.name and pair.model != one.model for one in pairs):
        pairs.append(pair)


def _by_force(name: str, model: str, plan: Plan, brief: Plan) -> Paired:
    _, move, fits = find_move(brief.rooms[model], plan.rooms[name])
    return Paired(name=name, model=model, move=move, fits=fits)


def _may_fit(model: Room, room: Room) -> bool:
    ours, theirs = clean_ring(model.outline), clean_ring(room.outline)
    if len(ours) != len(theirs):
        return False
    return abs(_area(ours) - _area(theirs)) <= 0.01 * _area(ours)


def _area(ring: list[Spot]) -> float:
    turned = zip(ring, ring[1:] + ring[:1], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in turned)) / 2


def find_move(model: Room, room: Room) -> tuple[int, Move, bool]:
    """Find the move that brings most of the brief's room onto the plan's.

    Gives how much agrees then, the move, and whether the outlines are one.
    """
    ours, theirs = list(_list_places(model)), list(_list_places(room))
    best = (-1, Move(), False)
    for turn in TURNS.values():
        votes: Counter[tuple[int, int]] = Counter({(0, 0): 0})
        exact: dict[tuple[int, int], Spot] = {(0, 0): (0.0, 0.0)}
        turned = Move(turn=turn)
        for kind, spot in ours:
            x, y = turned.place(spot)
            for other_kind, (u, v) in theirs:
                if kind == other_kind:
                    by = (round((u - x) / 2), round((v - y) / 2))
                    votes[by] += 1
                    exact.setdefault(by, (u - x, v - y))
        for by, _ in sorted(votes.items(), key=lambda one: (-one[1], one[0] != (0, 0), one[0]))[:3]:
            move = Move(turn=turn, by=exact[by])
            fits = is_same_ring(move.places(model.outline), room.outline)
            agreed = _count_agreed(model, room, move)
            if (fits, agreed) > (best[2], best[0]):
                best = (agreed, move, fits)
    return best


def _list_places(room: Room) -> Iterator[tuple[str, Spot]]:
    places: list[tuple[str, Spot]] = [("wall", spot) for spot in clean_ring(room.outline)]
    for fixture in room.fixtures.values():
        places += [(f"fixture {fixture.kind}", spot) for spot in fixture.outline]
    for joint in room.joints.values():
        places += [("joint", spot) for spot in joint.line]
    yield from places[:_MOST_PLACES]


def _count_agreed(model: Room, room: Room, move: Move) -> int:
    """Count the corners, fixtures and joints of the brief that the plan has where they belong."""
    corners = clean_ring(room.outline)
    agreed = sum(
        any(abs(x - u) <= 1.5 and abs(y - v) <= 1.5 for u, v in corners)
        for x, y in move.places(clean_ring(model.outline))
    )
    for fixture in move.bring(model.fixtures).values():
        agreed += 2 * any(is_same_fixture(fixture, other) for other in room.fixtures.values())
    for joint in move.bring(model.joints).values():
        agreed += any(is_same_line(joint.line, other.line) for other in room.joints.values())
    return agreed


def is_same_fixture(one: Fixture, other: Fixture) -> bool:
    """Tell whether two fixtures are one: of a kind, in one place, with the same figures."""
    if not is_same_ring(one.outline, other.outline):
        return False
    if (one.outlet is None) != (other.outlet is None):
        return False
    if one.outlet and other.outlet and not is_same_line([one.outlet], [other.outlet]):
        return False
    bare: dict[str, Any] = {"outline": (), "outlet": None}
    return is_same(replace(one, **bare), replace(other, **bare))
