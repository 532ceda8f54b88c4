"""Puts right how strips lie: moved, straight, turned about, cut or left out, in that order."""

from collections.abc import Iterator

from underfoot.api.rules import Mender, Proposal, ToMend
from underfoot_rules.menders.cuts import list_cuts, propose_cut, turn_lengths
from underfoot_rules.menders.laid import is_cut, is_laid
from underfoot_rules.menders.layout import MOST_STRIPS
from underfoot_rules.menders.left_out import leave_strip_out
from underfoot_rules.menders.rows import list_moves, propose_move
from underfoot_rules.menders.straight import lay_straight

# Moves that bring something along are proposed so many.
_MOST = 2


def lay_right(found: ToMend) -> Iterator[Proposal]:
    """Propose to move strips; where no move is clear of leads as well, what else would do."""
    facts, room = found.facts, found.room_facts
    if is_laid(facts, room.id) or len(room.elements) > MOST_STRIPS:
        return
    if all(name not in room.place_of for name in found.items):
        return
    if found.rule != "strip-gap":
        yield from lay_straight(found)
    moves = [] if found.rule == "covered-floor" else list_moves(found)
    if moves and not moves[0].brings:
        yield propose_move(found, moves[0])
        return
    may_cut = not is_cut(facts, room.id) and found.rule != "strip-gap"
    if may_cut and found.rule == "fixture-clearance":
        yield from turn_lengths(found)
    cuts = list_cuts(found) if may_cut else []
    if cuts and not cuts[0].brings:
        yield propose_cut(found, cuts[0].strip)
        return
    for move in moves[:_MOST]:
        yield propose_move(found, move)
    for cut in cuts[:1]:
        yield propose_cut(found, cut.strip)
    if may_cut and not moves:
        yield from leave_strip_out(found)


MENDERS = tuple(
    Mender(rule=rule, propose=lay_right)
    for rule in (
        "wall-clearance",
        "element-outside-room",
        "element-overlap",
        "fixture-clearance",
        "covered-floor",
        "joint-crossing",
        "strip-gap",
        "threshold-fixing",
    )
)
