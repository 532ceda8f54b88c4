"""`underfoot compare`: two revisions, plans or folders, held side by side."""

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from functools import partial
from typing import Any, cast

import click
from msgspec import Struct

from underfoot import __version__
from underfoot.checking.exit_status import RefuseAt
from underfoot.commands.on_terminal import ink_out, width_out
from underfoot.commands.options import (
    format_option,
    plan_seconds_option,
    refuse_at_option,
    settings_option,
    takes,
    today_option,
)
from underfoot.commands.output_files import check_output, disarmed, write_file, write_out
from underfoot.comparing import Comparison, json, refuses, text
from underfoot.reading.problem import Problem
from underfoot.running.checking import Terms, rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.links import where_it_lies
from underfoot.running.pairs import Pair, WritePair, compare_pairs
from underfoot.running.plan_files import STANDARD_INPUT, PlanFile, collect_plans, display_path

FORMATS = ("text", "json", "html")


@click.command(short_help="Say what a revision cleared, left and brought in.")
@click.argument("old")
@click.argument("new")
@format_option(FORMATS, "What the comparison is written as.")
@takes("FILE", "--output", help="Write to FILE, whole or not at all.")
@refuse_at_option(
    "What gives exit status 1 where brought in, or worse. unjudged: what may be an error."
)
@settings_option
@today_option
@plan_seconds_option
def compare(
    old: str,
    new: str,
    format_: str,
    output: str | None,
    refuse_at: str,
    settings: str | None,
    today: date | None,
    plan_seconds: float | None,
) -> int:
    """Hold two revisions side by side: OLD and NEW are plans, or folders of plans.

    Plans of two folders are compared by name. A finding is the same one where its
    rule, room and items are, whatever line it stands on, also where these were
    only renamed.

    \b
    Exit status 0: nothing at or above --refuse-at was brought in or got worse.
                1: something was, or did.
                2: a plan or the settings could not be read, no plan was found,
                   a rule crashed, or the command was misused.
    """
    pairs, problems = _pair_up(old, new)
    if output is not None:
        check_output(
            output, [file.place for pair in pairs for file in (pair.old, pair.new) if file]
        )
    terms = Terms(today=today or date.today(), settings=settings, plan_seconds=plan_seconds)
    writer = _choose_writer(format_, to_file=output is not None)
    compared = list(compare_pairs(pairs, rule_sets_to_use(), terms, writer.pair))
    comparisons = [each.comparison for each in compared]
    pieces = writer.whole(comparisons, problems, [each.text for each in compared])
    if output is None:
        write_out(pieces, format_)
    else:
        write_file(output, disarmed(pieces, format_))
    if problems or not comparisons or not all(each.is_readable for each in comparisons):
        return 2
    return int(any(refuses(each, cast("RefuseAt", refuse_at)) for each in comparisons))


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
        return [Pair(name=name, old=then, new=now)], ()
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
    paired = [Pair(name=name, old=sides[0].get(name), new=sides[1].get(name)) for name in names]
    return paired, tuple(problems)


class _Writer(Struct, frozen=True, kw_only=True):
    """What writes a pair, and what puts written pairs together."""

    pair: WritePair
    whole: Callable[[Sequence[Comparison], Sequence[Problem], Sequence[str]], Iterable[str]]


def _choose_writer(format_: str, *, to_file: bool) -> _Writer:
    if format_ == "json":
        return _Writer(
            pair=json.write_pair,
            whole=lambda pairs, problems, written: json.write_comparisons_json(
                pairs, problems, __version__, written
            ),
        )
    if format_ == "html":
        from underfoot.comparing import page

        return _Writer(
            pair=page.write_pair,
            whole=lambda pairs, problems, written: page.write_comparisons_html(
                pairs, problems, __version__, written
            ),
        )
    look: dict[str, Any] = {} if to_file else {"width": width_out(), "ink": ink_out()}
    return _Writer(
        pair=partial(text.write_pair, **look),
        whole=lambda pairs, problems, written: text.write_comparisons_text(
            pairs, problems, **look, written=written
        ),
    )
