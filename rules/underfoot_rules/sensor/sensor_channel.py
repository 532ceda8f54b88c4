"""A channel too small for the sensor's conduit, or deeper than the insulation."""

from underfoot.api.facts import Facts, RoomFacts, each_room, find_insulation_below
from underfoot.api.plan import Cutout, Sensor
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_least,
    below,
    format_at_least,
    format_quantity,
    join_names,
)
from underfoot_rules.absent import NO_SENSOR
from underfoot_rules.basis import COMMON_PRACTICE

DIMENSIONS = ("width", "depth")


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the channel with what is asked for, with its conduit and with the insulation."""
    room = subject.payload
    sensor = room.drawn.sensor
    if sensor is None:
        return NO_SENSOR
    channel = sensor.channel
    if channel is None:
        return CannotTell(
            why="the sensor's channel is not given",
            write="Write its `sensor.channel`: width, depth and what it is cut into.",
        )
    for key in DIMENSIONS:
        finding = _too_small(sensor, channel, key, limits)
        if finding is not None:
            return finding
    missing = [
        f"the {key} of the sensor's {what}"
        for what, section in (("channel", channel), ("conduit", sensor.conduit))
        for key in DIMENSIONS
        if section is not None and getattr(section, key) is None
    ]
    too_deep = _too_deep(room, sensor, channel)
    if isinstance(too_deep, Finding):
        return too_deep
    if sensor.conduit is None:
        missing.append("the sensor's conduit")
    if missing:
        return CannotTell(
            why=f"{join_names(missing)} {'is' if len(missing) == 1 else 'are'} not given",
            write="Write `width` and `depth` of the `channel` and of the `conduit`.",
        )
    return too_deep


def _too_small(sensor: Sensor, channel: Cutout, key: str, limits: Limits) -> Finding | None:
    has = getattr(channel, key)
    conduit = None if sensor.conduit is None else getattr(sensor.conduit, key)
    least = max(limits[key], conduit or 0.0)
    if has is None or not below(has, least):
        return None
    by_conduit = least > limits[key]
    for_what = "to take its conduit flush" if by_conduit else "for a sensor's conduit"
    adjective, verb = ("wide", "Cut it to") if key == "width" else ("deep", "Cut it")
    return Finding(
        message=f"The sensor's channel is {{measured}} {adjective}; {for_what} it must be at least "
        "{limit}.",
        remedy=f"{verb} {{limit}} {adjective}"
        + (", or take a smaller conduit." if by_conduit and has >= limits[key] else "."),
        measured=has,
        least=least,
        limit_key=None if by_conduit else key,
        path=sensor.path,
    )


def _too_deep(room: RoomFacts, sensor: Sensor, channel: Cutout) -> Finding | CannotTell | None:
    depths = [each.depth for each in (channel, sensor.conduit) if each is not None]
    deepest = max((depth for depth in depths if depth is not None), default=None)
    if channel.cut_into == "subfloor" or deepest is None:
        return None
    if room.drawn.insulation is None:
        return CannotTell(
            why="there is no insulation that the channel could be cut into",
            write="Draw the room's `insulation`, or write what the channel is `cut_into`.",
        )
    thickness = find_insulation_below(room, room.sensor_way)
    if isinstance(thickness, CannotTell):
        return thickness
    if not above(deepest, thickness):
        return None
    conduit = sensor.conduit.depth if sensor.conduit is not None else None
    if channel.cut_into == "insulation" and conduit is not None and above(conduit, thickness):
        return Finding(
            message="The sensor's conduit is {measured} deep, and the insulation that its channel "
            "is cut into only {limit}: it stands proud and lifts the strip.",
            remedy=f"Cut the last {format_at_least(conduit - thickness, 'mm')} into the subfloor "
            "and say so (cut_into: subfloor), take a smaller conduit, or lay thicker insulation.",
            measured=conduit,
            most=thickness,
            path=sensor.path,
        )
    return Finding(
        message=f"The sensor's {'channel' if channel.depth == deepest else 'conduit'} is "
        "{measured} deep, deeper than the insulation it runs in ({limit}), and is not said to be "
        "cut into the subfloor.",
        remedy=f"Cut the last {format_quantity(deepest - thickness, 'mm')} into the subfloor and "
        "say so (cut_into: subfloor), or lay thicker insulation.",
        measured=deepest,
        most=thickness,
        severity="note",
        path=sensor.path,
    )


RULE = Rule(
    severities=("warning", "note"),
    finds="a sensor channel too small for its conduit, or deeper than the insulation",
    why="A conduit that stands proud lifts the strip; one that is jammed keeps a dead sensor in.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=each_room,
    check=check,
    limits=(
        at_least("width", 13, "mm", "least width of the channel"),
        at_least("depth", 7, "mm", "least depth of the channel"),
    ),
)
