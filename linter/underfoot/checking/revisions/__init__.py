"""Two revisions of a plan held side by side: what became of the findings, and of the plan."""

from underfoot.checking.revisions.change import Change
from underfoot.checking.revisions.comparison import (
    Cleared,
    Comparison,
    Left,
    Side,
    Unjudged,
    compare,
    refuses,
)

__all__ = ["Change", "Cleared", "Comparison", "Left", "Side", "Unjudged", "compare", "refuses"]
