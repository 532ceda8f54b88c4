"""A marking scheme: which marks for what, what a submission may not change, what fails it."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from msgspec import Struct

from underfoot.checking.finding import Severity
from underfoot.checking.merging_settings import Placed, merge_settings
from underfoot.checking.rule import AnyRule, RuleSet
from underfoot.checking.settings import Settings
from underfoot.marking.fixing import WHOLE_METHOD
from underfoot.marking.goals import Goal, Names, find_goal_problems, read_goal
from underfoot.marking.marks import NOTHING, read_marks
from underfoot.reading.paths import join_path, locate
from underfoot.reading.problem import Problem, in_file, problem_at
from underfoot.reading.schema import check_data
from underfoot.reading.settings_file import SettingsFile, StatedLimits
from underfoot.reading.syntax import Parsed, parse
from underfoot.reading.wording import show, suggest

PARTS = (
    "outline",
    "use",
    "height",
    "fixtures",
    "joints",
    "openings",
    "subfloor",
    "covering",
    "underlay",
    "overlay",
    "heat loss",
    "materials",
    "films",
    "boards",
    "sheets",
    "coverings",
    "supply",
    "junction box",
    "insulation",
    "membrane",
    "thermostat",
    "cables",
    "protection",
    "method statement",
)


class RuleRow(Struct, frozen=True, kw_only=True):
    """Marks by one rule: in proportion to what is right of what it looked at.

    ``all`` earns only where all is right. `of` is what the model answer shows it, for the marker.
    """

    rule: str
    marks: Fraction
    of: int | None = None
    award: str = "share"


class Topic(Struct, frozen=True, kw_only=True):
    """Rows of marks under one heading."""

    name: str
    rules: tuple[RuleRow, ...]
    asked: tuple[Goal, ...]

    @property
    def marks(self) -> Fraction:
        """All marks of the topic."""
        by_rule = sum((row.marks for row in self.rules), NOTHING)
        return sum((row.marks for row in self.asked), by_rule)


class Late(Struct, frozen=True, kw_only=True):
    """What is taken off what comes after `due`."""

    due: date
    per_day: Fraction
    most: Fraction


class Grade(Struct, frozen=True, kw_only=True):
    """A grade, and the least marks that earn it."""

    name: str
    least: Fraction


class Scheme(Struct, frozen=True, kw_only=True):
    """A scheme, read and found sound."""

    title: str
    brief: str
    topics: tuple[Topic, ...]
    pass_mark: Fraction
    round_to: Fraction
    counts: tuple[Severity, ...]
    fails: tuple[str, ...]
    must_show: tuple[str, ...]
    may_not_change: tuple[str, ...]
    changes_fail: bool
    attempt: str
    unreadable: Fraction
    late: Late | None
    settings: Settings
    grades: tuple[Grade, ...] = ()
    apart: Fraction | None = None
    goals: tuple[Goal, ...] = ()
    unmarked_fail: bool = True

    @property
    def marks(self) -> Fraction:
        """All marks that can be earned."""
        return sum((topic.marks for topic in self.topics), NOTHING)

    @property
    def all_goals(self) -> Iterator[Goal]:
        """The goals of the whole, and those with marks in a topic."""
        yield from self.goals
        for topic in self.topics:
            yield from topic.asked


class SchemeReading(Struct, frozen=True, kw_only=True):
    """What reading a scheme came to; `scheme` is None where there are problems."""

    scheme: Scheme | None
    problems: tuple[Problem, ...]


def read_scheme(source: bytes, path: str, sets: Sequence[RuleSet]) -> SchemeReading:
    """Read a scheme of format 1; `path` names the file in the problems."""
    parsed = parse(source)
    checked = check_data(parsed, "scheme")
    problems = [*parsed.problems, *checked.problems]
    if problems or checked.data is None:
        return SchemeReading(scheme=None, problems=in_file(problems, path))
    data = checked.data
    rules = {rule.id: rule for rule_set in sets for rule in rule_set.rules}
    problems += _find_unknown_rules(data, rules, parsed)
    problems += _find_goal_problems(data, rules, parsed)
    settings, refused = merge_settings(
        [Placed(name=path, stated=_limits(data, parsed), positions=parsed.positions)], sets
    )
    problems += refused
    topics = tuple(_topic(name, told, parsed) for name, told in data["topics"].items())
    late = _late(data.get("late"), parsed, problems)
    scheme = Scheme(
        title=data["title"],
        brief=data["brief"],
        topics=topics,
        pass_mark=read_marks(data["pass_mark"]),
        round_to=read_marks(data.get("round_to", 0.01)),
        counts=tuple(data.get("counts", ("error", "warning"))),
        fails=tuple(data.get("fails", ())),
        must_show=tuple(data.get("must_show", ())),
        may_not_change=(
            *data.get("may_not_change", PARTS),
            *((WHOLE_METHOD,) if data.get("whole_method") else ()),
        ),
        changes_fail=data.get("changed_brief") == "fail",
        attempt=data.get("attempt", "last"),
        unreadable=read_marks(data.get("unreadable", 0)),
        late=late,
        settings=settings,
        grades=_grades(data.get("grades", {})),
        apart=read_marks(data["markers"]["apart"]) if "markers" in data else None,
        goals=tuple(
            read_goal(told, f"goals.{place}", parsed)
            for place, told in enumerate(data.get("goals", ()))
        ),
        unmarked_fail=data.get("unmarked_errors") != "flag",
    )
    problems += _find_vain_grades(scheme, parsed)
    for key, marks in (("pass_mark", scheme.pass_mark), ("unreadable", scheme.unreadable)):
        if marks > scheme.marks:
            said = f"{show(key)}: {float(marks):g} is more than the {float(scheme.marks):g} marks "
            problems.append(_at(key, said + "that the topics add up to", parsed))
    if problems:
        return SchemeReading(scheme=None, problems=in_file(problems, path))
    return SchemeReading(scheme=scheme, problems=())


def _at(path: str, message: str, parsed: Parsed) -> Problem:
    return problem_at(message, path, locate(path, parsed.positions))


def _find_unknown_rules(
    data: Mapping[str, Any], known: Mapping[str, AnyRule], parsed: Parsed
) -> list[Problem]:
    found = []
    met: dict[str, str] = {}
    for name, topic in data["topics"].items():
        for rule in topic.get("rules", {}):
            path = join_path(("topics", name, "rules", rule))
            if rule not in known:
                found.append(_at(path, _no_rule(rule, known), parsed))
            elif rule in met:
                said = f"{show(rule)} already has marks under {show(met[rule])}: keep one"
                found.append(_at(path, said, parsed))
            met.setdefault(rule, name)
    for key in ("fails", "must_show"):
        for place, rule in enumerate(data.get(key, ())):
            if rule not in known:
                found.append(_at(f"{key}.{place}", _no_rule(rule, known), parsed))
            elif key == "must_show" and rule not in met:
                said = f"{show(rule)} has no marks in any topic, so that nothing can be shown"
                found.append(_at(f"{key}.{place}", said, parsed))
            elif key == "fails" and set(known[rule].severities) == {"note"}:
                said = f"{show(rule)} only remarks, and finds nothing that could fail anybody"
                found.append(_at(f"{key}.{place}", said, parsed))
    return found


def _no_rule(rule: str, known: Mapping[str, AnyRule]) -> str:
    return f"there is no rule {show(rule)}{suggest(rule, sorted(known))}"


def _limits(data: Mapping[str, Any], parsed: Parsed) -> SettingsFile:
    limits = {
        rule: StatedLimits(
            path=f"limits.{rule}",
            line=parsed.positions[f"limits.{rule}"][0],
            because=told["because"],
            values={key: value for key, value in told.items() if key != "because"},
        )
        for rule, told in data.get("limits", {}).items()
    }
    return SettingsFile(limits=limits, rules={})


def _topic(name: str, told: Mapping[str, Any], parsed: Parsed) -> Topic:
    rules = tuple(
        RuleRow(
            rule=rule,
            marks=read_marks(row["marks"]),
            of=row.get("of"),
            award=row.get("award", "share"),
        )
        for rule, row in told.get("rules", {}).items()
    )
    asked = tuple(read_goal(row, path, parsed) for path, row in _list_asked(name, told))
    return Topic(name=name, rules=rules, asked=asked)


def _list_asked(name: str, topic: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    for place, row in enumerate(topic.get("asked", ())):
        yield join_path(("topics", name, "asked", place)), row


def _find_goal_problems(
    data: Mapping[str, Any], rules: Mapping[str, AnyRule], parsed: Parsed
) -> Iterator[Problem]:
    marked = {rule for topic in data["topics"].values() for rule in topic.get("rules", {})}
    names = Names(topics=data["topics"], marked=marked, rules=rules)
    goals = [(f"goals.{place}", told) for place, told in enumerate(data.get("goals", ()))]
    for name, topic in data["topics"].items():
        goals += _list_asked(name, topic)
    for path, told in goals:
        yield from find_goal_problems(told, path, parsed, names)


def _grades(told: Mapping[str, Any]) -> tuple[Grade, ...]:
    found = [Grade(name=name, least=read_marks(least)) for name, least in told.items()]
    return tuple(sorted(found, key=lambda one: -one.least))


def _find_vain_grades(scheme: Scheme, parsed: Parsed) -> list[Problem]:
    """Find grades that nobody could have, and passes without one."""
    found = []
    grades = scheme.grades
    for better, one in zip((None, *grades), grades, strict=False):
        path = join_path(("grades", one.name))
        if one.least > scheme.marks:
            said = f"{show(one.name)}: nobody can earn {float(one.least):g} of "
            found.append(_at(path, f"{said}{float(scheme.marks):g} marks", parsed))
        elif better is not None and better.least == one.least:
            said = f"{show(one.name)} and {show(better.name)} begin at the same marks: keep one"
            found.append(_at(path, said, parsed))
        elif better is not None and better.least <= scheme.pass_mark:
            said = f"{show(one.name)}: nobody who passes has fewer than "
            found.append(_at(path, f"{said}{float(better.least):g} marks: leave it out", parsed))
    if grades and grades[-1].least > scheme.pass_mark:
        said = (
            f"the lowest grade, {show(grades[-1].name)}, begins at {float(grades[-1].least):g}, "
            f"but {float(scheme.pass_mark):g} passes: let it begin there"
        )
        found.append(_at(join_path(("grades", grades[-1].name)), said, parsed))
    return found


def _late(told: Mapping[str, Any] | None, parsed: Parsed, problems: list[Problem]) -> Late | None:
    if told is None:
        return None
    try:
        due = date.fromisoformat(told["due"])
    except ValueError:
        problems.append(_at("late.due", f"there is no day {show(told['due'])}", parsed))
        return None
    per_day = read_marks(told["per_day"])
    return Late(due=due, per_day=per_day, most=read_marks(told.get("most", 1_000_000)))
