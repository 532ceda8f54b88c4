"""What is left of a plan without its strips: rooms, circuits, the whole plan."""

from collections.abc import Iterator

from tests.second_opinion.saying import error, expect, warning
from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.drawn import Drawn


def missing_faults(plan: Data, drawn: dict[str, Drawn]) -> Iterator[Expected]:
    """Find what is drawn for strips that are not there."""
    if not any(room.strips for room in drawn.values()):
        yield error("nothing-heated", None)
        return
    for name, room in drawn.items():
        if not room.strips and (room.leads or room.sensor is not None):
            yield expect("nothing-heated", name, severity="error" if room.leads else "warning")
    circuits = plan.get("circuits") or {}
    fed = {strip.circuit for room in drawn.values() for strip in room.strips.values()}
    fed |= {circuits[name].get("shares") for name in fed if name in circuits}
    for name in circuits:
        if name not in fed:
            yield warning("nothing-heated", None, name)
