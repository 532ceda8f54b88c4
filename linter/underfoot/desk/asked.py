"""What the page asks to be written, and what comes of it: the review as `underfoot review` has it.

Whoever decides has looked at one state of the plan and of its review; both must still be so.
"""

from pathlib import Path
from typing import Annotated

from msgspec import Meta, Struct

from underfoot.desk.board import Board, Held
from underfoot.desk.mends import Offered
from underfoot.desk.replacing import CannotWriteError, ChangedError, hash_at, replace_unchanged
from underfoot.reviewing.deciding import DecisionError, OverallWish, Wish, decide_all
from underfoot.reviewing.record import write_review
from underfoot.running.reviews import place_of_review

Line = Annotated[str, Meta(max_length=2000)]

_CHANGED = (
    "{what} has changed meanwhile; nothing was written. This page follows in a moment: look again, "
    "then decide."
)


class RefusedError(Exception):
    """Says why nothing was written; `status` as HTTP has it."""

    def __init__(self, status: int, why: str) -> None:
        super().__init__(why)
        self.status = status
        self.why = why


class State(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the page showed: which plan of which edition, and the hashes that it was made from."""

    edition: int
    plan: int
    plan_hash: Line
    review_hash: Line


class Decided(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A decision about the finding of a number, or where there is none about the whole plan."""

    state: State
    decision: Line
    finding: int | None = None
    reason: Line = ""
    by: Line = ""


class Looked(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The mends of the finding of a number are to be looked at."""

    state: State
    finding: int


class Mended(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Of the mends of a finding that were looked at, the one at a place is to be made."""

    state: State
    finding: int
    mend: int


def find_asked(board: Board, state: State) -> Held:
    """Find the plan that the page showed; RefusedError where it shows another state by now."""
    if state.edition != board.edition or not 1 <= state.plan <= len(board.held):
        raise RefusedError(409, _CHANGED.format(what="What is at the desk"))
    held = board.held[state.plan - 1]
    found = held.found
    if found is None or found.plan_hash != state.plan_hash:
        raise RefusedError(409, _CHANGED.format(what="The plan"))
    if found.review_hash != state.review_hash:
        raise RefusedError(409, _CHANGED.format(what="The review"))
    return held


def decide_at_desk(board: Board, asked: Decided, day: str, root: Path) -> None:
    """Write a decision into the review beside its plan; RefusedError where that cannot be."""
    held = find_asked(board, asked.state)
    found = held.found
    assert found is not None
    if found.review is None:
        raise RefusedError(422, "Nothing can be decided about this plan as it is.")
    report = found.drawn.report
    by, reason = asked.by.strip() or None, asked.reason.strip() or None
    wishes: list[Wish] = []
    overall = None
    if asked.finding is None:
        overall = OverallWish(decision=asked.decision, by=by or "", reason=reason)
    else:
        places = [at for at, one in enumerate(report.findings) if one.number == asked.finding]
        wish = Wish(places=tuple(places) or (-1,), decision=asked.decision, reason=reason, by=by)
        wishes.append(wish)
    try:
        after = decide_all(found.review, report, wishes, overall, day)
    except DecisionError as error:
        said = str(error)
        raise RefusedError(422, f"{said[0].upper()}{said[1:]}.") from None
    place = held.file.lies
    if hash_at(place) != found.plan_hash:
        raise RefusedError(409, _CHANGED.format(what="The plan"))
    write_at_desk(
        place_of_review(place), write_review(after).encode(), found.review_hash, root, "The review"
    )


def write_at_desk(place: str, text: bytes, before: str, root: Path, what: str) -> None:
    """Put a file where it was; RefusedError where it has changed or cannot be written."""
    try:
        replace_unchanged(place, text, before, root)
    except ChangedError:
        raise RefusedError(409, _CHANGED.format(what=what)) from None
    except CannotWriteError as error:
        raise RefusedError(422, f"{what} cannot be written: {error}.") from None


def mend_at_desk(board: Board, asked: Mended, offered: Offered | None, root: Path) -> None:
    """Write a plan as mended; RefusedError where it or what was offered is no longer so."""
    held = find_asked(board, asked.state)
    if offered is None or offered.plan_hash != asked.state.plan_hash:
        raise RefusedError(409, "This mend is no longer at hand: look for it again.")
    if not 0 <= asked.mend < len(offered.mends):
        raise RefusedError(422, "There is no such mend.")
    text = offered.mends[asked.mend].text
    write_at_desk(held.file.lies, text, offered.plan_hash, root, "The plan")
