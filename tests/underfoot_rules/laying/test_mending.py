"""How two strips that lie on each other are taken apart: worked out by hand on strips in a row."""

from typing import Any

import pytest

from tests.underfoot_rules.laying.rooms import lay
from underfoot_rules.laying.element_overlap import MANY

# A corridor one strip wide: 1000 mm and a planned clearance of 60 mm on both sides.
CORRIDOR = [[0, 0], [6000, 0], [6000, 1120], [0, 1120]]
# Two strips of 1000 mm, one behind the other.
SHAFT = [[0, 0], [620, 0], [620, 1920], [0, 1920]]
LONGER_SHAFT = [[0, 0], [620, 0], [620, 2030], [0, 2030]]


def at(x: float, y: float = 60) -> dict[str, Any]:
    return {"at": [x, y]}


@pytest.mark.parametrize(
    ("strips", "outline", "remedy"),
    [
        # The second goes off the first by the shortest way.
        ({"E1": at(2000), "E2": at(2400)}, CORRIDOR, "Move E2 by 100 mm to the right (+x)."),
        # 2400 + 500 + 60 = 2960: no farther to the right; 900 mm to the left it is past the first.
        (
            {"E1": at(2000), "E2": at(2400)},
            [[0, 0], [2960, 0], [2960, 1120], [0, 1120]],
            "Move E2 by 900 mm to the left (-x).",
        ),
        # What is butted to the second hangs together with the first, too: not all are moved, which
        # would take nothing off anything.
        (
            {"E1": at(2000), "E2": at(2400), "E3": at(2900), "E4": at(3400)},
            CORRIDOR,
            "Move E2 by 900 mm to the left (-x).",
        ),
        # Nor where a strip lies on both sides: the one beyond the first is in the way.
        (
            {"E0": at(1500), "E1": at(2000), "E2": at(2400), "E3": at(2900)},
            CORRIDOR,
            "Leave out E2, or E1: no short move and no cut takes one off the other here.",
        ),
        # Where the second is hemmed in the first goes: 460 - 100 = 360 and no wall before 60.
        (
            {"E1": at(460), "E2": at(860)},
            [[0, 0], [1420, 0], [1420, 1120], [0, 1120]],
            "Move E1 by 100 mm to the left (-x).",
        ),
        # 860 to 1860 ends at the clearance; it lies on 60 to 1060 for 200 mm, and is cut there.
        (
            {"E1": at(60), "E2": at(60, 860)},
            SHAFT,
            "Cut E2 to 750 mm, 250 mm shorter, at its start, so that it begins at [60, 1110].",
        ),
        # 1000 to 2000 lies too near the wall itself: the first is cut, to 60 to 810.
        (
            {"E1": at(60), "E2": at(60, 1000)},
            LONGER_SHAFT,
            "Cut E1 to 750 mm, 250 mm shorter, at its end near [310, 1060].",
        ),
    ],
)
def test_how_an_overlap_is_mended(
    strips: dict[str, dict[str, Any]], outline: list[list[float]], remedy: str
) -> None:
    found = lay("element-overlap", strips, {"outline": outline})
    assert [(one.items, one.remedy) for one in found] == [(("E1", "E2"), remedy)]


def test_so_many_pairs_that_no_single_move_helps() -> None:
    # 26 strips on one place: 26 x 25 / 2 = 325 pairs, more than 300.
    strips = {f"E{number}": at(2000) for number in range(26)}
    found = lay("element-overlap", strips, {"outline": CORRIDOR})
    assert len(found) == 325
    assert {one.remedy for one in found} == {
        "Lay the strips of room anew: 325 pairs of them lie on each other."
    }
    assert MANY == 300
