"""Numbers as text: a value never reads like a limit that it misses."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.checking.finding import NOISE
from underfoot.checking.numbers import format_at_least, format_at_most, format_quantity


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
    assert format_quantity(value, unit, limit) == text


@given(st.floats(0, 1e5), st.floats(-10, 10), st.sampled_from(["mm", "A", "%", "W", "days"]))
def test_a_missed_limit_reads_differently(limit: float, off: float, unit: str) -> None:
    value = limit + off
    if abs(off) > 2 * NOISE:
        assert (
            format_quantity(value, unit, limit).split()[0]
            != format_quantity(limit, unit, value).split()[0]
        )


@pytest.mark.parametrize(
    ("value", "unit", "up", "down"),
    [
        (12.6139, "A", "12.62 A", "12.61 A"),
        (3.35, "A", "3.35 A", "3.35 A"),
        (3.3500000004, "A", "3.35 A", "3.35 A"),
        # 80 degF
        (26.6667, "degC", "26.7 °C", "26.6 °C"),
        (0.0, "m2 K/W", "0 m² K/W", "0 m² K/W"),
        (0.0499, "m2 K/W", "0.05 m² K/W", "0.049 m² K/W"),
        (0.304, "m2", "0.31 m²", "0.3 m²"),
    ],
)
def test_advice_is_rounded_to_the_safe_side(value: float, unit: str, up: str, down: str) -> None:
    assert (format_at_least(value, unit), format_at_most(value, unit)) == (up, down)


@given(st.floats(0, 1e5), st.sampled_from(["mm", "A", "%", "degC", "m2 K/W"]))
def test_what_is_advised_will_do(value: float, unit: str) -> None:
    enough, not_too_much = format_at_least(value, unit), format_at_most(value, unit)
    assert float(enough.split()[0]) >= value - 2 * NOISE
    assert float(not_too_much.split()[0]) <= value + 2 * NOISE
