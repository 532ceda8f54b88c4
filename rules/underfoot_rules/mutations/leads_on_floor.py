"""What is wrong with the leads of one room as drawn, and which strips they leave unfed."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Point

from underfoot.api import Data, Expected
from underfoot_rules.mutations.comparing import UnclearError, exceeds
from underfoot_rules.mutations.drawn import Drawn
from underfoot_rules.mutations.strips_on_floor import length_inside


def lead_faults(room: Drawn) -> Iterator[Expected]:
    """Judge each lead's way; UnclearError where that is too close to tell."""
    grown = room.outline.buffer(0.001)
    for lead in room.leads.values():
        if exceeds(lead.line.difference(grown).length, 1, 0.1):
            yield Expected("lead-outside-room", room.id, (lead.id,), "error")
        for strip in room.strips.values():
            if exceeds(length_inside(lead.line, strip.shape), 1, 0.1):
                yield Expected("lead-under-element", room.id, (lead.id, strip.id), "error")
        for name, joint in room.joints.items():
            if not lead.line.intersects(joint):
                if lead.line.distance(joint) < 0.01:
                    raise UnclearError
                continue
            ends = [*lead.line.coords, *joint.coords]
            shared = lead.line.intersection(joint)
            if shared.length > 0 or any(shared.distance(Point(end)) < 0.01 for end in ends):
                raise UnclearError
            yield Expected("lead-joint", room.id, (lead.id, name), "warning")
        for fixture in room.fixtures.values():
            bars = fixture.kind in ("fixings", "structure") or (
                fixture.stands and fixture.on_subfloor
            )
            if bars and exceeds(length_inside(lead.line, fixture.shape), 1, 0.1):
                yield Expected("lead-under-fixture", room.id, (lead.id, fixture.id), "error")


def feed_faults(plan: Data, drawn: dict[str, Drawn]) -> Iterator[Expected]:
    """Follow the leads of each circuit from the junction box."""
    circuits = plan.get("circuits") or {}
    led = {lead.circuit for room in drawn.values() for lead in room.leads.values()}
    bare = {name for name in circuits if name not in led}
    for name in bare:
        if any(s.circuit == name for room in drawn.values() for s in room.strips.values()):
            yield Expected("circuit-feed", None, (name,), "error")
    for room in drawn.values():
        fed: set[str] = set()
        grows = True
        while grows:
            grows = False
            for lead in room.leads.values():
                reaches = {s for s in lead.strips if room.strips[s].circuit == lead.circuit} - fed
                if reaches and (lead.begins == "junction-box" or lead.begins in fed):
                    fed |= reaches
                    grows = True
        for lead in room.leads.values():
            joined = {room.strips[name].circuit for name in lead.strips}
            if len(joined) > 1:
                if not joined <= set(circuits):
                    raise UnclearError
                yield Expected("circuit-feed", room.id, (lead.id,), "error")
        for strip in room.strips.values():
            if strip.id not in fed and strip.circuit not in bare:
                yield Expected("circuit-feed", room.id, (strip.id,), "error")
