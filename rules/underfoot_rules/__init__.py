"""The standard rule set. It stands on ``underfoot.api`` and on nothing else of the engine."""

from underfoot_rules.standard import BASE_PLAN, STANDARD

__all__ = ["BASE_PLAN", "STANDARD"]
