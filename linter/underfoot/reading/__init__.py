"""Text -> Plan: syntax, schema, quantities, building, each with located problems."""

from underfoot.reading.plan_file import Reading, read_plan
from underfoot.reading.problem import Problem
from underfoot.reading.settings_file import SettingsFile, SettingsReading, read_settings

__all__ = [
    "Problem",
    "Reading",
    "SettingsFile",
    "SettingsReading",
    "read_plan",
    "read_settings",
]
