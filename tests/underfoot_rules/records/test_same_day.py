"""Tests of several stages on one day follow each other as the stages do."""

import pytest

from tests.underfoot_rules.plans import of_rule
from tests.underfoot_rules.records.visits import report, visit

LATE, EARLY = "2026-09-20", "2026-09-10"


@pytest.mark.parametrize("turned", [False, True])
def test_of_two_on_one_day_the_later_stage_is_named(turned: bool) -> None:
    """Covered ten days before it was made up and laid: what it cannot come before is laid."""
    before = [visit("made up", date=LATE), visit("laid", date=LATE)]
    tests = (before[::-1] if turned else before) + [visit("covered", date=EARLY)]
    (found,) = of_rule(report(*tests, status="covered"), "test-date")
    assert f"before that at the stage 'laid', {LATE}" in found.message


@pytest.mark.parametrize("turned", [False, True])
def test_of_two_on_one_day_the_reading_went_from_stage_to_stage(turned: bool) -> None:
    tests = [visit("laid", load_resistance="68.714 ohm"),
             visit("covered", load_resistance="75 ohm", strips=None)]  # fmt: skip
    (found,) = of_rule(
        report(*(tests[::-1] if turned else tests), status="covered"), "resistance-drift"
    )
    assert "went from 68.7 Ω (laid) to 75 Ω (covered)" in found.message


@pytest.mark.parametrize(
    ("ohm", "found"),
    [
        # 5 % of 100 ohm, up and down.
        ("105 ohm", False), ("105.1 ohm", True), ("95 ohm", False), ("94.9 ohm", True),
    ],
)  # fmt: skip
def test_five_per_cent_is_the_most(ohm: str, found: bool) -> None:
    tests = (visit("laid", load_resistance="100 ohm", strips=None),
             visit("covered", load_resistance=ohm, strips=None))  # fmt: skip
    assert bool(of_rule(report(*tests, status="covered"), "resistance-drift")) is found
