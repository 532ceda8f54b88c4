"""How many examples a test looks at: some every day, all in CI, many more under `long`."""

import os

import pytest
from hypothesis import HealthCheck, settings

# What CI asks for besides the everyday run (`.ci/run`): tests that draw fewer cases there.
IS_WHOLE = "UNDERFOOT_WHOLE" in os.environ
IS_LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"
_LONGER = 25


def fewer(everyday: int, whole: int) -> int:
    """Draw so many cases every day, and more where the whole is asked for."""
    return whole if IS_WHOLE else everyday


def seeds(everyday: int, long: range) -> pytest.MarkDecorator:
    """Return a test its first seeds every day, and many others under `long`."""
    many = (pytest.param(seed, marks=pytest.mark.long) for seed in long)
    return pytest.mark.parametrize("seed", [*range(everyday), *many])


def examples(whole: int, everyday: int | None = None) -> settings:
    """Look at `whole` examples in CI, half as many every day, and 25 times as many under `long`."""
    count = fewer((whole + 1) // 2 if everyday is None else everyday, whole)
    return settings(
        max_examples=whole * _LONGER if IS_LONG else count,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    )
