"""Lists of answers made for tests: what is wrong, what was named, what each is worth."""

from fractions import Fraction
from typing import Any

from underfoot.marking.answers import AnswerKey, KeyFault, Named


def fault(rule: str, room: str | None, *items: str, **more: str) -> KeyFault:
    """One fault of a plan; `more` is what is said of it."""
    return KeyFault(rule=rule, room=room, items=items, **more)


def key(*faults: KeyFault, **more: Any) -> AnswerKey:
    """What is to be found, at two marks each, one for the place alone, one off for a wrong one."""
    worth = {"found": Fraction(2), "place_only": Fraction(1), "wrong": Fraction(1)}
    return AnswerKey(faults=faults, **{"follows": (), **worth, **more})


def named(kind: Any, room: Any, item: Any) -> Named:
    """What somebody named."""
    return Named(kind=kind, room=room, item=item)
