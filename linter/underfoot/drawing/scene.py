"""What every part of a drawing needs to know: the room, the plan, and how they lie on paper."""

import shapely
from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.checking.facts.bath_zones import ZoneReach
from underfoot.drawing.sheets import Box, Extent, View
from underfoot.plan import Plan

# Strips drawn narrower than this are too small to carry an id (mm on paper).
NARROWEST_NAMED = 3.0


class Scene(Struct, frozen=True, kw_only=True):
    """One room on its way to paper.

    `extent` is what of the room must be on it, in the room's mm. `bounds` is where lettering and
    balloons may stand. `prefix` keeps the ids of several drawings on one page apart.
    `names_strips` is False where strips are too narrow to carry ids. `bath_zones` says how far the
    zones of baths reach; None where none are drawn.
    """

    facts: RoomFacts
    plan: Plan
    extent: Extent
    view: View
    bounds: Box
    prefix: str
    planned_clearance: float | None
    circuit_places: dict[str, int]
    names_strips: bool
    bath_zones: ZoneReach | None = None

    def circuit_place(self, circuit: str | None) -> int | None:
        """Return a circuit's place in the plan; None for none, or an unknown one."""
        return self.circuit_places.get(circuit) if circuit is not None else None


def find_extent(facts: RoomFacts) -> Extent:
    """Find what must be on the sheet: the outline, and what lies near it.

    What lies farther outside than a third of the room is not followed; `find_beyond` names it.
    """
    least_x, least_y, most_x, most_y = facts.outline.bounds
    reach = max(500.0, (most_x - least_x) / 3, (most_y - least_y) / 3)
    widest = (least_x - reach, least_y - reach, most_x + reach, most_y + reach)
    for _, shape in _things(facts):
        bounds = shape.bounds
        least_x = max(widest[0], min(least_x, bounds[0]))
        least_y = max(widest[1], min(least_y, bounds[1]))
        most_x = min(widest[2], max(most_x, bounds[2]))
        most_y = min(widest[3], max(most_y, bounds[3]))
    return (least_x, least_y, most_x, most_y)


def find_beyond(facts: RoomFacts, extent: Extent) -> list[str]:
    """Name what lies, in part or whole, beyond the drawn extent."""
    beyond = []
    for name, shape in _things(facts):
        low_x, low_y, high_x, high_y = shape.bounds
        if (
            low_x < extent[0] - 1e-6
            or low_y < extent[1] - 1e-6
            or high_x > extent[2] + 1e-6
            or high_y > extent[3] + 1e-6
        ):
            beyond.append(name)
    return beyond


def _things(facts: RoomFacts) -> list[tuple[str, shapely.Geometry]]:
    room = facts.drawn
    things: list[tuple[str, shapely.Geometry]] = []
    if facts.elements:
        things += zip((element.id for element in facts.elements), facts.strips, strict=True)
    things += ((fixture.id, polygon) for fixture, polygon in facts.fixtures)
    things += facts.joints
    things += ((laid.lead.id, laid.line) for laid in facts.leads if laid.line is not None)
    if room.junction_box is not None:
        things.append(("junction-box", shapely.Point(room.junction_box.at)))
    thermostat = room.thermostat
    if thermostat is not None and thermostat.at and thermostat.room in (None, room.id):
        things.append(("thermostat", shapely.Point(thermostat.at)))
    if room.sensor is not None:
        way = facts.sensor_way
        things.append(("sensor", shapely.LineString(way) if len(way) > 1 else shapely.Point(way)))
    return things
