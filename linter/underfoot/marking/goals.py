"""Goals: what the brief demands of the whole, for marks of its own or as a gate before others."""

from collections.abc import Collection, Iterable, Mapping
from fractions import Fraction
from typing import Any

from msgspec import Struct

from underfoot.marking.marks import NOTHING, read_marks
from underfoot.reading.paths import locate
from underfoot.reading.problem import Problem, problem_at
from underfoot.reading.quantities import QuantityError, read
from underfoot.reading.syntax import Parsed
from underfoot.reading.wording import show, suggest


class Kind(Struct, frozen=True, kw_only=True):
    """A figure that can be asked for: its unit ("" is a plain number), whether rooms add up.

    `least` is what is asked where the scheme does not say; None where it must say.
    """

    unit: str
    adds_up: bool = False
    least: float | None = None

    @property
    def is_yes_or_no(self) -> bool:
        """Whether a room has it or not."""
        return not (self.unit or self.adds_up)


# What stands without `least` is asked of each room; so much of a floor is nearly all of it.
KINDS: Mapping[str, Kind] = {
    "heated share": Kind(unit="%"),
    "output": Kind(unit="W", adds_up=True),
    "circuits": Kind(unit="", adds_up=True),
    "strips": Kind(unit="", adds_up=True),
    "heated rooms": Kind(unit="", least=1),
    "fed strips": Kind(unit="%", least=100),
    "sensor": Kind(unit="", least=1),
    "thermostat": Kind(unit="", least=1),
    "insulation": Kind(unit="%", least=90),
    "membrane": Kind(unit="%", least=90),
    "tests": Kind(unit="", adds_up=True, least=1),
    "method statement": Kind(unit="", adds_up=True),
}


class Goal(Struct, frozen=True, kw_only=True):
    """A figure of the plan between `least` and `most`, right steps (`of`), or a rule kept.

    `gates` are the topics and rules that count for nothing where it is missed, None where the
    scheme does not say: then a goal in a topic gates the rest of it where there is too little, and
    one of the whole scheme gates everything. `fails` says whether missing it fails the submission.
    """

    what: str
    marks: Fraction = NOTHING
    room: str | None = None
    least: float | None = None
    most: float | None = None
    of: int = 1
    rule: str | None = None
    every_room: bool = False
    gates: tuple[str, ...] | None = None
    fails: bool = False
    line: int = 1
    column: int = 1


class Names(Struct, frozen=True, kw_only=True):
    """What a goal may name: the topics, the rules that have marks, and every rule there is."""

    topics: Collection[str]
    marked: Collection[str]
    rules: Collection[str]


def read_goal(told: Mapping[str, Any], path: str, parsed: Parsed) -> Goal:
    """Read a goal that the schema let through; a figure that is none is left to be told."""
    kind = KINDS.get(told.get("what", ""), Kind(unit=""))
    bounds: dict[str, float | None] = {}
    for key in ("least", "most"):
        try:
            bounds[key] = _figure(told[key], kind.unit) if key in told else None
        except QuantityError:
            bounds[key] = None
    least = bounds["least"]
    if least is None and bounds["most"] is None:
        least = kind.least
    gates = told.get("gates")
    line, column = locate(path, parsed.positions)
    return Goal(
        what=told.get("what") or told.get("rule") or "",
        marks=read_marks(told.get("marks", 0)),
        room=told.get("room"),
        least=least,
        most=bounds["most"],
        of=int(told.get("of", 1)),
        rule=told.get("rule"),
        every_room=bool(told.get("every_room", False)),
        gates=None if gates is None else tuple(gates),
        fails=bool(told.get("fails", "marks" not in told and gates is None)),
        line=line,
        column=column,
    )


def find_goal_problems(
    told: Mapping[str, Any], path: str, parsed: Parsed, names: Names
) -> list[Problem]:
    """Say what is not sound about one goal."""

    def at(key: str, message: str) -> Problem:
        place = f"{path}.{key}" if key else path
        return problem_at(message, place, locate(place, parsed.positions))

    found = []
    for number, name in enumerate(told.get("gates", ())):
        if name not in names.topics and name not in names.marked:
            near = suggest(name, sorted({*names.topics, *names.marked}))
            said = f"{show(name)} is neither a topic nor a rule with marks{near}"
            found.append(at(f"gates.{number}", said))
    what, rule = told.get("what"), told.get("rule")
    if (what is None) == (rule is None):
        found.append(at("", "a goal needs `what`, or in its place `rule`: one of the two"))
        return found
    if rule is not None:
        if rule not in names.rules:
            near = suggest(rule, sorted(names.rules))
            found.append(at("rule", f"there is no rule {show(rule)}{near}"))
        found += [
            at(key, f"a rule is kept or not: leave out {show(key)}")
            for key in ("least", "most", "of", "every_room")
            if key in told
        ]
        return found
    return found + _find_bound_problems(told, str(what), at)


def _find_bound_problems(told: Mapping[str, Any], what: str, at: Any) -> list[Problem]:
    kind = KINDS[what]
    if kind.is_yes_or_no:
        return [
            at(key, f"{show(what)} is there or not: leave out {show(key)}")
            for key in ("least", "most")
            if key in told
        ]
    bounds: dict[str, float] = {}
    for key in ("least", "most"):
        if key in told:
            try:
                bounds[key] = _figure(told[key], kind.unit)
            except QuantityError as error:
                return [at(key, f"{show(key)}: {error}")]
    if what == "method statement" and "marks" in told:
        if "of" not in told:
            said = f"{show(what)} needs `of`: how many steps the brief asks for, such as `of: 11`"
            return [at("", said)]
        return []
    if not bounds:
        if kind.least is None:
            return [at("", f"{show(what)} needs `least`, `most` or both")]
        return []
    if "least" not in bounds:
        # A plan that leaves everything out would keep to a greatest figure.
        said = f"{show(what)} needs `least` too: nothing at all would keep to `most`"
        return [at("", said)]
    if "most" in bounds and bounds["least"] > bounds["most"]:
        return [at("", "`least` is more than `most`")]
    return []


def _figure(value: Any, unit: str) -> float:
    if unit:
        return read(value, unit)
    if isinstance(value, str) or value != int(value):
        raise QuantityError(f"{show(value)} is no whole number: write for example `1`")
    return float(value)


def find_unknown_rooms(goals: Iterable[Goal], rooms: Collection[str]) -> list[Problem]:
    """Say which goals name a room that the brief does not have."""
    return [
        Problem(
            message=f"`room`: the brief has no room "
            f"{show(goal.room)}{suggest(goal.room, sorted(rooms))}",
            path="",
            line=goal.line,
            column=goal.column,
        )
        for goal in goals
        if goal.room is not None and goal.room not in rooms
    ]
