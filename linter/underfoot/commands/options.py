"""Options that several commands share."""

import re
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

import click

# What adds an option to a command.
Option = Callable[[Any], Any]

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")

# `checking.exit_status` has the same, but need not be imported to say what a command takes.
REFUSE_AT = ("error", "unjudged", "warning", "note", "never")


def flag(*names: str, help: str) -> Option:
    """Make an option that is given or not."""
    return click.option(*names, is_flag=True, help=help)


def takes(metavar: str, *names: str, help: str, **more: Any) -> Option:
    """Make an option that takes a word; `more` says that it is required, or may be given again."""
    return click.option(*names, metavar=metavar, help=help, **more)


settings_option = click.option(
    "--settings",
    metavar="FILE",
    help="Use the limits in FILE, whatever underfoot.yaml stands beside a plan.",
)

root_option = click.option(
    "--root",
    metavar="DIR",
    type=click.Path(exists=True, file_okay=False),
    help="The topmost folder whose settings and catalogues count; left out, the repository's.",
)


class Whole(click.ParamType):  # type: ignore[type-arg]
    """A whole number that is at least `least` and, where one is given, at most `most`."""

    name = "number"

    def __init__(self, least: int, most: int | None = None) -> None:
        self.least = least
        self.most = most

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> int:
        """Read it; click.UsageError says what to write."""
        text = str(value).strip()
        if re.fullmatch(r"[+-]?[0-9]{1,18}", text):
            number = int(text)
            if self.least <= number and (self.most is None or number <= self.most):
                return number
        within = f"from {self.least} to {self.most}" if self.most else f"{self.least} or more"
        raise click.UsageError(f"{_named(param)} {value}: write a whole number, {within}", ctx)


def _named(param: click.Parameter | None) -> str:
    """Name an option as it is written, an argument as it is called."""
    return "" if param is None else param.opts[0] if param.opts[0][:1] == "-" else "NUMBER"


def read_day(ctx: click.Context, param: click.Parameter, text: str | None) -> date | None:
    """Read a calendar day, written as 2026-09-28; click.BadParameter says how to write it."""
    if text is None:
        return None
    if not _DAY.fullmatch(text):
        raise click.BadParameter(f"{text!r} is no date: write year-month-day, as in 2026-09-28")
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise click.BadParameter(f"there is no day {text}") from None


today_option = click.option(
    "--today",
    callback=read_day,
    metavar="DATE",
    help="Judge waivers as of DATE, such as 2026-09-28.",
)


_DAY_SECONDS = 86_400.0


def read_seconds(ctx: click.Context, param: click.Parameter, text: str | None) -> float | None:
    """Read a time of more than 0 s and at most a day; click.UsageError says what to write."""
    if text is None:
        return None
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 0.0 < seconds <= _DAY_SECONDS:
        raise click.UsageError(
            f"{param.opts[0]} {text}: write seconds, more than 0, at most {_DAY_SECONDS:.0f}", ctx
        )
    return seconds


plan_seconds_option = click.option(
    "--plan-seconds",
    callback=read_seconds,
    metavar="SECONDS",
    help="Give up a plan that takes more processor time; left out, 10 s for each 300 kB of it.",
)

no_waivers_option = click.option("--no-waivers", is_flag=True, help="Ignore all waivers.")


def format_option(formats: Sequence[str], says: str, *, default: str = "text") -> Option:
    """Make the option for what is written; `says` is its help."""
    choice = click.Choice(formats)
    return click.option(
        "--format", "format_", type=choice, default=default, show_default=True, help=says
    )


def refuse_at_option(says: str) -> Option:
    """Make the option for what is refused."""
    choice = click.Choice(REFUSE_AT)
    return click.option("--refuse-at", type=choice, default="error", show_default=True, help=says)


def jobs_option(says: str) -> Option:
    """Make the option for how many processes."""
    return click.option("--jobs", type=Whole(1), metavar="N", help=says)
