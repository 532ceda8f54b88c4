"""Two revisions of a plan held side by side: what became of the findings, and of the plan."""

from underfoot.comparing.change import Change
from underfoot.comparing.comparison import (
    Cleared,
    Comparison,
    Left,
    Side,
    Unjudged,
    compare,
    refuses,
)

__all__ = ["Change", "Cleared", "Comparison", "Left", "Side", "Unjudged", "compare", "refuses"]
