"""What is left of a plan without its strips: rooms, circuits, the whole plan."""

from __future__ import annotations

from collections.abc import Iterator

from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.drawn import Drawn


def missing_faults(plan: Data, drawn: dict[str, Drawn]) -> Iterator[Expected]:
    """Find what is drawn for strips that are not there."""
    if not any(room.strips for room in drawn.values()):
        yield Expected(rule="nothing-heated", room=None, items=(), severity="error")
        return
    for name, room in drawn.items():
        if not room.strips and (room.leads or room.sensor is not None):
            yield Expected(
                rule="nothing-heated",
                room=name,
                items=(),
                severity="error" if room.leads else "warning",
            )
    circuits = plan.get("circuits") or {}
    fed = {strip.circuit for room in drawn.values() for strip in room.strips.values()}
    fed |= {circuits[name].get("shares") for name in fed if name in circuits}
    for name in circuits:
        if name not in fed:
            yield Expected(rule="nothing-heated", room=None, items=(name,), severity="warning")
