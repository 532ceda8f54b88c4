"""The demo class, judged once, and single plans judged as if they had been handed in for it."""

import json
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from underfoot.checking.rule_order import order_rules
from underfoot.marking.comments import read_comments
from underfoot.marking.judging import Attempt, Desk, judge_attempt, judge_source
from underfoot.marking.results import ClassMarks, gather_class
from underfoot.marking.scheme import Scheme, read_scheme
from underfoot.marking.submissions import Handed, list_submissions
from underfoot.marking.traits import list_traits
from underfoot.reading import read_plan
from underfoot.reading.syntax import parse
from underfoot_rules import STANDARD

FOLDER = Path(__file__).parents[2] / "demo_class"
TODAY = date(2026, 10, 1)
RULES = {rule.id: rule for rule in STANDARD.rules}


def scheme_from(text: str) -> Scheme:
    """Read a scheme that must be sound."""
    reading = read_scheme(text.encode(), "scheme.yaml", [STANDARD])
    assert reading.problems == ()
    assert reading.scheme is not None
    return reading.scheme


@cache
def demo_scheme() -> Scheme:
    """The demo class's scheme."""
    return scheme_from((FOLDER / "scheme.yaml").read_text("utf-8"))


def desk_for(scheme: Scheme, *, draws: bool = False) -> Desk:
    """Make ready what all are judged by."""
    source = (FOLDER / "brief.yaml").read_bytes()
    brief = read_plan(source, path="brief.yaml").plan
    assert brief is not None
    return Desk(
        scheme=scheme,
        brief=brief,
        program=order_rules([STANDARD]),
        today=TODAY,
        draws=draws,
        given=parse(source).data,
    )


@cache
def demo_desk() -> Desk:
    """What the demo class is judged by, without drawings."""
    return desk_for(demo_scheme())


@cache
def demo_attempts(draws: bool = False) -> tuple[Attempt, ...]:
    """Every attempt of the demo class, judged."""
    desk = desk_for(demo_scheme(), draws=draws)
    handed_in = list_submissions(FOLDER / "submissions")
    return tuple(judge_attempt(one, desk) for one in handed_in.attempts)


def mark_class(*comments: str, draws: bool = False) -> ClassMarks:
    """The demo class's marks, with comments as YAML."""
    read = [read_comments(text.encode(), "comments.yaml").comments for text in comments]
    assert None not in read
    return gather_class(
        demo_scheme(),
        demo_attempts(draws),
        [one for one in read if one is not None],
        brief=list_traits(demo_desk().brief),
    )


def plan_of(name: str) -> dict[str, Any]:
    """A submission of the demo class as data."""
    data: dict[str, Any] = yaml.safe_load(
        (FOLDER / "submissions" / f"{name}.yaml").read_text("utf-8")
    )
    return data


def judge(plan: dict[str, Any], desk: Desk | None = None) -> Attempt:
    """Judge plan data as somebody's only attempt."""
    handed = Handed(name="somebody", attempt=1, shown="somebody.yaml", place=None)
    return judge_source(json.dumps(plan).encode(), handed, desk or demo_desk())


def marks_of(attempt: Attempt) -> dict[str, float]:
    """The marks by row."""
    return {row.what: float(row.earned) for row in attempt.rows}
