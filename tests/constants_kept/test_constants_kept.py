"""Every constant of the program and of its rules is what is kept of it."""

from tests.constants_kept import KEPT, said
from tests.written_out import kept_in

MEANT = "if the change is meant: python -m tests.constants_kept, and read the difference"


def test_constants() -> None:
    now, kept = said(), kept_in(KEPT)
    assert set(now) == set(kept), MEANT
    for module, lines in now.items():
        assert lines.splitlines() == kept[module].splitlines(), f"{module}: {MEANT}"
