"""Both edges of the band that a load resistance may read in, worked out by hand."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule


def reads(reading: float, strip: float | None, **film: Any) -> list[str]:
    """Return the severities found for a circuit's reading, or for that of a strip alone."""
    test: dict[str, Any] = {"circuit": "C1", "stage": "laid", "load_resistance": "70 ohm"}
    if strip is None:
        test["load_resistance"] = f"{reading} ohm"
    else:
        test["strips"] = {"A1": f"{reading} ohm"}
    room = {} if strip is None else {"rows": {"A": {"lengths": [strip, *[2750] * 6]}}}
    change = {
        "status": "laid",
        "materials": {"films": {"film-80": film}},
        "rooms": {"room": room},
        "tests": [test],
    }
    items = ("C1", "laid") if strip is None else ("C1", "laid", "A1")
    found = of_rule(check(change), "load-resistance")
    return [each.severity for each in found if each.items == items and each.severity == "error"]


@pytest.mark.parametrize(
    ("reading", "found"),
    [
        # 7 strips of 2.75 m x 0.5 m at 80 W/m2 are 770 W; -10/+5 % are 693 W to 808.5 W; 230 V
        # squared, 52,900, over those is 76.335 ohm and 65.430 ohm.
        (65.42, ["error"]),
        (65.44, []),
        (76.33, []),
        (76.34, ["error"]),
    ],
)
def test_a_circuit_with_the_makers_tolerance(reading: float, found: list[str]) -> None:
    assert reads(reading, None) == found


@pytest.mark.parametrize(
    ("strip", "film", "low", "high"),
    [
        # 110 W, -10/+5 %: 52,900 / 115.5 = 458.01 ohm, 52,900 / 99 = 534.34 ohm.
        (2750, {}, 458.01, 534.34),
        # A tolerance of -3/+8 %: 52,900 / 118.8 = 445.29 ohm, 52,900 / 106.7 = 495.78 ohm.
        (2750, {"tolerance": [-3, 8]}, 445.29, 495.78),
        # Without the maker's tolerance the project takes what its page of physics says, from
        # memory: these show that it does as it says, not that a standard says so.
        # 110 W, 10 % either way: 52,900 / 121 = 437.19 ohm.
        (2750, {"tolerance": None}, 437.19, 534.34),
        # 20 W, 20 % either way: 52,900 / 24 = 2204.17 ohm, 52,900 / 16 = 3306.25 ohm.
        (500, {"tolerance": None}, 2204.17, 3306.25),
        # 240 W, -10 % and +20 W, which is more than 5 %: 52,900 / 260 = 203.46 ohm,
        # 52,900 / 216 = 244.91 ohm.
        (6000, {"tolerance": None}, 203.46, 244.91),
        # 600 W, -10/+5 %: 52,900 / 630 = 83.968 ohm, 52,900 / 540 = 97.963 ohm.
        (6000, {"tolerance": None, "output": "200 W/m2"}, 83.968, 97.963),
    ],
)
def test_a_strip_by_itself(strip: float, film: dict[str, Any], low: float, high: float) -> None:
    for reading, found in (
        (low * 0.9995, ["error"]),
        (low * 1.0005, []),
        (high * 0.9995, []),
        (high * 1.0005, ["error"]),
    ):
        assert reads(reading, strip, **film) == found, reading
