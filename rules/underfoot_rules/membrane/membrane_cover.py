"""Floor that the vapour barrier leaves open."""

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, at_most
from underfoot_rules import not_given
from underfoot_rules.absent import NO_MEMBRANE
from underfoot_rules.bare_floor import find_bare_floor
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.membrane.sheet_laps import runs_cover_floor


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the share of the floor that no sheet covers."""
    room = subject.payload
    membrane = room.drawn.membrane
    if membrane is None:
        return NO_MEMBRANE
    if not (membrane.runs or membrane.pieces):
        return not_given.SHEETS
    if runs_cover_floor(membrane):
        return None
    if room.sheets.unlaid:
        return not_given.SHEET
    return find_bare_floor(
        room,
        room.sheets.together,
        limits["tolerance"],
        leaves="The membrane leaves {measured} of the floor uncovered",
        remedy="Draw further sheets, or longer ones, until the whole floor lies under membrane.",
        path=membrane.path,
    )


RULE = Rule(
    finds="floor that does not lie under the membrane",
    why="Damp needs only one gap to reach live film and the back of a wooden floor.",
    unit="%",
    basis=COMMON_PRACTICE,
    subjects=each_room,
    check=check,
    limits=(at_most("tolerance", 0.1, "%", "share of the floor that may lie bare"),),
    electrical=True,
    protects_life=True,
)
