"""What somebody wants decided about a plan, and the review that comes of it.

The command, the desk and the page that is read by itself all decide by this.
"""

from collections.abc import Sequence

from msgspec import Struct

from underfoot.checking.decisions import (
    DECISIONS,
    OPEN,
    carry_over,
    decide,
    decide_overall,
    start_review,
)
from underfoot.checking.report import GRAVITY, UNREADABLE, PlanReport, is_laxer
from underfoot.reading.review_file import ReviewedContent, ReviewFile

OVERALL = tuple(verdict for verdict in GRAVITY if verdict != UNREADABLE)


class DecisionError(ValueError):
    """Says in plain words why something cannot be decided so."""


class Wish(Struct, frozen=True, kw_only=True):
    """A decision about the findings at these places of the report; ``open`` takes one back."""

    places: tuple[int, ...]
    decision: str
    reason: str | None = None
    by: str | None = None


class OverallWish(Struct, frozen=True, kw_only=True):
    """A decision about the whole plan."""

    decision: str
    by: str
    reason: str | None = None


def bring_up_to_date(
    before: ReviewFile | None, plan: str, content: ReviewedContent, report: PlanReport
) -> ReviewFile:
    """Start the review of a plan, or carry the one that is there over to the plan as it is now.

    `plan` is the name of the plan's file.
    """
    if before is None:
        return start_review(plan, content, report)
    return carry_over(before, content, report)


def decide_all(
    review: ReviewFile,
    report: PlanReport,
    wishes: Sequence[Wish],
    overall: OverallWish | None,
    day: str,
) -> ReviewFile:
    """Write what was decided into a review that is up to date.

    DecisionError where a name or a reason is missing, and nothing is decided then.
    """
    for wish in wishes:
        if wish.decision not in (*DECISIONS, OPEN):
            raise DecisionError(f"there is no decision {wish.decision!r}")
        if any(not 0 <= place < len(review.findings) for place in wish.places):
            raise DecisionError("there is no such finding")
        if wish.decision != OPEN:
            _demand(wish.by, "a decision needs the name of whoever decides")
            _demand(wish.reason, "a decision needs a reason")
        review = decide(review, wish.places, wish.decision, reason=wish.reason, by=wish.by, day=day)
    if overall is None:
        return review
    if overall.decision not in OVERALL:
        raise DecisionError(f"there is no decision {overall.decision!r} about a whole plan")
    _demand(overall.by, "a decision needs the name of whoever decides")
    if is_laxer(overall.decision, report.verdict):
        _demand(
            overall.reason,
            f"the check says {report.verdict!r}: say by a reason why you decide otherwise",
        )
    return decide_overall(review, overall.decision, reason=overall.reason, by=overall.by, day=day)


def _demand(text: str | None, why: str) -> None:
    if text is None or not text.strip():
        raise DecisionError(why)
