"""What a floor sensor reads at the surface's limit, and how warm a dial lets floors get.

All strips of a room are switched together, so they all give the same share of their output: the
part that reaches its limit at the smallest share decides.
"""

from msgspec import Struct

from underfoot.api.facts import Facts, FloorStack, RoomFacts, find_part_at
from underfoot.api.physics import heat
from underfoot.api.rules import CannotTell, Limits
from underfoot_rules.warmth import Floor, limit_surface, work_out


class Sensed(Struct, frozen=True, kw_only=True):
    """A heated floor and the part of it that the sensor lies in, to be looked at in one state.

    `room_c` is the temperature of the room; where the subfloor is not known `end` tells which end
    of what it may be is looked at.
    """

    room: RoomFacts
    floors: tuple[Floor, ...]
    at_sensor: Floor
    room_c: float
    end: int
    to_sensor_m2k_w: float

    def stack(self, floor: Floor) -> FloorStack:
        """Return a part's layers in this state."""
        return floor.stack.ends[min(self.end, len(floor.stack.ends) - 1)].in_room_of(self.room_c)

    def read(self, share: float) -> float:
        """Return what the sensor reads when the film gives a share of its output, degC."""
        return self.settle(self.at_sensor, share).sensor_c

    def settle(self, floor: Floor, share: float) -> heat.FloorTemperatures:
        """Return what a part settles at when the film gives a share of its output."""
        return self.stack(floor).settle(share * floor.output_w_m2, self.to_sensor_m2k_w)


class AtLimit(Struct, frozen=True, kw_only=True):
    """The state in which the part that is nearest to its limit just keeps it, and what is read."""

    floor: Floor
    surface_c: float
    film_c: float
    reading_c: float


def list_states(
    room: RoomFacts, floors: tuple[Floor, ...], at_sensor: Floor, room_c: float, to_m2k_w: float
) -> tuple[Sensed, ...]:
    """List the states to look at: one, or two where a subfloor is not known."""
    ends = max(len(floor.stack.ends) for floor in floors)
    return tuple(
        Sensed(
            room=room,
            floors=floors,
            at_sensor=at_sensor,
            room_c=room_c,
            end=end,
            to_sensor_m2k_w=to_m2k_w,
        )
        for end in range(ends)
    )


def find_floor_at_sensor(
    room: RoomFacts, floors: tuple[Floor, ...], facts: Facts, limits: Limits
) -> Floor | None:
    """Find the part that the sensor lies in; None where it lies below no strip."""
    sensor = room.drawn.sensor
    part = find_part_at(room, sensor.at) if sensor is not None else None
    if part is None:
        return None
    for floor in floors:
        own = floor.part
        if (own.film, own.covering, own.boards) == (part.film, part.covering, part.boards):
            return floor
    there = work_out((part,), room, facts, limits)
    return None if isinstance(there, CannotTell) else there[0]


def keep_limit(sensed: Sensed, limits: Limits, beyond_k: float = 0.0) -> AtLimit | None:
    """Find the state in which the floor just keeps its limit, or passes it by so much.

    None where not even the full output brings it there, or where the room alone does.
    """
    found: list[tuple[float, Floor, heat.FloorTemperatures]] = []
    for floor in sensed.floors:
        limit_c = limit_surface(sensed.room, floor.part, limits).limit_c + beyond_k
        held = sensed.stack(floor).hold(limit_c, sensed.to_sensor_m2k_w)
        found.append((held.split.output_w_m2 / floor.output_w_m2, floor, held))
    share, floor, held = min(found, key=lambda each: each[0])
    if not 0.0 < share < 1.0:
        return None
    reading_c = held.sensor_c if floor is sensed.at_sensor else sensed.read(share)
    return AtLimit(floor=floor, surface_c=held.surface_c, film_c=held.film_c, reading_c=reading_c)


def find_share(sensed: Sensed, dial_c: float) -> float:
    """Find the share of its output that the film gives when the sensor reads the dial's figure.

    1 where not even the full output brings the sensor there, 0 where the room alone does.
    """
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if sensed.read(middle) < dial_c else (low, middle)
    return high


def switch_off(sensed: Sensed, dial_c: float, floor: Floor) -> float:
    """Return how warm a part's surface gets before the sensor reads the dial's figure, degC."""
    return sensed.settle(floor, find_share(sensed, dial_c)).surface_c
