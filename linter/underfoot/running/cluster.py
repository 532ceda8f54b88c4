"""Checks plans on a Dask cluster that is already there (the extra ``cluster``).

Its workers need the same underfoot, and the plans at the same places as here.
"""

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from importlib import import_module
from itertools import islice
from typing import Any, TypeVar

from msgspec.structs import replace

from underfoot import __version__
from underfoot.checking.check import CheckedPlan
from underfoot.running.checking import Terms, examiner, give_up, rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import STANDARD_INPUT, PlanFile

Kept = TypeVar("Kept")

INSTALL = "pip install 'underfoot[cluster]'"
# Plans that are sent at once: the scheduler takes a millisecond for what takes a worker many.
_BATCH = 32
# Batches in the cluster's hands for each of its threads.
_AHEAD = 3
_CONNECT_SECONDS = 30


def hand_over(
    files: Iterable[PlanFile],
    terms: Terms,
    keep: Callable[[CheckedPlan], Kept],
    *,
    address: str,
) -> Iterator[Kept]:
    """Check plans on the cluster at `address` and yield what `keep` gives of each, in order.

    What a lost worker had in its hands is done by another. CommandError where the cluster cannot
    be reached or is not made ready. There is no time limit for a plan: its threads hear no alarm.
    """
    distributed = _import_distributed()
    try:
        client = distributed.Client(address, timeout=_CONNECT_SECONDS, set_as_default=False)
    except (OSError, ValueError) as error:
        raise CommandError(f"--cluster {address}: it cannot be reached: {error}") from None
    with client:
        threads = max(sum(client.nthreads().values()), 1)
        base = os.getcwd()
        settings = terms.settings and os.path.abspath(terms.settings)
        there = replace(terms, base=base, settings=settings, plan_seconds=None)
        run = _Run(client, there, keep, distributed.scheduler.KilledWorker)
        yield from run.through(files, threads * _AHEAD)


def _import_distributed() -> Any:
    try:
        return import_module("distributed")
    except ImportError:
        raise CommandError(
            f"--cluster needs the extra 'cluster', which is not installed: {INSTALL}"
        ) from None


class _Run:
    """One run on a cluster."""

    def __init__(
        self, client: Any, terms: Terms, keep: Callable[[CheckedPlan], Any], killed: type[Exception]
    ) -> None:
        self.client = client
        self.terms = terms
        self.keep = keep
        self.killed = killed
        self.token = os.urandom(8).hex()
        sets = rule_sets_to_use()
        self.like = (__version__, tuple(rule.id for each in sets for rule in each.rules))
        self.here = examiner(sets, terms, keep)

    def through(self, files: Iterable[PlanFile], window: int) -> Iterator[Any]:
        """Yield what is kept of each plan, in order."""
        rest = iter(files)
        pending: deque[tuple[tuple[PlanFile, ...], Any]] = deque()
        while batch := tuple(islice(rest, _BATCH)):
            pending.append((batch, self.submit(batch)))
            if len(pending) >= window:
                yield from self.take_in(*pending.popleft())
        while pending:
            yield from self.take_in(*pending.popleft())

    def submit(self, batch: Sequence[PlanFile]) -> Any:
        """Send plans to the cluster; only this process has standard input."""
        there = tuple(
            PlanFile(
                place=os.path.join(self.terms.base, file.place),
                path=file.path,
                named=None if file.named is None else os.path.join(self.terms.base, file.named),
            )
            for file in batch
            if file.place != STANDARD_INPUT
        )
        return self.client.submit(
            check_batch, there, self.terms, self.keep, self.token, self.like, pure=False
        )

    def take_in(self, batch: Sequence[PlanFile], future: Any) -> Iterator[Any]:
        """Wait for a batch; one that keeps killing workers is taken apart to find the plan."""
        try:
            made = iter(future.result())
        except self.killed:
            yield from self.take_apart(batch)
            return
        for file in batch:
            yield self.here(file) if file.place == STANDARD_INPUT else next(made)

    def take_apart(self, batch: Sequence[PlanFile]) -> Iterator[Any]:
        """Check the plans of a batch one by one."""
        if len(batch) > 1:
            for file in batch:
                yield from self.take_in((file,), self.submit((file,)))
            return
        why = (
            "the workers that checked this plan were lost, one after the other: a fault of the "
            "tool or of the machines; please report it"
        )
        yield self.keep(give_up(batch[0], why))


def check_batch(
    files: Sequence[PlanFile],
    terms: Terms,
    keep: Callable[[CheckedPlan], Kept],
    token: str,
    like: tuple[str, tuple[str, ...]],
) -> list[Kept]:
    """Check plans on a worker; `like` is what its underfoot must be like, `token` the run's."""
    version, rules = like
    if version != __version__:
        raise CommandError(f"a worker has underfoot {__version__}, and not {version} as here")
    examine_one, own = _make_ready(terms, keep, token)
    if own != rules:
        raise CommandError("a worker has other rule sets installed than there are here")
    return [examine_one(file) for file in files]


@lru_cache(maxsize=2)
def _make_ready(
    terms: Terms, keep: Callable[[CheckedPlan], Kept], token: str
) -> tuple[Callable[[PlanFile], Kept], tuple[str, ...]]:
    # Once a run, since settings may change between two.
    sets = rule_sets_to_use()
    rules = tuple(rule.id for each in sets for rule in each.rules)
    return examiner(sets, terms, keep), rules
