"""Writes down anew what mends are offered: read the difference."""

import sys

from tests.underfoot_rules.offered import write_anew
from tests.underfoot_rules.offered.choosing import choose

if __name__ == "__main__":
    choose() if "--choose" in sys.argv else write_anew()
