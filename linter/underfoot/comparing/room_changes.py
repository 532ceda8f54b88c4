"""What became of the things drawn in a room, each by its id."""

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any, TypeVar

import numpy as np

from underfoot.checking.facts import RoomFacts
from underfoot.checking.numbers import format_quantity
from underfoot.comparing.change import (
    ADDED,
    SAME,
    TAKEN_AWAY,
    Became,
    Change,
    ThingChange,
    come_and_gone,
    compare_areas,
    compare_places,
    compare_spots,
    is_same,
    make_changes,
    say_move,
    tell,
)
from underfoot.comparing.differing import list_differences, say_differences
from underfoot.comparing.lining_changes import list_lining_changes
from underfoot.plan import Element, Fixture, JunctionBox, Sensor, Thermostat

Thing = TypeVar("Thing")

_DRAWN = ("at", "along", "angle_deg", "length", "row", "outline", "line", "route")
_ROOM_DRAWN = (
    "outline", "fixtures", "joints", "openings", "elements", "rows", "leads", "sensor",
    "junction_box", "thermostat",
)  # fmt: skip


def list_room_changes(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    """Yield what changed in a room that both revisions have."""
    return make_changes(new.id, _told(old, new))


def _told(old: RoomFacts, new: RoomFacts) -> Iterator[ThingChange]:
    was, now = old.drawn, new.drawn
    yield from tell("outline", "", compare_areas(was.outline, now.outline))
    yield from _fixtures(was.fixtures, now.fixtures)
    yield from _lines("joint", was.joints, now.joints)
    yield from _lines("opening", was.openings, now.openings)
    yield from _strips(old, new)
    yield from _leads(old, new)
    yield from _one("sensor", was.sensor, now.sensor, partial(_sensor, old, new))
    yield from _one("junction box", was.junction_box, now.junction_box, _box)
    yield from _one("thermostat", was.thermostat, now.thermostat, partial(_thermostat, old, new))
    yield from list_lining_changes(old, new)
    for name, then, is_now in list_differences(was, now, but=_ROOM_DRAWN):
        if not _is_drawn(name):
            yield "room", "", ("changed", f"{name}: {is_now}, was {then}", None)


def _is_drawn(name: str) -> bool:
    # How boards and sheets are laid is told for itself.
    words = name.split()
    return words[:1] in (["insulation"], ["membrane"]) and any(
        word in ("layers", "runs", "pieces") for word in words[1:]
    )


def _values(old: Any, new: Any) -> Iterator[Became]:
    return say_differences(old, new, but=_DRAWN)


def _fixtures(before: Mapping[str, Fixture], after: Mapping[str, Fixture]) -> Iterator[ThingChange]:
    yield from come_and_gone("fixture", before, after)
    for item, fixture in after.items():
        if item in before:
            was = before[item]
            yield from tell("fixture", item, compare_areas(was.outline, fixture.outline))
            yield from tell("fixture", item, _values(was, fixture))


def _lines(kind: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[ThingChange]:
    yield from come_and_gone(kind, before, after)
    for item, thing in after.items():
        if item in before:
            yield from tell(kind, item, _way(before[item].line, thing.line))
            yield from tell(kind, item, _values(before[item], thing))


def _way(old: Any, new: Any) -> list[Became]:
    if old and new:
        return compare_places(old, new)
    if bool(old) == bool(new):
        return []
    return [("redrawn", "its way is drawn now" if new else "its way is not drawn any more", None)]


def _strips(old: RoomFacts, new: RoomFacts) -> Iterator[ThingChange]:
    before = {element.id: element for element in old.elements}
    after = {element.id: element for element in new.elements}
    renamed = _renamed(old, new)
    for kind, item, (what, _, _) in come_and_gone("strip", before, after):
        if what == "taken away" and item not in renamed.values():
            length = format_quantity(before[item].length, "mm")
            yield kind, item, (what, f"taken away, it was {length} long", None)
        elif what == "added" and item in renamed:
            yield kind, item, ("renamed", f"was {renamed[item]}, at the same place", None)
        elif what == "added":
            length = format_quantity(after[item].length, "mm")
            yield kind, item, (what, f"added, {length} long", None)
    for item, element in after.items():
        was = before.get(item) or before.get(renamed.get(item, ""))
        if was is None:
            continue
        if item in before:
            yield from tell("strip", item, _laid(old, new, was, element))
        yield from tell("strip", item, _values(was, element))


def _renamed(old: RoomFacts, new: RoomFacts) -> dict[str, str]:
    """Strips with a new id exactly where one that is gone used to lie: new id -> old id."""
    gone = [element.id for element in old.elements if element.id not in new.place_of]
    come = [element.id for element in new.elements if element.id not in old.place_of]
    where = {
        tuple(np.round(old.corners[old.place_of[item]], 2).ravel().tolist()): item for item in gone
    }
    found = {}
    for item in come:
        key = tuple(np.round(new.corners[new.place_of[item]], 2).ravel().tolist())
        if key in where:
            found[item] = where.pop(key)
    return found


def _laid(old: RoomFacts, new: RoomFacts, was: Element, now: Element) -> Iterator[Became]:
    """How a strip moved, and how much longer it is: the end that moved less tells the move."""
    ends_then = old.connections[old.place_of[was.id]].tolist()
    ends_now = new.connections[new.place_of[now.id]].tolist()
    by = abs(now.length - was.length)
    lengths = f"{format_quantity(now.length, 'mm')}, was {format_quantity(was.length, 'mm')}"
    if was.along != now.along or abs(was.angle_deg - now.angle_deg) > 1e-6:
        text, far = say_move(_middle(ends_then), _middle(ends_now))
        yield "redrawn", f"turned and {text}" if far > SAME else "turned", far
        if by > SAME:
            yield "changed", f"length: {lengths}", by
        return
    kept = min((0, 1), key=lambda end: np.hypot(*(np.subtract(ends_now[end], ends_then[end]))))
    yield from compare_spots(ends_then[kept], ends_now[kept])
    if by > SAME:
        longer = now.length > was.length
        end = "at its end" if kept == 0 else "at its start"
        text = f"{format_quantity(by, 'mm')} {'longer' if longer else 'shorter'} {end}: {lengths}"
        yield "grown" if longer else "shortened", text, by


def _middle(ends: list[list[float]]) -> tuple[float, float]:
    return ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)


def _leads(old: RoomFacts, new: RoomFacts) -> Iterator[ThingChange]:
    before = {laid.lead.id: laid for laid in old.leads}
    after = {laid.lead.id: laid for laid in new.leads}
    yield from come_and_gone("lead", before, after)
    for item, laid in after.items():
        if item not in before:
            continue
        was = before[item]
        yield from tell("lead", item, _way(was.places, laid.places))
        then, now = _stops(was), _stops(laid)
        if then != now:
            text = f"feeds {', '.join(now) or 'no strip'}, was {', '.join(then) or 'none'}"
            yield "lead", item, ("changed", text, None)
        yield from tell("lead", item, _values(was.lead, laid.lead))


def _stops(laid: Any) -> list[str]:
    return [
        f"{stop.element}.{stop.end}" if stop.named_end else stop.element
        for stop in laid.lead.route
        if stop.kind == "strip"
    ]


def _one(
    kind: str, was: Thing | None, now: Thing | None, moved: Callable[[Thing, Thing], list[Became]]
) -> Iterator[ThingChange]:
    """Describe a thing of which a room has one: where it is now, then its values."""
    if was is not None and now is not None:
        yield from tell(kind, "", (*moved(was, now), *_values(was, now)))
    elif was is not None or now is not None:
        yield kind, "", ADDED if was is None else TAKEN_AWAY


def _sensor(old: RoomFacts, new: RoomFacts, was: Sensor, now: Sensor) -> list[Became]:
    if not is_same(was.at, now.at):
        return compare_spots(was.at, now.at)
    found = compare_places(old.sensor_way, new.sensor_way)
    return [(what, f"its way: {text}", by) for what, text, by in found]


def _box(was: JunctionBox, now: JunctionBox) -> list[Became]:
    return compare_spots(was.at, now.at)


def _thermostat(old: RoomFacts, new: RoomFacts, was: Thermostat, now: Thermostat) -> list[Became]:
    then, here = was.at or old.box, now.at or new.box
    return compare_spots(then, here) if was.room == now.room and then and here else []
