"""`underfoot desk`: the review page for plans that are being worked on."""

import asyncio
import os
from datetime import date
from importlib.util import find_spec
from pathlib import Path

import click

from underfoot import __version__
from underfoot.checking.content_hash import hash_rules
from underfoot.commands.options import Whole, flag, root_option, settings_option, today_option
from underfoot.commands.output_files import write_out
from underfoot.commands.stderr import say_run_problems
from underfoot.reporting.host_limits import DESK_PLANS
from underfoot.reporting.layout import count_of
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import (
    STANDARD_INPUT,
    Collected,
    collect_plans,
    display_path,
)

_NEEDED = ("starlette", "uvicorn", "watchfiles")


@click.command(short_help="Show plans at work: findings follow each save, decisions are kept.")
@click.argument("path")
@click.option(
    "--port",
    type=Whole(0, 65535),
    default=0,
    help="The port on this machine; left out, any that is free.",
)
@flag("--no-open", help="Start no browser: only print the address.")
@settings_option
@root_option
@today_option
def desk(
    path: str,
    port: int,
    no_open: bool,
    settings: str | None,
    root: str | None,
    today: date | None,
) -> int:
    """Show a plan, or a folder of plans, on a page that follows every save.

    The page is for this machine alone, and its address, which is printed, holds a
    secret. Findings are decided about there, and the review beside the plan is
    written as by `underfoot review`. Nothing is written without a click, and no file
    that has changed meanwhile.

    \b
    Needs the extra `desk`: pip install 'underfoot[desk]'.
    Exit status 0: ended by Ctrl-C.
                2: there is no plan, or the command was misused.
    """
    if any(find_spec(name) is None for name in _NEEDED):
        raise CommandError("desk needs the extra `desk`: pip install 'underfoot[desk]'")
    if path == STANDARD_INPUT:
        raise CommandError("the desk shows files: name a plan or a folder")
    is_folder = os.path.isdir(path)
    collected = collect_plans([path], settings, root=root)
    say_run_problems(collected.problems)
    if not collected.files:
        return 2
    if len(collected.files) > DESK_PLANS:
        raise CommandError(
            f"{display_path(path)}: there are {count_of(len(collected.files), 'plan')}; at the "
            f"desk are at most {DESK_PLANS}: name a folder below"
        )
    named = collected.files[0]

    def collect_again() -> Collected:
        return (
            collect_plans([path], settings, root=root) if is_folder else Collected(files=(named,))
        )

    from underfoot.desk.checks import Asking, Checks
    from underfoot.desk.desk import Desk
    from underfoot.desk.serving import make_door, serve, take_port

    sets = rule_sets_to_use()
    asking = Asking(settings=settings, root=root, today=today)
    # Looking for mends takes its time, and must not keep a save waiting.
    checks, trials = Checks(sets, asking), Checks(sets, asking)
    checks.start()
    trials.start(others=[checks])
    try:
        with take_port(port) as taken:
            at_work = Desk(
                checks,
                trials,
                collect_again,
                [rule for rule_set in sets for rule in rule_set.rules],
                hash_rules(sets, __version__),
                Path(path if is_folder else named.folder).resolve(),
                today,
            )
            door = make_door(taken)
            asyncio.run(
                serve(at_work, taken, door, deep=is_folder, say=_say_address, opens=not no_open)
            )
    finally:
        checks.end()
        trials.end()
    return 0


def _say_address(address: str) -> None:
    write_out([f"{address}\n"])
