"""A mend is a change to a plan's own text that clears a finding; a mender proposes such changes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, Literal

from msgspec import Struct

from underfoot.checking.finding import Finding, Severity

if TYPE_CHECKING:
    from underfoot.checking.facts import Facts, RoomFacts


class Edit(Struct, frozen=True, kw_only=True):
    """One operation of a JSON Patch (RFC 6902) on the plan as it is written, its catalogue apart.

    `path` holds keys, places in lists, and "-" for the place after a list's last; `value` is plain
    data, and counts for nothing where something is removed.
    """

    op: Literal["add", "replace", "remove"]
    path: tuple[str | int, ...]
    value: Any = None


class Proposal(Struct, frozen=True, kw_only=True):
    """What might clear a finding: a sentence that says what to do, and the edits that do it."""

    says: str
    edits: tuple[Edit, ...]


class TextEdit(Struct, frozen=True, kw_only=True):
    """What stands in a text from `start` up to `end`, counted in characters, becomes `text`."""

    start: int
    end: int
    text: str


class Replacement(Struct, frozen=True, kw_only=True):
    """A change of a text by line and column, 1-based, in characters; a byte order mark is none.

    The end is the column after the last character that goes.
    """

    line: int
    column: int
    end_line: int
    end_column: int
    text: str


class Mend(Struct, frozen=True, kw_only=True):
    """A proposal that was tried: its finding is gone, nothing else is new, worse or unjudged.

    `replacements` do the same to the plan's text, where that was at hand.
    """

    says: str
    patch: tuple[Edit, ...]
    replacements: tuple[Replacement, ...] = ()


class ToMend(Struct, frozen=True, kw_only=True):
    """A finding to be cleared: whose it is, what it is about, and the plan that it stands in.

    `path` is where it stands. `data` is the plan as its own text has it, and is not to be changed;
    `facts` are of the same plan.
    """

    rule: str
    room: str | None
    items: tuple[str, ...]
    path: str
    finding: Finding
    severity: Severity
    facts: Facts
    data: Mapping[str, Any]

    @property
    def room_facts(self) -> RoomFacts:
        """The facts of its room; KeyError where it is of none."""
        return self.facts.rooms[self.room or ""]


Propose = Callable[[ToMend], Iterable[Proposal]]


class Mender(Struct, frozen=True, kw_only=True):
    """What proposes mends for the findings of one rule, the best first; none need hold.

    Each is tried before anybody sees it. What records a fact (a reading, a date, a name, what was
    found on site, what a maker states) is never changed to please a rule. What is `first_only` is
    proposed for a finding of the plan itself, and never to make good what another step brings.
    """

    rule: str
    propose: Propose
    first_only: bool = False
