"""Marks a list of faults found against the answer key of an exercise."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, NamedTuple

from underfoot.marking.marks import NOTHING, as_number, read_marks
from underfoot.reading.problem import Problem, sort_problems
from underfoot.reading.schema import check_data
from underfoot.reading.syntax import parse

FOUND, PLACE_ONLY, FOLLOWS, AGAIN, WRONG = (
    "found",
    "right place, another kind",
    "right, but follows from a fault",
    "named before",
    "wrong accusation",
)


class Named(NamedTuple):
    """A fault as somebody names it: the kind is a rule."""

    kind: str
    room: str | None
    item: str | None


class KeyFault(NamedTuple):
    """A fault of the key."""

    rule: str
    room: str | None
    items: tuple[str, ...]
    says: str = ""
    message: str = ""
    remedy: str = ""


class AnswerKey(NamedTuple):
    """What is wrong in an exercise, and what an answer earns or costs."""

    faults: tuple[KeyFault, ...]
    follows: tuple[KeyFault, ...]
    found: Fraction
    place_only: Fraction
    wrong: Fraction

    @property
    def marks(self) -> Fraction:
        """All marks that can be earned."""
        return self.found * len(self.faults)


class Judged(NamedTuple):
    """One answer and what it came to."""

    answer: Named
    verdict: str
    worth: Fraction
    fault: KeyFault | None = None


class AnswerMarks(NamedTuple):
    """One list of answers, marked."""

    name: str
    judged: tuple[Judged, ...]
    missed: tuple[KeyFault, ...]
    earned: Fraction
    problems: tuple[Problem, ...] = ()

    def count(self, verdict: str) -> int:
        """Count the answers that came to `verdict`."""
        return sum(one.verdict == verdict for one in self.judged)


def read_key(source: bytes, path: str) -> tuple[AnswerKey | None, tuple[Problem, ...]]:
    """Read an answer key of format 1."""
    data, problems = _read(source, path, "key")
    if data is None:
        return None, problems
    marks = data["marks"]
    key = AnswerKey(
        tuple(_fault(one) for one in data["faults"]),
        tuple(_fault(one) for one in data.get("follows", ())),
        read_marks(marks["found"]),
        read_marks(marks["place_only"]),
        read_marks(marks["wrong"]),
    )
    return key, ()


def read_answers(source: bytes, path: str) -> tuple[tuple[Named, ...] | None, tuple[Problem, ...]]:
    """Read answers of format 1."""
    data, problems = _read(source, path, "answers")
    if data is None:
        return None, problems
    return tuple(
        Named(one["kind"].strip().lower().replace(" ", "-"), one.get("room"), one.get("item"))
        for one in data["faults"]
    ), ()


def _read(source: bytes, path: str, name: str) -> tuple[Any, tuple[Problem, ...]]:
    parsed = parse(source)
    checked = check_data(parsed, name)
    found = [
        Problem(one.message, one.path, one.line, one.column, path)
        for one in (*parsed.problems, *checked.problems)
    ]
    return (None, sort_problems(found)) if found else (checked.data, ())


def _fault(told: Mapping[str, Any]) -> KeyFault:
    return KeyFault(
        told["rule"],
        told.get("room"),
        tuple(told["items"]),
        told.get("says", ""),
        told.get("message", ""),
        told.get("remedy", ""),
    )


def mark_list(name: str, answers: tuple[Named, ...], key: AnswerKey) -> AnswerMarks:
    """Mark a list of answers.

    An answer finds a fault by its kind, room and one of its items, or by a thing that is wrong in
    the same way because of it. The right place under another
    kind earns a part, once a fault, where that fault is not found outright. Each fault counts once;
    a wrong accusation costs marks, down to nothing at all.
    """
    open_faults = list(key.faults)
    verdicts: dict[int, Judged] = {}
    for at, answer in enumerate(answers):
        fault = next((one for one in open_faults if _hits(answer, one)), None)
        if fault is not None:
            open_faults.remove(fault)
            verdicts[at] = Judged(answer, FOUND, key.found, fault)
    for at, answer in enumerate(answers):
        # One act may put several strips too near a wall: any of them shows that it was found.
        if at not in verdicts and any(_hits(answer, one) for one in key.follows):
            fault = next((one for one in open_faults if _is_same_act(answer, one)), None)
            if fault is not None:
                open_faults.remove(fault)
                verdicts[at] = Judged(answer, FOUND, key.found, fault)
    for at, answer in enumerate(answers):
        if at in verdicts:
            continue
        if any(_hits(answer, one) for one in key.faults):
            verdicts[at] = Judged(answer, AGAIN, NOTHING)
        elif any(_hits(answer, one) for one in key.follows):
            verdicts[at] = Judged(answer, FOLLOWS, NOTHING)
        else:
            fault = next((one for one in open_faults if _is_there(answer, one)), None)
            if fault is not None:
                open_faults.remove(fault)
                verdicts[at] = Judged(answer, PLACE_ONLY, key.place_only, fault)
            else:
                verdicts[at] = Judged(answer, WRONG, -key.wrong)
    judged = tuple(verdicts[at] for at in range(len(answers)))
    met = {id(one.fault) for one in judged if one.verdict == FOUND}
    earned = max(NOTHING, sum((one.worth for one in judged), NOTHING))
    missed = tuple(one for one in key.faults if id(one) not in met)
    return AnswerMarks(name, judged, missed, min(key.marks, earned))


def _hits(answer: Named, fault: KeyFault) -> bool:
    return answer.kind == fault.rule and _is_there(answer, fault)


def _is_same_act(answer: Named, fault: KeyFault) -> bool:
    return answer.kind == fault.rule and answer.room == fault.room


def _is_there(answer: Named, fault: KeyFault) -> bool:
    # A fault of the whole plan may be told with a room or without.
    in_room = answer.room == fault.room or fault.room is None
    if not fault.items:
        return in_room and (answer.item is None or answer.item == fault.room)
    return in_room and answer.item in fault.items


def as_data(marked: AnswerMarks, key: AnswerKey) -> dict[str, Any]:
    """Give a marked list as JSON holds it."""
    return {
        "name": marked.name,
        "earned": as_number(marked.earned),
        "marks": as_number(key.marks),
        "found": marked.count(FOUND),
        "faults": len(key.faults),
        "wrong": marked.count(WRONG),
        "answers": [
            {"kind": one.answer.kind, "room": one.answer.room, "item": one.answer.item,
             "verdict": one.verdict, "worth": as_number(one.worth)}
            for one in marked.judged
        ],
        "missed": [
            {"rule": one.rule, "room": one.room, "items": list(one.items), "says": one.says}
            for one in marked.missed
        ],
        "problems": [one.message for one in marked.problems],
    }  # fmt: skip
