"""The sensor and the leads: routes stop by stop."""

from collections.abc import Mapping

from msgspec import Struct

from underfoot.plan import Lead, Sensor, Stop
from underfoot.plan_format.wiring import LEAD, SENSOR
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import Data, ProblemLog, read_pair
from underfoot.reading.building.thing_reader import Known, maker_of
from underfoot.reading.wording import show

# Rows named again and again could make a small file fill the memory.
MOST_STOPS = 300_000
_BOX = "junction-box"


class Stops(Struct, frozen=True, kw_only=True):
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
    made: Sensor | None = _make_sensor(
        log, sensor, path, route=_build_route(log, sensor, path, stops)
    )
    return made


def build_leads(
    log: ProblemLog, data: Data, path: str, stops: Stops, known: Known
) -> tuple[Lead, ...]:
    """The leads of a room, in the file's order."""
    leads = []
    for name, entry in entries_of(data, "leads"):
        place = f"{path}.leads.{name}"
        route = _build_route(log, entry, place, stops)
        leads.append(_make_lead(log, entry, place, known, id=name, route=route))
    return tuple(lead for lead in leads if lead is not None)


_make_sensor = maker_of(SENSOR, but=("route",))
_make_lead = maker_of(LEAD, but=("route",))


def _build_route(log: ProblemLog, data: Data, path: str, stops: Stops) -> tuple[Stop, ...]:
    route: list[Stop] = []
    for number, value in enumerate(data.get("route", ())):
        place = f"{path}.route.{number}"
        if value is None:
            continue
        if isinstance(value, list):
            at = read_pair(log, value, place)
            if at is not None:
                route.append(Stop(kind="bend", path=place, at=at))
        elif value == _BOX:
            if not stops.has_box:
                log.report(
                    place, f"`route`: room {show(stops.room)} has no `junction_box` to go to"
                )
            route.append(Stop(kind="box", path=place))
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
        return [
            Stop(
                kind="strip",
                path=place,
                at=None,
                element=name,
                end=end or stops.connected[name],
                named_end=bool(end),
            )
        ]
    if name in stops.rows:
        if end:
            log.report(
                place,
                f"`route`: {show(name)} is a row, and an end is named of one strip: write for "
                f"example {show(f'{name}1.{end}')}",
            )
            return []
        return [
            Stop(kind="strip", path=place, at=None, element=strip, end=stops.connected[strip])
            for strip in stops.rows[name]
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
