"""A review as the file that keeps it: YAML, the same bytes for the same review."""

import re
from collections.abc import Iterable, Iterator, Mapping

from underfoot.reading.remarks import END
from underfoot.reading.review_file import (
    ReviewedContent,
    ReviewFile,
    StatedDecision,
    StatedOverall,
)

HEADER = (
    "# What was decided about the findings of one plan. It waives nothing and certifies nothing.",
    "# decision: accepted | to be mended | question, with reason, by and date.",
    "# `underfoot review` brings it up to date and keeps what is decided, notes and comments.",
)
# Written without quotes: words that YAML and a reader take for nothing but text.
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9_./()-]*(?: [A-Za-z0-9_./()-]+)*")
_PLAIN_ITEM = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_NOT_TEXT = frozenset({"true", "false", "null", "yes", "no", "on", "off", "y", "n"})
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}

Comments = Mapping[str, tuple[str, ...]]
Rows = list[tuple[str, str | None]]


def write_review(review: ReviewFile) -> str:
    """Write the whole file."""
    comments = review.comments
    lines = [*HEADER]
    lines += _entries([("review_format", "1"), ("plan", _text(review.plan))], comments, "")
    lines += _entries([("note", _text(review.note))], comments, "")
    lines += [*_above(comments, "reviewed", ""), "reviewed:"]
    lines += _entries(_content(review.reviewed), {}, "  ")
    if review.overall is not None:
        lines += ["", *_above(review.overall.comments, "", ""), "overall:"]
        lines += _entries(_overall(review.overall), review.overall.comments, "  ")
    lists: tuple[tuple[str, Iterable[tuple[Rows, Comments]]], ...] = (
        ("findings", [(_finding(each), each.comments) for each in review.findings]),
        ("past_findings", [(_finding(each), each.comments) for each in review.past_findings]),
        ("past_overall", [(_overall(each), each.comments) for each in review.past_overall]),
    )
    for key, entries in lists:
        if key != "findings" and not entries:
            continue
        lines += ["", *_above(comments, key, ""), f"{key}:" if entries else f"{key}: []"]
        for rows, own in entries:
            lines += _item(rows, own)
    lines += list(comments.get(END, ()))
    return "\n".join(lines) + "\n"


def _entries(rows: Rows, comments: Comments, blank: str) -> Iterator[str]:
    for key, value in rows:
        yield from _above(comments, key, blank)
        if value is not None:
            yield f"{blank}{key}: {value}"


def _item(rows: Rows, comments: Comments) -> Iterator[str]:
    (first, value), *more = rows
    yield from _above(comments, "", "  ")
    yield from _above(comments, first, "  ")
    yield f"  - {first}: {value}"
    yield from _entries(more, comments, "    ")


def _above(comments: Comments, key: str, blank: str) -> Iterator[str]:
    return (f"{blank}{line}" for line in comments.get(key, ()) if line not in HEADER)


def _content(content: ReviewedContent) -> Rows:
    return [
        ("revision", _text(content.revision)),
        ("plan", content.plan),
        ("catalogue", content.catalogue),
        ("settings", content.settings),
        ("rules", content.rules),
        ("checked_with", _text(content.checked_with)),
    ]


def _finding(stated: StatedDecision) -> Rows:
    measured = stated.measured
    return [
        ("rule", _text(stated.rule)),
        ("room", _text(stated.room)),
        ("items", f"[{', '.join(_item_text(item) for item in stated.items)}]"),
        ("severity", stated.severity),
        (
            "measured",
            None
            if measured is None
            else f"{{value: {_number(measured[0])}, unit: {_quoted(measured[1])}}}",
        ),
        ("says", _text(stated.says)),
        ("decision", stated.decision),
        ("reason", _text(stated.reason)),
        ("by", _text(stated.by)),
        ("date", None if stated.date is None else _quoted(stated.date)),
        ("because", _text(stated.because)),
        ("note", _text(stated.note)),
    ]


def _overall(stated: StatedOverall) -> Rows:
    return [
        ("decision", stated.decision),
        ("reason", _text(stated.reason)),
        ("by", _text(stated.by)),
        ("date", _quoted(stated.date)),
        ("because", _text(stated.because)),
        ("note", _text(stated.note)),
    ]


def _number(value: float) -> str:
    """A number that reads back as the same one, written as JSON does."""
    return repr(float(value)) if "e" not in repr(float(value)) else f"{value:.17g}"


def _item_text(text: str) -> str:
    plain = _PLAIN_ITEM.fullmatch(text) and text.lower() not in _NOT_TEXT
    return text if plain else _quoted(text)


def _text(text: str | None) -> str | None:
    if text is None:
        return None
    plain = _PLAIN.fullmatch(text) and text.lower() not in _NOT_TEXT
    return text if plain else _quoted(text)


def _quoted(text: str) -> str:
    return '"' + "".join(_escaped(mark) for mark in text) + '"'


def _escaped(mark: str) -> str:
    if mark in _ESCAPES:
        return _ESCAPES[mark]
    if mark.isprintable():
        return mark
    code = ord(mark)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
