"""`underfoot schedule --readings`: what was typed into a test sheet goes into the plan."""

import sys
from pathlib import Path

from underfoot import __version__
from underfoot.checking.check import Checker, examine
from underfoot.checking.exit_status import plan_status
from underfoot.checking.facts import Facts
from underfoot.checking.report import Report
from underfoot.commands.on_terminal import ink_out, width_out
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.commands.rewriting import see_that_it_can_be_written, unless_changed
from underfoot.mending.difference import write_difference
from underfoot.mending.text_edits import edit_text
from underfoot.reading.syntax import parse
from underfoot.reporting.layout import count_of
from underfoot.reporting.text import write_text
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import STANDARD_INPUT, display_path
from underfoot.running.taking_in import take_in_option
from underfoot.schedule.readings import make_edits, read_readings
from underfoot.schedule.table_rows import TableError


def take_readings(
    place: str, source: bytes, facts: Facts, readings: str, bench: Checker, *, write: bool
) -> int:
    """Put readings into a plan's text as tests, show and check what comes of it; give the status.

    The file is written only where that is asked for, and whole. CommandError for readings that
    cannot be read.
    """
    if place == STANDARD_INPUT:
        raise CommandError("readings go into a plan's file: name it")
    if write:
        see_that_it_can_be_written(place, None)
    try:
        visits = read_readings(take_in_option(readings, "--readings"), facts)
    except TableError as error:
        for row in error.rows:
            say(f"{readings}: {row}")
        raise CommandError(f"--readings {readings}: {error}") from None
    if not visits:
        raise CommandError(f"--readings {readings}: no row has a reading")
    edits, stood = make_edits(visits, parse(source).data)
    text = source.decode("utf-8")
    edited = edit_text(text, edits) if edits else None
    if edits and edited is None:
        raise CommandError(
            f"{display_path(place)}: the readings cannot be written into its `tests`: write them "
            "by hand"
        )
    new = source if edited is None else edited.text.encode()
    checked = examine(new, bench, path=display_path(place), folder=Path(place).parent)
    if write and edited is not None:
        write_file(place, unless_changed(new, source, place))
    if edited is not None:
        write_out(write_difference(text, edited.text, display_path(place), ink_out()))
        write_out("\n")
    write_out(
        write_text(
            Report(version=__version__, plans=(checked.report,)), width=width_out(), ink=ink_out()
        )
    )
    _say_done(display_path(place), len(visits) - stood, stood, write=write)
    return plan_status(checked.report, "error")


def _say_done(name: str, new: int, stood: int, *, write: bool) -> None:
    if stood:
        say(f"{name}: {count_of(stood, 'test')} of the sheet stood in the plan already")
    if new:
        done = f"{count_of(new, 'test')} added"
        say(f"{name}: {done}, and written" if write else "nothing is written: --write does it")
    sys.stdout.flush()
