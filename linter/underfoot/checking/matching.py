"""Which findings of two reports on a plan are the same one, and whether one got worse.

A finding's identity is its rule, its room and its items: it survives moved lines and new numbers.
"""

from collections import deque
from collections.abc import Sequence
from typing import Generic, Literal, Protocol, TypeVar

from msgspec import Struct

from underfoot.checking.finding import NOISE, SEVERITIES, Severity
from underfoot.checking.report import LimitUsed, Measure, PlanContent

Identity = tuple[str, str | None, tuple[str, ...]]
Step = Literal["same", "better", "worse", "other"]


class FindingLike(Protocol):
    """What matching needs of a finding: one just reported, or one read from an earlier report."""

    @property
    def rule(self) -> str:
        """The rule's id."""

    @property
    def room(self) -> str | None:
        """The room's id."""

    @property
    def items(self) -> tuple[str, ...]:
        """The ids of what it is about."""

    @property
    def severity(self) -> Severity:
        """The severity in force."""

    @property
    def measured(self) -> Measure | None:
        """What was measured."""

    @property
    def limit(self) -> LimitUsed | None:
        """What it was held against."""

    @property
    def mark(self) -> str | None:
        """What it is about, by content; None where that is not told."""


Old = TypeVar("Old", bound=FindingLike)
New = TypeVar("New", bound=FindingLike)


class Matching(Struct, Generic[Old, New], frozen=True, kw_only=True):
    """The findings of two reports: those in both, in the new one's order, and the rest of each."""

    left: tuple[tuple[Old, New], ...]
    cleared: tuple[Old, ...]
    brought_in: tuple[New, ...]


def identity_of(finding: FindingLike) -> Identity:
    """Return rule, room and items."""
    return finding.rule, finding.room, tuple(finding.items)


def match_findings(old: Sequence[Old], new: Sequence[New]) -> Matching[Old, New]:
    """Pair the findings of equal identity; where several share one, in the order reported."""
    waiting: dict[Identity, deque[Old]] = {}
    for finding in old:
        waiting.setdefault(identity_of(finding), deque()).append(finding)
    left: list[tuple[Old, New]] = []
    brought_in: list[New] = []
    for found in new:
        same = waiting.get(identity_of(found))
        if same:
            left.append((same.popleft(), found))
        else:
            brought_in.append(found)
    unmatched = {id(finding) for queue in waiting.values() for finding in queue}
    cleared = tuple(finding for finding in old if id(finding) in unmatched)
    return Matching(left=tuple(left), cleared=cleared, brought_in=tuple(brought_in))


def match_renamed(
    matched: Matching[Old, New], then: PlanContent | None, now: PlanContent | None
) -> Matching[Old, New]:
    """Pair what is left over where the mark is the same and rooms and items were only renamed.

    Renamed is what was called otherwise in the earlier plan: the old id is gone, the new one was
    not there. A twin that has both ids already is another thing.
    """
    if then is None or now is None:
        return matched
    waiting = list(matched.cleared)
    left, brought_in = list(matched.left), []
    for found in matched.brought_in:
        old = next((each for each in waiting if _is_renamed(each, found, then, now)), None)
        if old is None:
            brought_in.append(found)
        else:
            waiting.remove(old)
            left.append((old, found))
    return Matching(left=tuple(left), cleared=tuple(waiting), brought_in=tuple(brought_in))


def _is_renamed(old: FindingLike, new: FindingLike, then: PlanContent, now: PlanContent) -> bool:
    if old.mark is None or old.mark != new.mark or old.rule != new.rule:
        return False
    if old.room != new.room and (old.room in now.ids or new.room in then.ids):
        return False
    ids_then, ids_now = _ids(then, old.room), _ids(now, new.room)
    items_then, items_now = set(old.items), set(new.items)
    return not (items_then - items_now) & ids_now and not (items_now - items_then) & ids_then


def _ids(content: PlanContent, room: str | None) -> set[str]:
    """All ids that an item of a finding in a room may be."""
    if room is None:
        return {item for items in content.ids.values() for item in items}
    return {*content.ids.get(room, ()), *content.ids.get("", ())}


def compare_measures(old: FindingLike, new: FindingLike) -> Step:
    """Say how the measure went, seen from the limit in force now.

    Worse is further from the limit by more than rounding noise. ``other`` is a measure that
    changed with no limit to tell the way, or that one of the two lacks or gives in another unit.
    A value that a limit of two ends has on the other side counts by how far it is off.
    """
    before, now = old.measured, new.measured
    if before is None and now is None:
        return "same"
    if before is None or now is None or before.unit != now.unit:
        return "other"
    if abs(before.value - now.value) <= NOISE:
        return "same"
    limit = new.limit
    if limit is None or limit.unit != now.unit or limit.least is limit.most is None:
        return "other"
    was_off, is_off = _off_by(before.value, limit), _off_by(now.value, limit)
    if abs(was_off - is_off) <= NOISE:
        return "other"
    return "worse" if is_off > was_off else "better"


def is_worse(old: FindingLike, new: FindingLike) -> bool:
    """Tell whether a finding got worse: in measure, in severity, or in a way that cannot be told.

    What changed and cannot be compared is not taken for known.
    """
    if SEVERITIES.index(new.severity) < SEVERITIES.index(old.severity):
        return True
    return compare_measures(old, new) in ("worse", "other")


def _off_by(value: float, limit: LimitUsed) -> float:
    """How far a value misses a limit; below zero where it meets it."""
    misses = []
    if limit.least is not None:
        misses.append(limit.least - value)
    if limit.most is not None:
        misses.append(value - limit.most)
    return max(misses)
