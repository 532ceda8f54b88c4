"""`underfoot mend`: what is found in a plan put right in its own text, as far as that was tried."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, cast

import click
from msgspec import Struct

from underfoot.checking.check import make_checker
from underfoot.checking.exit_status import plan_status
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.on_terminal import ink_out, width_out
from underfoot.commands.options import (
    Whole,
    flag,
    refuse_at_option,
    root_option,
    settings_option,
    today_option,
)
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.commands.rewriting import (
    find_plan,
    place_of,
    see_that_it_can_be_written,
    take_in_source,
    unless_changed,
)
from underfoot.mending.in_turn import MendedPlan, mend_in_turn
from underfoot.mending.offering import gather_menders
from underfoot.mending.telling import write_mended
from underfoot.reporting.layout import count_of
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.finding_settings import settings_of
from underfoot.running.plan_files import PlanFile

if TYPE_CHECKING:
    from underfoot.checking.exit_status import RefuseAt


@click.command(
    cls=LimitedCommand,
    advice="name the findings by number, ",
    short_help="Put a plan's findings right in its own text.",
)
@click.argument("plan_file", metavar="PLAN")
@click.argument("numbers", nargs=-1, type=Whole(1), metavar="[NUMBER...]")
@flag("--all", "is_all", help="Go over what is left again, until nothing more can be mended.")
@flag("--write", help="Write the plan as mended, whole or not at all.")
@refuse_at_option("What gives exit status 1 where it is left: this or graver.")
@settings_option
@root_option
@today_option
def mend(
    plan_file: str,
    numbers: tuple[int, ...],
    is_all: bool,
    write: bool,
    refuse_at: str,
    settings: str | None,
    root: str | None,
    today: date | None,
) -> int:
    """Show how PLAN's findings can be put right, as a unified diff of its text.

    NUMBER is a finding's, as check numbers it; without one, all are meant. Each
    change was tried before it is shown: its finding is gone, nothing else is new
    or worse, and what could be judged still can. They are made one after another,
    each in the plan as those before have left it. What is waived stays as it is.

    \b
    Exit status 0: nothing at or above --refuse-at is left; with NUMBER: none of these.
                1: something is left.
                2: the plan or the settings could not be read, a rule crashed, the
                   plan could not be written, or the command was misused.
    """
    if numbers and is_all:
        raise click.UsageError("--all means every finding: leave the numbers out")
    file = find_plan(plan_file, "mended")
    if write:
        see_that_it_can_be_written(plan_file, root)
    source = take_in_source(file)
    plan = _mend(source, file, Wishes(numbers=numbers, is_all=is_all), settings, root, today)
    report = plan.before.report
    if report.problems:
        raise UnreadError(report)
    if report.faults:
        for fault in report.faults:
            say(f"a fault of the tool: the rule {fault.rule} crashed: {fault.message}")
        return 2  # what it would have found is not known, and might be brought by a mend
    if write and plan.mended:
        write_file(file.place, unless_changed(plan.now, plan.was, file.place))
    write_out(write_mended(plan, ink=ink_out(), width=width_out()))
    if plan.mended:
        done = f"{count_of(len(plan.mended), 'finding')} mended"
        say(f"{file.path}: {done}, and written" if write else "nothing is written: --write does it")
    if numbers:
        return 1 if plan.left else 0
    return plan_status(plan.after.report, cast("RefuseAt", refuse_at))


class Wishes(Struct, frozen=True, kw_only=True):
    """Which findings are to be mended (none: all), and whether again and again."""

    numbers: tuple[int, ...]
    is_all: bool


def _mend(
    source: bytes,
    file: PlanFile,
    wishes: Wishes,
    settings: str | None,
    root: str | None,
    today: date | None,
) -> MendedPlan:
    sets = rule_sets_to_use()
    in_force = settings_of(file.lies, sets, settings, shown=file.path, named=file.named, root=root)
    try:
        bench = make_checker(sets, in_force, today or date.today())
    except ValueError as error:
        raise CommandError(f"the rule sets do not go together: {error}") from None
    plan = mend_in_turn(
        source,
        bench,
        gather_menders(sets),
        place_of(file, root),
        wanted=wishes.numbers or None,
        is_repeated=wishes.is_all,
    )
    by_number = {each.number: each for each in plan.before.report.findings}
    for number in wishes.numbers if not plan.before.report.problems else ():
        if number not in by_number:
            raise CommandError(f"there is no finding {number}; the plan has {len(by_number)}")
        if by_number[number].waiver is not None:
            raise CommandError(f"finding {number} is waived: there is nothing to mend")
    return plan
