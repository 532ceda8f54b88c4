"""What a pool of processes is given to do, and what becomes of a job at which a process ended."""

from collections.abc import Callable, Mapping
from typing import Any, Generic, Protocol, TypeVar

from msgspec import Struct

from underfoot.running.limits import Allowance

Job = TypeVar("Job")
_Job_contra = TypeVar("_Job_contra", contravariant=True)
_Result_co = TypeVar("_Result_co", covariant=True)
# Does one job within what it may cost.
Hold = Callable[[Allowance, Callable[[], Any]], Any]
# Rules that do not judge a plan, and why.
LeftOut = tuple[tuple[str, str], ...]


class Ending(Struct, frozen=True, kw_only=True):
    """How the process that did a job ended: it ran out of time, or somehow else (`how`).

    `rule` is the one of a set beside the standard one that was at work then, if any.
    """

    ran_out_of_time: bool
    how: str = ""
    rule: str = ""


class Again(Struct, Generic[Job], frozen=True, kw_only=True):
    """What to do in the place of a job at which the process ended: less of it."""

    job: Job


class Work(Protocol[_Job_contra, _Result_co]):
    """What a pool does. Where processes are spawned it is pickled, as are jobs and results."""

    def start(self, hold: Hold) -> Callable[[_Job_contra], _Result_co]:
        """Make ready in a process of the pool, and return what does one job there."""

    def clock_seconds(self, job: _Job_contra) -> float:
        """Return how long a job may take by the clock, whatever it waits for."""

    def is_read_once(self, job: _Job_contra) -> bool:
        """Whether a job can be begun once only, by this process or a copy of it."""

    def give_up(self, job: _Job_contra, ending: Ending) -> _Result_co | Again[Any]:
        """Return the result of a job whose process ended, or what to do in its place."""


def leave_out(
    known: LeftOut, ending: Ending, allowance: Allowance, sets: Mapping[str, str]
) -> LeftOut:
    """List what does not judge a plan the next time: the rule too that was at work at its end.

    `sets` are the rule sets by rule; of one that has ended a process before, all rules are left
    out.
    """
    if ending.ran_out_of_time:
        how = f"{ending.rule} was still at work when {allowance.seconds:g} s were over"
    else:
        how = f"the process {ending.how} while {ending.rule} was at work"
    why = f"{how}, so it was left out: all else has judged this plan"
    before = {rule for rule, _ in known}
    rule_set = sets.get(ending.rule)
    fellows = [rule for rule, other in sets.items() if other == rule_set]
    rules = fellows if before.intersection(fellows) else [ending.rule]
    return (*known, *((rule, why) for rule in rules if rule not in before))
