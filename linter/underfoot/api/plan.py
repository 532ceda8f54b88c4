"""What a plan holds, as it is drawn and wired: every type that an annotation may need.

Lengths are millimetres; other numbers say their unit in their name. `path` is the thing's place in
the plan's file. What the plan leaves out is None.
"""

from underfoot.plan import *  # noqa: F403 - all of them, and no list to be kept twice
from underfoot.plan import __all__ as __all__
