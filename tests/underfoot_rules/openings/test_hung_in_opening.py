"""Boxes and thermostats in doorways, passages and windows, and right beside them."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule, tally_of

# The base plan's room is 4000 by 3000.
DOOR = {"kind": "door", "from": [1000, 0], "to": [1800, 0], "opens": "slides", "threshold": "none"}
AT_CORNER = {**DOOR, "from": [0, 0], "to": [800, 0]}
WINDOW = {"kind": "window", "from": [1000, 0], "to": [1800, 0], "sill": 900}


def found(
    opening: dict[str, Any], at: list[float], *, height: float | None = 450, **room: Any
) -> list[tuple[str, float | None]]:
    """Hang the box at a place and the thermostat far off; give severities and measures."""
    told = {
        "openings": {"opening": opening},
        "junction_box": {"at": at, "height": height},
        "thermostat": {"at": [4000, 1500]},
        **room,
    }
    report = check({"rooms": {"room": told}})
    return [
        (each.severity, each.measured and each.measured.value)
        for each in of_rule(report, "hung-in-opening")
    ]


@pytest.mark.parametrize(
    ("opening", "at", "measures"),
    [
        (DOOR, [1400, 0], [0]),
        (DOOR, [1800, 0], [0]),
        (DOOR, [1820, 0], [20]),
        # 40 mm is half a box, as is usual in the trade.
        (DOOR, [1839, 0], [39]),
        (DOOR, [1840, 0], []),
        (DOOR, [961, 0], [39]),
        # Before the doorway, and in it: on no wall that it could hang on.
        (DOOR, [1400, 90], [0]),
        (DOOR, [1400, -90], [0]),
        # Farther off all walls than box-place's 100 mm it is that rule's.
        (DOOR, [1400, 110], []),
        # On the wall beside a door that begins in the corner.
        (AT_CORNER, [0, 30], [30]),
        (AT_CORNER, [0, 60], []),
        # As near to both walls: it hangs on the one without the door, 60 mm along.
        (AT_CORNER, [60, 60], []),
    ],
)
def test_how_near_to_a_doorway(opening: Any, at: list[float], measures: list[float]) -> None:
    assert found(opening, at) == [("error", measure) for measure in measures]


def test_a_chimney_breast_before_a_doorway_is_a_wall() -> None:
    breast = {"kind": "structure", "at": [1300, 0], "size": [400, 200]}
    assert found(DOOR, [1500, 200], fixtures={"breast": breast}) == []


@pytest.mark.parametrize(
    ("sill", "height", "grave"),
    [
        (900, 899.9, None),
        (900, 900, "warning"),
        (900, 2000, "warning"),
        # Above 2 m it hangs over the window.
        (900, 2001, None),
        (0, 450, "warning"),
        (0, None, "warning"),
    ],
)
def test_below_a_window_there_is_a_wall(
    sill: float, height: float | None, grave: str | None
) -> None:
    said = found({**WINDOW, "sill": sill}, [1400, 0], height=height)
    assert said == ([] if grave is None else [(grave, 0.0)])


@pytest.mark.parametrize(
    ("told", "write"),
    [
        ({"openings": {"light": {**WINDOW, "sill": None}}}, "Write the `sill` of window light"),
        ({"openings": {"light": WINDOW}, "junction_box": {"height": None}},
         "Write the junction box's `height`"),
    ],
)  # fmt: skip
def test_what_must_be_known_of_a_window(told: dict[str, Any], write: str) -> None:
    box = {"at": [1400, 0], **told.pop("junction_box", {})}
    report = check({"rooms": {"room": {**told, "junction_box": box,
                                       "thermostat": {"at": [4000, 1500]}}}})  # fmt: skip
    row = tally_of(report, "hung-in-opening")
    assert (row.checked, row.found, row.undecided) == (2, 0, 1)
    assert any(each.write.startswith(write) for each in row.reasons)


def test_a_thermostat_is_judged_by_the_openings_of_the_room_that_it_hangs_in() -> None:
    hall = {
        "use": "hall",
        "outline": [[0, 0], [2000, 0], [2000, 1500], [0, 1500]],
        "openings": {"door": DOOR},
    }
    room = {"thermostat": {"room": "hall", "at": [1400, 0]}}
    report = check({"rooms": {"hall": hall, "room": room}})
    (finding,) = of_rule(report, "hung-in-opening")
    assert (finding.room, finding.items, finding.severity) == (
        "room", ("thermostat", "door"), "warning"
    )  # fmt: skip
    assert finding.shape is None
