"""The review beside a plan: where it is, and what it says in the plan's report."""

import os

from msgspec.structs import replace

from underfoot.checking.check import CheckedPlan
from underfoot.checking.report import PlanReport

ENDING = ".review.yaml"


def place_of_review(plan: str) -> str:
    """Return the place of a plan's review file: ``hall.yaml`` -> ``hall.review.yaml``."""
    stem, ending = os.path.splitext(plan)
    return (stem if ending.lower() in (".yaml", ".yml") else plan) + ENDING


def add_review(examined: CheckedPlan, source: bytes, place: str, shown: str) -> CheckedPlan:
    """Add what the review beside a plan says of it; without a review nothing changes."""
    beside = place_of_review(place)
    if examined.plan is None or examined.settings is None or not os.path.isfile(beside):
        return examined
    from underfoot.checking.content_hash import find_changes, hash_content
    from underfoot.checking.decisions import show_broken_review, show_decisions
    from underfoot.reading.problem import Problem
    from underfoot.reading.review_file import read_review
    from underfoot.reading.source_text import MOST_BYTES

    name = place_of_review(shown)
    report = examined.report
    try:
        with open(beside, "rb") as stream:
            beside_it = stream.read(MOST_BYTES + 1)
    except OSError as error:
        problem = Problem(message=f"it cannot be opened: {error.strerror or error}", file=name)
        return replace(examined, report=show_broken_review(report, name, (problem,)))
    reading = read_review(beside_it, name)
    review = reading.review
    if review is None:
        shown_report = show_broken_review(report, name, reading.problems)
        return replace(examined, report=shown_report, review_source=beside_it)
    if review.plan != os.path.basename(place):
        problem = Problem(message=f"it is about another plan, {review.plan}", file=name)
        shown_report = show_broken_review(report, name, (problem,))
        return replace(examined, report=shown_report, review_source=beside_it)
    content = hash_content(source, examined.plan, examined.settings, examined.taken)
    changed = find_changes(review.reviewed, content)
    shown_report = show_decisions(report, review, name, changed)
    return replace(
        examined, report=_keep_asked(shown_report), review=review, review_source=beside_it
    )


def _keep_asked(report: PlanReport) -> PlanReport:
    """Of what was decided about and is not found, keep what was asked for."""
    if report.asked is None or report.review is None:
        return report
    gone = tuple(each for each in report.review.no_longer_found if each[0] in report.asked.rules)
    return replace(report, review=replace(report.review, no_longer_found=gone))
