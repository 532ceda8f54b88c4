"""How near a computed value must come to a printed one to count."""

A_PERCENT = 0.01


def assert_agrees(computed: float, printed: float, within: float) -> None:
    """Assert that a value is the printed one, and that an error of 1 % either way would show.

    `within` is how far the printed number is rounded or known, in its own unit.
    """
    assert abs(computed - printed) <= within, (computed, printed)
    for wrong in (computed * (1 - A_PERCENT), computed * (1 + A_PERCENT)):
        assert abs(wrong - printed) > within, f"1 % would not show: {within}"
