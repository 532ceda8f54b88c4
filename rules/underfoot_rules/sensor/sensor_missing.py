"""A heated room without a floor sensor."""

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import Finding, Limits, Rule, Subject
from underfoot_rules.basis import common_practice
from underfoot_rules.sensor.sensor_advice import advise_place


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | None:
    """Find no sensor; offer the deepest place in the heated floor."""
    room = subject.payload
    if room.drawn.sensor is not None:
        return None
    advice = advise_place(facts, room, "Draw one at")
    return Finding(
        message=f"Room {room.id} has strips but no floor sensor; a floor limit needs one.",
        remedy=advice.says,
        offer=advice.offer,
    )


RULE = Rule(
    finds="a room with strips and no floor sensor",
    why="Without a floor sensor nothing holds the floor below what covering and film can bear.",
    basis=common_practice("a floor limit needs a floor sensor"),
    subjects=each_room,
    check=check,
    protects_life=True,
)
