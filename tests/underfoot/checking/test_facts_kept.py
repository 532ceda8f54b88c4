"""What follows from the demo plans and from odd rooms is what is kept of it."""

import pytest

from tests.underfoot.checking.facts_kept import KEPT, NAMES, said_of
from tests.written_out import kept_in

MEANT = "if the change is meant: python -m tests.underfoot.checking.facts_kept, and read it"


@pytest.mark.parametrize("name", NAMES)
def test_facts_of_a_plan(name: str) -> None:
    kept = kept_in(KEPT)
    assert said_of(name).splitlines() == kept[name].splitlines(), MEANT


def test_nothing_is_kept_of_a_plan_that_is_gone() -> None:
    assert set(kept_in(KEPT)) == set(NAMES)
