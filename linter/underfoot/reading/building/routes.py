"""The sensor and the leads: routes stop by stop."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from underfoot.plan import Cutout, Lead, Sensor, Stop
from underfoot.reading.building.circuits import read_size_of_conductor
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import (
    Data,
    ProblemLog,
    read_length,
    read_pair,
    read_point,
    read_quantity,
    read_reference,
)
from underfoot.reading.wording import show

# Rows named again and again could make a small file fill the memory.
MOST_STOPS = 300_000
_BOX = "junction-box"


class Stops(NamedTuple):
    """What a room's routes may stop at.

    `connected` is the joined end of each strip of the room, by id, for those that could be built;
    `rows` the strips of each row. `rooms` says in which room of the plan each strip and row lies.
    """

    room: str
    has_box: bool
    connected: Mapping[str, str]
    rows: Mapping[str, tuple[str, ...]]
    rooms: Mapping[str, str]

    @property
    def names(self) -> list[str]:
        """All that a route of the room may name."""
        return [_BOX, *self.connected, *self.rows]


def build_sensor(log: ProblemLog, data: Data, path: str, stops: Stops) -> Sensor | None:
    """The floor sensor."""
    sensor = data.get("sensor")
    if sensor is None:
        return None
    path = f"{path}.sensor"
    at = read_point(log, sensor, path, "at")
    route = _build_route(log, sensor, path, stops)
    channel = _build_section(log, sensor, path, "channel")
    conduit = _build_section(log, sensor, path, "conduit")
    cable = read_length(log, sensor, path, "cable")
    if at is None:
        return None
    return Sensor(
        path=path,
        at=at,
        route=route,
        channel=channel,
        conduit=conduit,
        cable=cable,
        note=sensor.get("note"),
    )


def build_leads(
    log: ProblemLog, data: Data, path: str, stops: Stops, known_circuits: Mapping[str, Any]
) -> tuple[Lead, ...]:
    """The leads of a room, in the file's order."""
    leads = []
    for name, entry in entries_of(data, "leads"):
        place = f"{path}.leads.{name}"
        circuit = read_reference(log, entry, place, "circuit", known_circuits, "circuit")
        size_mm2, size_text = read_size_of_conductor(log, entry, place)
        lead = Lead(
            id=name,
            path=place,
            circuit=circuit or "",
            route=_build_route(log, entry, place, stops),
            size_mm2=size_mm2,
            size_text=size_text,
            recessed=entry.get("recessed"),
            capacity_a=read_quantity(log, entry, place, "capacity", "A"),
            note=entry.get("note"),
            width=read_length(log, entry, place, "width"),
            thickness=read_length(log, entry, place, "thickness"),
        )
        if circuit is not None:
            leads.append(lead)
    return tuple(leads)


def _build_section(log: ProblemLog, data: Data, path: str, key: str) -> Cutout | None:
    section = data.get(key)
    if section is None:
        return None
    path = f"{path}.{key}"
    return Cutout(
        path=path,
        width=read_length(log, section, path, "width"),
        depth=read_length(log, section, path, "depth"),
        cut_into=section.get("cut_into"),
        note=section.get("note"),
    )


def _build_route(log: ProblemLog, data: Data, path: str, stops: Stops) -> tuple[Stop, ...]:
    route: list[Stop] = []
    for number, value in enumerate(data.get("route", ())):
        place = f"{path}.route.{number}"
        if value is None:
            continue
        if isinstance(value, list):
            at = read_pair(log, value, place)
            if at is not None:
                route.append(Stop("bend", place, at))
        elif value == _BOX:
            if not stops.has_box:
                log.report(
                    place, f"`route`: room {show(stops.room)} has no `junction_box` to go to"
                )
            route.append(Stop("box", place))
        else:
            route.extend(_stop_at_strips(log, value, place, stops))
        if len(route) > MOST_STOPS:
            log.report(place, "`route`: the strips of its rows come to more stops than are read")
            break
    return tuple(route)


def _stop_at_strips(log: ProblemLog, value: str, place: str, stops: Stops) -> list[Stop]:
    """The stops that an id stands for: a strip, one end of it, or all strips of a row."""
    name, _, end = value.partition(".")
    if name in stops.connected:
        return [Stop("strip", place, None, name, end or stops.connected[name], named_end=bool(end))]
    if name in stops.rows:
        if end:
            log.report(
                place,
                f"`route`: {show(name)} is a row, and an end is named of one strip: write for "
                f"example {show(f'{name}1.{end}')}",
            )
            return []
        return [
            Stop("strip", place, None, strip, stops.connected[strip]) for strip in stops.rows[name]
        ]
    room = stops.rooms.get(name)
    if room is None:
        log.report_unknown(place, name, stops.names, "strip or row of this room")
    elif room != stops.room:
        log.report(
            place,
            f"`route`: {show(name)} lies in room {show(room)}; a route stops in its own room only",
        )
    return []
