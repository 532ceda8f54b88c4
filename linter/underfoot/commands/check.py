"""`underfoot check`: plans in, a numbered report out."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, cast

import click

from underfoot.commands.options import (
    REFUSE_AT,
    plan_seconds_option,
    root_option,
    settings_option,
    today_option,
)
from underfoot.commands.outputs import FORMATS

if TYPE_CHECKING:
    from underfoot.checking.check import Examined
    from underfoot.checking.earlier import EarlierPlan
    from underfoot.checking.exit_status import RefuseAt
    from underfoot.checking.report import PlanReport, Report
    from underfoot.commands.outputs import Findings, Output
    from underfoot.commands.selecting import Selection
    from underfoot.reporting.html import DrawnPlan


# A report of some ten thousand plans.
_LONGEST_KNOWN = 500_000_000


@click.command(short_help="Check plans and report numbered findings.")
@click.argument("paths", nargs=-1, metavar="[PATH...]")
@click.option(
    "--format",
    "format_",
    type=click.Choice(FORMATS),
    default="text",
    show_default=True,
    help="What the report is written as.",
)
@click.option("--output", metavar="FILE", help="Write the report to FILE, whole or not at all.")
@click.option(
    "--report",
    "reports",
    multiple=True,
    metavar="FORMAT=FILE",
    help="Write one more report, such as sarif=plans.sarif; may be given again.",
)
@click.option(
    "--refuse-at",
    type=click.Choice(REFUSE_AT),
    default="error",
    show_default=True,
    help="What gives exit status 1: this or graver. unjudged: what may be an error.",
)
@settings_option
@root_option
@today_option
@click.option("--no-waivers", is_flag=True, help="Let no waiver hold.")
@click.option(
    "--known",
    metavar="FILE",
    help="An earlier JSON report: only what is new or worse counts for the exit status.",
)
@click.option(
    "--files-from",
    metavar="FILE",
    help="Check the plans that FILE lists, one a line; - is standard input.",
)
@click.option(
    "--changed",
    metavar="FILE",
    help="Check only plans that FILE lists, or whose catalogue or settings it lists.",
)
@click.option(
    "--changed-since",
    metavar="REF",
    help="The same, asking git what has changed since REF and this branch parted.",
)
@click.option(
    "--nothing-is-fine",
    is_flag=True,
    help="Pass where nothing is left to check: an empty list, nothing changed, all left out.",
)
@click.option(
    "--tracked",
    is_flag=True,
    help="Check only plans that git has taken in, and see that what they stand on is too.",
)
@click.option(
    "--exclude",
    multiple=True,
    metavar="PATTERN",
    help="Leave out plans or folders whose path matches, such as plans/old or '*/draft-*'.",
)
@click.option(
    "--stdin-name",
    metavar="PATH",
    help="Name the plan on standard input, and judge it as if it lay there.",
)
@click.option("--depends", is_flag=True, help="Check nothing: list what each plan stands on.")
@click.option(
    "--list-passed-over",
    is_flag=True,
    help="Check nothing: list the YAML files that are passed over, and why.",
)
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="N",
    help="Check in N processes; by default one, or one a core where there are many plans.",
)
@plan_seconds_option
@click.option("--cluster", metavar="ADDRESS", help="Check on the Dask cluster at ADDRESS.")
def check(
    paths: tuple[str, ...],
    format_: str,
    output: str | None,
    reports: tuple[str, ...],
    refuse_at: str,
    settings: str | None,
    root: str | None,
    today: date | None,
    no_waivers: bool,
    known: str | None,
    files_from: str | None,
    changed: str | None,
    changed_since: str | None,
    nothing_is_fine: bool,
    tracked: bool,
    exclude: tuple[str, ...],
    stdin_name: str | None,
    depends: bool,
    list_passed_over: bool,
    jobs: int | None,
    plan_seconds: float,
    cluster: str | None,
) -> int:
    """Check plans, folders of plans, or - (standard input).

    \b
    Exit status 0: every plan was read, nothing at or above --refuse-at stands.
                1: something at or above --refuse-at stands; at unjudged also a
                   point that could not be judged and may be an error.
                2: a plan or the settings could not be read, no plan was found,
                   a rule crashed, or the command was misused.
    """
    from underfoot import __version__
    from underfoot.checking.exit_status import exit_status
    from underfoot.checking.report import Report
    from underfoot.commands.outputs import Findings, list_outputs
    from underfoot.commands.reviewing import Terms, rule_sets_to_use
    from underfoot.commands.running import Way, run_over
    from underfoot.commands.selecting import Wanted, select_plans
    from underfoot.commands.writing import check_output, say

    if not paths and files_from is None:
        raise click.UsageError("PATH... is missing: name plans, folders, or - for standard input")
    if [*paths, files_from, changed].count("-") > 1:
        raise click.UsageError("standard input can be only one thing, but - is given twice")
    if changed is not None and changed_since is not None:
        raise click.UsageError("--changed and --changed-since ask for the same: give one of them")
    if stdin_name is not None and "-" not in paths:
        raise click.UsageError("--stdin-name is for the plan on standard input: give - as a PATH")
    outputs = list_outputs(format_, output, reports)
    wanted = Wanted(
        paths, files_from, changed, changed_since, nothing_is_fine, tracked, exclude, settings,
        root, stdin_name,
    )  # fmt: skip
    selection = select_plans(wanted)
    named, collected = selection
    for each in outputs:
        if each.place is not None:
            check_output(each.place, (file.place for file in named.files), each.option)
    if list_passed_over:
        from underfoot.commands.selecting import write_passed

        return _list(
            write_passed(sorted(selection.passed), outputs[0].format), selection, outputs[0]
        )
    if depends:
        from underfoot.commands.dependencies import find_dependencies, write_dependencies

        found = find_dependencies(named.files, settings, root)
        return _list(write_dependencies(found, outputs[0].format), selection, outputs[0])
    earlier = None if known is None else _read_earlier(known)
    sets = rule_sets_to_use()
    terms = Terms(today or date.today(), settings, not no_waivers, plan_seconds, root=root)
    drawing = any(each.format == "html" for each in outputs)
    keep = keep_drawn if drawing else keep_report
    kept = tuple(run_over(collected.files, sets, terms, keep, Way(jobs, cluster)))
    plans = tuple(plan for plan, _ in kept)
    report = Report(__version__, plans, collected.passed_over, collected.problems)
    if known is not None and earlier is not None:
        report = _hold_against(report, earlier, known)
    drawn = [
        page._replace(report=plan)
        for plan, (_, page) in zip(report.plans, kept, strict=True)
        if page is not None
    ]
    level = cast("RefuseAt", refuse_at)
    status = exit_status(report, level)
    if nothing_is_fine and not collected.files and not collected.problems:
        say(f"nothing to check: {selection.why_nothing}")
        status = 0
    _write(outputs, Findings(report, drawn, sets, level), status)
    return status


def keep_report(examined: Examined) -> tuple[PlanReport, DrawnPlan | None]:
    """Keep a plan's report alone."""
    return examined.report, None


def keep_drawn(examined: Examined) -> tuple[PlanReport, DrawnPlan | None]:
    """Keep a plan's report and its drawings, made while the plan is at hand."""
    from underfoot.reporting.html import draw_plan

    return examined.report, draw_plan(examined)


def _list(pieces: Iterable[str], selection: Selection, output: Output) -> int:
    """Write a list in place of a report."""
    from underfoot.commands.errors import CommandError
    from underfoot.commands.saying import say_run_problems
    from underfoot.commands.writing import disarmed, write_file, write_out

    if output.format not in ("text", "json"):
        raise CommandError("--depends and --list-passed-over are written as text or json")
    problems = selection.found.problems
    say_run_problems(problems)
    if output.place is None:
        write_out(pieces, output.format)
    else:
        write_file(output.place, disarmed(pieces, output.format))
    return 2 if problems else 0


def _read_earlier(place: str) -> dict[str, EarlierPlan]:
    from underfoot.commands.errors import CommandError
    from underfoot.commands.taking_in import take_in_option
    from underfoot.reporting.earlier import EarlierReportError, read_earlier

    source = take_in_option(place, "--known", _LONGEST_KNOWN)
    try:
        return read_earlier(source)
    except EarlierReportError as error:
        raise CommandError(f"--known {place}: {error}") from None


def _hold_against(report: Report, earlier: dict[str, EarlierPlan], place: str) -> Report:
    from underfoot.checking.earlier import hold_against
    from underfoot.commands.collecting import shown
    from underfoot.commands.writing import say

    absent = {path for path in earlier if path != "-" and not os.path.exists(path)}
    if earlier and report.plans and not any(plan.path in earlier for plan in report.plans):
        say(
            f"--known {place}: none of its plans is checked here; plans are matched by the path "
            "that the report gives them"
        )
    return hold_against(report, earlier, shown(place), absent)


def _write(outputs: Sequence[Output], findings: Findings, status: int) -> None:
    from underfoot.commands.outputs import write_as
    from underfoot.commands.saying import say_run_problems
    from underfoot.commands.writing import Writing, disarmed, say, write_files, write_out
    from underfoot.reporting.phrases import say_run

    report, main = findings.report, outputs[0]
    silent = main.format == "text" and main.place is None and not report.plans
    if main.format != "text" or main.place is not None or not report.plans:
        say_run_problems(report.problems)
    write_files(
        Writing(each.place, disarmed(write_as(each, findings), each.format), each.option)
        for each in outputs
        if each.place is not None
    )
    if main.place is None and not silent:
        write_out(write_as(main, findings), main.format)
    if len(outputs) > 1:
        say(f"{say_run(report)}; exit status {status}")
