"""Text -> Plan: syntax, schema, quantities, building, each with located problems."""

from underfoot.reading.plan_file import Reading, read_plan
from underfoot.reading.problem import Problem

__all__ = ["Problem", "Reading", "read_plan"]
