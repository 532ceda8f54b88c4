"""Which floor each thermostat feels and which it heats, from the plan as written."""

from collections.abc import Iterator, Mapping

from shapely import Point

from tests.second_opinion.comparing import UnclearError
from tests.second_opinion.saying import error, warning
from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.drawn import Drawn


def switching_faults(plan: Data, drawn: Mapping[str, Drawn]) -> Iterator[Expected]:
    """Judge thermostats and the sensors they read; UnclearError where a sensor is on an edge."""
    on = {name: told.get("thermostat") for name, told in (plan.get("circuits") or {}).items()}
    hung = {name for name, room in drawn.items() if room.data.get("thermostat")}
    heats = {name: _heated_by(name, on, drawn) for name in hung}
    reads = {name: _read_by(drawn[name], heats[name], drawn, hung) for name in hung}
    for name in hung:
        bare = not any(room.strips for room in drawn.values()) or (
            drawn[name].leads and not drawn[name].strips
        )
        if not heats[name] and not bare and not _is_on_none(drawn[name], on, hung):
            yield warning("thermostat-idle", name, "thermostat")
    for name, room in drawn.items():
        unfelt = False
        used = list(dict.fromkeys(s.circuit for s in room.strips.values() if s.circuit in on))
        for place in hung:
            switched = tuple(circuit for circuit in used if circuit and on[circuit] == place)
            sees = reads[place]
            if switched and name not in sees and (room.sensor is not None or sees):
                unfelt = True
                yield error("floor-unlimited", name, *switched)
        yield from _of_sensor(room, on, hung, reads, unfelt=unfelt)


def _heated_by(thermostat: str, on: Data, drawn: Mapping[str, Drawn]) -> set[str]:
    return {
        name
        for name, room in drawn.items()
        if any(on.get(str(strip.circuit)) == thermostat for strip in room.strips.values())
    }


def _read_by(
    room: Drawn, heats: set[str], drawn: Mapping[str, Drawn], hung: set[str]
) -> tuple[str, ...]:
    told = room.data["thermostat"].get("reads")
    if told is not None:
        return tuple(told)
    if room.sensor is not None:
        return (room.id,)
    found = tuple(name for name in heats if drawn[name].sensor is not None and name not in hung)
    return found if len(found) == 1 else ()


def _is_on_none(room: Drawn, on: Data, hung: set[str]) -> bool:
    """Tell whether some circuit of a room is on no thermostat that is there."""
    return any(s.circuit in on and on[str(s.circuit)] not in hung for s in room.strips.values())


def _of_sensor(
    room: Drawn,
    on: Data,
    hung: set[str],
    reads: Mapping[str, tuple[str, ...]],
    *,
    unfelt: bool,
) -> Iterator[Expected]:
    if room.sensor is None or not room.strips:
        return
    spot = Point(room.sensor)
    over = [strip for strip in room.strips.values() if strip.shape.distance(spot) <= 0.001]
    readers = [place for place in hung if room.id in reads[place]]
    if not over or not readers:
        return
    if len(readers) > 1:
        yield error("sensor-other-strip", room.id)
        return
    (reader,) = readers
    own = [strip for strip in room.strips.values() if on.get(str(strip.circuit)) == reader]
    if unfelt and not own:
        return
    switching = {on.get(str(strip.circuit)) for strip in over}
    if reader in switching or not switching & hung:
        return
    if any(0 < strip.shape.distance(spot) < 0.01 for strip in own):
        raise UnclearError
    yield error("sensor-other-strip", room.id)
