"""Pairs of plans compared apart from this process: one that costs too much costs only itself."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.check import CheckedPlan
from underfoot.checking.crash import is_lack_of_memory
from underfoot.checking.report import unreadable
from underfoot.checking.rule import RuleSet
from underfoot.comparing import Comparison, Side, compare
from underfoot.reading.problem import Problem
from underfoot.running.checking import Terms, allow, check_apart, examiner, keep_all
from underfoot.running.copies import can_copy
from underfoot.running.limits import Allowance, clock_seconds
from underfoot.running.plan_files import PlanFile
from underfoot.running.pool import run_in_pool
from underfoot.running.time_limit import OutOfTimeError, hold_here
from underfoot.running.work import Ending, Hold

# Writes a pair, given its number; a module's function, or a part of one.
WritePair = Callable[[Comparison, int], str]


class Pair(Struct, frozen=True, kw_only=True):
    """Two revisions, named as the report names them; one is None where there is no such plan."""

    name: str
    old: PlanFile | None
    new: PlanFile | None


class WrittenPair(Struct, frozen=True, kw_only=True):
    """What came of a pair, without the plans themselves, and the pair as it was written."""

    comparison: Comparison
    text: str


class CheckedPair(Struct, frozen=True, kw_only=True):
    """A pair whose plans are checked, and its number."""

    number: int
    name: str
    old: CheckedPlan | None
    new: CheckedPlan | None


def compare_pairs(
    pairs: Sequence[Pair], sets: Sequence[RuleSet], terms: Terms, write: WritePair
) -> Iterator[WrittenPair]:
    """Check, compare and write pairs, in order; each plan, and each pair, may cost so much."""
    files = chain.from_iterable((pair.old, pair.new) for pair in pairs)
    there = (file for file in files if file is not None)
    if can_copy():
        examined = check_apart(there, sets, terms, keep_all, jobs=1)
    else:
        examined = map(examiner(sets, terms, keep_all), there)
    checked = _pair_up(pairs, examined)
    comparing = Comparing(terms=terms, write=write)
    if not can_copy():
        return map(comparing.start(hold_here), checked)
    # A pair is larger than a line holds: no second is sent while the first is not answered.
    return run_in_pool(checked, comparing, processes=1, ahead=1)


def _pair_up(pairs: Iterable[Pair], examined: Iterator[CheckedPlan]) -> Iterator[CheckedPair]:
    for number, pair in enumerate(pairs, 1):
        old = None if pair.old is None else next(examined)
        new = None if pair.new is None else next(examined)
        yield CheckedPair(number=number, name=pair.name, old=old, new=new)


class Comparing(Struct, frozen=True, kw_only=True):
    """The comparing and writing of pairs as the work of a pool."""

    terms: Terms
    write: WritePair

    def start(self, hold: Hold) -> Callable[[CheckedPair], WrittenPair]:
        """Return what compares one pair and writes it."""

        def compare_one(pair: CheckedPair) -> WrittenPair:
            try:
                written: WrittenPair = hold(
                    self.allow(pair),
                    lambda: self.tell(pair.number, compare(pair.name, pair.old, pair.new)),
                )
            except OutOfTimeError:
                return self.refuse(pair, self.took_too_long(pair))
            except Exception as error:
                if is_lack_of_memory(error):
                    return self.refuse(pair, self.took_too_much(pair))
                raise
            return written

        return compare_one

    def tell(self, number: int, comparison: Comparison) -> WrittenPair:
        """Write a pair, and let its plans go."""
        sides = (
            None if side is None else Side(report=side.report, plan=None)
            for side in (comparison.old, comparison.new)
        )
        kept = replace(comparison, **dict(zip(("old", "new"), sides, strict=True)))
        return WrittenPair(comparison=kept, text=self.write(comparison, number))

    def allow(self, pair: CheckedPair) -> Allowance:
        """Return what comparing two plans of such sizes may cost."""
        sources = (each.source for each in (pair.old, pair.new) if each is not None)
        return allow(sum(len(source or b"") for source in sources), self.terms)

    def clock_seconds(self, pair: CheckedPair) -> float:
        """Return how long one may take by the clock."""
        return clock_seconds(self.allow(pair))

    def is_read_once(self, pair: CheckedPair) -> bool:
        """What is checked can be compared again."""
        return False

    def give_up(self, pair: CheckedPair, ending: Ending) -> WrittenPair:
        """Tell of a pair at which the process ended."""
        if ending.ran_out_of_time:
            return self.refuse(pair, self.took_too_long(pair))
        return self.refuse(
            pair, f"{self.took_too_much(pair)} (the process that compared them {ending.how}, twice)"
        )

    def took_too_long(self, pair: CheckedPair) -> str:
        """Say that a pair took too long."""
        seconds = self.allow(pair).seconds
        return (
            f"comparing it with the earlier plan took longer than {seconds:g} s and was given up: "
            "divide the plan, write text, or allow more by --plan-seconds"
        )

    def took_too_much(self, pair: CheckedPair) -> str:
        """Say that a pair needed too much memory."""
        most = self.allow(pair).memory_bytes
        return (
            f"comparing it with the earlier plan needed more memory than {most / 1e6:.0f} MB, and "
            "was given up: divide the plan, or write text"
        )

    def refuse(self, pair: CheckedPair, why: str) -> WrittenPair:
        """Tell of a pair that could not be compared: the newer plan's side says why."""
        last = pair.new or pair.old
        assert last is not None, "a pair has at least one plan"
        given_up = Side(report=unreadable(last.report.path, [Problem(message=why)]), plan=None)
        other = pair.old if pair.new is not None else None
        return self.tell(
            pair.number,
            Comparison(
                name=pair.name,
                old=None if other is None else Side(report=other.report, plan=None),
                new=given_up,
            ),
        )
