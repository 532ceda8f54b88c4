"""A strip too near to the wall."""

import numpy as np
import shapely

from underfoot.api.facts import Facts, RoomFacts, each_element, hangs_on
from underfoot.api.physics import shapes
from underfoot.api.rules import Finding, Limits, Rule, Severity, Subject, at_least, below
from underfoot_rules.basis import common_practice
from underfoot_rules.laying.mending import advise_mending, clearing_move


def check(subject: Subject[tuple[RoomFacts, int]], facts: Facts, limits: Limits) -> Finding | None:
    """Compare the least distance from strip to outline with both limits, the worse first."""
    room, place = subject.payload
    distance = float(measure_to_walls(room)[place])
    if below(distance, limits["minimum"]):
        return _finding(subject, distance, "minimum", "error", facts, limits)
    if below(distance, limits["planned"]):
        return _finding(subject, distance, "planned", "warning", facts, limits)
    return None


def _finding(
    subject: Subject[tuple[RoomFacts, int]],
    distance: float,
    key: str,
    severity: Severity,
    facts: Facts,
    limits: Limits,
) -> Finding:
    room, place = subject.payload
    strip = subject.items[0]
    asked = (
        "the least allowed is {limit}"
        if key == "minimum"
        else "what is planned at {limit} or more stays wide enough on site"
    )
    wide_enough = max(limits["planned"], limits["minimum"])
    steps = [clearing_move(room, place, wide_enough)] if facts.is_advised else []
    where = "lies {measured} from the wall" if distance > 0 else "touches the wall ({measured})"
    return Finding(
        message=f"Strip {strip} {where}; {asked}.",
        remedy=advise_mending(facts, room, place, steps, ", clear of the wall"),
        measured=distance,
        least=limits[key],
        limit_key=key,
        severity=severity,
        shape=shapely.shortest_line(room.strips[place], room.walls),
    )


@hangs_on("outline", "elements")
def measure_to_walls(room: RoomFacts) -> np.ndarray:
    """Measure the least distance from each strip to the outline, (n,)."""
    return shapes.edge_distances(room.strips, room.outline)


RULE = Rule(
    severities=("error", "warning"),
    finds="a strip nearer to the outline than allowed, or than should be planned",
    why="Skirting fixings, joints at the wall and site tolerances reach a strip that is too near.",
    unit="mm",
    basis=common_practice("what is planned wider stays wide enough on site"),
    subjects=each_element,
    check=check,
    limits=(
        at_least("minimum", 50, "mm", "least distance from strip to wall", serves="wall clearance"),
        at_least(
            "planned",
            58,
            "mm",
            "least distance that should be planned",
            serves="planned wall clearance",
        ),
    ),
)
