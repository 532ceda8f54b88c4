"""What a plan may cost goes by its size; what has no memory left says so in several ways."""

from datetime import date

import pytest
from msgspec.structs import astuple

from underfoot.checking.crash import is_lack_of_memory
from underfoot.running.checking import Terms, allow
from underfoot.running.limits import allowance_for


@pytest.mark.parametrize(
    ("size", "seconds", "expected"),
    [
        (0, None, (10.0, 400_000_000)),
        (300_000, None, (10.0, 400_000_000)),
        (300_001, None, (20.0, 800_000_000)),
        (5_000_000, None, (170.0, 2_000_000_000)),
        (5_000_000, 7.0, (7.0, 2_000_000_000)),
    ],
)
def test_what_a_plan_may_cost(
    size: int, seconds: float | None, expected: tuple[float, int]
) -> None:
    assert astuple(allowance_for(size, seconds)) == expected


@pytest.mark.parametrize(
    ("mends", "seconds", "expected"),
    [(False, None, 20.0), (True, None, 20.0), (True, 7.0, 7.0), (False, 7.0, 7.0)],
)
def test_mends_take_no_longer_than_a_check(
    mends: bool, seconds: float | None, expected: float
) -> None:
    terms = Terms(today=date(2026, 10, 1), plan_seconds=seconds, mends=mends)
    assert astuple(allow(300_001, terms)) == (expected, 800_000_000)


@pytest.mark.parametrize(
    ("error", "expected"),
    [
        (MemoryError(), True),
        (RuntimeError("std::bad_alloc"), True),
        (RuntimeError("could not allocate numpy array\n"), True),
        (RuntimeError("something else"), False),
        (KeyError("a"), False),
    ],
)
def test_lack_of_memory(error: Exception, expected: bool) -> None:
    assert is_lack_of_memory(error) is expected
