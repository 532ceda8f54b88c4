"""Numbers in place of names, and the key that leads back; a name is left nowhere else."""

import csv
import io
import re
import secrets
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from underfoot.marking.comments import Comments
from underfoot.marking.judging import Attempt
from underfoot.reporting.spreadsheet import safe_text

_HEAD = ("number", "name")
_NUMBER = re.compile(r"S[0-9]{2,}")


class KeyFileError(Exception):
    """Says what is wrong with a key file."""


def read_key(text: str) -> dict[str, str]:
    """Read a key file: the numbers by name."""
    try:
        rows = list(csv.reader(io.StringIO(text)))
    except csv.Error as error:
        raise KeyFileError(f"it is no key: {error}") from None
    if not rows or tuple(rows[0]) != _HEAD:
        raise KeyFileError("it is no key: its first line is `number,name`")
    key: dict[str, str] = {}
    for row in rows[1:]:
        if len(row) != 2 or not _NUMBER.fullmatch(row[0]):
            raise KeyFileError(f"a line is no number with a name: {','.join(row)[:60]}")
        name = row[1].removeprefix("'")
        if name in key or row[0] in key.values():
            raise KeyFileError(f"{row[0]} or its name stands there twice")
        key[name] = row[0]
    return key


def extend_key(key: Mapping[str, str], names: Sequence[str]) -> dict[str, str]:
    """Give every name a number: those it has stay, new ones are drawn by lot."""
    numbers = dict(key)
    new = [name for name in names if name not in numbers]
    taken = {int(number[1:]) for number in numbers.values()}
    free = [number for number in range(1, len(new) + len(taken) + 1) if number not in taken][
        : len(new)
    ]
    # By lot, so that no number tells where a name stands in the alphabet.
    secrets.SystemRandom().shuffle(free)
    numbers.update({name: f"S{number:02}" for name, number in zip(new, free, strict=True)})
    return numbers


def write_key(key: Mapping[str, str]) -> str:
    """Write a key file."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_HEAD)
    for name, number in sorted(key.items(), key=lambda pair: pair[1]):
        safe = safe_text(name)
        writer.writerow((number, f"'{name}" if name.startswith("'") else safe))
    return out.getvalue()


# What an SVG says in words, and the ids that it holds; a name may be that of a tag.
_WRITTEN = re.compile(r'>[^<]+<|data-[a-z]+="[^"]*"')


def hide_names(text: str, key: Mapping[str, str]) -> str:
    """Put numbers for names where these stand as words of their own."""
    for name in sorted(key, key=len, reverse=True):
        word = re.compile(rf"(?<!\w){re.escape(name)}(?!\w)", re.IGNORECASE)
        # A number may hold a backslash, which means something else in a pattern's replacement.
        text = key[name].join(word.split(text))
    return text


def hide_attempt(attempt: Attempt, key: Mapping[str, str], also: Sequence[str] = ()) -> Attempt:
    """Return an attempt under its number, with its name taken out of whatever is said of it.

    `also` are other names of the same person.
    """
    number = key[attempt.name]
    own = {name: number for name in (attempt.name, *also) if name}

    def hide(text: str) -> str:
        return hide_names(text, own)

    def hide_in_svg(svg: str) -> str:
        return _WRITTEN.sub(lambda found: hide(found[0]), svg)

    report = attempt.report
    report = replace(
        report,
        path=number,
        title=None,
        reference=None,
        revision=None,
        problems=tuple(
            replace(one, message=hide(one.message), path=hide(one.path), file=None)
            for one in report.problems
        ),
        findings=tuple(
            replace(
                one,
                message=hide(one.message),
                remedy=hide(one.remedy),
                path=hide(one.path),
                items=tuple(map(hide, one.items)),
                room=None if one.room is None else hide(one.room),
                details=tuple((name, hide(text)) for name, text in one.details),
            )
            for one in report.findings
        ),
    )
    return replace(
        attempt,
        name=number,
        shown=number if attempt.number == 1 else f"{number}, attempt {attempt.number}",
        report=report,
        rows=tuple(replace(row, reasons=tuple(map(hide, row.reasons))) for row in attempt.rows),
        failed_by=tuple(map(hide, attempt.failed_by)),
        changes=tuple(replace(one, said=hide(one.said)) for one in attempt.changes),
        remarks=tuple(map(hide, attempt.remarks)),
        ignored=tuple(map(hide, attempt.ignored)),
        drawings=tuple((hide(room), hide_in_svg(svg)) for room, svg in attempt.drawings),
    )


def hide_comments(comments: Comments, key: Mapping[str, str]) -> Comments:
    """Give comments by number, whether they were written by name or by number."""
    return Comments(
        marker=comments.marker,
        submissions={
            key.get(name, name): replace(
                comment,
                comment=None if comment.comment is None else hide_names(comment.comment, key),
                adjust=tuple(
                    replace(one, because=hide_names(one.because, key)) for one in comment.adjust
                ),
            )
            for name, comment in comments.submissions.items()
        },
    )
