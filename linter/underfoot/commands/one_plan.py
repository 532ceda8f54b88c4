"""One plan read and checked for a command that makes something of it."""

import os
from datetime import date
from pathlib import Path

from underfoot.checking.check import CheckedPlan, Checker, examine, make_checker
from underfoot.commands.output_files import say
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.finding_settings import settings_of
from underfoot.running.links import where_it_lies
from underfoot.running.plan_files import STANDARD_INPUT, display_path
from underfoot.running.taking_in import take_in


def make_bench(
    place: str, command: str, settings: str | None, today: date | None, *, with_waivers: bool
) -> Checker:
    """Make rules and settings ready; UnreadError where the settings cannot be read.

    CommandError where `place` is a folder, of which the command named makes nothing.
    """
    if os.path.isdir(place):
        raise CommandError(f"{display_path(place)}: this is a folder; {command} takes one plan")
    sets = rule_sets_to_use()
    in_force = settings_of(place, sets, settings, shown=display_path(place))
    try:
        return make_checker(sets, in_force, today or date.today(), with_waivers=with_waivers)
    except ValueError as error:
        raise CommandError(f"the rule sets do not go together: {error}") from None


def take_in_plan(place: str) -> bytes:
    """Read a plan's bytes; CommandError says why it cannot be."""
    try:
        return take_in(place)
    except OSError as error:
        raise CommandError(f"{display_path(place)}: {error.strerror or error}") from None


def check_one_plan(source: bytes, place: str, bench: Checker) -> CheckedPlan:
    """Check a plan; where a rule crashed, that is said. UnreadError where it cannot be read."""
    folder = Path.cwd() if place == STANDARD_INPUT else Path(where_it_lies(place)).parent
    checked = examine(source, bench, path=display_path(place), folder=folder)
    if checked.facts is None:
        raise UnreadError(checked.report)
    for fault in checked.report.faults:
        say(f"a fault of the tool: the rule {fault.rule} crashed: {fault.message}")
    return checked
