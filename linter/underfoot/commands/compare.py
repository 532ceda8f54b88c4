"""`underfoot compare`: two revisions, plans or folders, held side by side."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import cast

import click

from underfoot import __version__
from underfoot.checking.check import CheckedPlan
from underfoot.checking.exit_status import RefuseAt
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.on_terminal import ink_out, width_out
from underfoot.commands.options import (
    format_option,
    refuse_at_option,
    settings_option,
    takes,
    today_option,
)
from underfoot.commands.output_files import check_output, disarmed, write_file, write_out
from underfoot.comparing import Comparison, refuses
from underfoot.comparing import compare as hold_side_by_side
from underfoot.comparing.json import write_comparisons_json
from underfoot.comparing.text import write_comparisons_text
from underfoot.reading.problem import Problem
from underfoot.running.checking import examine_files, rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.links import where_it_lies
from underfoot.running.plan_files import STANDARD_INPUT, PlanFile, collect_plans, display_path

FORMATS = ("text", "json", "html")


@click.command(cls=LimitedCommand, short_help="Say what a revision cleared, left and brought in.")
@click.argument("old")
@click.argument("new")
@format_option(FORMATS, "What the comparison is written as.")
@takes("FILE", "--output", help="Write to FILE, whole or not at all.")
@refuse_at_option(
    "What gives exit status 1 where brought in, or worse. unjudged: what may be an error."
)
@settings_option
@today_option
def compare(
    old: str,
    new: str,
    format_: str,
    output: str | None,
    refuse_at: str,
    settings: str | None,
    today: date | None,
) -> int:
    """Hold two revisions side by side: OLD and NEW are plans, or folders of plans.

    Plans of two folders are compared by name. A finding is the same one where its
    rule, room and items are, whatever line it stands on.

    \b
    Exit status 0: nothing at or above --refuse-at was brought in or got worse.
                1: something was, or did.
                2: a plan or the settings could not be read, no plan was found,
                   a rule crashed, or the command was misused.
    """
    pairs, problems = _pair_up(old, new)
    if output is not None:
        check_output(output, [file.place for _, *files in pairs for file in files if file])
    day = today or date.today()
    comparisons = list(_compare(pairs, settings, day))
    pieces = _written(comparisons, problems, format_, __version__, to_file=output is not None)
    if output is None:
        write_out(pieces, format_)
    else:
        write_file(output, disarmed(pieces, format_))
    if problems or not comparisons or not all(each.is_readable for each in comparisons):
        return 2
    return int(any(refuses(each, cast("RefuseAt", refuse_at)) for each in comparisons))


Pair = tuple[str, "PlanFile | None", "PlanFile | None"]


def _pair_up(old: str, new: str) -> tuple[list[Pair], tuple[Problem, ...]]:
    """Pair two plans, or those of two folders by their path in it."""
    if STANDARD_INPUT in (old, new):
        raise CommandError("compare takes two plans or two folders, not standard input")
    for place in (old, new):
        if not os.path.exists(place):
            raise CommandError(f"{display_path(place)}: there is no such file or folder")
    if os.path.isdir(old) != os.path.isdir(new):
        raise CommandError("compare takes two plans or two folders, not one of each")
    if not os.path.isdir(old):
        name = os.path.basename(display_path(new))
        then, now = (
            PlanFile(place=lies, path=display_path(lies)) for lies in map(where_it_lies, (old, new))
        )
        return [(name, then, now)], ()
    sides: list[Mapping[str, PlanFile]] = []
    problems: list[Problem] = []
    for folder in (old, new):
        collected = collect_plans((folder,))
        problems += collected.problems
        sides.append(
            {
                display_path(os.path.relpath(file.place, where_it_lies(folder))): file
                for file in collected.files
            }
        )
    names = sorted({*sides[0], *sides[1]}, key=lambda name: name.split("/"))
    return [(name, sides[0].get(name), sides[1].get(name)) for name in names], tuple(problems)


def _compare(pairs: Sequence[Pair], settings: str | None, today: date) -> Iterable[Comparison]:
    sets = rule_sets_to_use()
    files = [file for _, *both in pairs for file in both if file is not None]
    examined = iter(examine_files(files, sets, today=today, settings=settings))

    def next_of(file: PlanFile | None) -> CheckedPlan | None:
        return None if file is None else next(examined)

    for name, old, new in pairs:
        then = next_of(old)
        yield hold_side_by_side(name, then, next_of(new))


def _written(
    comparisons: Sequence[Comparison],
    problems: Sequence[Problem],
    format_: str,
    version: str,
    *,
    to_file: bool,
) -> Iterable[str]:
    if format_ == "json":
        return write_comparisons_json(comparisons, problems, version)
    if format_ == "html":
        from underfoot.comparing.page import write_comparisons_html

        return write_comparisons_html(comparisons, problems, version)

    if to_file:
        return write_comparisons_text(comparisons, problems)
    return write_comparisons_text(comparisons, problems, width=width_out(), ink=ink_out())
