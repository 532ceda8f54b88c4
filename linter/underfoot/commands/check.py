"""`underfoot check`: plans in, a numbered report out."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, cast

import click

from underfoot.commands.options import settings_option, today_option

if TYPE_CHECKING:
    from underfoot.checking.exit_status import RefuseAt
    from underfoot.checking.report import PlanReport, Report
    from underfoot.reporting.html import DrawnPlan

FORMATS = ("text", "json", "html")


@click.command(short_help="Check plans and report numbered findings.")
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@click.option(
    "--format",
    "format_",
    type=click.Choice(FORMATS),
    default="text",
    show_default=True,
    help="What the report is written as.",
)
@click.option(
    "--output",
    metavar="FILE",
    help="Write the report to FILE, whole or not at all.",
)
@click.option(
    "--refuse-at",
    type=click.Choice(["error", "warning", "note", "never"]),
    default="error",
    show_default=True,
    help="The least severity that gives exit status 1.",
)
@settings_option
@today_option
@click.option("--no-waivers", is_flag=True, help="Let no waiver hold.")
def check(
    paths: tuple[str, ...],
    format_: str,
    output: str | None,
    refuse_at: str,
    settings: str | None,
    today: date | None,
    no_waivers: bool,
) -> int:
    """Check plans, folders of plans, or - (standard input).

    \b
    Exit status 0: every plan was read, nothing at or above --refuse-at stands.
                1: something at or above --refuse-at stands.
                2: a plan or the settings could not be read, no plan was found,
                   a rule crashed, or the command was misused.
    """
    from underfoot import __version__
    from underfoot.checking.exit_status import exit_status
    from underfoot.checking.report import Report
    from underfoot.commands.collecting import collect_plans
    from underfoot.commands.progress import show_progress, wants_progress
    from underfoot.commands.reviewing import examine_files, rule_sets_to_use
    from underfoot.commands.writing import check_output, say, write_file, write_out
    from underfoot.reporting.text import say_problem

    collected = collect_plans(paths)
    if output is not None:
        check_output(output, (file.place for file in collected.files))
    sets = rule_sets_to_use()
    examined = examine_files(
        show_progress(collected.files, shown=wants_progress(os.environ)),
        sets,
        today=today or date.today(),
        settings=settings,
        with_waivers=not no_waivers,
    )
    plans: list[PlanReport] = []
    drawn: list[DrawnPlan] = []
    for each in examined:
        plans.append(each.report)
        if format_ == "html":
            # Drawn while the plan is at hand, so that no more than one need be.
            from underfoot.reporting.html import draw_plan

            drawn.append(draw_plan(each))
    report = Report(__version__, tuple(plans), collected.passed_over, collected.problems)
    to_terminal = output is None and sys.stdout.isatty()
    if format_ != "text" or output is not None or not report.plans:
        for problem in report.problems:
            say(say_problem(problem))
    if report.plans or format_ != "text":
        if format_ == "html":
            from underfoot.reporting.html import write_html

            rules = [rule for rule_set in sets for rule in rule_set.rules]
            pieces: Iterable[str] = write_html(report, drawn, rules)
        else:
            pieces = _written(report, format_, to_terminal)
        if output is None:
            write_out(pieces)
        else:
            write_file(output, pieces)
    return exit_status(report, cast("RefuseAt", refuse_at))


def _written(report: Report, format_: str, to_terminal: bool) -> Iterable[str]:
    if format_ == "json":
        from underfoot.reporting.json import write_json

        return write_json(report)
    import shutil

    from underfoot.reporting.ink import ink_for
    from underfoot.reporting.layout import WIDTH
    from underfoot.reporting.text import write_text

    width = WIDTH
    if to_terminal:
        width = min(max(shutil.get_terminal_size().columns, 60), 100)
    return write_text(report, width=width, ink=ink_for(to_terminal, os.environ))
