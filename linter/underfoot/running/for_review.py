"""A checked plan for the page, with the review that decisions made there are written into."""

import posixpath

from msgspec.structs import replace

from underfoot.checking.check import CheckedPlan
from underfoot.checking.content_hash import HashedRules, hash_content, with_rules
from underfoot.page import DrawnPlan, ReviewAtHand, draw_plan
from underfoot.reading.review_file import ReviewFile
from underfoot.reviewing.deciding import bring_up_to_date
from underfoot.reviewing.record import write_review
from underfoot.running.plan_files import STANDARD_INPUT
from underfoot.running.reviews import place_of_review


def draw_for_review(examined: CheckedPlan, rules: HashedRules) -> DrawnPlan:
    """Draw a plan with the review that belongs beside it, where it can be decided about."""
    drawn = draw_plan(examined)
    review = review_at_hand(examined, rules)
    if review is None:
        return drawn
    name = posixpath.basename(place_of_review(examined.report.path))
    at_hand = ReviewAtHand(name=name, plan=review.plan, text=write_review(review))
    return replace(drawn, review=at_hand)


def review_at_hand(examined: CheckedPlan, rules: HashedRules) -> ReviewFile | None:
    """Return the review of a plan, brought up to it as it stands.

    None where nothing can be decided: the plan could not be read, it lies in no file, not all
    rules were asked, one crashed, or the review beside it cannot be read.
    """
    report, plan = examined.report, examined.plan
    if plan is None or examined.settings is None or examined.source is None:
        return None
    if report.path == STANDARD_INPUT or report.asked is not None or report.faults:
        return None
    if examined.review is None and report.review is not None:
        return None
    content = with_rules(
        hash_content(examined.source, plan, examined.settings, examined.taken), rules
    )
    return bring_up_to_date(examined.review, posixpath.basename(report.path), content, report)
