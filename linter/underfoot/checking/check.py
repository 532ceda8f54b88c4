"""One plan's bytes -> its part of the report: the function that every command and job runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from underfoot.checking.engine import Program, arrange, run
from underfoot.checking.report import PlanReport, finish, unreadable
from underfoot.checking.rule import RuleSet
from underfoot.checking.settings import Settings
from underfoot.reading import read_plan


@dataclass(frozen=True, slots=True)
class Bench:
    """Rules and settings made ready to check plans with."""

    settings: Settings
    program: Program
    today: date
    with_waivers: bool = True


def set_up(
    sets: Sequence[RuleSet], settings: Settings, today: date, *, with_waivers: bool = True
) -> Bench:
    """Make rules and settings ready; ValueError where the sets do not go together."""
    return Bench(settings, arrange(sets, settings.off), today, with_waivers)


def check_source(
    source: bytes, bench: Bench, *, path: str, folder: Path | None = None, root: Path | None = None
) -> PlanReport:
    """Check one plan. A plan that cannot be read still yields a report."""
    reading = read_plan(source, path=path, folder=folder, root=root)
    if reading.plan is None:
        return unreadable(path, reading.problems)
    outcome = run(
        reading.plan,
        bench.program,
        bench.settings,
        today=bench.today,
        with_waivers=bench.with_waivers,
    )
    return finish(path, reading.plan, outcome, reading.positions, bench.settings, bench.today)
