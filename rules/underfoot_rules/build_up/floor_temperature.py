"""A floor that lives by its floor limit: at full output its surface would pass its limit."""

from __future__ import annotations

from typing import NamedTuple

from underfoot.api import (
    CannotTell,
    Facts,
    Finding,
    FloorTemperatures,
    Limits,
    RoomFacts,
    Rule,
    Subject,
    above,
    find_part_at,
    listed,
    written,
)
from underfoot_rules.basis import standard
from underfoot_rules.warmth import (
    ASSUMED,
    Floor,
    SurfaceMost,
    keep_surface,
    limit_surface,
    name_part,
    tell_layers,
    tell_split,
    work_out,
)


class _Dial(NamedTuple):
    """What the sensor feels when the surface is kept at its limit, and the film then."""

    surface_c: float
    film_c: float
    sensor_c: float


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every room with strips."""
    return facts.room_subjects


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the surface temperature at full output with the surface limit, part by part."""
    room: RoomFacts = subject.thing
    floors = work_out(room.heated_parts, room, facts, limits)
    if isinstance(floors, CannotTell):
        return floors
    worst: tuple[float, Floor, SurfaceMost, FloorTemperatures] | None = None
    unknown = False
    for floor in floors:
        limit = limit_surface(room, floor.part, limits)
        ends = (floor.settled, floor.settled_at_most)
        least = min(ends, key=lambda state: state.surface_c)
        most = max(ends, key=lambda state: state.surface_c)
        if above(least.surface_c, limit.limit_c):
            passed = least.surface_c - limit.limit_c
            if worst is None or passed > worst[0]:
                worst = (passed, floor, limit, least)
        elif above(most.surface_c, limit.limit_c):
            unknown = True
    if worst is not None:
        return _finding(facts, room, floors, *worst[1:], limits)
    if unknown:
        return CannotTell(
            "the subfloor's layers are not given (`subfloor.layers`)",
            "Write what it is made of, layer by layer: `subfloor.layers`.",
        )
    coverings = [floor.part.covering.covering for floor in floors if floor.part.covering]
    unstated = dict.fromkeys(each.id for each in coverings if each.warmest_surface_c is None)
    if unstated:
        return CannotTell(
            f"the warmest surface that {listed(list(unstated))} may have is not given",
            "Write from the maker's data how warm it may get: `warmest_surface`.",
        )
    return None


def _finding(
    facts: Facts,
    room: RoomFacts,
    floors: tuple[Floor, ...],
    floor: Floor,
    limit: SurfaceMost,
    state: FloorTemperatures,
    limits: Limits,
) -> Finding:
    least = "at least " if not floor.stack.whole else ""
    dial = _set_dial(facts, room, floors, limits)
    rows = [
        *tell_layers(floor, facts.plan.supply.voltage_v),
        *tell_split(floor),
        ("surface at full output", f"{least}{written(state.surface_c, 'degC')}"),
        ("film at full output", f"{least}{written(state.film_c, 'degC')}"),
        ("sensor at full output", f"{least}{written(state.sensor_c, 'degC')}"),
        ("surface limit", f"{written(limit.limit_c, 'degC')}, {limit.said}"),
    ]
    remedy = "Keep to the floor limit, and leave nothing flat on this floor that holds its heat"
    if dial is not None:
        about = "" if all(each.stack.whole for each in floors) else "about "
        rows += [
            ("surface at the limit", written(dial.surface_c, "degC")),
            ("film at the limit", about + written(dial.film_c, "degC")),
            ("dial of the floor limit", about + written(dial.sensor_c, "degC")),
        ]
        remedy = (
            f"Set the floor limit's dial to {about}{written(dial.sensor_c, 'degC')}: that is what "
            f"the sensor below the film feels when the surface is kept at "
            f"{written(dial.surface_c, 'degC')}"
        )
    return Finding(
        message=f"At full output the floor over {name_part(floor)} would reach {least}"
        f"{{measured}}; its limit is {{limit}} ({limit.said}). It lives by its floor limit.",
        remedy=f"{remedy}.",
        measured=state.surface_c,
        most=limit.limit_c,
        details=tuple(rows),
    )


def _set_dial(
    facts: Facts, room: RoomFacts, floors: tuple[Floor, ...], limits: Limits
) -> _Dial | None:
    """Find what the sensor feels when the part that is nearest to its limit just keeps it.

    All strips are switched together, so the part that may give the smallest share of its output
    decides for all.
    """
    shares = []
    for floor in floors:
        surface_c = keep_surface(room, floor.part, facts, limits).limit_c
        held = floor.stack.hold(surface_c)
        shares.append((held.split.output_w_m2 / floor.output_w_m2, surface_c, floor, held))
    share, surface_c, deciding, held = min(shares, key=lambda each: each[0])
    sensor = room.room.sensor
    part = find_part_at(room, sensor.at) if sensor is not None else None
    alike = part is None or (part.film, part.covering, part.boards) == (
        deciding.part.film, deciding.part.covering, deciding.part.boards
    )  # fmt: skip
    if part is None or alike:
        return _Dial(surface_c, held.film_c, held.sensor_c)
    there = work_out((part,), room, facts, limits)
    if isinstance(there, CannotTell):
        return None
    state = there[0].stack.settle(share * there[0].output_w_m2)
    return _Dial(surface_c, held.film_c, state.sensor_c)


RULE = Rule(
    id="floor-temperature",
    topic="build_up",
    severities=("note",),
    finds="a floor that would pass its surface limit at full output, so that its floor limit "
    "must keep it",
    why="Such a floor is safe only while its sensor and its limit work: whoever sets it must know.",
    unit="degC",
    basis=standard(
        "ISO 11855-2, A.29 to A.31 and equation 1; surface limits by EN 1264-2 (for water "
        "systems, used as a comfort limit; 33 °C for bathrooms from memory)"
    ),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=ASSUMED,
)
