"""Checks the collected plans one after another; nothing that happens to one costs another."""

import gc
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, Generic, Protocol, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.check import CheckedPlan, Checker, examine, make_checker
from underfoot.checking.crash import describe, is_lack_of_memory
from underfoot.checking.report import RulesAsked, unreadable
from underfoot.checking.rule import RuleSet
from underfoot.checking.rule_order import list_foreign
from underfoot.checking.rule_sets import RuleSetError, installed_rule_sets
from underfoot.reading.problem import Problem
from underfoot.reading.root import find_root
from underfoot.running.errors import CommandError
from underfoot.running.finding_settings import SettingsError, settings_finder
from underfoot.running.limits import Allowance, allowance_for, clock_seconds
from underfoot.running.plan_files import STANDARD_INPUT, PlanFile
from underfoot.running.pool import run_in_pool
from underfoot.running.result_cache import CacheTerms, ResultCache, Ticket
from underfoot.running.reviews import add_review
from underfoot.running.taking_in import PATIENCE_SECONDS, take_in
from underfoot.running.time_limit import OutOfTimeError, hold_here
from underfoot.running.work import Again, Ending, Hold, leave_out

Kept = TypeVar("Kept")


class ExamineSource(Protocol):
    """Reads and checks one plan, as `examine` does."""

    def __call__(
        self, source: bytes, bench: Checker, *, path: str, folder: Path | None, root: Path | None
    ) -> CheckedPlan: ...


def rule_sets_to_use() -> tuple[RuleSet, ...]:
    """Load the installed rule sets. CommandError where there are none or one is broken."""
    try:
        sets = installed_rule_sets()
    except RuleSetError as error:
        raise CommandError(str(error)) from None
    if not any(rule_set.rules for rule_set in sets):
        raise CommandError(
            "no rule set is installed, so nothing can be checked: install underfoot anew"
        )
    return sets


def settle_collector() -> None:
    """Let the collector look at plans only, and seldom, where the imports were kept from it.

    Measured: a fifth of the time over 240 plans; facts and reports hold no cycles.
    """
    if not gc.isenabled():
        gc.freeze()
        gc.set_threshold(20_000, 20, 50)
        gc.enable()


class Terms(Struct, frozen=True, kw_only=True):
    """On what terms every plan of a run is checked.

    `settings` is a file that goes before all others. `plan_seconds` is the most processor time that
    one plan may take; None leaves that to its size. `base` is the folder from which reports name
    settings files, `root` the topmost folder whose settings and catalogues count. `asked` are the
    only rules to report. `cache` says where results are kept; what is kept of a plan must then need
    its report alone. `mends` asks for mends of what is found. Reports `in_brief` tell
    no more of a finding than where it is and what it says.
    """

    today: date
    settings: str | None = None
    with_waivers: bool = True
    plan_seconds: float | None = None
    base: str = os.curdir
    root: str | None = None
    asked: RulesAsked | None = None
    cache: CacheTerms | None = None
    mends: bool = False
    in_brief: bool = False


def do_unheld(allowance: Allowance, work: Callable[[], Kept]) -> Kept:
    """Do work that is a part of what is held to its allowance as a whole."""
    return work()


def keep_all(examined: CheckedPlan) -> CheckedPlan:
    """Keep a plan with its report and the settings."""
    return examined


def check_apart(
    files: Iterable[PlanFile],
    sets: Sequence[RuleSet],
    terms: Terms,
    keep: Callable[[CheckedPlan], Kept],
    *,
    jobs: int,
    method: str | None = None,
) -> Iterator[Kept]:
    """Check plans in `jobs` processes and yield what `keep` gives of each, in order.

    `keep` is a module's function. A process that is spawned (`method`) loads the rule sets anew.
    """
    return run_in_pool(files, Checking(sets, terms, keep), processes=jobs, method=method)


class Checking(Generic[Kept]):
    """The checking of plans as the work of a pool."""

    def __init__(
        self,
        sets: Sequence[RuleSet] | None,
        terms: Terms,
        keep: Callable[[CheckedPlan], Kept],
    ) -> None:
        self.sets = sets
        self.terms = terms
        self.keep = keep

    def __reduce__(self) -> tuple[Any, ...]:
        return Checking, (None, self.terms, self.keep)  # rules are no data

    def start(self, hold: Hold) -> Callable[[PlanFile], Kept]:
        """Load the rule sets where that is not done, and return what checks one plan."""
        sets = rule_sets_to_use() if self.sets is None else self.sets
        check_one = examiner(sets, self.terms, self.keep, hold)
        settle_collector()
        return check_one

    def clock_seconds(self, file: PlanFile) -> float:
        """Return how long one plan may take by the clock; one from a pipe may be waited for."""
        is_at_hand = file.source is not None or os.path.isfile(file.place)
        waiting = 0.0 if is_at_hand else PATIENCE_SECONDS
        return clock_seconds(allowance_of(file, self.terms)) + waiting

    def is_read_once(self, file: PlanFile) -> bool:
        """Whether a plan comes through standard input."""
        return file.place == STANDARD_INPUT

    def give_up(self, file: PlanFile, ending: Ending) -> Kept | Again[PlanFile]:
        """Report a plan whose process ended; a rule of somebody's own costs its findings alone."""
        if ending.rule and not self.is_read_once(file):
            return Again(job=_without_rule(file, ending, self.terms, self.sets or ()))
        if ending.ran_out_of_time:
            return self.keep(took_too_long(file, self.terms, ending.rule))
        why = (
            f"the process that checked this plan {ending.how}, twice: a fault of the tool or of "
            "the machine; please report it"
        )
        return self.keep(give_up(file, why))


def examiner(
    sets: Sequence[RuleSet],
    terms: Terms,
    keep: Callable[[CheckedPlan], Kept],
    hold: Callable[[Allowance, Callable[[], Kept]], Kept] = hold_here,
) -> Callable[[PlanFile], Kept]:
    """Return the function that checks one plan and keeps of it what `keep` gives.

    `hold` keeps the work on one plan to what it may cost.

    CommandError where the settings named cannot be used; the function raises it where the rule
    sets do not go together.
    """
    settings_for = settings_finder(sets, terms.settings, terms.base, terms.root)
    cache: ResultCache | None = None
    if terms.cache is not None:
        cache = ResultCache(
            terms.cache,
            terms.today,
            with_waivers=terms.with_waivers,
            asked=terms.asked,
            mends=terms.mends,
            in_brief=terms.in_brief,
        )
    bench: Checker | None = None
    examine_source = _with_mends(sets) if terms.mends else examine
    roots: dict[tuple[str, str], Path] = {}

    def root_for(file: PlanFile) -> Path | None:
        if terms.root is not None or file.named is None:
            return None if terms.root is None else Path(terms.root)
        key = (file.folder, file.named)
        if key not in roots:
            roots[key] = find_root(Path(key[0]), Path(file.named))
        return roots[key]

    def examine_one(file: PlanFile) -> Kept:
        nonlocal bench
        try:
            in_force = settings_for(file.lies, file.named)
        except SettingsError as error:
            report = error.report(file.path)
            return keep(CheckedPlan(report=report, facts=None))
        # Read once and written once: threads of a cluster's worker share the function.
        ready = bench
        if ready is None or ready.settings is not in_force:
            try:
                ready = make_checker(
                    sets,
                    in_force,
                    terms.today,
                    with_waivers=terms.with_waivers,
                    asked=terms.asked,
                    in_brief=terms.in_brief,
                )
            except ValueError as error:
                raise CommandError(f"the rule sets do not go together: {error}") from None
            bench = ready
        try:
            # Outside the limit: whoever writes the plan into a pipe may take his time.
            source = take_in(file.place) if file.source is None else file.source
        except OSError as error:
            why = f"the file cannot be opened: {error.strerror or error}"
            return keep(
                CheckedPlan(
                    report=unreadable(file.path, [Problem(message=why)]),
                    facts=None,
                    settings=in_force,
                )
            )
        if file.left_out:
            ready = replace(ready, program=ready.program.without(dict(file.left_out)))
        ticket = None
        if cache is not None:
            ticket = cache.ticket(source, file, in_force)
            kept = cache.find(ticket, file, in_force, root_for(file))
            if kept is not None:
                return keep(CheckedPlan(report=kept, facts=None, settings=in_force))

        def examine_now() -> Kept:
            examined = _examine(source, file, ready, root_for(file), examine_source, cache, ticket)
            return keep(examined)

        try:
            return hold(allow(len(source), terms), examine_now)
        except OutOfTimeError as error:
            rule = error.rule
        except MemoryError:
            return keep(took_too_much(file, terms))
        if rule:
            ending = Ending(ran_out_of_time=True, rule=rule)
            return examine_one(_without_rule(replace(file, source=source), ending, terms, sets))
        return keep(took_too_long(file, terms))

    return examine_one


def allowance_of(file: PlanFile, terms: Terms) -> Allowance:
    """What the check of a plan may cost, as far as can be told without reading it."""
    if file.source is not None:
        return allow(len(file.source), terms)
    try:
        size = os.stat(file.place).st_size if file.place != STANDARD_INPUT else 0
    except OSError:
        size = 0
    return allow(size, terms)


def allow(size: int, terms: Terms) -> Allowance:
    """What the check of so many bytes may cost, also where changes of the plan are tried."""
    return allowance_for(size, terms.plan_seconds)


def _without_rule(
    file: PlanFile, ending: Ending, terms: Terms, sets: Sequence[RuleSet]
) -> PlanFile:
    allowance = allowance_of(file, terms)
    left_out = leave_out(file.left_out, ending, allowance, list_foreign(sets))
    return replace(file, left_out=left_out)


def took_too_long(file: PlanFile, terms: Terms, rule: str = "") -> CheckedPlan:
    """Report a plan that was given up, perhaps while a `rule` of somebody's own was at work."""
    at_work = f" while {rule} was at work" if rule else ""
    return give_up(
        file,
        f"the check took longer than {allowance_of(file, terms).seconds:g} s and was given up"
        f"{at_work}: divide the plan, {'leave --mends out, ' if terms.mends else ''}or allow more "
        "by --plan-seconds",
    )


def took_too_much(file: PlanFile, terms: Terms) -> CheckedPlan:
    """Report a plan that was given up for the memory that it needs."""
    most = allowance_of(file, terms).memory_bytes
    return give_up(
        file,
        f"the check needed more memory than {most / 1e6:.0f} MB, which is more than a plan of its "
        "size needs, and was given up: divide the plan",
    )


def give_up(file: PlanFile, why: str) -> CheckedPlan:
    """Report a plan that could not be checked to the end."""
    return CheckedPlan(report=unreadable(file.path, [Problem(message=why)]), facts=None)


def _with_mends(sets: Sequence[RuleSet]) -> ExamineSource:
    """Return what examines a plan as `examine` does, and looks for mends."""
    from underfoot.mending.offering import examine_with_mends, gather_menders

    return partial(examine_with_mends, menders=gather_menders(sets))


def _examine(
    source: bytes,
    file: PlanFile,
    bench: Checker,
    root: Path | None,
    examine_source: ExamineSource,
    cache: ResultCache | None,
    ticket: Ticket | None,
) -> CheckedPlan:
    """Read and check one plan; whatever goes wrong is in its report."""
    folder = Path(file.folder)
    try:
        examined = examine_source(source, bench, path=file.path, folder=folder, root=root)
        reviewed = add_review(examined, source, file.lies, file.path)
        if cache is not None and ticket is not None:
            cache.keep(ticket, reviewed, file, bench.settings)
        return reviewed
    except Exception as error:  # a fault of the tool must not take the other plans with it
        if is_lack_of_memory(error):
            raise MemoryError from None
        fault = f"a fault of the tool, not of the plan; please report it: {describe(error)}"
        return CheckedPlan(
            report=unreadable(file.path, [Problem(message=fault)]),
            facts=None,
            settings=bench.settings,
        )
