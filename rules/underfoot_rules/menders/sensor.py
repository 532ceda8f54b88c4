"""Moves the floor sensor to where it reads well, and leads its conduit clear of all else."""

import math
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import (
    AT_THE_BOX,
    Facts,
    RoomFacts,
    find_conduit_outside,
    find_conduit_way,
    obstacles,
)
from underfoot.api.plan import Sensor, Stop
from underfoot.api.rules import (
    Edit,
    Mender,
    Proposal,
    ToMend,
    above,
    format_quantity,
    join_names,
    point_text,
)
from underfoot_rules.menders.laid import is_laid
from underfoot_rules.menders.layout import MOST_STRIPS
from underfoot_rules.menders.ways import End, find_bends, make_ground
from underfoot_rules.menders.written import (
    Path,
    change,
    change_list,
    look_up,
    write_length,
    write_point,
)
from underfoot_rules.openings.doorways import list_screwed
from underfoot_rules.sensor.sensor_advice import half_of_conduit, place_sensor
from underfoot_rules.sensor.sensor_near_lead import ALONGSIDE, find_near_leads
from underfoot_rules.sensor.sensor_way import list_heat_sources

# Sensors are sold with cables of whole metres, or halves (mm).
_CABLES = 500.0


class _Lies(Struct, frozen=True, kw_only=True):
    """A sensor as it might lie, and the room with it."""

    sensor: Sensor
    room: RoomFacts


def move_sensor(found: ToMend) -> Iterator[Proposal]:
    """Propose the nearest place that meets every rule, with the conduit's way there."""
    room = found.room_facts
    sensor = room.drawn.sensor
    if sensor is None or not _may_change(found, room):
        return
    own = _list_own(found.facts, room) if found.rule == "sensor-other-strip" else None
    if own == []:
        return
    place = place_sensor(found.facts, room, own)
    if place is None:
        return
    moved = replace(sensor, at=(round(place.x, 1), round(place.y, 1)))
    for lies in list(_list_ways(found.facts, room, moved))[:1]:
        yield _propose(found, room, lies)


def lead_clear(found: ToMend) -> Iterator[Proposal]:
    """Propose another way for the conduit, to where the sensor lies."""
    room = found.room_facts
    sensor = room.drawn.sensor
    if sensor is None or not _may_change(found, room):
        return
    if found.rule == "threshold-fixing" and found.items[0] != "sensor":
        return
    for lies in list(_list_ways(found.facts, room, sensor))[:1]:
        yield _propose(found, room, lies)


def take_longer_cable(found: ToMend) -> Iterator[Proposal]:
    """Propose a sensor whose cable is long enough."""
    room = found.room_facts
    sensor = room.drawn.sensor
    if sensor is None or found.finding.measured is None or not _may_change(found, room):
        return
    needed = math.ceil(found.finding.measured * 1000 / _CABLES - 1e-6) * _CABLES
    path = _path(room, "cable")
    yield Proposal(
        says=f"Take a sensor with {format_quantity(needed / 1000, 'm')} of cable.",
        edits=(change(found.data, path, _write_cable(needed, look_up(found.data, path))),),
    )


def read_by_one(found: ToMend) -> Iterator[Proposal]:
    """Propose that no other room's thermostat reads the sensor besides its own room's."""
    readers = found.facts.readers.get(found.room or "", ())
    if len(readers) < 2 or found.room not in readers or is_laid(found.facts, found.room):
        return
    edits = []
    for reader in readers:
        path: Path = ("rooms", reader, "thermostat", "reads")
        read = look_up(found.data, path)
        if reader == found.room:
            continue
        if not isinstance(read, list) or found.room not in read or len(read) < 2:
            return
        edits.append(Edit(op="remove", path=(*path, read.index(found.room))))
    others = join_names([reader for reader in readers if reader != found.room])
    yield Proposal(
        says=f"Let the thermostat of {others} no longer read the sensor of {found.room}, which has "
        "a thermostat of its own.",
        edits=tuple(edits),
    )


def draw_sensor(found: ToMend) -> Iterator[Proposal]:
    """Propose a sensor where it reads well, with conduit and cable as in the plan's other rooms."""
    room = found.room_facts
    place = place_sensor(found.facts, room) if _may_change(found, room) else None
    if place is None or room.box is None:
        return
    limits = found.facts.limits["sensor-channel"]
    told: dict[str, Any] = {
        "at": write_point(place.x, place.y),
        "route": ["junction-box"],
        "channel": {
            "width": write_length(limits["width"]),
            "depth": write_length(limits["depth"]),
            "cut_into": "insulation",
        },
        "conduit": {
            "width": write_length(limits["width"] - 1.0),
            "depth": write_length(limits["depth"]),
        },
    }
    for other in found.data["rooms"].values():
        like = other.get("sensor")
        if isinstance(like, Mapping) and {"channel", "conduit"} <= like.keys():
            told |= {"channel": dict(like["channel"]), "conduit": dict(like["conduit"])}
            break
    drawn = Sensor(
        path=f"{room.path}.sensor",
        at=(float(place.x), float(place.y)),
        route=(Stop(kind="box", path=""),),
    )
    for lies in list(_list_ways(found.facts, room, drawn))[:1]:
        told["route"] = _write_route([], lies.sensor)
        needed = _measure_needed(found.facts, lies.room)
        told["cable"] = _write_cable(math.ceil((needed + 300.0) / 1000.0) * 1000.0, None)
        yield Proposal(
            says=f"Draw a floor sensor at {point_text(place.x, place.y)}, below a strip, with "
            f"{told['cable']} of cable.",
            edits=(Edit(op="add", path=("rooms", room.id, "sensor"), value=told),),
        )


def _list_ways(facts: Facts, room: RoomFacts, sensor: Sensor) -> Iterator[_Lies]:
    """List the ways to a sensor that are clear of everything: its own, straight, then squarely."""
    box = (Stop(kind="box", path=""),)
    routes = [sensor.route] if len(sensor.route) else []
    if room.box is not None:
        routes.append(box)
    for route in dict.fromkeys(routes):
        lies = _lay(room, replace(sensor, route=route))
        if _is_clear(facts, lies.room):
            yield lies
    if room.box is None:
        return
    lies = _lay(room, sensor)
    half = half_of_conduit(facts, lies.room)
    ground = make_ground(room, half, list(_list_barred(facts, room, half)), [], [])
    bends = find_bends(ground, End(at=room.box), End(at=sensor.at))
    if bends is not None:
        stops = tuple(Stop(kind="bend", path="", at=bend) for bend in bends)
        lies = _lay(room, replace(sensor, route=(*box, *stops)))
        if _is_clear(facts, lies.room):
            yield lies


def _list_barred(facts: Facts, room: RoomFacts, half: float) -> Iterator[Any]:
    clear = facts.limits["sensor-way"]["clear"]
    for fixture, polygon in (*obstacles(room), *list_heat_sources(room)):
        away = half + (clear if fixture.kind == "fixings" else 0.0) + 1.0
        yield shapely.buffer(polygon, away, join_style="mitre")
    for _, floor in list_screwed(room):
        away = half + facts.limits["threshold-fixing"]["apart"] + 1.0
        yield shapely.buffer(floor, away, join_style="mitre")
    for laid in room.leads:
        if laid.line is not None:
            beside = shapely.buffer(laid.line, facts.limits["sensor-near-lead"]["apart"] + 1.0)
            if room.box is not None:
                near = shapely.Point(room.box).buffer(AT_THE_BOX)
                beside = shapely.difference(beside, near)
            yield beside


def _is_clear(facts: Facts, room: RoomFacts) -> bool:
    """Tell whether a conduit keeps in the room, clear of leads and of what pierces or burns it."""
    if len(room.sensor_way) < 2:
        return True
    limits = facts.limits["sensor-way"]
    if above(find_conduit_outside(room).any_width, limits["tolerance"]):
        return False
    barring = [*obstacles(room), *list_heat_sources(room)]
    way, areas = find_conduit_way(room), [polygon for _, polygon in barring]
    if any(above(length, limits["tolerance"]) for length in way.lengths_within(areas).values()):
        return False
    near = way.distances(areas, limits["clear"])
    if any(barring[which][0].kind == "fixings" for which in near):
        return False
    screwed = [floor for _, floor in list_screwed(room)]
    if way.distances(screwed, facts.limits["threshold-fixing"]["apart"]):
        return False
    leads = find_near_leads(room, room.sensor_way, facts.limits["sensor-near-lead"]["apart"])
    return not any(each.crossing is not None or above(each.length, ALONGSIDE) for each in leads)


def _propose(found: ToMend, room: RoomFacts, lies: _Lies) -> Proposal:
    old, new = room.drawn.sensor, lies.sensor
    assert old is not None
    edits: list[Edit] = []
    says = []
    if new.at != old.at:
        path = _path(room, "at")
        at = write_point(*new.at, look_up(found.data, path))
        edits.append(Edit(op="replace", path=path, value=at))
        says.append(f"Move the sensor to {point_text(*new.at)}.")
    if new.route != old.route:
        path = _path(room, "route")
        told = look_up(found.data, path)
        route = _write_route(told or [], new)
        edits += (
            change_list(path, told, route) if told else (Edit(op="add", path=path, value=route),)
        )
        bends = [point_text(*stop.at) for stop in new.route if stop.at is not None]
        by = f"by {', '.join(bends)}" if bends else "straight"
        says.append(f"Take its conduit {by} from the junction box.")
    needed = _measure_needed(found.facts, lies.room)
    if old.cable is not None and above(needed, old.cable):
        longer = math.ceil(needed / _CABLES - 1e-6) * _CABLES
        path = _path(room, "cable")
        cable = _write_cable(longer, look_up(found.data, path))
        edits.append(Edit(op="replace", path=path, value=cable))
        says.append(f"Take a sensor with {format_quantity(longer / 1000, 'm')} of cable.")
    if len(says) == 1:
        says[0] = says[0].replace("Take its", "Take the sensor's")
    return Proposal(says=" ".join(says), edits=tuple(edits))


def _write_route(old: list[Any], sensor: Sensor) -> list[Any]:
    """Write the conduit's route: what stays as it stands there."""
    written = []
    for stop in sensor.route:
        if stop.path:
            written.append(old[int(stop.path.rsplit(".", 1)[1])])
        else:
            written.append("junction-box" if stop.at is None else write_point(*stop.at))
    return written


def _measure_needed(facts: Facts, room: RoomFacts) -> float:
    """Measure how much cable a sensor needs: its way, up to the thermostat and across to it."""
    way, thermostat = room.sensor_way, room.drawn.thermostat
    length = sum(math.dist(a, b) for a, b in pairwise(way))
    if thermostat is None:
        return length
    hangs = thermostat.at or room.box or way[0]
    return length + (thermostat.height or 0.0) + math.dist(way[0], hangs)


def _write_cable(length: float, like: Any) -> Any:
    return f"{length / 1000:g} m" if like is None else write_length(length, like)


def _list_own(facts: Facts, room: RoomFacts) -> list[int]:
    """List the strips that the thermostat which reads the room's sensor switches."""
    readers = facts.readers.get(room.id, ())
    if len(readers) != 1:
        return []
    own = []
    for place, element in enumerate(room.elements):
        circuit = facts.circuits.get(element.circuit or "")
        if circuit is not None and circuit.circuit.thermostat == readers[0]:
            own.append(place)
    return own


def _lay(room: RoomFacts, sensor: Sensor) -> _Lies:
    return _Lies(sensor=sensor, room=RoomFacts(replace(room.drawn, sensor=sensor), room.supply))


def _path(room: RoomFacts, key: str) -> Path:
    return ("rooms", room.id, "sensor", key)


def _may_change(found: ToMend, room: RoomFacts) -> bool:
    return not is_laid(found.facts, room.id) and 0 < len(room.elements) <= MOST_STRIPS


MENDERS = (
    *(
        Mender(rule=rule, propose=move_sensor)
        for rule in (
            "sensor-under-element",
            "sensor-depth",
            "sensor-seam",
            "sensor-near-heat",
            "sensor-covered",
            "sensor-other-strip",
        )
    ),
    Mender(rule="sensor-other-strip", propose=read_by_one),
    Mender(rule="sensor-near-lead", propose=lead_clear),
    Mender(rule="sensor-way", propose=lead_clear),
    Mender(rule="threshold-fixing", propose=lead_clear),
    Mender(rule="sensor-cable-reach", propose=take_longer_cable),
    Mender(rule="sensor-missing", propose=draw_sensor),
)
