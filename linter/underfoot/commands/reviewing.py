"""Checks the collected plans one after another; nothing that happens to one costs another."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from pathlib import Path

from underfoot.checking.check import Bench, Examined, examine, set_up
from underfoot.checking.falling import where_it_fell
from underfoot.checking.report import PlanReport, unreadable
from underfoot.checking.rule import RuleSet
from underfoot.checking.rule_sets import RuleSetError, installed_rule_sets
from underfoot.commands.collecting import STANDARD_INPUT, PlanFile
from underfoot.commands.errors import CommandError
from underfoot.commands.finding_settings import SettingsError, settings_finder
from underfoot.commands.reviews import add_review
from underfoot.reading.problem import Problem
from underfoot.reading.source_text import MOST_BYTES


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


def check_files(
    files: Iterable[PlanFile],
    sets: Sequence[RuleSet],
    *,
    today: date,
    settings: str | None = None,
    with_waivers: bool = True,
) -> Iterator[PlanReport]:
    """Yield one report a plan, in order; the plans themselves are let go."""
    examined = examine_files(
        files, sets, today=today, settings=settings, with_waivers=with_waivers
    )
    return (each.report for each in examined)


def examine_files(
    files: Iterable[PlanFile],
    sets: Sequence[RuleSet],
    *,
    today: date,
    settings: str | None = None,
    with_waivers: bool = True,
) -> Iterator[Examined]:
    """Yield each plan with its report, in order."""
    settings_for = settings_finder(sets, settings)
    bench: Bench | None = None
    for file in files:
        try:
            in_force = settings_for(file.place)
        except SettingsError as error:
            yield Examined(unreadable(file.path, error.problems), None)
            continue
        if bench is None or bench.settings is not in_force:
            try:
                bench = set_up(sets, in_force, today, with_waivers=with_waivers)
            except ValueError as error:
                raise CommandError(f"the rule sets do not go together: {error}") from None
        yield examine_file(file, bench)


def examine_file(file: PlanFile, bench: Bench) -> Examined:
    """Read and check one plan; whatever goes wrong is in its report."""
    try:
        source = _read(file.place)
    except OSError as error:
        why = error.strerror or str(error)
        problem = Problem(f"the file cannot be opened: {why}")
        return Examined(unreadable(file.path, [problem]), None, bench.settings)
    folder = Path.cwd() if file.place == STANDARD_INPUT else Path(file.place).parent
    try:
        examined = examine(source, bench, path=file.path, folder=folder)
        return add_review(examined, source, file.place, file.path)
    except Exception as error:  # a fault of the tool must not take the other plans with it
        fault = f"a fault of the tool, not of the plan; please report it: {where_it_fell(error)}"
        return Examined(unreadable(file.path, [Problem(fault)]), None, bench.settings)


def _read(place: str) -> bytes:
    # One byte more than is allowed, so that an endless file is refused like a long one.
    if place == STANDARD_INPUT:
        if sys.stdin is None:
            raise OSError("standard input is closed")
        return sys.stdin.buffer.read(MOST_BYTES + 1)
    with open(place, "rb") as stream:
        return stream.read(MOST_BYTES + 1)
