"""What several rules derive from one plan, computed once and only when asked for."""

from underfoot.checking.facts.circuit import (
    CircuitFacts,
    allow_side_by_side,
    element_conductance_band,
    element_current_a,
    element_power_w,
    rate_side_by_side,
)
from underfoot.checking.facts.facts import Facts
from underfoot.checking.facts.floor import LaidBoards, LaidSheets
from underfoot.checking.facts.room import LaidLead, RoomFacts

__all__ = [
    "CircuitFacts",
    "Facts",
    "LaidBoards",
    "LaidLead",
    "LaidSheets",
    "RoomFacts",
    "allow_side_by_side",
    "element_conductance_band",
    "element_current_a",
    "element_power_w",
    "rate_side_by_side",
]
