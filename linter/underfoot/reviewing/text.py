"""What stands in a review, as text and as JSON; and whether a plan is the one reviewed."""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from underfoot.checking.caution import CAUTION
from underfoot.checking.content_hash import PARTS
from underfoot.reading.review_file import ReviewedContent, ReviewFile, StatedDecision
from underfoot.reporting.ink import PLAIN, Ink, paint
from underfoot.reporting.json import encode, fields_of
from underfoot.reporting.layout import WIDTH, both_ends, count_of, hanging_indent, wrap
from underfoot.reporting.phrases import say_about

REVIEW_JSON_FORMAT = 1
# How a review stands after a run.
STARTED, UPDATED, UNCHANGED = "started", "brought up to date", "as it was"


def count_decisions(review: ReviewFile) -> dict[str, int]:
    """Count the findings by what was decided, those that are open too."""
    counts = Counter(each.decision or "open" for each in review.findings)
    return {word: counts[word] for word in ("accepted", "to be mended", "question", "open")}


def say_decided(review: ReviewFile) -> str:
    """Say how many findings were decided, and how."""
    if not review.findings:
        return "no findings"
    counts = count_decisions(review)
    said = [f"{number} {word}" for word, number in counts.items() if number]
    return f"{count_of(len(review.findings), 'finding')}: {', '.join(said)}"


def write_review_text(
    review: ReviewFile,
    place: str,
    state: str,
    lapsed: Sequence[StatedDecision],
    *,
    width: int = WIDTH,
    ink: Ink = PLAIN,
) -> Iterator[str]:
    """Write what is decided and what is open; `lapsed` are the decisions that went this time."""
    lines = [*both_ends(place, state, width), *wrap(say_decided(review), width)]
    overall = review.overall
    said = "not decided"
    if overall is not None:
        said = f"{overall.decision}{_reason(overall.reason)} ({overall.by}, {overall.date})"
    lines += hanging_indent("Overall  ", said, width)
    margin = len(str(len(review.findings))) + 1
    for number, stated in enumerate(review.findings, 1):
        lines += ["", *_finding(number, stated, margin, width, ink)]
    if lapsed:
        lines += ["", paint("NO LONGER APPLIES", ink.strong, ink)]
        for stated in lapsed:
            about = f"{stated.rule} · {say_about(stated)}: {stated.because}"
            lines += hanging_indent("  ", about, width, 6)
            if stated.decision is not None:
                lines += hanging_indent("      ", f"was {_said(stated)}", width)
    lines += ["", *hanging_indent("CAUTION  ", CAUTION, width)]
    yield "\n".join(lines) + "\n"


def _finding(number: int, stated: StatedDecision, margin: int, width: int, ink: Ink) -> list[str]:
    first = f"{number:>{margin}}  "
    blank = " " * len(first)
    left = f"{stated.severity.upper()}  {say_about(stated)}"
    head, *more = both_ends(left, stated.rule, width - len(first))
    lines = [first + head, *(blank + line for line in more)]
    if stated.says:
        lines += hanging_indent(blank, stated.says, width)
    if stated.decision is None:
        lines.append(blank + paint("open", ink.warning, ink))
    else:
        lines += hanging_indent(blank, _said(stated), width)
    if stated.note:
        lines += hanging_indent(f"{blank}Note  ", stated.note, width)
    return lines


def _said(stated: StatedDecision) -> str:
    return f"{stated.decision}{_reason(stated.reason)} ({stated.by}, {stated.date})"


def _reason(reason: str | None) -> str:
    return f": {reason}" if reason else ""


def write_verified_text(
    place: str, then: ReviewedContent, now: ReviewedContent, changed: Sequence[str], width: int
) -> Iterator[str]:
    """Say whether the plan at hand is the one that was reviewed, part by part."""
    if changed:
        said = f"The plan at hand is not the one that was reviewed in {place}."
    else:
        said = f"The plan at hand is the one that was reviewed in {place}."
    lines = [*wrap(said, width)]
    for part in PARTS:
        if part == "catalogue" and then.catalogue is now.catalogue is None:
            state = "none, as then"
        elif part not in changed:
            state = "the same"
        else:
            state = _how_changed(part, then, now)
        lines += hanging_indent(f"  {part:<11}", state, width)
    lines += hanging_indent("CAUTION  ", CAUTION, width)
    yield "\n".join(lines) + "\n"


def _how_changed(part: str, then: ReviewedContent, now: ReviewedContent) -> str:
    if part == "plan" and then.revision != now.revision:
        was, is_now = then.revision or "none", now.revision or "none"
        return f"changed: revision {was} was reviewed, this is revision {is_now}"
    if part == "catalogue" and (then.catalogue is None or now.catalogue is None):
        return "changed: there was none" if then.catalogue is None else "changed: there is none now"
    if part == "rules" and then.checked_with != now.checked_with:
        return f"changed: reviewed with {then.checked_with}, this is {now.checked_with}"
    return "changed"


def write_verified_json(
    place: str, then: ReviewedContent, now: ReviewedContent, changed: Sequence[str]
) -> Iterator[str]:
    """Write the answer as JSON."""
    yield _document(
        {
            "review": place,
            "is_the_one_reviewed": not changed,
            "changed": list(changed),
            "reviewed": _content(then),
            "at_hand": _content(now),
        }
    )


def write_review_json(
    review: ReviewFile, place: str, state: str, lapsed: Sequence[StatedDecision]
) -> Iterator[str]:
    """Write the review as JSON."""
    overall = review.overall
    yield _document(
        {
            "review": place,
            "state": state,
            "plan": review.plan,
            "counts": count_decisions(review),
            "overall": None
            if overall is None
            else {
                **fields_of(overall, "decision", "reason", "by", "date"),
            },
            "reviewed": _content(review.reviewed),
            "findings": [_row(each) for each in review.findings],
            "lapsed": [{**_row(each), "because": each.because} for each in lapsed],
        }
    )


def _document(values: dict[str, Any]) -> str:
    head = {"review_json_format": REVIEW_JSON_FORMAT, "caution": CAUTION, **values}
    rows = ",\n".join(f"{encode(key)}: {encode(value)}" for key, value in head.items())
    return f"{{\n{rows}\n}}\n"


def _content(content: ReviewedContent) -> dict[str, str | None]:
    return {
        **fields_of(content, "revision", "plan", "catalogue", "settings"),
        "rules": content.rules or None,
        "checked_with": content.checked_with,
    }


def _row(stated: StatedDecision) -> dict[str, Any]:
    return {
        **fields_of(stated, "rule", "room"),
        "items": list(stated.items),
        **fields_of(stated, "severity", "says", "decision", "reason", "by", "date", "note"),
    }
