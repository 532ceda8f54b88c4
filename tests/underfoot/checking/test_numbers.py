"""Numbers as text: a value never reads like a limit that it misses."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.checking.finding import NOISE
from underfoot.checking.numbers import written


@pytest.mark.parametrize(
    ("value", "unit", "limit", "text"),
    [
        (42.0, "mm", 50.0, "42 mm"),
        (49.999, "mm", 50.0, "49.999 mm"),
        (57.96, "mm", 58.0, "57.96 mm"),
        (57.9999, "mm", 58.0, "57.9999 mm"),
        (10.004, "A", 10.0, "10.004 A"),
        (29.25, "degC", 29.0, "29.2 °C"),
        (0.99, "Mohm", 1.0, "0.99 MΩ"),
        (-0.0, "mm", None, "0 mm"),
        (1.0, "days", 7.0, "1 day"),
        (0.155, "m2 K/W", 0.15, "0.155 m² K/W"),
    ],
)
def test_written(value: float, unit: str, limit: float | None, text: str) -> None:
    assert written(value, unit, limit) == text


@given(st.floats(0, 1e5), st.floats(-10, 10), st.sampled_from(["mm", "A", "%", "W", "days"]))
def test_a_missed_limit_reads_differently(limit: float, off: float, unit: str) -> None:
    value = limit + off
    if abs(off) > 2 * NOISE:
        assert written(value, unit, limit).split()[0] != written(limit, unit, value).split()[0]
