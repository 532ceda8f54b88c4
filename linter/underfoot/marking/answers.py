"""Reads an exercise's answer key, and the lists of faults that people found."""

import re
from collections.abc import Collection, Mapping
from fractions import Fraction
from typing import Any

from msgspec import Struct

from underfoot.marking.marks import read_marks
from underfoot.reading.problem import Problem, in_file
from underfoot.reading.schema import check_data
from underfoot.reading.syntax import parse
from underfoot.reading.wording import show, suggest

# An exercise has 20 faults at most.
MOST_ANSWERS = 1000


class Named(Struct, frozen=True, kw_only=True):
    """A fault as somebody names it: the kind is a rule."""

    kind: str
    room: str | None
    item: str | None


class KeyFault(Struct, frozen=True, kw_only=True):
    """A fault of the key."""

    rule: str
    room: str | None
    items: tuple[str, ...]
    says: str = ""
    message: str = ""
    remedy: str = ""


class AnswerKey(Struct, frozen=True, kw_only=True):
    """What is wrong in an exercise, and what an answer earns or costs."""

    faults: tuple[KeyFault, ...]
    follows: tuple[KeyFault, ...]
    found: Fraction
    place_only: Fraction
    wrong: Fraction
    kind_only: Fraction | None = None
    title: str = ""
    plan: str = ""
    attempt: str = "last"

    @property
    def marks(self) -> Fraction:
        """All marks that can be earned."""
        return self.found * len(self.faults)

    @property
    def nearly(self) -> Fraction:
        """What the right kind in the right room is worth without the thing itself."""
        return self.place_only if self.kind_only is None else self.kind_only


def read_key(source: bytes, path: str) -> tuple[AnswerKey | None, tuple[Problem, ...]]:
    """Read an answer key of format 1."""
    data, problems = _read(source, path, "key")
    if data is None:
        return None, problems
    marks = data["marks"]
    key = AnswerKey(
        faults=tuple(_fault(one) for one in data["faults"]),
        follows=tuple(_fault(one) for one in data.get("follows", ())),
        found=read_marks(marks["found"]),
        place_only=read_marks(marks["place_only"]),
        wrong=read_marks(marks["wrong"]),
        kind_only=read_marks(marks["kind_only"]) if "kind_only" in marks else None,
        title=data.get("title", ""),
        plan=data.get("plan", ""),
        attempt=data.get("attempt", "last"),
    )
    return key, ()


def read_answers(
    source: bytes, path: str, kinds: Collection[str] = ()
) -> tuple[tuple[Named, ...] | None, tuple[Problem, ...]]:
    """Read answers of format 1; `kinds` are the rules there are, any where there are none given.

    An entry that cannot be read, or whose kind is no rule, is refused by itself; the others count.
    """
    parsed = parse(source)
    checked = check_data(parsed, "answers")
    found = [*parsed.problems, *checked.problems]
    bad = {_entry_of(one.path) for one in found}
    told = parsed.data.get("faults") if isinstance(parsed.data, dict) else None
    if None in bad or not isinstance(told, list):
        return None, in_file(found, path)
    if len(told) > MOST_ANSWERS:
        said = f"{len(told)} faults are named here; at most {MOST_ANSWERS} are read"
        line, column = parsed.positions.get("faults", (1, 1))
        return None, in_file(
            [*found, Problem(message=said, path="faults", line=line, column=column)], path
        )
    answers = []
    for at, one in enumerate(told):
        if at in bad:
            continue
        kind = re.sub(r"[\s_-]+", "-", one["kind"].strip().lower())
        if kinds and kind not in kinds:
            where = f"faults.{at}.kind"
            line, column = parsed.positions.get(where, (1, 1))
            near = suggest(kind, sorted(kinds)) or "; `underfoot rules` lists them"
            said = f"the kind {show(one['kind'])} is no rule{near}"
            found.append(Problem(message=said, path=where, line=line, column=column))
            continue
        answers.append(Named(kind=kind, room=one.get("room"), item=one.get("item")))
    return tuple(answers), in_file(found, path)


def _entry_of(path: str) -> int | None:
    """Tell in which of the faults a problem lies; None where it lies in none."""
    found = re.match(r"faults\.(\d+)(?:\.|$)", path)
    return int(found[1]) if found else None


def _read(source: bytes, path: str, name: str) -> tuple[Any, tuple[Problem, ...]]:
    parsed = parse(source)
    checked = check_data(parsed, name)
    found = in_file([*parsed.problems, *checked.problems], path)
    return (None, found) if found else (checked.data, ())


def _fault(told: Mapping[str, Any]) -> KeyFault:
    return KeyFault(
        rule=told["rule"],
        room=told.get("room"),
        items=tuple(told["items"]),
        says=told.get("says", ""),
        message=told.get("message", ""),
        remedy=told.get("remedy", ""),
    )
