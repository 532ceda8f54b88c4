"""How many examples a test looks at: some every day, many more under the profile `long`."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

IS_LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"
_LONGER = 25


def examples(count: int) -> settings:
    """Look at `count` examples, or 25 times as many."""
    return settings(
        max_examples=count * (_LONGER if IS_LONG else 1),
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    )
