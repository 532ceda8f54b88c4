"""A thermostat too high or too low on the wall."""

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    format_quantity,
)
from underfoot_rules.absent import NO_THERMOSTAT
from underfoot_rules.basis import common_practice
from underfoot_rules.thermostat.switching import list_thermostats


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Hold the height against the usual one, give or take."""
    thermostat = subject.payload.drawn.thermostat
    if thermostat is None:
        return NO_THERMOSTAT
    if thermostat.height is None:
        return CannotTell(
            why="the thermostat's height is not given",
            write="Write how high it hangs: `thermostat.height`.",
        )
    height, usual, within = thermostat.height, limits["height"], limits["within"]
    if not above(abs(height - usual), within):
        return None
    is_low = height < usual
    far = format_quantity(abs(height - usual), "mm", within)
    return Finding(
        message=f"The thermostat of room {subject.room} hangs at {{measured}}, {far} "
        f"{'below' if is_low else 'above'} the usual {format_quantity(usual, 'mm')}; "
        f"{'at least {limit} is needed' if is_low else 'at most {limit} is usual'}.",
        remedy=f"Hang it at {format_quantity(usual, 'mm')}, away from draughts, sun and other "
        "heat; where people in wheelchairs use it, the local accessibility rules set its height.",
        measured=height,
        least=usual - within if is_low else None,
        most=None if is_low else usual + within,
        limit_key="height",
    )


RULE = Rule(
    severities=("warning",),
    finds="a thermostat more than the tolerance away from the usual height",
    why="Too low it reads the floor's air and is knocked; too high nobody reads or reaches it.",
    unit="mm",
    basis=common_practice("local accessibility rules may set another height"),
    subjects=list_thermostats,
    check=check,
    limits=(
        Limit(
            key="height",
            default=1400,
            unit="mm",
            means="usual height of a thermostat above the floor",
            stricter=None,
        ),
        at_most("within", 100, "mm", "how far a thermostat may hang above or below it"),
    ),
)
