"""Names of drawings as ids of a plan."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.beginning.naming import make_id, spell_as_id


@pytest.mark.parametrize(
    ("name", "made"),
    [
        ("Living Room", "living-room"),
        ("  WC / Bad  ", "wc-bad"),
        ("Küche", "kuche"),
        ("Straße Nr. 3", "strasse-nr-3"),
        ("Æble Ø", "aeble-o"),
        ("101", "room-101"),
        ("true", "true-2"),
        ("Sensor", "sensor-2"),
        ("note", "note-2"),
        ("кухня", "room"),
        ("${{ evil }}: [x]\n# y", "evil-x-y"),
        (None, "room"),
        ("", "room"),
        ("x" * 300, "x" * 40),
    ],
)
def test_names_become_ids(name: str | None, made: str) -> None:
    assert make_id(name, "room") == made


def test_a_name_that_is_taken_gets_a_number() -> None:
    assert make_id("Hall", "room", ["hall"]) == "hall-2"
    assert make_id("Hall", "room", ["hall", "hall-2"]) == "hall-3"


@given(st.text(max_size=60), st.lists(st.text("ab-12", min_size=1, max_size=3), max_size=5))
def test_whatever_it_is_called_its_id_is_an_id_of_its_own(name: str, taken: list[str]) -> None:
    made = make_id(name, "room", taken)
    assert re.fullmatch(r"[a-z][a-z0-9-]*", made)
    assert made not in taken
    assert re.fullmatch(r"[a-z0-9-]*", spell_as_id(name))
