"""Fixtures, joints and coverings drawn outside the room."""

from collections.abc import Iterator
from typing import Any

import shapely
from msgspec import Struct

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import Finding, Limits, Rule, Subject, above, at_most, point_text
from underfoot_rules.basis import own_default

# Walls, thresholds and joints go on beyond the room; a covering's area is drawn generously.
MAY_GO_ON = ("structure", "fixings")
# What two outlines share along an edge, by rounding (mm2, or mm of a line).
SLIVER = 1.0


class Shown(Struct, frozen=True, kw_only=True):
    """One thing drawn in a room; `goes_on` may reach beyond the walls."""

    room: RoomFacts
    what: str
    shape: Any
    goes_on: bool


def subjects(facts: Facts) -> Iterator[Subject[Shown]]:
    """Every fixture, movement joint, shower's outlet and covered area."""
    for room in facts.rooms.values():
        for fixture, polygon in room.fixtures:
            what = f"{fixture.id} ({fixture.kind})"
            shown = Shown(room=room, what=what, shape=polygon, goes_on=fixture.kind in MAY_GO_ON)
            yield Subject(room=room.id, items=(fixture.id,), path=fixture.path, payload=shown)
            if fixture.outlet is not None:
                outlet = Shown(
                    room=room,
                    what=f"The outlet of {what}",
                    shape=shapely.Point(fixture.outlet),
                    goes_on=False,
                )
                yield Subject(
                    room=room.id,
                    items=(fixture.id, "outlet"),
                    path=f"{fixture.path}.outlet",
                    payload=outlet,
                )
        for name, line in room.joints:
            joint = Shown(room=room, what=f"Movement joint {name}", shape=line, goes_on=True)
            yield Subject(
                room=room.id, items=(name,), path=room.drawn.joints[name].path, payload=joint
            )
        for number, area in enumerate(room.drawn.coverings):
            if area.over is not None:
                what = f"The area of {area.covering.id}"
                over = Shown(room=room, what=what, shape=shapely.Polygon(area.over), goes_on=True)
                items = (area.covering.id, f"coverings.{number}")
                yield Subject(room=room.id, items=items, path=area.path, payload=over)


def check(subject: Subject[Shown], facts: Facts, limits: Limits) -> Finding | None:
    """Find what reaches too far outside; what may go on there must still touch the floor."""
    shown = subject.payload
    room, what, shape = shown.room, shown.what, shown.shape
    if shapely.covers(room.outline, shape):
        return None
    inside = shapely.intersection(room.outline, shape)
    is_out = (inside.area if shape.area else inside.length) < SLIVER
    if shown.goes_on and not is_out:
        return None
    far = measure_reach_outside(room, shape)
    if not above(far, limits["tolerance"]):
        return None
    x, y = shapely.get_coordinates(shape.representative_point())[0].tolist()
    where = "lies outside the room" if is_out else "reaches through the wall"
    return Finding(
        message=f"{what} at {point_text(x, y)} {where}, {{measured}} at its farthest; at most "
        "{limit} is taken for a slip of the pen.",
        remedy="Draw it where it stands in the room, or mend the room's outline: outside nobody "
        "keeps strips, leads or boxes clear of it.",
        measured=far,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shape,
    )


def measure_reach_outside(room: RoomFacts, shape: Any) -> float:
    """Measure how far the farthest part of a drawn shape lies outside the outline, in mm."""
    beyond = shapely.difference(shape, room.outline)
    corners = shapely.points(shapely.get_coordinates(beyond))
    return float(shapely.distance(room.outline, corners).max()) if len(corners) else 0.0


RULE = Rule(
    severities=("warning",),
    finds="a fixture, joint or covering that lies outside the room, or reaches through its wall",
    why="What is drawn beside the room was surely meant in it, where strips now lie under it.",
    unit="mm",
    basis=own_default("plaster and drawing take up so much"),
    subjects=subjects,
    check=check,
    limits=(at_most("tolerance", 50, "mm", "how far a thing may reach outside"),),
)
