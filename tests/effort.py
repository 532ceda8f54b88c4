"""How many examples a test looks at: some every day, many more under the profile `long`."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# What CI asks for besides the everyday run (`.ci/run`): tests that draw fewer cases there.
IS_WHOLE = "UNDERFOOT_WHOLE" in os.environ
IS_LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"
_LONGER = 25


def fewer(everyday: int, whole: int) -> int:
    """Draw so many cases every day, and more where the whole is asked for."""
    return whole if IS_WHOLE else everyday


def examples(count: int) -> settings:
    """Look at `count` examples, or 25 times as many."""
    return settings(
        max_examples=count * (_LONGER if IS_LONG else 1),
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    )
