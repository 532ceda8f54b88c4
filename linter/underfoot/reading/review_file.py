"""A review file, read whole: what was decided about a plan's findings, and what was reviewed."""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from msgspec import Struct

from underfoot.reading.problem import Problem, in_file, problem_at
from underfoot.reading.remarks import END, find_comments
from underfoot.reading.schema import check_data
from underfoot.reading.source_text import decode
from underfoot.reading.syntax import Parsed, parse
from underfoot.reading.wording import show

Comments = Mapping[str, tuple[str, ...]]
NO_COMMENTS: Comments = {}


class ReviewedContent(Struct, frozen=True, kw_only=True):
    """What was reviewed: hashes of the plan's bytes, its catalogue, the settings and the rules."""

    plan: str
    settings: str
    rules: str
    catalogue: str | None = None
    revision: str | None = None
    checked_with: str | None = None


class StatedDecision(Struct, frozen=True, kw_only=True):
    """A finding by its identity, and what was decided about it; `decision` None is open.

    `measured` is a value and its unit. `because` says of a past decision why it no longer applies.
    `comments` are the file's own, by the key that they stand above.
    """

    rule: str
    severity: str
    room: str | None = None
    items: tuple[str, ...] = ()
    measured: tuple[float, str] | None = None
    says: str | None = None
    decision: str | None = None
    reason: str | None = None
    by: str | None = None
    date: str | None = None
    because: str | None = None
    note: str | None = None
    comments: Comments = NO_COMMENTS


class StatedOverall(Struct, frozen=True, kw_only=True):
    """What was decided about the plan as a whole."""

    decision: str
    by: str
    date: str
    reason: str | None = None
    because: str | None = None
    note: str | None = None
    comments: Comments = NO_COMMENTS


class ReviewFile(Struct, frozen=True, kw_only=True):
    """One review file; `plan` is the name of the plan's file beside it."""

    plan: str
    reviewed: ReviewedContent
    overall: StatedOverall | None = None
    findings: tuple[StatedDecision, ...] = ()
    past_findings: tuple[StatedDecision, ...] = ()
    past_overall: tuple[StatedOverall, ...] = ()
    note: str | None = None
    comments: Comments = NO_COMMENTS


class ReviewReading(Struct, frozen=True, kw_only=True):
    """What reading a review file came to; `review` is None where there are problems."""

    review: ReviewFile | None
    problems: tuple[Problem, ...] = ()


def read_review(source: bytes, path: str) -> ReviewReading:
    """Read a review of format 1; `path` names the file in the problems."""
    parsed = parse(source)
    checked = check_data(parsed, "review")
    found = [*parsed.problems, *checked.problems]
    if not found and checked.data is not None:
        found += _impossible_days(parsed)
    if found or checked.data is None:
        return ReviewReading(review=None, problems=in_file(found, path))
    data = checked.data
    comments = find_comments(decode(source), parsed.positions)
    return ReviewReading(
        review=ReviewFile(
            plan=data["plan"],
            reviewed=ReviewedContent(**data["reviewed"]),
            overall=(
                StatedOverall(**data["overall"], comments=_below(comments, "overall"))
                if "overall" in data
                else None
            ),
            findings=tuple(_decisions(data, "findings", comments)),
            past_findings=tuple(_decisions(data, "past_findings", comments)),
            past_overall=tuple(
                StatedOverall(**entry, comments=_below(comments, f"past_overall.{place}"))
                for place, entry in enumerate(data.get("past_overall", ()))
            ),
            note=data.get("note"),
            comments=_at_top(comments),
        )
    )


def _decisions(data: Any, key: str, comments: Comments) -> Iterator[StatedDecision]:
    for place, entry in enumerate(data.get(key, ())):
        values = dict(entry)
        measured = values.pop("measured", None)
        yield StatedDecision(
            **{**values, "items": tuple(values.get("items", ()))},
            measured=None if measured is None else (float(measured["value"]), measured["unit"]),
            comments=_below(comments, f"{key}.{place}"),
        )


def _below(comments: Comments, path: str) -> dict[str, tuple[str, ...]]:
    """The comments of one entry, by its key."""
    found: dict[str, tuple[str, ...]] = {}
    for at, lines in comments.items():
        if at == path or at.startswith(f"{path}."):
            key = at[len(path) + 1 :].partition(".")[0]
            found[key] = found.get(key, ()) + lines
    return found


def _at_top(comments: Comments) -> dict[str, tuple[str, ...]]:
    """The comments that belong to no entry of a list and to nothing decided overall."""
    found: dict[str, tuple[str, ...]] = {}
    for at, lines in comments.items():
        key, _, more = at.partition(".")
        if at == END or not more or key == "reviewed":
            if key == "overall":
                continue
            found[key] = found.get(key, ()) + lines
    return found


def _impossible_days(parsed: Parsed) -> Iterator[Problem]:
    """Days that no calendar has; how a day is written, the schema has seen to."""
    for path, position in parsed.positions.items():
        keys = path.split(".")
        if keys[-1] != "date":
            continue
        value = parsed.data
        for key in keys:
            value = value[int(key)] if isinstance(value, list) else value[key]
        try:
            date.fromisoformat(value)
        except ValueError:
            yield problem_at(f"`date`: there is no day {show(value)}", path, position)
