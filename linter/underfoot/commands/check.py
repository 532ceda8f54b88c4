"""`underfoot check`: plans in, a numbered report out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, cast

import click
from msgspec.structs import replace

from underfoot import __version__
from underfoot.checking.summing import Summary, Summing
from underfoot.commands.dependencies import find_dependencies, write_dependencies
from underfoot.commands.earlier_run import hold_against
from underfoot.commands.keeping import choose_keep
from underfoot.commands.option_conflicts import see_that_they_go_together
from underfoot.commands.options import (
    flag,
    format_option,
    jobs_option,
    no_waivers_option,
    plan_seconds_option,
    refuse_at_option,
    root_option,
    settings_option,
    takes,
    today_option,
)
from underfoot.commands.output_files import check_output, disarmed, say, write_file, write_out
from underfoot.commands.outputs import (
    DETAILS,
    FORMATS,
    Asked,
    are_in_brief,
    list_outputs,
    see_that_it_can_be_quiet,
)
from underfoot.commands.reporting_run import RunReports
from underfoot.commands.rules_and_room import rules_asked
from underfoot.commands.selecting import Wanted, select_plans, write_passed
from underfoot.commands.stderr import say_run_problems
from underfoot.reporting.phrases import say_run
from underfoot.running.checking import Terms, rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.schedule import Parallelism, run_over

if TYPE_CHECKING:
    from underfoot.checking.exit_status import RefuseAt
    from underfoot.checking.rule import RuleSet
    from underfoot.commands.outputs import Detail, Output
    from underfoot.commands.selecting import Selection
    from underfoot.running.result_cache import CacheTerms


@click.command(short_help="Check plans and report numbered findings.")
@click.argument("paths", nargs=-1, metavar="[PATH...]")
@format_option(FORMATS, "What the report is written as.")
@click.option(
    "--detail",
    type=click.Choice(DETAILS),
    help="How much the text tells; left out, all of one plan and a line a finding of several.",
)
@flag(
    "--quiet",
    "-q",
    help="Text or lines with nothing but what refuses a plan, a line each; else nothing.",
)
@takes("FILE", "--output", help="Write the report to FILE, whole or not at all.")
@takes(
    "FORMAT=FILE",
    "--report",
    "reports",
    help="Write one more report, such as sarif=plans.sarif; may be given again.",
    multiple=True,
)
@refuse_at_option("What gives exit status 1: this or graver. unjudged: what may be an error.")
@settings_option
@root_option
@today_option
@flag(
    "--mends",
    help="Look for changes of the plan that clear what is found, each tried by all rules.",
)
@no_waivers_option
@takes(
    "FILE",
    "--known",
    help="What --format known (or json) wrote before: only what is new or worse counts.",
)
@flag(
    "--only-new", help="With --known: leave what is known out of SARIF as well, and count it there."
)
@flag("--split", help="SARIF in five runs, so that code hosts take 25,000 results and not 5,000.")
@flag(
    "--all-cases", help="JUnit with the cases that pass also where more than 500 plans are checked."
)
@takes(
    "FILE", "--files-from", help="Check the plans that FILE lists, one a line; - is standard input."
)
@takes(
    "FILE",
    "--changed",
    help="Check only plans that FILE lists, or whose catalogue or settings it lists.",
)
@takes(
    "REF",
    "--changed-since",
    help="The same, asking git what has changed since REF and this branch parted.",
)
@flag(
    "--nothing-is-fine",
    help="Pass where nothing is left to check: an empty list, nothing changed, all left out.",
)
@flag(
    "--tracked",
    help="Check only plans that git tracks, as they are in the folder; the files that they "
    "depend on must be tracked, too.",
)
@takes(
    "PATTERN",
    "--exclude",
    help="Leave out plans or folders whose path matches, such as plans/old or '*/draft-*'.",
    multiple=True,
)
@takes("ID", "--rule", "rules", help="Report this rule alone; may be given again.", multiple=True)
@takes("NAME", "--topic", "topics", help="Report the rules of this topic alone.", multiple=True)
@takes(
    "PATH", "--stdin-name", help="Name the plan on standard input, and judge it as if it lay there."
)
@flag("--depends", help="Check nothing: list the files that each plan depends on.")
@flag(
    "--list-passed-over", help="Check nothing: list the YAML files that are passed over, and why."
)
@jobs_option("Check in N processes; by default one, or one a core where there are many plans.")
@plan_seconds_option
@takes("ADDRESS", "--cluster", help="Check on the Dask cluster at ADDRESS.")
@takes(
    "DIR",
    "--cache",
    help="Keep results in DIR, and check only what is not as it was; html is always made anew.",
)
def check(
    paths: tuple[str, ...],
    format_: str,
    detail: str | None,
    quiet: bool,
    output: str | None,
    reports: tuple[str, ...],
    refuse_at: str,
    settings: str | None,
    root: str | None,
    today: date | None,
    mends: bool,
    no_waivers: bool,
    known: str | None,
    only_new: bool,
    split: bool,
    all_cases: bool,
    files_from: str | None,
    changed: str | None,
    changed_since: str | None,
    nothing_is_fine: bool,
    tracked: bool,
    exclude: tuple[str, ...],
    rules: tuple[str, ...],
    topics: tuple[str, ...],
    stdin_name: str | None,
    depends: bool,
    list_passed_over: bool,
    jobs: int | None,
    plan_seconds: float,
    cluster: str | None,
    cache: str | None,
) -> int:
    """Check plans, folders of plans, or - (standard input).

    \b
    Exit status 0: every plan was read, nothing at or above --refuse-at stands.
                1: something at or above --refuse-at stands; at unjudged also a
                   point that could not be judged and may be an error.
                2: a plan or the settings could not be read, no plan was found,
                   a rule crashed, or the command was misused.
    """
    outputs = list_outputs(format_, output, reports)
    see_that_they_go_together(click.get_current_context(), outputs)
    if quiet:
        see_that_it_can_be_quiet(outputs[0])
    wanted = Wanted(
        paths=paths, files_from=files_from, changed=changed, changed_since=changed_since,
        nothing_is_fine=nothing_is_fine, tracked=tracked, exclude=exclude, settings=settings,
        root=root, stdin_name=stdin_name,
    )  # fmt: skip
    selection = select_plans(wanted)
    named, collected = selection.found, selection.to_check
    for each in outputs:
        if each.place is not None:
            check_output(each.place, (file.place for file in named.files), each.option)
    if list_passed_over:
        return _list(
            write_passed(sorted(selection.passed), outputs[0].format), selection, outputs[0]
        )
    if depends:
        found = find_dependencies(named.files, settings, root)
        return _list(write_dependencies(found, outputs[0].format), selection, outputs[0])
    holding = None if known is None else hold_against(known, collected.files, root)
    sets = rule_sets_to_use()
    only = rules_asked(sets, rules, topics)
    day = today or date.today()
    level = cast("RefuseAt", refuse_at)
    asked = Asked(
        sets=sets,
        refuse_at=level,
        plans=len(collected.files),
        is_held=known is not None,
        split=split,
        only_new=only_new,
        all_cases=all_cases,
        root=root,
        detail=cast("Detail | None", detail),
        quiet=quiet,
    )
    terms = Terms(
        today=day,
        settings=settings,
        with_waivers=not no_waivers,
        plan_seconds=plan_seconds,
        root=root,
        asked=only,
        mends=mends,
        in_brief=not mends and known is None and are_in_brief(outputs, asked),
    )
    if cache is not None:
        drawing = any(each.format == "html" for each in outputs)
        terms = replace(terms, cache=_open_cache(cache, sets, cluster, drawing=drawing))
    run = Summary(
        version=__version__,
        plans=(),
        passed_over=collected.passed_over,
        problems=collected.problems,
        rules_asked=only,
    )
    is_text = outputs[0].format == "text" and outputs[0].place is None
    if quiet or not is_text or not collected.files:
        say_run_problems(run.problems)
    reports_ = RunReports(outputs, asked, run)
    summing = Summing(level)
    keep = choose_keep(outputs, asked, sets)
    for plan, page in run_over(
        collected.files, sets, terms, keep, Parallelism(jobs=jobs, cluster=cluster, silent=quiet)
    ):
        held = plan if holding is None else holding.hold(plan)
        summing.add(held)
        reports_.add(held, page)
    if terms.cache is not None:
        from underfoot.commands.cache_folder import thin_out

        thin_out(terms.cache.folder)
    if holding is not None:
        run = replace(run, earlier=holding.sum_up())
    run = replace(run, plans=summing.plans)
    status = summing.status(run.problems)
    if nothing_is_fine and not collected.files and not collected.problems:
        say(f"nothing to check: {selection.why_nothing}")
        status = 0
    reports_.end(run)
    if len(outputs) > 1 and not quiet:
        say(f"{say_run(run)}; exit status {status}")
    return status


def _open_cache(
    folder: str, sets: Sequence[RuleSet], cluster: str | None, *, drawing: bool
) -> CacheTerms | None:
    """Make the cache ready; the page of drawings needs the plans themselves, so it takes none."""
    from underfoot.commands.cache_folder import open_cache

    if cluster is not None:
        raise click.UsageError(
            "--cache and --cluster: a cluster's machines have no cache in common"
        )
    opened = open_cache(folder, sets)
    return None if drawing else opened


def _list(pieces: Iterable[str], selection: Selection, output: Output) -> int:
    """Write a list in place of a report."""
    if output.format not in ("text", "json"):
        raise CommandError("--depends and --list-passed-over are written as text or json")
    problems = selection.found.problems
    say_run_problems(problems)
    if output.place is None:
        write_out(pieces, output.format)
    else:
        write_file(output.place, disarmed(pieces, output.format))
    return 2 if problems else 0
