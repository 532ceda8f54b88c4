"""A mutation is a value: one way in which a right plan is really got wrong."""

import random
from collections.abc import Callable
from typing import Any

from msgspec import Struct

from underfoot.checking.finding import Severity

Data = dict[str, Any]


class Expected(Struct, frozen=True, kw_only=True):
    """A finding that a damage causes: its identity, and its severity where that is certain."""

    rule: str
    room: str | None
    items: tuple[str, ...] = ()
    severity: Severity | None = None

    @property
    def identity(self) -> tuple[str, str | None, tuple[str, ...]]:
        """What makes two of them the same finding: rule, room and items."""
        return self.rule, self.room, self.items


class Damaged(Struct, frozen=True, kw_only=True):
    """A damaged plan as plain data, and what the damage surely causes, its own rule's first.

    `expected` is empty where that hangs on the drawing: then checking the plan shows whether the
    rule speaks at all.
    """

    data: Data
    expected: tuple[Expected, ...] = ()


Apply = Callable[[Data, random.Random], Damaged | None]


class Mutation(Struct, frozen=True, kw_only=True):
    """One way to damage a right plan.

    `rule` is the rule that it breaks, `name` is unique in a set, `says` is what somebody got wrong,
    in one line. `apply` takes a plan as parsed, whose catalogue has been laid into it, leaves it as
    it was, and gives the damaged one, or None where the damage does not fit the plan; the same
    state of the random source gives the same damage. `not_set` says why nobody could be asked to
    find it in an exercise; empty where somebody can.
    """

    rule: str
    name: str
    says: str
    apply: Apply
    not_set: str = ""
