"""A plan's data, read and checked as a whole, and whether one such state is better than another."""

from collections import Counter
from collections.abc import Callable, Mapping
from typing import Any

import msgspec
from msgspec import Struct, field

from underfoot.checking.check import Checker
from underfoot.checking.engine import Outcome, RuleFinding, run
from underfoot.checking.finding import NOISE, SEVERITIES
from underfoot.checking.waivers import covers
from underfoot.reading.plan_file import Reading
from underfoot.reading.syntax import Parsed, Position

ReadParsed = Callable[[Parsed], Reading]

# So many states are kept, the last ones, none of a plan with more strips than this.
_MOST_KEPT, _MOST_STRIPS_KEPT = 64, 500

Identity = tuple[str, str | None, tuple[str, ...]]


class State(Struct, frozen=True, kw_only=True):
    """A plan's data, and all that the rules say about it."""

    data: Mapping[str, Any]
    outcome: Outcome

    @property
    def standing(self) -> list[RuleFinding]:
        """The findings that nobody agreed to leave."""
        return [each for each in self.outcome.raised if not _is_waived(each, self.outcome)]


class Trial(Struct, frozen=True, kw_only=True):
    """How plans are tried: how data is read, what checks it, and where things stood in the file.

    What was tried last is kept, since the same step may be tried for several findings.
    """

    read: ReadParsed
    checker: Checker
    positions: Mapping[str, Position]
    _tried: dict[bytes, State | None] = field(default_factory=dict)

    def judge(self, data: Any, before: State | None = None) -> State | None:
        """Read and check a plan's data; None where it cannot be read, or a rule fails on it.

        `before` is a state that it came from: rooms that are the same are not worked out again.
        """
        key = msgspec.json.encode(data)
        if key in self._tried:
            return self._tried[key]
        state = self._judge(data, before)
        if state is None or len(state.outcome.facts.elements) <= _MOST_STRIPS_KEPT:
            if len(self._tried) == _MOST_KEPT:
                del self._tried[next(iter(self._tried))]
            self._tried[key] = state
        return state

    def _judge(self, data: Any, before: State | None) -> State | None:
        reading = self.read(Parsed(data=data, positions=_Anywhere(self.positions), problems=()))
        if reading.plan is None or reading.problems:
            return None
        checker = self.checker
        outcome = run(
            reading.plan,
            checker.program,
            checker.settings,
            today=checker.today,
            with_waivers=checker.with_waivers,
            before=None if before is None else before.outcome.facts,
            is_advised=False,
        )
        return None if outcome.faults else State(data=data, outcome=outcome)


class _Anywhere(dict[str, Position]):
    """Positions in which every path is found: what an edit adds stands nowhere yet."""

    def __init__(self, positions: Mapping[str, Position]) -> None:
        super().__init__(positions)

    def __missing__(self, path: str) -> Position:
        return (1, 1)


def identity(found: RuleFinding) -> Identity:
    """Return what makes two findings the same: rule, room and items."""
    return found.rule.id, found.subject.room, found.subject.items


def list_new(before: State, after: State) -> list[RuleFinding]:
    """List the findings that one state has and another had not, or had less grave."""
    had: dict[Identity, list[RuleFinding]] = {}
    for each in before.standing:
        had.setdefault(identity(each), []).append(each)
    new = []
    for each in after.standing:
        same = had.get(identity(each), [])
        fit = next((old for old in same if not _is_worse(each, old)), None)
        if fit is None:
            new.append(each)
        else:
            same.remove(fit)
    return new


def is_cleared(found: RuleFinding, before: State, after: State) -> bool:
    """Tell whether a finding is gone; of several alike, whether there is one less."""
    what = identity(found)

    def count(state: State) -> int:
        return sum(identity(each) == what for each in state.outcome.raised)

    return count(after) < count(before)


def is_unjudged(before: State, after: State) -> bool:
    """Tell whether anything could be judged before that cannot be any more."""
    return bool(_unjudged(after) - _unjudged(before))


def _unjudged(state: State) -> Counter[Identity]:
    return Counter(
        (tally.rule, each.subject.room, each.subject.items)
        for tally in state.outcome.tallies
        for each in tally.undecided
    )


def _is_worse(new: RuleFinding, old: RuleFinding) -> bool:
    if SEVERITIES.index(new.severity) < SEVERITIES.index(old.severity):
        return True
    now, was = new.finding, old.finding
    if now.measured is None or was.measured is None:
        return False
    if now.least is not None and now.measured < was.measured - NOISE:
        return True
    return now.most is not None and now.measured > was.measured + NOISE


def _is_waived(found: RuleFinding, outcome: Outcome) -> bool:
    return any(
        state.lapsed is None and covers(state.waiver, found.rule.id, found.subject)
        for state in outcome.waivers
    )
