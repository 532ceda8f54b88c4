"""What a room needs of its floor, for a laying that heats no more than that."""

from msgspec import Struct

from underfoot.checking.assuming import NothingTakenError, gather_assumptions
from underfoot.checking.engine import RuleFinding
from underfoot.checking.facts.heat_loss import find_heat_loss
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.facts.stack import build_stacks
from underfoot.checking.finding import CannotTell
from underfoot.checking.settings import Settings


class Demand(Struct, frozen=True, kw_only=True):
    """What a room needs of its floor, W; or `unknown` says why that is not known.

    `against` is what the rules would have against a little less than what was laid.
    """

    needed_w: float = 0.0
    most_m2: float = 0.0
    against: tuple[RuleFinding, ...] = ()
    unknown: str = ""


def ask_demand(room: RoomFacts, settings: Settings) -> float | str:
    """Return what a laid room loses and no other heater gives, W; in words why it is not known.

    What the floor gives must be known, too: without that no rule would miss any of it.
    """
    try:
        assumed = gather_assumptions(settings)
    except NothingTakenError as error:
        return f"no rule in use says what is taken for {error}"
    loss = find_heat_loss(room, assumed)
    if isinstance(loss, CannotTell):
        return loss.why
    for stack in build_stacks(room, assumed):
        if isinstance(stack, CannotTell):
            return stack.why
        if not stack.whole:
            return "the subfloor's layers are not given (`subfloor.layers`)"
    return max(0.0, loss.loss_w - (room.drawn.other_heat_w or 0.0))
