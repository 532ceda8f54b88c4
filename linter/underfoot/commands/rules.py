"""`underfoot rules`: the list of rules."""

import os

import click

from underfoot.checking.settings import default_settings
from underfoot.commands.on_terminal import ink_out, width_out
from underfoot.commands.options import format_option, settings_option
from underfoot.commands.output_files import write_out
from underfoot.reporting.rules_list import write_json_list, write_markdown_list, write_text_list
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.finding_settings import settings_finder


@click.command(short_help="List the rules with their limits and basis.")
@format_option(["text", "json", "markdown"], "What the list is written as.")
@settings_option
def rules(format_: str, settings: str | None) -> int:
    """List the rules with their severities, limits in force, and basis."""
    sets = rule_sets_to_use()
    in_force = default_settings(rule for rule_set in sets for rule in rule_set.rules)
    if settings is not None:
        in_force = settings_finder(sets, settings)(os.curdir)
    if format_ == "json":
        write_out(write_json_list(sets, in_force), "json")
    elif format_ == "markdown":
        write_out(write_markdown_list(sets, in_force))
    else:
        write_out(write_text_list(sets, in_force, ink=ink_out(), width=width_out()))
    return 0
