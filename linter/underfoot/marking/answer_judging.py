"""Marks a list of faults found against the answer key of an exercise."""

import re
from collections.abc import Callable, Sequence
from difflib import SequenceMatcher
from fractions import Fraction
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.marking.answers import AnswerKey, KeyFault, Named
from underfoot.marking.marks import NOTHING, as_number
from underfoot.reading.problem import Problem

FOUND, NEARLY, PLACE_ONLY, FOLLOWS, AGAIN, WRONG = (
    "found",
    "right kind and room, the thing not told or not quite",
    "right place, another kind",
    "right, but not asked for",
    "named before",
    "wrong accusation",
)
PARTLY = (NEARLY, PLACE_ONLY)
# Of `hall` and `haal` three letters of four are alike, of `bedroom` and `bathroom` two in three.
_ALIKE = 0.75
_LONGEST_NAME = 80
_NUMBERED = re.compile(r"(.*?)0*(\d+)")


class Judged(Struct, frozen=True, kw_only=True):
    """One answer and what it came to; `asked` is what was perhaps meant, where that is not sure."""

    answer: Named
    verdict: str
    worth: Fraction
    fault: KeyFault | None = None
    asked: str = ""


class AnswerMarks(Struct, frozen=True, kw_only=True):
    """One list of answers, marked; `problems` are those of the file or of entries refused.

    `attempt` is which of `attempts` lists it is that counts; none where nothing was handed in.
    """

    name: str
    judged: tuple[Judged, ...]
    missed: tuple[KeyFault, ...]
    earned: Fraction
    problems: tuple[Problem, ...] = ()
    is_read: bool = True
    attempt: int = 1
    attempts: int = 1

    @property
    def is_absent(self) -> bool:
        """Whether nothing was handed in."""
        return not self.attempts

    def count(self, *verdicts: str) -> int:
        """Count the answers that came to one of `verdicts`."""
        return sum(one.verdict in verdicts for one in self.judged)

    def state_of(self, fault: KeyFault) -> Judged | None:
        """Return the answer that earned most for a fault; None where none met it."""
        met = [one for one in self.judged if one.fault == fault]
        return max(met, key=lambda one: one.worth, default=None)


def mark_list(
    name: str, answers: Sequence[Named], key: AnswerKey, problems: tuple[Problem, ...] = ()
) -> AnswerMarks:
    """Mark a list of answers.

    An answer finds a fault by its kind, room and one of its items, however these are spelt, or by a
    thing that is wrong in the same way because of it. The right kind in the right room with no item
    or one that is nearly right, and the right place under another kind, earn a part, once a fault,
    where that fault is not found outright. What is nearly right is asked about. Each fault counts
    once; a wrong accusation costs marks, down to nothing at all.
    """
    judging = _Judging(answers, key)
    judging.take(FOUND, key.found, hits)
    # One act may put several strips too near a wall: any of them shows that it was found.
    judging.take(FOUND, key.found, _is_same_act, among=key.follows)
    judging.settle(AGAIN, key.faults)
    judging.settle(FOLLOWS, key.follows)
    judging.take(NEARLY, key.nearly, is_near)
    judging.settle(AGAIN, key.faults, lacks_item)
    judging.settle(FOLLOWS, key.follows, lacks_item)
    judging.take(PLACE_ONLY, key.place_only, is_there)
    judged = judging.finish()
    met = {id(one.fault) for one in judged if one.verdict == FOUND}
    earned = max(NOTHING, sum((one.worth for one in judged), NOTHING))
    missed = tuple(one for one in key.faults if id(one) not in met)
    return AnswerMarks(
        name=name, judged=judged, missed=missed, earned=min(key.marks, earned), problems=problems
    )


class _Judging:
    """The answers that are judged so far, and the faults that nobody has met yet."""

    def __init__(self, answers: Sequence[Named], key: AnswerKey) -> None:
        self._answers = answers
        self._key = key
        self._open = list(key.faults)
        self._verdicts: dict[int, Judged] = {}

    def take(
        self,
        verdict: str,
        worth: Fraction,
        fits: Callable[[Named, KeyFault], bool],
        among: Sequence[KeyFault] | None = None,
    ) -> None:
        """Let each answer that fits an open fault take it; `among`, only if it is one of those."""
        for at, answer in enumerate(self._answers):
            if at in self._verdicts:
                continue
            if among is not None and not any(hits(answer, one) for one in among):
                continue
            fault = next((one for one in self._open if fits(answer, one)), None)
            if fault is not None:
                self._open.remove(fault)
                asked = _ask(answer, fault) if among is None else ""
                self._verdicts[at] = Judged(
                    answer=answer, verdict=verdict, worth=worth, fault=fault, asked=asked
                )

    def settle(
        self,
        verdict: str,
        faults: Sequence[KeyFault],
        fits: Callable[[Named, KeyFault], bool] | None = None,
    ) -> None:
        """Let each answer that fits a fault, open or not, come to nothing."""
        for at, answer in enumerate(self._answers):
            if at not in self._verdicts and any((fits or hits)(answer, one) for one in faults):
                self._verdicts[at] = Judged(answer=answer, verdict=verdict, worth=NOTHING)

    def finish(self) -> tuple[Judged, ...]:
        """Return the answers in order; what fits nothing is a wrong accusation."""
        return tuple(
            self._verdicts.get(at) or Judged(answer=answer, verdict=WRONG, worth=-self._key.wrong)
            for at, answer in enumerate(self._answers)
        )


def _plain(name: str) -> str:
    """Return a name without what is only a way of spelling: `a 2` is `A2`."""
    return re.sub(r"[\W_]+", "", name).casefold() or name


def _is_spelt(name: str | None, right: str | None) -> bool:
    return name is not None and right is not None and _plain(name) == _plain(right)


def is_there(answer: Named, fault: KeyFault) -> bool:
    """Tell whether an answer names the place of a fault."""
    # A fault of the whole plan may be told with a room or without.
    in_room = fault.room is None or _is_spelt(answer.room, fault.room)
    if not fault.items:
        return in_room and (answer.item is None or _is_spelt(answer.item, fault.room))
    return in_room and any(_is_spelt(answer.item, one) for one in fault.items)


def hits(answer: Named, fault: KeyFault) -> bool:
    """Tell whether an answer names a fault: where nothing is wrong but missing, none need be told.

    A thing that is named by its own name needs no room.
    """
    if answer.kind != fault.rule:
        return False
    if not fault.items:
        return fault.room is None or _is_spelt(answer.room, fault.room)
    roomless = replace(answer, room=fault.room) if answer.room is None else answer
    return is_there(roomless, fault)


def lacks_item(answer: Named, fault: KeyFault) -> bool:
    """Tell whether an answer names kind and room of a fault, and no thing."""
    in_room = fault.room is None or answer.room is None or _is_spelt(answer.room, fault.room)
    return answer.kind == fault.rule and in_room and answer.item is None


def is_near(answer: Named, fault: KeyFault) -> bool:
    """Tell whether an answer of the right kind nearly names room and thing, or no thing."""
    if answer.kind != fault.rule:
        return False
    if lacks_item(answer, fault):
        return True
    in_room = fault.room is None or answer.room is None or _is_spelt(answer.room, fault.room)
    is_near_room = in_room or _looks_like(answer.room, fault.room)
    if not is_near_room:
        return False
    if not fault.items:
        return True
    item = answer.item or ""
    named = any(_is_spelt(item, one) for one in fault.items)
    return named or (in_room and any(_is_beside(item, one) for one in fault.items))


def _looks_like(name: str | None, right: str | None) -> bool:
    """Tell whether a word is a slip of the pen; `room-1` is another than `room-2`."""
    if name is None or right is None or max(len(name), len(right)) > _LONGEST_NAME:
        return False
    one, other = _plain(name), _plain(right)
    if re.findall(r"\d+", one) != re.findall(r"\d+", other):
        return False
    return SequenceMatcher(None, one, other).ratio() >= _ALIKE


def _is_beside(item: str, right: str) -> bool:
    """Tell whether a name is a slip of the pen or the next number, as `A3` is to `A4`."""
    if max(len(item), len(right)) > _LONGEST_NAME:
        return False
    one, other = _NUMBERED.fullmatch(_plain(item)), _NUMBERED.fullmatch(_plain(right))
    if one is not None and other is not None:
        return one[1] == other[1] and abs(int(one[2][:9]) - int(other[2][:9])) <= 1
    return one is None and other is None and _looks_like(item, right)


def _is_same_act(answer: Named, fault: KeyFault) -> bool:
    in_room = fault.room is None or answer.room is None or _is_spelt(answer.room, fault.room)
    return answer.kind == fault.rule and in_room


def _ask(answer: Named, fault: KeyFault) -> str:
    """Ask what was meant, where room or thing are not told as the plan tells them."""
    told = []
    if fault.room is not None and answer.room is not None and answer.room != fault.room:
        told.append(fault.room)
    if answer.item is None:
        told += [" or ".join(f"{one}" for one in fault.items)] if fault.items else []
    elif fault.items and answer.item not in fault.items:
        near = [one for one in fault.items if _is_spelt(answer.item, one)]
        near += [one for one in fault.items if _is_beside(answer.item, one)]
        told += near[:1]
    return ", ".join(f"`{one}`?" for one in told if one)


def as_data(marked: AnswerMarks, key: AnswerKey) -> dict[str, Any]:
    """Return a marked list as plain data."""
    return {
        "name": marked.name,
        "attempt": None if marked.is_absent else marked.attempt,
        "attempts": marked.attempts,
        "earned": as_number(marked.earned),
        "marks": as_number(key.marks),
        "is_read": marked.is_read,
        "found": marked.count(FOUND),
        "partly": marked.count(*PARTLY),
        "faults": len(key.faults),
        "wrong": marked.count(WRONG),
        "answers": [
            {"kind": one.answer.kind, "room": one.answer.room, "item": one.answer.item,
             "verdict": one.verdict, "worth": as_number(one.worth), "asked": one.asked}
            for one in marked.judged
        ],
        "missed": [
            {"rule": one.rule, "room": one.room, "items": list(one.items), "says": one.says}
            for one in marked.missed
        ],
        "problems": [one.message for one in marked.problems],
    }  # fmt: skip
