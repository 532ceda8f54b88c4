"""SELV film in a bathroom at more voltage than wet skin bears."""

from typing import Any

import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import BATHS
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import standard

# Strips that share less than this with a zone (mm2) touch its edge.
_EDGE = 1.0


def subjects(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """Every heated bathroom, where the supply is called SELV and is of extra-low voltage."""
    supply = facts.plan.supply
    if supply.system != "SELV" or not supply.is_extra_low:
        return ()
    return tuple(each for each in facts.room_subjects if each.payload.drawn.is_bathroom)


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Ask for the lowest voltage where water stands or sprays, and a low one beside it."""
    room = subject.payload
    supply = facts.plan.supply
    if not above(supply.voltage_v, limits["wet"]):
        return None
    if not room.drawn.has_bath:
        return CannotTell(
            why=f"room {room.id} is a bathroom, but no bath or shower is drawn in it",
            write=f"Draw the bath or shower under `fixtures` of room {room.id}.",
        )
    wet = _wet_strips(room, limits.of("bath-zone")["open_shower"])
    if wet:
        return Finding(
            message=f"{join_names(wet, most=6)} in room {room.id} "
            f"{'lies' if len(wet) == 1 else 'lie'} below a bath or shower or where it sprays, "
            "zone 0 or 1, on {measured}; at most {limit} is allowed there.",
            remedy="Leave the floor there unheated, or use film and a source of "
            f"{format_quantity(limits['wet'], 'V')} or less.",
            measured=supply.voltage_v,
            most=limits["wet"],
            limit_key="wet",
            severity="error",
            related=(supply.path,),
        )
    if not above(supply.voltage_v, limits["bathroom"]):
        return None
    return Finding(
        message=f"The strips of room {room.id}, a bathroom, are on {{measured}}; at most {{limit}} "
        "is common there.",
        remedy="Use film and a source of {limit} or less, or agree with the electrician who signs "
        "why more will do.",
        measured=supply.voltage_v,
        most=limits["bathroom"],
        limit_key="bathroom",
        severity="warning",
        related=(supply.path,),
    )


def _wet_strips(room: RoomFacts, open_shower: float) -> list[str]:
    """Find the strips below a bath or tray, or within reach of an open shower, by their ids."""
    zones: list[Any] = []
    for fixture, polygon in room.fixtures:
        if fixture.kind == "open shower":
            origin = polygon if fixture.outlet is None else shapely.Point(fixture.outlet)
            zones.append(shapely.buffer(origin, open_shower, quad_segs=32))
        elif fixture.kind in BATHS:
            zones.append(polygon)
    shared = shapely.area(shapely.intersection(room.strips, shapely.union_all(zones)))
    return [
        element.id
        for element, area in zip(room.elements, shared.tolist(), strict=True)
        if area > _EDGE
    ]


RULE = Rule(
    severities=("error", "warning"),
    finds="a film on SELV in a bathroom at more voltage than its zone or the room allows",
    why="Wet skin lets several times the current through: 48 V can hold a hand fast.",
    unit="V",
    basis=standard(
        "IEC 60364-7-701: SELV of at most 12 V in zones 0 and 1, and a floor below them is taken "
        "for one; IEC 60364-4-41, 414.4.5: at most 25 V where skin is dry. Both voltages are from "
        "memory"
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_most("wet", 12, "V", "greatest voltage of SELV film in zone 0 or 1"),
        at_most("bathroom", 25, "V", "greatest voltage of SELV film elsewhere in a bathroom"),
    ),
    electrical=True,
    protects_life=True,
)
