"""Writes strips as rows again, where a damage had to take its rows apart."""

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from underfoot.checking.mutation import Data
from underfoot.plan import Element, Plan
from underfoot.reading import read_plan

_KEPT = ("film", "along", "circuit")


def close_rows(before: Data, damaged: Data) -> Data | None:
    """Write the strips of `before`'s rows as rows; None where one fits no row any more.

    A row keeps the keys that it had: with one length for all, its strips stay of one length.
    """
    open_rooms = [
        name
        for name, room in before["rooms"].items()
        if room.get("rows") and not damaged["rooms"].get(name, {}).get("rows")
    ]
    if not open_rooms:
        return damaged
    closed: Data = json.loads(json.dumps(damaged))
    for name in open_rooms:
        told = closed["rooms"].get(name)
        if told is None or not _close(before["rooms"][name], told):
            return None
    there, here = _read(damaged), _read(closed)
    if there is None or here is None or _strips(there) != _strips(here):
        return None
    return closed


def _close(before: Data, room: Data) -> bool:
    strips: Data = room.get("elements") or {}
    rows: Data = {}
    stops: dict[str, list[str]] = {}
    for name, row in before["rows"].items():
        own = {
            int(told[len(name) :]): told
            for told in strips
            if re.fullmatch(re.escape(name) + r"[1-9]\d*", told)
            and told not in (before.get("elements") or {})
        }
        closed = _as_row(row, {number: strips[each] for number, each in own.items()})
        if closed is None:
            return False
        rows[name] = closed
        stops[name] = [own[number] for number in sorted(own)]
        for each in own.values():
            del strips[each]
    if not strips:
        room.pop("elements", None)
    # Where the rows stood they stand again.
    items = [(key, value) for key, value in room.items() if key != "rows"]
    room.clear()
    keys = list(before)
    at = keys.index("rows")
    room.update((key, value) for key, value in items if key in keys[:at] or key not in keys)
    room["rows"] = rows
    room.update((key, value) for key, value in items if key not in room)
    for thing in (*(room.get("leads") or {}).values(), room.get("sensor") or {}):
        if "route" in thing:
            thing["route"] = list(_close_route(thing["route"], stops))
    return True


def _as_row(row: Data, strips: Mapping[int, Data]) -> Data | None:
    if not strips:
        return None
    first = strips[min(strips)]
    closed = dict(row)
    for key in _KEPT:
        # What a strip's own place in the row says of it stands there as it did.
        told = [
            strip.get(key)
            for number, strip in strips.items()
            if not _says_itself(_place(row, number - 1), key, strip)
        ]
        if any(one != told[0] for one in told) or (key in row and None in told):
            return None
        if key in row and told:
            closed[key] = told[0]
    if "at" in row and min(strips) == 1 and not isinstance(_place(row, 0), dict):
        closed["at"] = first["at"]
    number = max(strips)
    lengths = [strips[each]["length"] if each in strips else None for each in range(1, number + 1)]
    if "lengths" in row:
        closed["lengths"] = [
            {**place, "length": length} if isinstance(place, dict) and length else length
            for place, length in zip(
                (_place(row, at) for at in range(number)), lengths, strict=True
            )
        ]
    elif len({json.dumps(length) for length in lengths}) == 1:
        closed["length"], closed["count"] = lengths[0], number
    else:
        return None
    return closed


def _place(row: Data, at: int) -> Any:
    lengths = row.get("lengths") or ()
    return lengths[at] if at < len(lengths) else None


def _says_itself(place: Any, key: str, strip: Data) -> bool:
    return isinstance(place, dict) and key in place and place[key] == strip.get(key)


def _close_route(route: list[Any], stops: Mapping[str, list[str]]) -> Iterator[Any]:
    at = 0
    while at < len(route):
        for name, strips in stops.items():
            if route[at : at + len(strips)] == strips:
                yield name
                at += len(strips)
                break
        else:
            yield route[at]
            at += 1


def _read(data: Data) -> Plan | None:
    return read_plan(json.dumps(data).encode(), path="exercise.yaml").plan


def _strips(plan: Plan) -> dict[str, dict[str, tuple[Any, ...]]]:
    return {
        name: {strip.id: _shape(strip) for strip in room.elements}
        for name, room in plan.rooms.items()
    }


def _shape(strip: Element) -> tuple[Any, ...]:
    x, y = strip.at
    return (
        strip.film.id,
        (round(x, 6), round(y, 6)),
        strip.along,
        round(strip.length, 6),
        strip.angle_deg,
        strip.circuit,
        strip.connected,
    )
