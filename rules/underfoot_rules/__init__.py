"""The standard rule set. It stands on ``underfoot.api`` and on nothing else of the engine."""

from underfoot_rules.standard import STANDARD

__all__ = ["STANDARD"]
