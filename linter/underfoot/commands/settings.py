"""`underfoot settings PATH`: what is in force there, and where each came from."""

import os
from pathlib import Path

import click

from underfoot.commands.on_terminal import ink_out, width_out
from underfoot.commands.options import format_option
from underfoot.commands.output_files import write_out
from underfoot.reporting.settings_list import SettingsAt, write_settings, write_settings_json
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.finding_settings import (
    settings_files,
    settings_of,
    shown_from,
)
from underfoot.running.links import where_it_lies
from underfoot.running.plan_files import display_path


@click.command(short_help="Show the settings in force for a plan or folder.")
@click.argument("path")
@format_option(["text", "json"], "What the settings are written as.")
def settings(path: str, format_: str) -> int:
    """Show every limit in force for the plan or folder PATH, and where each came from."""
    if not os.path.exists(path):
        raise CommandError(f"{display_path(path)}: there is no such file or folder")
    # What stands in a folder is under the settings beside it.
    place = os.path.join(path, "plan.yaml") if os.path.isdir(path) else path
    sets = rule_sets_to_use()
    in_force = settings_of(place, sets, None, shown=display_path(path))
    files = settings_files(Path(os.path.dirname(where_it_lies(place)) or os.curdir))
    found = [shown_from(file, os.curdir) for file in files]
    protecting = [rule.id for each in sets for rule in each.rules if rule.protects_life]
    at = SettingsAt(path=display_path(path), found=found, settings=in_force, protecting=protecting)
    if format_ == "json":
        write_out(write_settings_json(at), "json")
    else:
        write_out(write_settings(at, ink=ink_out(), width=width_out()))
    return 0
