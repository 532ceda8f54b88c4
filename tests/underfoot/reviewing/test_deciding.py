"""What may be decided about a plan, by whom, and what a review at hand is brought up to."""

from datetime import date

import pytest
from msgspec.structs import replace

from tests.demo_plans import PLANS
from tests.there import there
from underfoot import __version__
from underfoot.checking.check import CheckedPlan, examine, make_checker
from underfoot.checking.content_hash import hash_rules
from underfoot.checking.report import ReviewUsed, RuleFault, RulesAsked
from underfoot.checking.settings import default_settings
from underfoot.reading.problem import Problem
from underfoot.reading.review_file import ReviewFile
from underfoot.reviewing.deciding import DecisionError, OverallWish, Wish, decide_all
from underfoot.running.for_review import draw_for_review, review_at_hand
from underfoot_rules import STANDARD

DAY = "2026-11-29"
RULES = hash_rules([STANDARD], __version__)


@pytest.fixture(scope="module")
def study() -> CheckedPlan:
    bench = make_checker([STANDARD], default_settings(STANDARD.rules), date(2026, 11, 29))
    source = (PLANS / "study.yaml").read_bytes()
    return examine(source, bench, path="plans/study.yaml", folder=PLANS)


@pytest.fixture(scope="module")
def review(study: CheckedPlan) -> ReviewFile:
    return there(review_at_hand(study, RULES))


def test_a_review_begins_with_every_finding_open(study: CheckedPlan, review: ReviewFile) -> None:
    assert review.plan == "study.yaml"
    assert [each.rule for each in review.findings] == [each.rule for each in study.report.findings]
    assert {each.decision for each in review.findings} == {None}
    assert review.overall is None


def test_a_review_that_is_there_is_carried_over(study: CheckedPlan, review: ReviewFile) -> None:
    wish = Wish(places=(0,), decision="accepted", reason="seen on site", by="Ann")
    decided = decide_all(review, study.report, [wish], None, DAY)
    again = there(review_at_hand(replace(study, review=decided), RULES))
    assert [each.decision for each in again.findings] == [
        each.decision for each in decided.findings
    ]
    assert again.findings[0].reason == "seen on site"


def test_nothing_is_decided_about_what_was_not_checked_whole(study: CheckedPlan) -> None:
    def with_report(**changes: object) -> CheckedPlan:
        return replace(study, report=replace(study.report, **changes))  # type: ignore[arg-type]

    broken = ReviewUsed(file="study.review.yaml", problems=(Problem(message="no"),))
    for plan in (
        replace(study, facts=None),
        replace(study, settings=None),
        replace(study, source=None),
        with_report(path="-"),
        with_report(asked=RulesAsked(rules=("rcd",), of=105)),
        with_report(faults=(RuleFault(rule="rcd", message="x"),)),
        with_report(review=broken),
    ):
        assert review_at_hand(plan, RULES) is None


def test_the_page_has_the_review_where_it_can_be_decided(study: CheckedPlan) -> None:
    at_hand = there(draw_for_review(study, RULES).review)
    assert (at_hand.name, at_hand.plan) == ("study.review.yaml", "study.yaml")
    assert "review_format: 1" in at_hand.text
    assert draw_for_review(replace(study, source=None), RULES).review is None


def test_decisions_are_taken_by_place_and_can_be_taken_back(
    study: CheckedPlan, review: ReviewFile
) -> None:
    last = len(review.findings) - 1
    first = Wish(places=(0, last), decision="question", reason="which wall?", by="Ann")
    decided = decide_all(review, study.report, [first], None, DAY)
    told = [(each.decision, each.reason, each.by, each.date) for each in decided.findings]
    said = ("question", "which wall?", "Ann", DAY)
    assert (told[0], told[last]) == (said, said)
    assert set(told[1:last]) == {(None, None, None, None)}
    back = decide_all(decided, study.report, [Wish(places=(0,), decision="open")], None, DAY)
    assert (back.findings[0].decision, back.findings[last].decision) == (None, "question")


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (Wish(places=(0,), decision="shrug", reason="r", by="b"), "no decision 'shrug'"),
        (Wish(places=(-1,), decision="open"), "no such finding"),
        (Wish(places=(0, 999), decision="open"), "no such finding"),
        (Wish(places=(0,), decision="accepted", reason="r"), "needs the name"),
        (Wish(places=(0,), decision="accepted", reason="r", by=" "), "needs the name"),
        (Wish(places=(0,), decision="accepted", by="b"), "needs a reason"),
        (Wish(places=(0,), decision="accepted", by="b", reason=" \n"), "needs a reason"),
    ],
)
def test_a_decision_that_cannot_stand_is_refused(
    study: CheckedPlan, review: ReviewFile, wish: Wish, said: str
) -> None:
    with pytest.raises(DecisionError, match=said):
        decide_all(review, study.report, [wish], None, DAY)


def test_the_place_after_the_last_is_no_finding(study: CheckedPlan, review: ReviewFile) -> None:
    wish = Wish(places=(len(review.findings),), decision="open")
    with pytest.raises(DecisionError, match="no such finding"):
        decide_all(review, study.report, [wish], None, DAY)


def test_who_is_laxer_than_the_check_says_why(study: CheckedPlan, review: ReviewFile) -> None:
    def decide(decision: str, reason: str | None = None, by: str = "Ann") -> ReviewFile:
        overall = OverallWish(decision=decision, by=by, reason=reason)
        return decide_all(review, study.report, [], overall, DAY)

    assert study.report.verdict == "revise and resubmit"
    told = there(decide("revise and resubmit").overall)
    assert (told.decision, told.by, told.date) == ("revise and resubmit", "Ann", DAY)
    with pytest.raises(DecisionError, match="say by a reason"):
        decide("no objection")
    assert there(decide("no objection", "as built otherwise").overall).reason
    with pytest.raises(DecisionError, match="needs the name"):
        decide("revise and resubmit", by="")
    for unknown in ("unreadable", "fine"):
        with pytest.raises(DecisionError, match="about a whole plan"):
            decide(unknown)
