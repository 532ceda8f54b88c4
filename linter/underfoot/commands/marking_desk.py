"""Makes ready what submissions are judged by: a scheme with its brief, or a brief alone."""

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from underfoot.checking.check import report_file, report_unread
from underfoot.checking.merging_settings import sets_in_force
from underfoot.checking.mutation import Data
from underfoot.checking.rule import RuleSet
from underfoot.checking.rule_order import order_rules
from underfoot.checking.settings import default_settings
from underfoot.marking.goals import find_unknown_rooms
from underfoot.marking.judging import Desk
from underfoot.marking.marks import NOTHING, read_marks
from underfoot.marking.scheme import PARTS, Scheme, read_scheme
from underfoot.reading import read_plan
from underfoot.reading.syntax import parse
from underfoot.running.errors import UnreadError
from underfoot.running.taking_in import take_in


def read_file(place: str) -> bytes:
    """Read a file that a trainer wrote."""
    return take_in(place)


def set_up_desk(place: str, sets: Sequence[RuleSet], today: date, *, draws: bool) -> Desk:
    """Make ready what all are judged by; UnreadError where it cannot be read."""
    written = read_file(place)
    reading = read_scheme(written, place, sets)
    if reading.scheme is None:
        raise UnreadError(report_file(place, reading.problems, written))
    scheme = reading.scheme
    brief_place = Path(place).parent / scheme.brief
    source = read_file(str(brief_place))
    brief = read_plan(source, path=str(brief_place), folder=brief_place.parent)
    if brief.plan is None:
        raise UnreadError(report_unread(brief, source))
    strange = find_unknown_rooms(scheme.all_goals, brief.plan.rooms)
    if strange:
        raise UnreadError(report_file(place, strange, written))
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
) -> Desk:
    """Make ready what model answers are looked at by before there is a scheme for the brief."""
    source = json.dumps(brief).encode()
    reading = read_plan(source, path=place)
    if reading.plan is None:
        raise UnreadError(report_unread(reading, source))
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
