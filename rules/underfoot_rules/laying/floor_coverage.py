"""A room of which too little is heated."""

from underfoot.api.facts import Facts, RoomFacts, each_room, measure_coverage
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    at_least,
    below,
    format_at_least,
    format_quantity,
)
from underfoot_rules.basis import own_default


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the heated share of the floor that strips may reach."""
    room = subject.payload
    found = measure_coverage(
        room,
        limits.of("wall-clearance")["minimum"],
        limits.of("fixture-clearance")["minimum"],
        limits.of("covered-floor")["clear"],
    )
    if not found.reachable_m2:
        return CannotTell(
            why="walls and fixtures leave no floor that strips may cover",
            write="Draw the `outline` and the `fixtures` as they are.",
        )
    least = limits["least"]
    if not below(found.share, least):
        return None
    more_m2 = (least - found.share) / 100 * found.reachable_m2
    return Finding(
        message=f"The strips of {room.id} heat {{measured}} of the floor that they may cover "
        f"({format_quantity(found.reachable_m2, 'm2')}); at least {{limit}} is needed.",
        remedy=f"Lay at least {format_at_least(more_m2, 'm2')} more strip where the floor stays "
        "cold, or agree with the client which part may.",
        measured=found.share,
        least=least,
        limit_key="least",
        shape=found.cold,
        is_cold=True,
    )


RULE = Rule(
    severities=("warning",),
    finds="a room whose strips heat too small a share of the floor that they may cover",
    why="What no strip covers stays cold, and the rest must make up for it.",
    unit="%",
    basis=own_default("what is not covered stays cold"),
    subjects=each_room,
    check=check,
    limits=(at_least("least", 80, "%", "least heated share of the floor"),),
)
