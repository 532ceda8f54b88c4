"""A junction box that nobody can reach, or that hangs on nothing."""

import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import JunctionBox
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    below,
    format_quantity,
    point_text,
)
from underfoot_rules.basis import common_practice
from underfoot_rules.thermostat.at_walls import find_before, measure_outside, measure_to_wall
from underfoot_rules.thermostat.hanging import EDGE, advise_wall, ask_height, box_subjects, hung_box


def check(
    subject: Subject[tuple[RoomFacts, JunctionBox]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Look for the wall that it hangs on, then at its height, then at what stands before it."""
    room, box = subject.payload
    place = limits.of("box-place")
    outside, away = measure_outside(room, box.at), measure_to_wall(room, box.at)
    if above(away, place["from_wall"]):
        is_out = outside > EDGE
        advice = advise_wall(facts, room, box.at, hung_box("box-reach", room, box))
        far = format_quantity(place["from_wall"], "mm", away)
        return Finding(
            message=f"The junction box at {point_text(*box.at)} "
            + (
                f"lies outside the room, {{measured}} from it; up to {far} is in its wall."
                if is_out
                else "hangs on no wall: the nearest is {measured} away; up to "
                f"{far} counts as on it."
            ),
            remedy=advice.says,
            offer=advice.offer,
            measured=away,
            shape=shapely.Point(box.at),
        )
    ceiling = room.drawn.height
    if box.height is not None and ceiling is not None and not below(box.height, ceiling):
        return Finding(
            message=f"The junction box at {point_text(*box.at)} hangs {{measured}} above the "
            f"floor, and room {room.id} is only {format_quantity(ceiling, 'mm')} high: in or above "
            "its ceiling nobody reaches it.",
            remedy="Hang it lower on the same wall: 450 mm is usual; or correct `height` of the "
            "room.",
            measured=box.height,
        )
    if box.height is not None and below(box.height, place["lowest"]):
        least = format_quantity(place["lowest"], "mm", box.height)
        return Finding(
            message=f"The junction box at {point_text(*box.at)} hangs {{measured}} above the "
            f"floor; at least {least} keeps it out of water and clear of skirtings.",
            remedy=f"Hang it higher on the same wall, at {least} or more: 450 mm is usual.",
            measured=box.height,
        )
    return _before(room, facts, limits)


def _before(room: RoomFacts, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    box = room.drawn.junction_box
    if box is None:
        return None
    place = limits.of("box-place")
    own = hung_box("box-reach", room, box)
    before = find_before(room, box.at, place["from_wall"], place["half_width"], place["free"])
    for which in before:
        fixture, _ = room.fixtures[which]
        if fixture.height is not None and box.height is None:
            return ask_height("junction box", "junction_box")
        if fixture.height is None or box.height is None or above(fixture.height, box.height):
            advice = advise_wall(facts, room, box.at, own)
            return Finding(
                message=f"The junction box at {point_text(*box.at)} is out of reach behind "
                f"{fixture.id} ({fixture.kind}).",
                remedy=f"{advice.says} Where {fixture.id} is lower than the box, write its "
                "`height`.",
                offer=advice.offer,
                shape=shapely.Point(box.at),
                related=(fixture.path,),
                details=() if fixture.height is not None else (("height", _TAKEN),),
            )
    if box.height is None:
        return ask_height("junction box", "junction_box")
    return None


_TAKEN = "that of the fixture is not given: higher than the box is taken"

RULE = Rule(
    severities=("warning",),
    finds="a junction box outside the room, on no wall, too low, above the ceiling, or out of "
    "reach behind furniture",
    why="A box that cannot be reached cannot be opened when the floor is tested or fails.",
    unit="mm",
    basis=common_practice("connections must stay within reach for tests and repair"),
    subjects=box_subjects,
    check=check,
    electrical=True,
)
