"""Says where on a wall a junction box or a thermostat would hang well."""

import math
from collections.abc import Iterator
from typing import Any

import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts, floor_behind, list_leaves
from underfoot.api.plan import JunctionBox
from underfoot.api.rules import CannotTell, Subject, point_text
from underfoot_rules.advice import Advice
from underfoot_rules.in_the_way import join_clauses, list_what_to_see_to
from underfoot_rules.trying import (
    BOX,
    CONDUIT,
    DOORWAYS,
    LEADS,
    MOST_STRIPS,
    THERMOSTAT,
    Fault,
    find_brought,
)

Place = tuple[float, float]
# What lies within this of an edge lies on it (mm).
EDGE = 0.001
# Free wall left beside furniture, and what a rounded place may be off (mm).
_BESIDE, _ROUNDING = 60.0, 1.0
_WITHIN = math.cos(math.pi / 64)


def box_subjects(facts: Facts) -> Iterator[Subject[tuple[RoomFacts, JunctionBox]]]:
    """Every junction box, with the facts of the room that it hangs in."""
    for room in facts.rooms.values():
        box = room.drawn.junction_box
        if box is not None:
            yield Subject(room=room.id, items=("junction-box",), path=box.path, payload=(room, box))


def ask_height(of: str, key: str) -> CannotTell:
    """Ask for the height of a box or a thermostat, which only a warning hangs on."""
    return CannotTell(
        why=f"the {of}'s height is not given",
        write=f"Write the {of}'s `height` above the floor under `{key}`.",
        worst="warning",
    )


class Hung(Struct, frozen=True, kw_only=True):
    """What hangs on a wall: a box or a thermostat, by its path, and what is found of it."""

    path: str
    found: Fault


def hung_box(rule: str, room: RoomFacts, box: JunctionBox) -> Hung:
    """Return a junction box of which a rule finds something."""
    return Hung(path=box.path, found=Fault(rule=rule, room=room.id, items=("junction-box",)))


def advise_wall(facts: Facts, room: RoomFacts, place: Place, own: Hung) -> Advice:
    """Name the nearest place on a wall that is free, away from heat and outside all zones."""
    if not facts.is_advised:
        return Advice()
    walls = find_free_walls(facts, room)
    if walls.is_empty:
        return Advice(
            says="No wall of this room is free, away from heat and outside all zones: take another."
        )
    spot = find_on_wall(walls, place)
    brought = try_hanging(facts, own, spot)
    if brought:
        return Advice(
            says="Move it to a wall that is free, away from heat and outside all zones; "
            f"{join_clauses(list_what_to_see_to(brought))}."
        )
    return Advice(
        says=f"Move it to {point_text(*spot)}, the nearest place on a wall where it may hang.",
        offer=shapely.Point(spot),
    )


def find_free_walls(facts: Facts, room: RoomFacts) -> Any:
    """Find the walls that are free, away from heat and outside all zones, not behind a door."""
    taken = [_around(facts, fixture, polygon) for fixture, polygon in room.fixtures]
    for opening in room.drawn.openings.values():
        off = facts.limits["hung-in-opening"]["apart"] + _ROUNDING
        taken.append(shapely.buffer(shapely.LineString(opening.line), off / _WITHIN))
        taken += [floor_behind(room, *leaf, 2 * _ROUNDING) for leaf in list_leaves(opening)]
    return shapely.difference(room.outline.exterior, shapely.union_all(taken))


def find_on_wall(walls: Any, place: Place) -> Place:
    """Find the place on walls that is nearest, in whole millimetres."""
    link = shapely.shortest_line(walls, shapely.Point(place))
    x, y = shapely.get_coordinates(link)[0].tolist()
    return float(round(x)), float(round(y))


def try_hanging(facts: Facts, own: Hung, spot: Place) -> tuple[Fault, ...]:
    """Find what a box or a thermostat at another place would bring."""
    for room in facts.rooms.values():
        box, thermostat = room.drawn.junction_box, room.drawn.thermostat
        if len(room.elements) > MOST_STRIPS:
            continue
        if box is not None and box.path == own.path:
            drawn = replace(room.drawn, junction_box=replace(box, at=spot))
            names: tuple[str, ...] = (*BOX, *LEADS, *DOORWAYS, *CONDUIT)
        elif thermostat is not None and thermostat.path == own.path:
            drawn = replace(room.drawn, thermostat=replace(thermostat, at=spot))
            names = THERMOSTAT
        else:
            continue
        return find_brought(facts, room, drawn, names, clears=own.found)
    return ()


def _around(facts: Facts, fixture: Any, polygon: Any) -> Any:
    """Return the floor round a fixture that nothing should hang by."""
    if not fixture.keeps_strips_off:
        return shapely.Polygon()
    zones = facts.limits["bath-zone"]
    reach = max(_BESIDE, fixture.clearance or 0.0)
    if fixture.kind == "heat source":
        reach = max(reach, facts.limits["thermostat-place"]["from_heat"])
    elif fixture.kind in ("bath", "shower"):
        reach = zones["zone_2"]
    elif fixture.kind == "open shower":
        reach = zones["open_shower"]
    # The sides of what is drawn as round lie within the circle.
    return shapely.buffer(polygon, (reach + _ROUNDING) / _WITHIN)
