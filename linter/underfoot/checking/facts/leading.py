"""The facts of leads: where they leave the room, cross joints, or run through what bars them."""

from __future__ import annotations

from typing import Any

import numpy as np

from underfoot.checking.facts.room import RoomFacts
from underfoot.physics import crossings, lines
from underfoot.plan import Fixture


def find_lengths_outside(room: RoomFacts) -> tuple[float, ...]:
    """Measure how far each lead runs outside the outline, in mm; 0 where it is not drawn."""
    drawn = _drawn(room)
    outside = [0.0] * len(room.leads)
    if drawn:
        lengths = lines.lengths_outside(_lines(room, drawn), room.outline)
        for which, length in zip(drawn, lengths.tolist(), strict=True):
            outside[which] = length
    return tuple(outside)


def find_joints_crossed(room: RoomFacts) -> tuple[tuple[int, int, Any], ...]:
    """Find the movement joints that leads cross: lead, joint, the places (n, 2)."""
    drawn = _drawn(room)
    if not drawn or not room.joints:
        return ()
    joints = np.array([line for _, line in room.joints], dtype=object)
    return tuple(
        (drawn[line], joint, places)
        for line, joint, places in crossings.find_crossing_pairs(_lines(room, drawn), joints)
    )


def list_barring(room: RoomFacts) -> tuple[tuple[Fixture, Any], ...]:
    """List the fixtures that no lead may run through, with their outlines."""
    return tuple(
        (fixture, polygon)
        for fixture, polygon in room.fixtures
        if fixture.kind == "fixings" or fixture.stops_floor
    )


def find_barred(room: RoomFacts) -> tuple[tuple[int, int, float], ...]:
    """Find the leads that run through such fixtures: lead, place in the list, length in mm."""
    drawn, barring = _drawn(room), list_barring(room)
    if not drawn or not barring:
        return ()
    areas = np.array([polygon for _, polygon in barring], dtype=object)
    pairs, lengths = lines.lengths_inside(_lines(room, drawn), areas)
    return tuple(
        (drawn[int(line)], int(area), float(length))
        for (line, area), length in zip(pairs, lengths, strict=True)
    )


def _drawn(room: RoomFacts) -> list[int]:
    return [which for which, lead in enumerate(room.leads) if lead.line is not None]


def _lines(room: RoomFacts, drawn: list[int]) -> Any:
    return np.array([room.leads[which].line for which in drawn], dtype=object)
