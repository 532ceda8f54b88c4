"""Every output is what is kept of it."""

import pytest

from tests.outputs_kept import KINDS, file_of
from tests.written_out import kept_in

MEANT = "if the change is meant: python -m tests.outputs_kept, and look at what changed"


@pytest.mark.parametrize(
    ("kind", "name"),
    [(kind, name) for kind, outputs in KINDS.items() for name in outputs.names],
)
def test_output(kind: str, name: str) -> None:
    kept = kept_in(file_of(kind)).get(name)
    assert kept is not None, MEANT
    assert KINDS[kind].say(name).strip("\n").splitlines() == kept.splitlines(), MEANT


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_kept_of_what_is_no_more(kind: str) -> None:
    assert list(kept_in(file_of(kind))) == list(KINDS[kind].names)
