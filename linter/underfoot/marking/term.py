"""Several markings of a term, each a marks.json, joined: what each apprentice still gets wrong."""

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct

from underfoot.marking.marks_json import MARKS_FORMAT

_MOST_MARKINGS = 50


class TermError(Exception):
    """Says why a marks file cannot be joined with others."""


class Standing(Struct, frozen=True, kw_only=True):
    """One apprentice in one marking; `broken` says how often each rule was, `kept` which were."""

    mark: float | None
    outcome: str
    grade: str | None
    broken: Mapping[str, int]
    kept: frozenset[str]


class Marking(Struct, frozen=True, kw_only=True):
    """One marks.json: the brief's title, its marks, and how each stands."""

    title: str
    marks: float
    pass_mark: float
    standings: Mapping[str, Standing]


class Habit(Struct, frozen=True, kw_only=True):
    """One rule of an apprentice: how often it was broken in each marking, None where not shown."""

    rule: str
    times: tuple[int | None, ...]

    @property
    def is_wrong_still(self) -> bool:
        """Whether it was broken when it was last shown."""
        shown = [number for number in self.times if number is not None]
        return bool(shown) and shown[-1] > 0


class Course(Struct, frozen=True, kw_only=True):
    """One apprentice's term: a standing a marking (None where not in it), and the rules broken."""

    name: str
    standings: tuple[Standing | None, ...]
    habits: tuple[Habit, ...]

    @property
    def still(self) -> tuple[Habit, ...]:
        """The rules that are still got wrong, the longest-lived first."""
        wrong = [habit for habit in self.habits if habit.is_wrong_still]
        return tuple(sorted(wrong, key=lambda one: (-sum(map(bool, one.times)), one.rule)))

    @property
    def mended(self) -> tuple[Habit, ...]:
        """The rules that were broken once, and are no longer."""
        return tuple(habit for habit in self.habits if not habit.is_wrong_still)


class Term(Struct, frozen=True, kw_only=True):
    """The markings in the order in which they were named, and everybody's course by name."""

    markings: tuple[Marking, ...]
    courses: tuple[Course, ...]

    @property
    def still(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """The rules that are still got wrong, and by whom, the commonest first."""
        who: dict[str, list[str]] = {}
        for course in self.courses:
            for habit in course.still:
                who.setdefault(habit.rule, []).append(course.name)
        ordered = sorted(who.items(), key=lambda pair: (-len(pair[1]), pair[0]))
        return tuple((rule, tuple(names)) for rule, names in ordered)


def read_marking(text: str) -> Marking:
    """Read a marks.json as `underfoot mark` writes it; TermError where it is none."""
    try:
        told = json.loads(text)
        if not isinstance(told, dict) or told.get("marks_format") != MARKS_FORMAT:
            raise TermError("it holds no marks of marks_format 1")
        scheme = told["scheme"]
        counts = frozenset(map(str, scheme["counts"]))
        return Marking(
            title=str(scheme["title"]),
            marks=float(scheme["marks"]),
            pass_mark=float(scheme["pass_mark"]),
            standings={str(one["name"]): _standing(one, counts) for one in told["submissions"]},
        )
    except json.JSONDecodeError:
        raise TermError("it cannot be read as marks: it is no JSON") from None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise TermError(f"it cannot be read as marks ({type(error).__name__})") from None


def _standing(sheet: Mapping[str, Any], counts: frozenset[str]) -> Standing:
    number = sheet["counted_attempt"]
    grade = sheet.get("grade")
    outcome = str(sheet["final_outcome"])
    if number is None:
        return Standing(mark=None, outcome=outcome, grade=None, broken={}, kept=frozenset())
    attempt = next((one for one in sheet["attempts"] if one["attempt"] == number), None)
    if attempt is None:
        raise ValueError("no attempt counts")
    broken = Counter(str(one["rule"]) for one in attempt["findings"] if one["severity"] in counts)
    shown = attempt.get("shown") or [row["row"] for row in attempt["rows"] if row["right"]]
    return Standing(
        mark=float(sheet["final_mark"]),
        outcome=outcome,
        grade=None if grade is None else str(grade),
        broken=dict(sorted(broken.items())),
        kept=frozenset(map(str, shown)) - broken.keys(),
    )


def join_term(markings: Sequence[Marking]) -> Term:
    """Join markings: apprentices go by the names or numbers that the files give them."""
    if len(markings) > _MOST_MARKINGS:
        raise TermError(f"{len(markings)} files are more than a term's")
    names = sorted({name for marking in markings for name in marking.standings})
    return Term(markings=tuple(markings), courses=tuple(_course(name, markings) for name in names))


def _course(name: str, markings: Sequence[Marking]) -> Course:
    standings = tuple(marking.standings.get(name) for marking in markings)
    rules = sorted({rule for one in standings if one for rule in one.broken})
    habits = tuple(
        Habit(rule=rule, times=tuple(_times(rule, one) for one in standings)) for rule in rules
    )
    return Course(name=name, standings=standings, habits=habits)


def _times(rule: str, standing: Standing | None) -> int | None:
    if standing is None:
        return None
    return standing.broken.get(rule, 0 if rule in standing.kept else None)
