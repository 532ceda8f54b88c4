"""All that a rule set may import."""

from underfoot.checking.facts import (
    CircuitFacts,
    Facts,
    LaidBoards,
    LaidLead,
    LaidSheets,
    RoomFacts,
    element_current_a,
    element_power_w,
)
from underfoot.checking.finding import (
    NOISE,
    Basis,
    CannotTell,
    Finding,
    Severity,
    Subject,
    above,
    below,
)
from underfoot.checking.numbers import written
from underfoot.checking.rule import Limit, Limits, Rule, RuleSet, Silence, Subjects
from underfoot.checking.words import at, listed, move
from underfoot.physics.separation import separating_move

__all__ = [
    "NOISE",
    "Basis",
    "CannotTell",
    "CircuitFacts",
    "Facts",
    "Finding",
    "LaidBoards",
    "LaidLead",
    "LaidSheets",
    "Limit",
    "Limits",
    "RoomFacts",
    "Rule",
    "RuleSet",
    "Severity",
    "Silence",
    "Subject",
    "Subjects",
    "above",
    "at",
    "below",
    "element_current_a",
    "element_power_w",
    "listed",
    "move",
    "separating_move",
    "written",
]
