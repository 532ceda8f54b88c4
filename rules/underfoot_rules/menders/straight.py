"""Lays a strip straight that is a little crooked, butted to its neighbour."""

from collections.abc import Iterator

from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Element
from underfoot.api.rules import Edit, Proposal, ToMend, point_text
from underfoot_rules.laying.may_lie import may_lie
from underfoot_rules.menders.cuts import corners_of
from underfoot_rules.menders.layout import lay_out, list_brought, list_faults
from underfoot_rules.menders.written import Path, find_strip, look_up, write_point

# A strip turned by no more than this against its neighbours was meant to lie as they do; it begins
# in line with them where it nearly does (mm).
_CROOKED_DEG, _IN_LINE = 5.0, 150.0


def lay_straight(found: ToMend) -> Iterator[Proposal]:
    """Propose to lay a strip that is a little crooked as its neighbours lie, butted to one."""
    facts, room = found.facts, found.room_facts
    before = list_faults(facts, room)
    for name in found.items:
        place = room.place_of.get(name)
        if place is None or room.elements[place].row is not None:
            continue
        straight = _straighten(facts, room, place)
        if straight is None:
            continue
        if list_brought(before, list_faults(facts, lay_out(room, {name: straight}))):
            continue
        path: Path = ("rooms", room.id, "elements", name)
        told = look_up(found.data, path)
        model = next(each for each in room.elements if _is_like(each, straight))
        along = look_up(found.data, (*find_strip(room.id, model).path, "along"))
        yield Proposal(
            says=f"Lay {name} straight, along {along} from {point_text(*straight.at)}.",
            edits=(
                Edit(op="replace", path=(*path, "at"), value=write_point(*straight.at, told["at"])),
                Edit(op="replace", path=(*path, "along"), value=along),
            ),
        )
        return


def _is_like(element: Element, straight: Element) -> bool:
    return (
        element.id != straight.id
        and element.along == straight.along
        and element.angle_deg == straight.angle_deg
    )


def _straighten(facts: Facts, room: RoomFacts, place: int) -> Element | None:
    """Turn a strip about its middle as its neighbours lie, and butt it where it then may lie."""
    crooked = room.elements[place]
    middle = room.corners[place].mean(axis=0)
    others = [each for i, each in enumerate(room.elements) if i != place]
    models = [each for each in others if 0 < _turned(each, crooked) <= _CROOKED_DEG]
    if not models:
        return None
    model = models[0]
    laid = replace(crooked, at=(0.0, 0.0), along=model.along, angle_deg=model.angle_deg)
    corners = corners_of(laid)
    along = (corners[1] - corners[0]) / laid.length
    across = (corners[3] - corners[0]) / laid.film.width
    best: tuple[float, Element] | None = None
    wall = facts.limits["wall-clearance"]
    for model in models:
        beside = corners_of(model)
        for side in (beside[3], beside[0] - laid.film.width * across):
            at = side
            away = float(abs((at + corners.mean(axis=0) - middle) @ across))
            start = float((middle - corners.mean(axis=0) - at) @ along)
            # In line with the neighbour's start, where it nearly is; else where it lay.
            at = at + (0.0 if abs(start) < _IN_LINE else start) * along
            fits = may_lie(
                room,
                (corners + at)[None],
                max(wall["planned"], wall["minimum"]),
                facts.limits["fixture-clearance"]["minimum"],
                (place,),
            )
            if fits[0] and (best is None or away < best[0] - 1e-6):
                x, y = at.round(3).tolist()
                best = away, replace(laid, at=(x, y))
    return None if best is None or best[0] > laid.film.width / 2 else best[1]


def _turned(model: Element, crooked: Element) -> float:
    """Return by how many degrees two strips lie turned to each other."""

    def angle(element: Element) -> float:
        return 90.0 if element.along == "y" else element.angle_deg

    by = (angle(model) - angle(crooked)) % 180.0
    return min(by, 180.0 - by)
