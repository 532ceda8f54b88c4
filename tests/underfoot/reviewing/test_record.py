"""A review written and read back is the same review, whatever its texts are."""

from hypothesis import given, settings
from hypothesis import strategies as st

from underfoot.reading.review_file import (
    ReviewedContent,
    ReviewFile,
    StatedDecision,
    StatedOverall,
    read_review,
)
from underfoot.reviewing.record import HEADER, write_review

HASH = f"sha256:{'0' * 64}"
CONTENT = ReviewedContent(plan=HASH, settings=HASH, rules=HASH, revision="P1")

texts = st.text(
    st.characters(exclude_categories=("Cs", "Cn", "Co")), min_size=1, max_size=30
)  # hostile ones among them: quotes, colons, hashes, marks that turn the reading direction
words = st.from_regex(r"[A-Za-z][A-Za-z0-9-]{0,8}", fullmatch=True) | st.sampled_from(
    ["true", "null", "no", "1e3", "~", "- x", "a: b", "a #b", "<script>", "\u202ex", '"', "'", "\\"]
)
measures = st.none() | st.tuples(
    st.floats(-1e9, 1e9, allow_nan=False), st.sampled_from(["mm", "%", "m2"])
)
findings = st.builds(
    StatedDecision,
    rule=words,
    severity=st.sampled_from(["error", "warning", "note"]),
    room=st.none() | words,
    items=st.lists(words, max_size=3).map(tuple),
    measured=measures,
    says=st.none() | texts,
    decision=st.sampled_from(["accepted", "to be mended", "question"]),
    reason=texts,
    by=texts,
    date=st.just("2026-10-01"),
    because=st.none(),
    note=st.none() | texts,
    comments=st.just({}),
)
overalls = st.builds(
    StatedOverall,
    decision=st.sampled_from(["no objection", "revise and resubmit"]),
    by=texts,
    date=st.just("2026-10-01"),
    reason=st.none() | texts,
    because=st.none(),
    note=st.none() | texts,
    comments=st.just({}),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(findings, max_size=3), st.none() | overalls, st.none() | texts)
def test_what_is_written_reads_back(
    found: list[StatedDecision], overall: StatedOverall | None, note: str | None
) -> None:
    review = ReviewFile(
        plan="hall.yaml", reviewed=CONTENT, overall=overall, findings=tuple(found), note=note
    )
    text = write_review(review)
    reading = read_review(text.encode(), "hall.review.yaml")
    assert reading.problems == ()
    assert reading.review is not None
    assert write_review(reading.review) == text
    back = reading.review
    assert (back.plan, back.reviewed, back.overall, back.note) == (
        review.plan,
        CONTENT,
        overall,
        note,
    )
    assert [(one.rule, one.items, one.measured, one.reason, one.note) for one in back.findings] == [
        (one.rule, one.items, one.measured, one.reason, one.note) for one in found
    ]


def test_own_header_is_written_once() -> None:
    text = write_review(ReviewFile(plan="hall.yaml", reviewed=CONTENT))
    reading = read_review(text.encode(), "hall.review.yaml")
    assert reading.review is not None
    assert write_review(reading.review).count(HEADER[0]) == 1


def test_a_day_that_no_calendar_has_is_refused() -> None:
    overall = StatedOverall(decision="no objection", by="x", date="2026-02-30")
    text = write_review(ReviewFile(plan="hall.yaml", reviewed=CONTENT, overall=overall))
    (problem,) = read_review(text.encode(), "hall.review.yaml").problems
    assert (problem.path, problem.message) == (
        "overall.date",
        "`date`: there is no day `2026-02-30`",
    )
