"""What became of the things drawn in a room, each by its id."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from underfoot.checking.facts import RoomFacts
from underfoot.checking.numbers import format_quantity
from underfoot.comparing.change import (
    SAME,
    Change,
    compare_areas,
    compare_places,
    is_same,
    say_move,
)
from underfoot.comparing.differing import list_differences
from underfoot.comparing.lining_changes import list_lining_changes
from underfoot.plan import Element

_DRAWN = ("at", "along", "angle_deg", "length", "row", "outline", "line", "route")
_ROOM_DRAWN = (
    "outline", "fixtures", "joints", "openings", "elements", "rows", "leads", "sensor",
    "junction_box", "thermostat",
)  # fmt: skip


def list_room_changes(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    """Yield what changed in a room that both revisions have."""
    room = new.id
    for what, text, by in compare_areas(old.drawn.outline, new.drawn.outline):
        yield Change(room=room, kind="outline", item="", what=what, text=text, by=by)
    yield from _fixtures(old, new)
    yield from _lines(new.id, "joint", old.drawn.joints, new.drawn.joints)
    yield from _lines(new.id, "opening", old.drawn.openings, new.drawn.openings)
    yield from _strips(old, new)
    yield from _leads(old, new)
    yield from _sensor(old, new)
    yield from _box(old, new)
    yield from _thermostat(old, new)
    yield from list_lining_changes(old, new)
    for name, was, is_now in list_differences(old.drawn, new.drawn, but=_ROOM_DRAWN):
        if not _is_drawn(name):
            yield _changed(room, "room", "", name, was, is_now)


def _is_drawn(name: str) -> bool:
    # How boards and sheets are laid is told for itself.
    words = name.split()
    return words[:1] in (["insulation"], ["membrane"]) and any(
        word in ("layers", "runs", "pieces") for word in words[1:]
    )


def _changed(room: str | None, kind: str, item: str, name: str, was: str, now: str) -> Change:
    return Change(room=room, kind=kind, item=item, what="changed", text=f"{name}: {now}, was {was}")


def _values(room: str, kind: str, item: str, old: Any, new: Any, *but: str) -> Iterator[Change]:
    for name, was, is_now in list_differences(old, new, but=(*_DRAWN, *but)):
        yield _changed(room, kind, item, name, was, is_now)


def _come_and_gone(
    room: str, kind: str, old: Mapping[str, Any], new: Mapping[str, Any]
) -> Iterator[Change]:
    for item in old:
        if item not in new:
            yield Change(room=room, kind=kind, item=item, what="taken away", text="taken away")
    for item in new:
        if item not in old:
            yield Change(room=room, kind=kind, item=item, what="added", text="added")


def _fixtures(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    before, after = old.drawn.fixtures, new.drawn.fixtures
    yield from _come_and_gone(new.id, "fixture", before, after)
    for item, fixture in after.items():
        if item in before:
            for what, text, by in compare_areas(before[item].outline, fixture.outline):
                yield Change(room=new.id, kind="fixture", item=item, what=what, text=text, by=by)
            yield from _values(new.id, "fixture", item, before[item], fixture)


def _lines(
    room: str, kind: str, before: Mapping[str, Any], after: Mapping[str, Any]
) -> Iterator[Change]:
    yield from _come_and_gone(room, kind, before, after)
    for item, thing in after.items():
        if item in before:
            yield from _way(room, kind, item, before[item].line, thing.line)
            yield from _values(room, kind, item, before[item], thing)


def _way(room: str, kind: str, item: str, old: Any, new: Any) -> Iterator[Change]:
    if not old or not new:
        if bool(old) != bool(new):
            text = "its way is drawn now" if new else "its way is not drawn any more"
            yield Change(room=room, kind=kind, item=item, what="redrawn", text=text)
        return
    found = compare_places(old, new)
    if found is not None:
        what, text, by = found
        yield Change(room=room, kind=kind, item=item, what=what, text=text, by=by)


def _strips(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    before = {element.id: element for element in old.elements}
    after = {element.id: element for element in new.elements}
    renamed = _renamed(old, new)
    for change in _come_and_gone(new.id, "strip", before, after):
        if change.what == "taken away" and change.item in renamed.values():
            continue
        if change.what == "added" and change.item in renamed:
            text = f"was {renamed[change.item]}, at the same place"
            yield Change(room=new.id, kind="strip", item=change.item, what="renamed", text=text)
        elif change.what == "added":
            length = format_quantity(after[change.item].length, "mm")
            yield Change(
                room=new.id,
                kind="strip",
                item=change.item,
                what="added",
                text=f"added, {length} long",
            )
        else:
            length = format_quantity(before[change.item].length, "mm")
            yield Change(
                room=new.id,
                kind="strip",
                item=change.item,
                what="taken away",
                text=f"taken away, it was {length} long",
            )
    for item, element in after.items():
        was = before.get(item) or before.get(renamed.get(item, ""))
        if was is None:
            continue
        if item in before:
            yield from _laid(old, new, was, element)
        yield from _values(new.id, "strip", item, was, element)


def _renamed(old: RoomFacts, new: RoomFacts) -> dict[str, str]:
    """Strips under a new id that lie exactly where one now gone lay: new id -> old id."""
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


def _laid(old: RoomFacts, new: RoomFacts, was: Element, now: Element) -> Iterator[Change]:
    """How a strip moved, and how much longer it is: the end that moved less tells the move."""
    ends_then = old.connections[old.place_of[was.id]].tolist()
    ends_now = new.connections[new.place_of[now.id]].tolist()
    if was.along != now.along or abs(was.angle_deg - now.angle_deg) > 1e-6:
        text, by = say_move(_middle(ends_then), _middle(ends_now))
        moved = f" and {text}" if by > SAME else ""
        yield Change(
            room=new.id, kind="strip", item=now.id, what="redrawn", text=f"turned{moved}", by=by
        )
    else:
        kept = min(
            (0, 1),
            key=lambda end: np.hypot(*(np.subtract(ends_now[end], ends_then[end]))),
        )
        if not is_same(ends_then[kept], ends_now[kept]):
            text, by = say_move(ends_then[kept], ends_now[kept])
            yield Change(room=new.id, kind="strip", item=now.id, what="moved", text=text, by=by)
        if abs(now.length - was.length) > SAME:
            by = abs(now.length - was.length)
            longer = now.length > was.length
            end = "at its end" if kept == 0 else "at its start"
            yield Change(
                room=new.id,
                kind="strip",
                item=now.id,
                what="grown" if longer else "shortened",
                text=f"{format_quantity(by, 'mm')} {'longer' if longer else 'shorter'} {end}: "
                f"{format_quantity(now.length, 'mm')}, was {format_quantity(was.length, 'mm')}",
                by=by,
            )
            return
    if abs(now.length - was.length) > SAME:
        text = (
            f"length: {format_quantity(now.length, 'mm')}, was {format_quantity(was.length, 'mm')}"
        )
        yield Change(
            room=new.id,
            kind="strip",
            item=now.id,
            what="changed",
            text=text,
            by=abs(now.length - was.length),
        )


def _middle(ends: list[list[float]]) -> tuple[float, float]:
    return ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)


def _leads(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    before = {laid.lead.id: laid for laid in old.leads}
    after = {laid.lead.id: laid for laid in new.leads}
    yield from _come_and_gone(new.id, "lead", before, after)
    for item, laid in after.items():
        if item not in before:
            continue
        was = before[item]
        stops = (_stops(was), _stops(laid))
        yield from _way(new.id, "lead", item, was.places, laid.places)
        if stops[0] != stops[1]:
            text = f"feeds {', '.join(stops[1]) or 'no strip'}, was {', '.join(stops[0]) or 'none'}"
            yield Change(room=new.id, kind="lead", item=item, what="changed", text=text)
        yield from _values(new.id, "lead", item, was.lead, laid.lead)


def _stops(laid: Any) -> list[str]:
    return [
        f"{stop.element}.{stop.end}" if stop.named_end else stop.element
        for stop in laid.lead.route
        if stop.kind == "strip"
    ]


def _sensor(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    was, now = old.drawn.sensor, new.drawn.sensor
    if was is None or now is None:
        yield from _one(new.id, "sensor", was, now)
        return
    if not is_same(was.at, now.at):
        text, by = say_move(was.at, now.at)
        yield Change(room=new.id, kind="sensor", item="", what="moved", text=text, by=by)
    elif (found := compare_places(old.sensor_way, new.sensor_way)) is not None:
        what, text, by = found
        yield Change(room=new.id, kind="sensor", item="", what=what, text=f"its way: {text}", by=by)
    yield from _values(new.id, "sensor", "", was, now)


def _box(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    was, now = old.drawn.junction_box, new.drawn.junction_box
    if was is None or now is None:
        yield from _one(new.id, "junction box", was, now)
        return
    if not is_same(was.at, now.at):
        text, by = say_move(was.at, now.at)
        yield Change(room=new.id, kind="junction box", item="", what="moved", text=text, by=by)
    yield from _values(new.id, "junction box", "", was, now)


def _thermostat(old: RoomFacts, new: RoomFacts) -> Iterator[Change]:
    was, now = old.drawn.thermostat, new.drawn.thermostat
    if was is None or now is None:
        yield from _one(new.id, "thermostat", was, now)
        return
    places = (was.at or old.box, now.at or new.box)
    if was.room == now.room and places[0] and places[1] and not is_same(places[0], places[1]):
        text, by = say_move(places[0], places[1])
        yield Change(room=new.id, kind="thermostat", item="", what="moved", text=text, by=by)
    yield from _values(new.id, "thermostat", "", was, now)


def _one(room: str, kind: str, was: Any, now: Any) -> Iterator[Change]:
    if was is not None:
        yield Change(room=room, kind=kind, item="", what="taken away", text="taken away")
    elif now is not None:
        yield Change(room=room, kind=kind, item="", what="added", text="added")
