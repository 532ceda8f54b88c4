"""The settings in force for each plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from underfoot.checking.rule import Rule
from underfoot.checking.settings import Settings, default_settings
from underfoot.commands.errors import CommandError


def settings_finder(rules: Iterable[Rule], given: str | None) -> Callable[[str], Settings]:
    """Give the function that finds the settings for a plan's place; equal ones are the same object.

    `given` is a file that goes before all others. CommandError where it cannot be used.
    """
    if given is not None:
        raise CommandError(f"--settings {given}: settings files cannot be read yet")
    defaults = default_settings(rules)

    def settings_for(place: str) -> Settings:
        return defaults

    return settings_for
