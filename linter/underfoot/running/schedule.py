"""How the plans of a run are got through: in this process, in several, or on a cluster."""

import os
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from msgspec import Struct

from underfoot.checking.check import CheckedPlan
from underfoot.checking.rule import RuleSet
from underfoot.running.checking import Terms, check_apart, examiner
from underfoot.running.copies import can_copy
from underfoot.running.plan_files import PlanFile
from underfoot.running.pool import cores
from underfoot.running.progress import show_progress, wants_progress

Kept = TypeVar("Kept")

# Fewer plans are checked sooner than processes are started.
MANY = 32


class Parallelism(Struct, frozen=True, kw_only=True):
    """In how many processes (None: as is quickest here), or on the cluster at which address.

    `silent` shows nothing of how far the run is.
    """

    jobs: int | None = None
    cluster: str | None = None
    silent: bool = False


def run_over(
    files: Sequence[PlanFile],
    sets: Sequence[RuleSet],
    terms: Terms,
    keep: Callable[[CheckedPlan], Kept],
    way: Parallelism,
) -> Iterator[Kept]:
    """Check plans and yield what `keep`, a module's function, gives of each, in order."""
    shown = show_progress(files, shown=not way.silent and wants_progress(os.environ))
    if way.cluster is not None:
        from underfoot.running.cluster import hand_over

        return hand_over(shown, terms, keep, address=way.cluster)
    jobs = way.jobs
    if jobs is None:
        jobs = 1
        if len(files) >= MANY:
            jobs = cores()
    jobs = min(jobs, len(files))
    if jobs > 1 or (jobs and can_copy()):
        # One process as well as many: a plan that costs too much is ended, and no other with it.
        return check_apart(shown, sets, terms, keep, jobs=jobs)
    return map(examiner(sets, terms, keep), shown)
