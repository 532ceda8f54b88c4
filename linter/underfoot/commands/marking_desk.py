"""Makes ready what submissions are judged by: a scheme with its brief, or a brief alone."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from msgspec.structs import replace

from underfoot.checking.engine import order_rules
from underfoot.checking.merging import sets_in_force
from underfoot.checking.mutation import Data
from underfoot.checking.rule import RuleSet
from underfoot.checking.settings import default_settings
from underfoot.commands.output_files import say
from underfoot.marking.goals import find_unknown_rooms
from underfoot.marking.judging import Desk
from underfoot.marking.marks import NOTHING, read_marks
from underfoot.marking.scheme import PARTS, Scheme, read_scheme
from underfoot.reading import read_plan
from underfoot.reading.problem import Problem
from underfoot.reading.syntax import parse
from underfoot.reporting.text import say_problem
from underfoot.running.taking_in import take_in


def read_file(place: str) -> bytes:
    """Read a file that a trainer wrote."""
    return take_in(place)


def say_problems(problems: Sequence[Problem], place: str) -> None:
    """Say what is wrong with a file."""
    for problem in problems:
        say(say_problem(replace(problem, file=problem.file or place)))


def set_up_desk(place: str, sets: Sequence[RuleSet], today: date, *, draws: bool) -> Desk | None:
    """Make ready what all are judged by; None where it cannot be read, which is then said."""
    reading = read_scheme(read_file(place), place, sets)
    if reading.scheme is None:
        say_problems(reading.problems, place)
        return None
    scheme = reading.scheme
    brief_place = Path(place).parent / scheme.brief
    source = read_file(str(brief_place))
    brief = read_plan(source, path=str(brief_place), folder=brief_place.parent)
    if brief.plan is None:
        say_problems(brief.problems, str(brief_place))
        return None
    strange = find_unknown_rooms(scheme.all_goals, brief.plan.rooms)
    if strange:
        say_problems(strange, place)
        return None
    program = order_rules(sets_in_force(scheme.settings, sets), scheme.settings.off)
    return Desk(
        scheme=scheme,
        brief=brief.plan,
        program=program,
        today=today,
        draws=draws,
        given=parse(source).data,
    )


def set_up_for(
    brief: Data, place: str, fixed: tuple[str, ...] | None, sets: Sequence[RuleSet], today: date
) -> Desk | None:
    """Make ready what model answers are looked at by before there is a scheme for the brief."""
    reading = read_plan(json.dumps(brief).encode(), path=place)
    if reading.plan is None:
        say_problems(reading.problems, place)
        return None
    settings = default_settings([rule for rule_set in sets for rule in rule_set.rules])
    scheme = Scheme(
        title="",
        brief=place,
        topics=(),
        pass_mark=NOTHING,
        round_to=read_marks(0.5),
        counts=("error", "warning"),
        fails=(),
        must_show=(),
        may_not_change=PARTS if fixed is None else fixed,
        changes_fail=False,
        attempt="last",
        unreadable=NOTHING,
        late=None,
        settings=settings,
    )
    program = order_rules(sets, settings.off)
    return Desk(
        scheme=scheme, brief=reading.plan, program=program, today=today, draws=False, given=brief
    )
