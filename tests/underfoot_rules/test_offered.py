"""The mends that are offered are those that are kept, the best first, edit for edit."""

import pytest

from tests.underfoot_rules.offered import KEPT, asked_in, offered_on
from tests.written_out import kept_in

MEANT = "if the change is meant: python -m tests.underfoot_rules.offered, and read the difference"


@pytest.mark.parametrize("name", kept_in(KEPT))
def test_the_mends_offered_are_those_kept(name: str) -> None:
    kept = kept_in(KEPT)[name]
    assert offered_on(name, asked_in(kept)) == kept.splitlines(), MEANT
