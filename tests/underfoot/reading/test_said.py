"""What reading says of changed plans is what is kept of it."""

import pytest

from tests.underfoot.reading.said import KEPT, SAVED, changes, said_of, saved_of, to_be_saved
from tests.written_out import kept_in

PARTS = 24
MEANT = "if the change is meant: python -m tests.underfoot.reading.said, and read the difference"


@pytest.mark.parametrize(
    "part",
    # Two parts of three are looked at where there is more time.
    [pytest.param(part, marks=[pytest.mark.long] * (part % 3 > 0)) for part in range(PARTS)],
)
def test_what_is_said_of_the_full_plan_with_one_thing_changed(part: int) -> None:
    names = list(changes())[part::PARTS]
    kept = kept_in(KEPT)
    assert {name: said_of(changes()[name]) for name in names} == {
        name: kept.get(name) for name in names
    }, MEANT


def test_nothing_is_kept_of_a_change_that_is_gone() -> None:
    assert set(kept_in(KEPT)) == set(changes())


@pytest.mark.parametrize(
    "part", [pytest.param(part, marks=[pytest.mark.long] * (part % 3 > 0)) for part in range(6)]
)
def test_what_can_be_saved_of_a_plan_that_cannot_be_read(part: int) -> None:
    names = to_be_saved()[part::6]
    kept = kept_in(SAVED)
    assert {name: saved_of(changes()[name]) for name in names} == {
        name: kept.get(name) for name in names
    }, MEANT
