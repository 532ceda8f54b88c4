"""The facts of a floor sensor: what its cable runs along, and where it would lie well."""

import shapely
from msgspec import Struct
from shapely import LineString

from underfoot.checking.facts.heated_parts import list_board_regions
from underfoot.checking.facts.room import Place, RoomFacts
from underfoot.checking.finding import CannotTell
from underfoot.physics.heat import resist_air_layer
from underfoot.plan import Sensor

# At the junction box leads and sensor cable cannot but run together.
AT_THE_BOX = 300.0


class ToSensor(Struct, frozen=True, kw_only=True):
    """What resists between film and sensor, m2 K/W: at the least, and most likely."""

    least_m2k_w: float
    likely_m2k_w: float


def resist_to_sensor(sensor: Sensor) -> ToSensor:
    """Return what resists between the film and a sensor in a channel below it.

    The conduit lies on the channel's ground. At the least there is the air over it, which is none
    where it lies flush; most likely the air down to the conduit's middle. A layer of closed air by
    ISO 6946, heat flowing down. Where the plan gives no depths the sensor touches the film.
    """
    depth = sensor.channel.depth if sensor.channel is not None else None
    conduit = sensor.conduit.depth if sensor.conduit is not None else None
    if depth is None:
        return ToSensor(least_m2k_w=0.0, likely_m2k_w=0.0)
    over = max(0.0, depth - (depth if conduit is None else conduit))
    return ToSensor(
        least_m2k_w=resist_air_layer(over, "down"),
        likely_m2k_w=resist_air_layer(over + (conduit or depth) / 2, "down"),
    )


def count_layers_below(room: RoomFacts, way: tuple[Place, ...]) -> int:
    """Count the layers of insulation that the whole of a way in the room lies over."""
    regions = list_board_regions(room)
    partial = [region for region in regions if region is not None]
    if not partial:
        return len(regions)
    drawn = LineString(way) if len(way) > 1 else shapely.Point(way[0])
    within = shapely.intersection(drawn, room.outline)
    # Boards may leave the hair's breadth of a joint open.
    grown = shapely.buffer(partial, 1.0)
    return len(regions) - len(partial) + int(shapely.covers(grown, within).sum())


def find_insulation_below(room: RoomFacts, way: tuple[Place, ...]) -> float | CannotTell:
    """Find how thick the insulation is under the whole of a way in the room, in mm.

    One layer at least: what no board covers is told elsewhere.
    """
    insulation = room.drawn.insulation
    if insulation is None:
        return CannotTell(
            why="there is no insulation", write="Draw the room's `insulation`.", worst="note"
        )
    if insulation.board is None or insulation.board.thickness is None:
        return CannotTell(
            why="the thickness of the insulation is not given",
            write="Write the board's `thickness`.",
        )
    layers = count_layers_below(room, way) if len(insulation.layers) > 1 else 1
    return max(1, layers) * insulation.board.thickness


def find_conduit_width(room: RoomFacts) -> float:
    """Find how wide the sensor's conduit and channel lie in the floor; 0 where neither says."""
    sensor = room.drawn.sensor
    sections = () if sensor is None else (sensor.channel, sensor.conduit)
    return max((s.width for s in sections if s is not None and s.width is not None), default=0.0)
