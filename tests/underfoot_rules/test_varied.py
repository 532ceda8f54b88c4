"""What all rules say of demo plans with one thing changed is what is kept of it."""

import pytest

from tests.underfoot_rules.varied import KEPT, said_of, varied
from tests.written_out import kept_in

PARTS = 32
MEANT = "if the change is meant: python -m tests.underfoot_rules.varied, and read the difference"


@pytest.mark.parametrize("part", range(PARTS))
def test_what_is_said_of_demo_plans_with_one_thing_changed(part: int) -> None:
    kept = kept_in(KEPT)
    for name in list(varied())[part::PARTS]:
        assert (said_of(varied()[name]) or "").splitlines() == kept.get(name, "").splitlines(), (
            f"{name}: {MEANT}"
        )


def test_nothing_is_kept_of_a_change_that_is_gone() -> None:
    assert set(kept_in(KEPT)) <= set(varied())
