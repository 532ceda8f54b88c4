"""Cuts the sensor's channel as wide and as deep as its conduit asks."""

from collections.abc import Iterator

from underfoot.api.facts import find_insulation_below
from underfoot.api.rules import CannotTell, Mender, Proposal, ToMend, above, below, format_quantity
from underfoot_rules.menders.laid import is_laid
from underfoot_rules.menders.written import Path, change, look_up, write_length
from underfoot_rules.sensor.sensor_channel import DIMENSIONS


def cut_channel(found: ToMend) -> Iterator[Proposal]:
    """Propose the least channel for the conduit; into the subfloor where the boards are too thin.

    A channel deeper than both its conduit and the boards is cut no deeper than the boards first.
    """
    room = found.room_facts
    sensor = room.drawn.sensor
    if sensor is None or sensor.channel is None or is_laid(found.facts, room.id):
        return
    channel, conduit = sensor.channel, sensor.conduit
    path: Path = ("rooms", room.id, "sensor", "channel")
    limits = found.facts.limits["sensor-channel"]
    edits, said = [], []
    for key in DIMENSIONS:
        has = getattr(channel, key)
        least = max(limits[key], (None if conduit is None else getattr(conduit, key)) or 0.0)
        if has is not None and below(has, least):
            old = look_up(found.data, (*path, key))
            edits.append(change(found.data, (*path, key), write_length(least, old)))
            said.append(f"{format_quantity(least, 'mm')} {'wide' if key == 'width' else 'deep'}")
    if edits:
        yield Proposal(says=f"Cut the sensor's channel {' and '.join(said)}.", edits=tuple(edits))
        return
    boards = find_insulation_below(room, room.sensor_way)
    deepest = max(each.depth or 0.0 for each in (channel, conduit) if each is not None)
    if isinstance(boards, CannotTell) or not above(deepest, boards):
        return
    least = max(limits["depth"], (None if conduit is None else conduit.depth) or 0.0)
    if not above(least, boards) and channel.depth is not None:
        old = look_up(found.data, (*path, "depth"))
        yield Proposal(
            says=f"Cut the sensor's channel no deeper than {format_quantity(least, 'mm')}.",
            edits=(change(found.data, (*path, "depth"), write_length(least, old)),),
        )
    yield Proposal(
        says=f"Cut the last {format_quantity(deepest - boards, 'mm')} of the sensor's channel into "
        "the subfloor, and say so: `cut_into: subfloor`.",
        edits=(change(found.data, (*path, "cut_into"), "subfloor"),),
    )


MENDERS = (Mender(rule="sensor-channel", propose=cut_channel),)
