"""A marking scheme: which marks for what, what a submission may not change, what fails it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Any, NamedTuple

from underfoot.checking.finding import Severity
from underfoot.checking.merging import Placed, put_in_force
from underfoot.checking.rule import RuleSet
from underfoot.checking.settings import Settings
from underfoot.marking.marks import NOTHING, read_marks
from underfoot.reading.paths import join_path, locate
from underfoot.reading.problem import Problem, sort_problems
from underfoot.reading.quantities import QuantityError, read
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
    "subfloor",
    "covering",
    "underlay",
    "overlay",
    "heat loss",
    "materials",
    "supply",
    "junction box",
)
# What is asked for beyond rules, and the unit that it is given in ("" is a plain number).
UNITS = {"heated share": "%", "output": "W", "circuits": "", "strips": "", "method statement": ""}


class RuleRow(NamedTuple):
    """Marks by one rule: `of` things are expected; ``all`` earns only where all are right."""

    rule: str
    marks: Fraction
    of: int
    award: str = "share"


class AskedRow(NamedTuple):
    """Marks for a figure of the plan between `least` and `most`, or for stated steps (`of`)."""

    what: str
    marks: Fraction
    room: str | None = None
    least: float | None = None
    most: float | None = None
    of: int = 1


class Topic(NamedTuple):
    """Rows of marks under one heading."""

    name: str
    rules: tuple[RuleRow, ...]
    asked: tuple[AskedRow, ...]

    @property
    def marks(self) -> Fraction:
        """All marks of the topic."""
        by_rule = sum((row.marks for row in self.rules), NOTHING)
        return sum((row.marks for row in self.asked), by_rule)


class Late(NamedTuple):
    """What is taken off what comes after `due`."""

    due: date
    per_day: Fraction
    most: Fraction


class Grade(NamedTuple):
    """A grade, and the least marks that earn it."""

    name: str
    least: Fraction


class Scheme(NamedTuple):
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

    @property
    def marks(self) -> Fraction:
        """All marks that can be earned."""
        return sum((topic.marks for topic in self.topics), NOTHING)


class SchemeReading(NamedTuple):
    """What reading a scheme came to; `scheme` is None where there are problems."""

    scheme: Scheme | None
    problems: tuple[Problem, ...]


def read_scheme(source: bytes, path: str, sets: Sequence[RuleSet]) -> SchemeReading:
    """Read a scheme of format 1; `path` names the file in the problems."""
    parsed = parse(source)
    checked = check_data(parsed, "scheme")
    problems = [*parsed.problems, *checked.problems]
    if problems or checked.data is None:
        return SchemeReading(None, _in_file(problems, path))
    data = checked.data
    known = {rule.id for rule_set in sets for rule in rule_set.rules}
    problems += _find_unknown_rules(data, known, parsed)
    settings, refused = put_in_force([Placed(path, _limits(data, parsed), parsed.positions)], sets)
    problems += refused
    topics = tuple(_topic(name, told, parsed, problems) for name, told in data["topics"].items())
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
        may_not_change=tuple(data.get("may_not_change", PARTS)),
        changes_fail=data.get("changed_brief") == "fail",
        attempt=data.get("attempt", "last"),
        unreadable=read_marks(data.get("unreadable", 0)),
        late=late,
        settings=settings,
        grades=_grades(data.get("grades", {})),
        apart=read_marks(data["markers"]["apart"]) if "markers" in data else None,
    )
    problems += _find_vain_grades(scheme, parsed)
    for key, marks in (("pass_mark", scheme.pass_mark), ("unreadable", scheme.unreadable)):
        if marks > scheme.marks:
            said = f"{show(key)}: {float(marks):g} is more than the {float(scheme.marks):g} marks "
            problems.append(_at(key, said + "that the topics add up to", parsed))
    if problems:
        return SchemeReading(None, _in_file(problems, path))
    return SchemeReading(scheme, ())


def _in_file(problems: Sequence[Problem], path: str) -> tuple[Problem, ...]:
    return sort_problems(
        [Problem(one.message, one.path, one.line, one.column, path) for one in problems]
    )


def _at(path: str, message: str, parsed: Parsed) -> Problem:
    return Problem(message, path, *locate(path, parsed.positions))


def _find_unknown_rules(data: Mapping[str, Any], known: set[str], parsed: Parsed) -> list[Problem]:
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
    return found


def _no_rule(rule: str, known: set[str]) -> str:
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


def _topic(name: str, told: Mapping[str, Any], parsed: Parsed, problems: list[Problem]) -> Topic:
    rules = tuple(
        RuleRow(rule, read_marks(row["marks"]), int(row["of"]), row.get("award", "share"))
        for rule, row in told.get("rules", {}).items()
    )
    asked = tuple(
        _asked(row, join_path(("topics", name, "asked", place)), parsed, problems)
        for place, row in enumerate(told.get("asked", ()))
    )
    return Topic(name, rules, asked)


def _asked(row: Mapping[str, Any], path: str, parsed: Parsed, problems: list[Problem]) -> AskedRow:
    what = row["what"]
    bounds: dict[str, float | None] = {"least": None, "most": None}
    for key in bounds:
        if key in row:
            try:
                bounds[key] = _figure(row[key], UNITS[what])
            except QuantityError as error:
                problems.append(_at(f"{path}.{key}", f"{show(key)}: {error}", parsed))
                return AskedRow(what, read_marks(row["marks"]))
    least, most = bounds["least"], bounds["most"]
    if what == "method statement":
        if "of" not in row:
            said = f"{show(what)} needs `of`: how many steps the brief asks for, such as `of: 11`"
            problems.append(_at(path, said, parsed))
    elif least is None and most is None:
        problems.append(_at(path, f"{show(what)} needs `least`, `most` or both", parsed))
    elif least is not None and most is not None and least > most:
        problems.append(_at(path, "`least` is more than `most`", parsed))
    elif least is None:
        # A plan that leaves everything out would keep to a greatest figure.
        said = f"{show(what)} needs `least` too: nothing at all would keep to `most`"
        problems.append(_at(path, said, parsed))
    return AskedRow(
        what, read_marks(row["marks"]), row.get("room"), least, most, int(row.get("of", 1))
    )


def _figure(value: Any, unit: str) -> float:
    if unit:
        return read(value, unit)
    if isinstance(value, str) or value != int(value):
        raise QuantityError(f"{show(value)} is no whole number: write for example `1`")
    return float(value)


def _grades(told: Mapping[str, Any]) -> tuple[Grade, ...]:
    found = [Grade(name, read_marks(least)) for name, least in told.items()]
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
    return Late(due, per_day, read_marks(told.get("most", 1_000_000)))
