"""Looks for mends: proposals are tried, and where one brings what can be mended, that is added."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice

from msgspec import Struct

from underfoot.checking.engine import RuleFinding
from underfoot.checking.mend import Edit, Mend, Mender, Proposal, ToMend
from underfoot.mending.emptied import take_emptied
from underfoot.mending.patch import CannotPatchError, patch_data
from underfoot.mending.trial import State, Trial, identity, is_cleared, is_unjudged, list_new

# No more plans are tried for one finding, nor more steps taken in one mend.
MOST_TRIALS = 12
MOST_STEPS = 4
# No more mends are offered for one finding.
MOST_MENDS = 3
# What brings more than this is no mend with a few things to follow.
_MOST_BROUGHT = 6

Menders = Mapping[str, Sequence[Mender]]

_Places = frozenset[tuple[str | int, ...]]


class _Step(Struct, frozen=True, kw_only=True):
    """A state on the way to a mend, with what led there; `places` are those of its first edits."""

    state: State
    says: tuple[str, ...] = ()
    edits: tuple[Edit, ...] = ()
    places: _Places = frozenset()


class Searched(Struct, frozen=True, kw_only=True):
    """What a search came to: `tried` proposals, and the rules whose findings those brought.

    `ended_early` where nothing was found, and more might have been tried.
    """

    mends: tuple[Mend, ...]
    tried: int
    brought: tuple[str, ...] = ()
    ended_early: bool = False


def by_rule(menders: Sequence[Mender]) -> dict[str, list[Mender]]:
    """Put menders by the rule whose findings they would clear."""
    found: dict[str, list[Mender]] = {}
    for mender in menders:
        found.setdefault(mender.rule, []).append(mender)
    return found


def find_mends(
    found: RuleFinding,
    before: State,
    menders: Menders,
    trial: Trial,
    *,
    most: int = MOST_MENDS,
) -> tuple[Mend, ...]:
    """Find the mends of one finding, the best first; none where nothing that was tried holds."""
    return search_mends(found, before, menders, Trials(trial, MOST_TRIALS), most).mends


def search_mends(
    found: RuleFinding, before: State, menders: Menders, trials: Trials, most: int
) -> Searched:
    """Look for mends of one finding, no more than `most`, and say what was tried.

    Of proposals that begin by changing the same places otherwise (a larger breaker, a larger one
    still) the first that holds is offered alone.
    """
    asked = 0
    in_the_way: dict[str, None] = {}
    mends: list[Mend] = []
    offered: set[_Places] = set()
    waiting = [_Step(state=before)]
    while waiting and len(mends) < most:
        step = waiting.pop(0)
        if step.places in offered:
            continue
        brought = list_new(before, step.state) if step.edits else [found]
        for proposal in propose_for(brought[0], step.state, menders, follows=bool(step.edits)):
            if (step.places or _places(proposal)) in offered:
                continue
            if _takes_back(step.edits, proposal):
                continue
            asked += 1
            after = trials.judge(step, proposal)
            if after is None:
                if trials.are_used_up:
                    break
                continue
            if not is_cleared(found, before, after.state):
                continue
            new = list_new(before, after.state)
            if step.edits and identity(brought[0]) in map(identity, new):
                continue
            if not new:
                if is_unjudged(before, after.state):
                    continue
                mends.append(Mend(says=" ".join(after.says), patch=after.edits))
                offered.add(after.places)
                if len(mends) == most:
                    break
                continue
            in_the_way.update(dict.fromkeys(each.rule.id for each in new))
            if len(new) <= _MOST_BROUGHT and len(after.says) < MOST_STEPS:
                waiting.append(after)
    return Searched(
        mends=tuple(mends),
        tried=asked,
        brought=tuple(in_the_way),
        ended_early=trials.are_used_up and not mends,
    )


def propose_for(
    found: RuleFinding, state: State, menders: Menders, *, follows: bool = False
) -> Iterator[Proposal]:
    """Ask the menders of a finding's rule; one that fails has nothing more to propose.

    `follows` says that another step of a mend has brought the finding.
    """
    subject = found.subject
    asked = ToMend(
        rule=found.rule.id,
        room=subject.room,
        items=subject.items,
        path=found.finding.path or subject.path,
        finding=found.finding,
        severity=found.severity,
        facts=state.outcome.facts,
        data=state.data,
    )
    for mender in menders.get(found.rule.id, ()):
        if follows and mender.first_only:
            continue
        try:
            yield from islice(mender.propose(asked), MOST_TRIALS)
        except MemoryError:
            raise
        except Exception:
            continue


class Trials:
    """Tries proposals, no more than a number of them."""

    def __init__(self, trial: Trial, most: int) -> None:
        self._trial = trial
        self._left = most

    @property
    def left(self) -> int:
        """How many more may be tried."""
        return self._left

    @property
    def are_used_up(self) -> bool:
        """Whether no more may be tried."""
        return self._left <= 0

    def judge(self, step: _Step, proposal: Proposal) -> _Step | None:
        """Return the state that a proposal leads to; None where it cannot be made or read."""
        if self.are_used_up:
            return None
        self._left -= 1
        try:
            tidy = take_emptied(step.state.data, proposal.edits)
        except CannotPatchError:
            return None
        # Where a thing must be there, if empty, it stays.
        for edits in (tidy,) if tidy == proposal.edits else (tidy, proposal.edits):
            data = patch_data(step.state.data, edits)
            state = self._trial.judge(data, step.state)
            if state is not None:
                return _Step(
                    state=state,
                    says=(*step.says, proposal.says),
                    edits=(*step.edits, *edits),
                    places=step.places or _places(proposal),
                )
        return None


def _takes_back(edits: tuple[Edit, ...], proposal: Proposal) -> bool:
    """Tell whether a step takes out what one before it has changed, or puts back what one took."""
    gone = [edit.path for edit in proposal.edits if edit.op == "remove"]
    back = {edit.path for edit in proposal.edits if edit.op == "add"}
    return any(edit.path[: len(path)] == path for path in gone for edit in edits) or any(
        edit.op == "remove" and edit.path in back for edit in edits
    )


def _places(proposal: Proposal) -> _Places:
    return frozenset(edit.path for edit in proposal.edits)


__all__ = ["Menders", "by_rule", "find_mends", "identity", "propose_for"]
