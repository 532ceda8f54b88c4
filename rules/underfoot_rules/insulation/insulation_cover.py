"""Floor that the lowest layer of insulation leaves bare."""

import shapely

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.plan import Pieces
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, at_most
from underfoot_rules import not_given
from underfoot_rules.absent import NO_INSULATION
from underfoot_rules.bare_floor import find_bare_floor
from underfoot_rules.basis import common_practice


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the share of the floor that no board of the lowest layer covers."""
    room = subject.payload
    insulation = room.drawn.insulation
    if insulation is None:
        return NO_INSULATION
    if not insulation.layers:
        return not_given.LAYERS
    lowest = insulation.layers[0]
    if isinstance(lowest, Pieces):
        cover = room.boards[0].together
    elif lowest.over is not None:
        cover = shapely.Polygon(lowest.over)
    else:  # courses over the whole outline are cut at its walls
        return None
    return find_bare_floor(
        room,
        cover,
        limits["tolerance"],
        leaves="The lowest layer of insulation leaves {measured} of the floor bare",
        remedy="Draw further boards until the whole floor is covered, where no strip lies too; an "
        "off-cut will do.",
        path=insulation.path,
    )


RULE = Rule(
    finds="floor without insulation in the lowest layer, heated or not",
    why="A step at the boards' edge breaks film and covering, and bare floor draws the heat off.",
    unit="%",
    basis=common_practice("boards make one even bed from wall to wall"),
    subjects=each_room,
    check=check,
    limits=(at_most("tolerance", 0.1, "%", "share of the floor that may lie bare"),),
)
