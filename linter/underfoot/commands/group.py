"""The command `underfoot` and its sub-commands, each imported when it is asked for."""

from importlib import import_module

import click

from underfoot import __version__

# Name -> what the list of commands says, in the order of a plan's life.
COMMANDS = {
    "new": "Begin a plan: a room by its size or out of a drawing, with blanks.",
    "lay": "Lay the rooms of a plan that have no strips yet.",
    "check": "Check plans and report numbered findings.",
    "rules": "List the rules with their limits and basis.",
    "why": "Explain one rule: why, limit, basis, right and wrong.",
    "mend": "Put a plan's findings right in its own text, as far as that was tried.",
    "draw": "Draw a plan to scale as SVG, PDF, PNG or DXF, findings by number.",
    "schedule": "Work out the job's papers: strips, cuts, orders, tests, hand-over.",
    "desk": "Show plans at work: findings follow each save, decisions are kept.",
    "review": "Keep what was decided about a plan's findings.",
    "compare": "Say what a revision cleared, left and brought in.",
    "heat": "Picture where a floor is warm and where it stays cold.",
    "scheme": "Propose a marking scheme from model answers, or try one on them.",
    "mark": "Mark a folder of submissions against a scheme.",
    "term": "Join several marks.json of a term, and show what is still got wrong.",
    "exercise": "Damage a right plan for others to find what is wrong.",
    "serve-editor": "Serve an editor: findings and help while typing.",
    "settings": "Show the settings in force for a plan or folder.",
    "schema": "Print the JSON Schema of the plan format.",
}


class LateGroup(click.Group):
    """A group that imports ``underfoot.commands.NAME`` only to run NAME; dashes are `_` there."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in their order."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one command."""
        if cmd_name not in COMMANDS:
            return None
        module = cmd_name.replace("-", "_")
        command = getattr(import_module(f"underfoot.commands.{module}"), module)
        assert isinstance(command, click.Command)
        if ctx.resilient_parsing:
            # A shell asks what could stand in the line.
            from underfoot.commands.completing import with_completion

            return with_completion(command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that the first argument names, or suggest the nearest."""
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            from underfoot.reading.wording import suggest

            ctx.fail(f"there is no command {name!r}{suggest(name, COMMANDS)}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(
    cls=LateGroup,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    epilog=(
        "A check is an aid and certifies nothing: the maker's manual, the local wiring "
        "regulations and building code, and a licensed electrician decide."
    ),
)
@click.version_option(__version__, prog_name="underfoot")
@click.pass_context
def underfoot(ctx: click.Context) -> int:
    """Check plans of electric floor heating laid as film before a roll is cut."""
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help(), err=True)
        return 2
    return 0
