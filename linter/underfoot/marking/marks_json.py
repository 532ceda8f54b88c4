"""The marks as JSON, `marks_format` 1, and what changed since an earlier one."""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict

from underfoot.checking.caution import CAUTION
from underfoot.marking.awarding import Row
from underfoot.marking.figures import Hardness, measure_rows, measure_spread
from underfoot.marking.judging import Attempt
from underfoot.marking.marks import as_number
from underfoot.marking.moderation import find_overruled
from underfoot.marking.results import ApprenticeMarks, ClassMarks
from underfoot.marking.scheme import Scheme
from underfoot.reporting.json import encode, fields_of, write_members, write_rows

MARKS_FORMAT = 1


def write_marks(marks: ClassMarks, version: str) -> str:
    """Write a class's marks, one row of a sheet a line."""
    scheme = marks.scheme
    head = {
        "marks_format": MARKS_FORMAT,
        "tool": {"name": "underfoot", "version": version},
        "caution": CAUTION,
        "scheme": _scheme(scheme),
        **fields_of(marks, "markers", "passed_over", "strangers"),
        "figures": _figures(marks),
    }
    lines = [
        write_members(head),
        f'"rows": {write_rows(map(_hardness, measure_rows(marks)), " ")}',
        f'"likenesses": {write_rows(map(_likeness, marks.copies), " ")}',
        '"submissions": [\n' + ",\n".join(_sheet(sheet) for sheet in marks.sheets) + "\n]",
    ]
    return "{\n" + ",\n".join(lines) + "\n}\n"


def _scheme(scheme: Scheme) -> dict[str, Any]:
    return {
        "title": scheme.title,
        "marks": as_number(scheme.marks),
        "pass_mark": as_number(scheme.pass_mark),
        "round_to": as_number(scheme.round_to),
        "grades": {one.name: as_number(one.least) for one in scheme.grades},
        "apart": None if scheme.apart is None else as_number(scheme.apart),
        "counts": list(scheme.counts),
        "fails": list(scheme.fails),
        "attempt": scheme.attempt,
        "limits": {
            rule: {key: one.value for key, one in limits.items() if one.origin is not None}
            for rule, limits in sorted(scheme.settings.limits.items())
            if any(one.origin is not None for one in limits.values())
        },
    }


def _figures(marks: ClassMarks) -> dict[str, Any] | None:
    spread = measure_spread(marks)
    if spread is None:
        return None
    return {key: round(value, 2) for key, value in asdict(spread).items()}


def _hardness(one: Hardness) -> dict[str, Any]:
    told = asdict(one)
    return {**told, "marks": as_number(one.marks), "percent": round(one.percent, 1)}


def _likeness(one: Any) -> dict[str, Any]:
    return {"one": one.one, "other": one.other, "shared": round(one.shared, 3), "said": one.said}


def _sheet(sheet: ApprenticeMarks) -> str:
    head = {
        "name": sheet.name,
        "tool_mark": as_number(sheet.mark),
        "outcome": sheet.outcome,
        "final_mark": as_number(sheet.final),
        **fields_of(sheet, "final_outcome", "grade"),
        "settled": sheet.settled.said if sheet.settled else None,
        "talk": sheet.settled.talk if sheet.settled else None,
        "late": as_number(sheet.late),
        "late_said": sheet.late_said,
        "counted_attempt": None if sheet.is_absent else sheet.counted.number,
    }
    markers = [
        {
            "marker": one.marker,
            "mark": as_number(one.mark),
            "outcome": one.outcome,
            "comment": one.comment.comment,
            "adjust": [
                {"by": as_number(each.by), "topic": each.topic, "because": each.because}
                for each in one.comment.adjust
            ],
            "overruled": [
                {
                    "topic": row.topic,
                    "row": row.what,
                    "marks": as_number(each.marks),
                    "tool": as_number(row.earned),
                    "because": each.because,
                }
                for row, each in find_overruled(sheet.counted.rows, one.comment)
            ],
            "outcome_because": one.comment.ruling.because if one.comment.ruling else None,
        }
        for one in sheet.markers
    ]
    attempts = ",\n".join(_attempt(one, one is sheet.counted) for one in sheet.attempts)
    return (
        f' {encode(head)[:-1]},\n  "markers": {write_rows(markers, "  ")},\n'
        f'  "attempts": [\n{attempts}\n  ]}}'
    )


def _attempt(attempt: Attempt, counted: bool) -> str:
    report = attempt.report
    head = {
        "attempt": attempt.number,
        "file": attempt.shown,
        "sha256": attempt.digest or None,
        "earned": as_number(attempt.earned),
        "failed_by": list(attempt.failed_by),
        "changes": [one.said for one in attempt.changes],
        "remarks": list(attempt.remarks),
        "not_counted": list(attempt.ignored),
        "flagged": list(attempt.flagged),
        "problems": [
            {"message": one.message, "line": one.line, "column": one.column}
            for one in report.problems[:50]
        ],
        "findings": [
            {"number": one.number, "rule": one.rule, "severity": one.severity, "room": one.room,
             "items": list(one.items), "message": one.message}
            for one in report.findings
        ]
        if counted
        else [],
        "shown": [one.rule for one in report.checks if one.checked > one.undecided]
        if counted
        else [],
    }  # fmt: skip
    rows = write_rows(map(_row, attempt.rows), "    ")
    return f'   {encode(head)[:-1]},\n    "rows": {rows}}}'


def _row(row: Row) -> dict[str, Any]:
    return {
        "topic": row.topic,
        "row": row.what,
        "room": row.room,
        "marks": as_number(row.marks),
        "earned": as_number(row.earned),
        **fields_of(row, "of", "right"),
        "reasons": list(row.reasons),
    }


class Moved(Struct, frozen=True, kw_only=True):
    """One apprentice whose mark is another than before, and why."""

    name: str
    before: float | None
    now: float | None
    why: tuple[str, ...]


class EarlierError(Exception):
    """Says why an earlier marks file cannot be used."""


def compare_marks(earlier: str, now: str) -> tuple[Moved, ...]:
    """Say whose mark changed since `earlier`, both as `write_marks` writes them."""
    try:
        old = json.loads(earlier)
        if not isinstance(old, dict) or old.get("marks_format") != MARKS_FORMAT:
            raise EarlierError("it holds no marks of marks_format 1")
        before = {one["name"]: one for one in old["submissions"]}
        new = json.loads(now)
        after = {one["name"]: one for one in new["submissions"]}
        moved = []
        for name in sorted({*before, *after}):
            one, other = before.get(name), after.get(name)
            if one is None or other is None:
                why = "not in the earlier marks" if one is None else "no longer handed in"
                moved.append(Moved(name=name, before=_mark(one), now=_mark(other), why=(why,)))
            elif (one["final_mark"], one["final_outcome"]) != (
                other["final_mark"],
                other["final_outcome"],
            ):
                why_all = tuple(_reasons(one, other, old["scheme"], new["scheme"]))
                moved.append(Moved(name=name, before=_mark(one), now=_mark(other), why=why_all))
    except (
        ValueError,
        KeyError,
        TypeError,
        AttributeError,
        RecursionError,
        StopIteration,
    ) as error:
        raise EarlierError(f"it cannot be read as marks ({type(error).__name__})") from None
    return tuple(moved)


def _mark(sheet: Mapping[str, Any] | None) -> float | None:
    mark: float | None = None if sheet is None else sheet["final_mark"]
    if mark is not None and (isinstance(mark, bool) or not isinstance(mark, int | float)):
        raise TypeError
    return mark


_NO_ATTEMPT: Mapping[str, Any] = {"attempt": None, "sha256": None, "rows": [], "earned": 0}


def _counted(sheet: Mapping[str, Any]) -> Mapping[str, Any]:
    number = sheet["counted_attempt"]
    if number is None:
        return _NO_ATTEMPT
    found: Mapping[str, Any] = next(one for one in sheet["attempts"] if one["attempt"] == number)
    return found


def _reasons(
    one: Mapping[str, Any],
    other: Mapping[str, Any],
    old_scheme: Mapping[str, Any],
    new_scheme: Mapping[str, Any],
) -> Iterable[str]:
    was, is_now = _counted(one), _counted(other)
    if None in (was["attempt"], is_now["attempt"]):
        yield "nothing was handed in" if is_now["attempt"] is None else "handed in since"
        return
    if was["attempt"] != is_now["attempt"]:
        yield f"attempt {is_now['attempt']} counts, not attempt {was['attempt']}"
    if was["sha256"] != is_now["sha256"]:
        yield "the file handed in is another one"
    if old_scheme.get("limits") != new_scheme.get("limits"):
        yield "the scheme's limits are others"
    if old_scheme["counts"] != new_scheme["counts"]:
        yield f"the scheme counts {', '.join(new_scheme['counts'])} as wrong"
    before = {_key(row): row for row in was["rows"]}
    after = {_key(row): row for row in is_now["rows"]}
    for key in (*before, *(key for key in after if key not in before)):
        said = _row_change(" / ".join(key), before.get(key), after.get(key))
        if said:
            yield said
    if was["earned"] != is_now["earned"] and not before:
        yield f"earned {is_now['earned']:g}, not {was['earned']:g}"
    if one["late"] != other["late"]:
        yield f"late: {other['late']:g} off, where it was {one['late']:g}"
    if one["markers"] != other["markers"]:
        yield "a marker's comments or adjustments are others"
    if one["final_outcome"] != other["final_outcome"]:
        if old_scheme["pass_mark"] != new_scheme["pass_mark"]:
            limits = f"{new_scheme['pass_mark']:g}, not {old_scheme['pass_mark']:g}"
            yield f"the pass mark is {limits}"
        yield f"{other['final_outcome']}, where it was {one['final_outcome']}"


def _key(row: Mapping[str, Any]) -> tuple[str, str]:
    room = row.get("room")
    return row["topic"], row["row"] if room is None else f"{row['row']}, {room}"


def _row_change(
    name: str, was: Mapping[str, Any] | None, is_now: Mapping[str, Any] | None
) -> str | None:
    if was is None and is_now is not None:
        return f"{name}: new in the scheme, {is_now['earned']:g} of {is_now['marks']:g}"
    if was is not None and is_now is None:
        return f"{name}: no longer in the scheme, was {was['earned']:g} of {was['marks']:g}"
    assert was is not None
    assert is_now is not None
    if was["earned"] == is_now["earned"]:
        return None
    said = (
        f"{name}: {is_now['earned']:g} of {is_now['marks']:g}, "
        f"was {was['earned']:g} of {was['marks']:g}"
    )
    if was["marks"] != is_now["marks"]:
        said += f"; the scheme gives {is_now['marks']:g}, not {was['marks']:g}"
    if was["of"] != is_now["of"]:
        said += f"; the scheme expects {is_now['of']}, not {was['of']}"
    if was["right"] != is_now["right"]:
        said += f"; {is_now['right']} right, was {was['right']}"
    return said
