"""What cables carry and what protects them: IEC 60364-5-52, IEC 60898-1, and a worked example."""

import pytest

from tests.published.agreeing import assert_agrees
from underfoot.physics import conductors, electrics

SIZES_MM2 = (1.5, 2.5, 4.0, 6.0, 10.0)

# IEC 60364-5-52:2009 table B.52.2, A; CONFIRMED B.
CAPACITY_A: dict[conductors.Method, tuple[float, ...]] = {
    "A1": (14.5, 19.5, 26, 34, 46),
    "A2": (14, 18.5, 25, 32, 43),
    "B1": (17.5, 24, 32, 41, 57),
    "B2": (16.5, 23, 30, 38, 52),
    "C": (19.5, 27, 36, 46, 63),
}

# IEC 60364-5-52:2009 table B.52.14, PVC; CONFIRMED B.
AMBIENT = [
    (10, 1.22),
    (15, 1.17),
    (20, 1.12),
    (25, 1.06),
    (30, 1.00),
    (35, 0.94),
    (40, 0.87),
    (45, 0.79),
    (50, 0.71),
    (55, 0.61),
    (60, 0.50),
]


@pytest.mark.as_printed("IEC 60364-5-52:2009 table B.52.2", "CONFIRMED B")
@pytest.mark.parametrize(
    ("method", "size_mm2", "current_a"),
    [
        (method, size_mm2, current_a)
        for method, row in CAPACITY_A.items()
        for size_mm2, current_a in zip(SIZES_MM2, row, strict=True)
    ],
)
def test_capacity(method: conductors.Method, size_mm2: float, current_a: float) -> None:
    found = conductors.find_capacity(size_mm2, method)
    assert (found.least_a, found.most_a, found.basis) == (current_a, current_a, "exact")


@pytest.mark.outside(
    "IEC 60364-5-52:2009 table B.52.2, the best of A1 to C and D1 for each size", "CONFIRMED B"
)
@pytest.mark.parametrize(
    ("size_mm2", "current_a"), list(zip(SIZES_MM2, (22, 29, 37, 46, 63), strict=True))
)
def test_best_case(size_mm2: float, current_a: float) -> None:
    assert conductors.find_best_capacity(size_mm2) == current_a


@pytest.mark.as_printed(
    "BS 7671 table 4D2A, two cores in conduit in an insulated wall", "CONFIRMED B"
)
@pytest.mark.parametrize(
    ("size_mm2", "current_a"), list(zip(SIZES_MM2, (14, 18.5, 25, 32, 43), strict=True))
)
def test_capacity_of_another_table(size_mm2: float, current_a: float) -> None:
    found = conductors.find_capacity(size_mm2, "A2")
    assert found.least_a == found.most_a == current_a


@pytest.mark.as_printed("IEC 60364-5-52:2009 table B.52.14", "CONFIRMED B")
@pytest.mark.parametrize(("ambient_c", "factor"), AMBIENT)
def test_ambient_factor(ambient_c: float, factor: float) -> None:
    assert conductors.find_ambient_factor(ambient_c) == factor


@pytest.mark.as_printed("BS 7671 table 4B1, from 30 degC up", "CONFIRMED B")
@pytest.mark.parametrize(
    ("ambient_c", "factor"), [(30, 1.0), (35, 0.94), (40, 0.87), (45, 0.79), (50, 0.71)]
)
def test_ambient_factor_of_another_table(ambient_c: float, factor: float) -> None:
    assert conductors.find_ambient_factor(ambient_c) == factor


@pytest.mark.as_printed("IEC 60898-1 5.3.2, preferred ratings", "CONFIRMED B")
@pytest.mark.parametrize("rating_a", [6, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125])
def test_standard_rating(rating_a: float) -> None:
    assert conductors.find_rating_at_least(rating_a) == rating_a
    assert conductors.find_rating_at_least(rating_a + 1) != rating_a + 1


@pytest.mark.outside("worked example: 9.6 kW at 240 V is 40 A", "CONFIRMED B")
def test_current_of_the_worked_example() -> None:
    assert_agrees(electrics.compute_current(9600.0, 240.0, 240.0), 40.0, within=0.05)
