"""Options of a check that contradict each other, or would do nothing as they are given."""

from collections.abc import Sequence

import click
from click.core import ParameterSource

from underfoot.commands.outputs import Output

# What an option is about: where no report is of such a format it does nothing.
_ABOUT = {
    "detail": ("text",),
    "mends": ("text", "json", "sarif"),
    "only_new": ("sarif",),
    "split": ("sarif",),
    "all_cases": ("junit",),
}
_NAMES = {"text": "the text", "json": "JSON", "sarif": "SARIF", "junit": "JUnit"}
# Two of which one makes the other void, and why.
_APART = (
    ("changed", "changed_since", "they ask for the same: give one of them"),
    ("depends", "list_passed_over", "each is a list of its own: give one of them"),
    ("known", "rules", "what is known is about all rules: leave one of them out"),
    ("known", "topics", "what is known is about all rules: leave one of them out"),
    ("jobs", "cluster", "a cluster's workers are its own: leave one of them out"),
)
_LISTS = ("depends", "list_passed_over")
# What is done with plans that are checked: a list checks none.
_CHECKED = (
    "reports", "detail", "quiet", "refuse_at", "today", "mends", "no_waivers", "known", "only_new",
    "split", "all_cases", "nothing_is_fine", "rules", "topics", "jobs", "plan_seconds", "cluster",
    "cache",
)  # fmt: skip


def see_that_they_go_together(ctx: click.Context, outputs: Sequence[Output]) -> None:
    """click.UsageError where an option of `check` contradicts another, or would do nothing."""
    options = {param.name: param.opts[0] for param in ctx.command.params if param.name}
    given = [
        name for name in options if ctx.get_parameter_source(name) is not ParameterSource.DEFAULT
    ]
    params = ctx.params
    if not params["paths"] and params["files_from"] is None:
        raise click.UsageError("PATH... is missing: name plans, folders, or - for standard input")
    inputs = [*params["paths"], params["files_from"], params["changed"]]
    if inputs.count("-") > 1:
        raise click.UsageError("standard input can be only one thing, but - is given twice")
    if params["stdin_name"] is not None and "-" not in params["paths"]:
        raise click.UsageError("--stdin-name is for the plan on standard input: give - as a PATH")
    for one, other, why in _APART:
        if one in given and other in given:
            raise click.UsageError(f"{options[one]} and {options[other]}: {why}")
    for name in _LISTS:
        void = [options[each] for each in _CHECKED if each in given]
        if name in given and void:
            raise click.UsageError(f"{options[name]} checks nothing: leave out {', '.join(void)}")
    if "only_new" in given and "known" not in given:
        raise click.UsageError("--only-new leaves out what is known: say what that is by --known")
    formats = {each.format for each in outputs}
    for name, about in _ABOUT.items():
        if name in given and formats.isdisjoint(about):
            raise click.UsageError(
                f"{options[name]} is about {_join(about)}, and no report here is "
                f"{'one' if len(about) == 1 else 'any of these'}"
            )


def _join(formats: Sequence[str]) -> str:
    *before, last = (_NAMES[each] for each in formats)
    return f"{', '.join(before)} and {last}" if before else last
