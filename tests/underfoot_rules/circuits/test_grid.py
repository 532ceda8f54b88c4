"""The earth of metal grids, over whatever film."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule, tally_of

EARTHED = {"mesh": 30, "earthed": True, "protective_conductor": "4 mm2"}


def found(grid: Any, **room: Any) -> list[tuple[str, str]]:
    """Return path and severity of what is found over film of class II."""
    report = check({"rooms.room": {"grid": grid, **room}})
    return [(f.path, f.severity) for f in of_rule(report, "protective-grid")]


@pytest.mark.parametrize(
    ("grid", "floats"),
    [
        (None, False),
        (EARTHED, False),
        ({**EARTHED, "mesh": None}, False),  # no mesh is asked for over class II
        ({**EARTHED, "mesh": 50}, False),
        ({**EARTHED, "protective_conductor": "16 AWG"}, True),  # 1.31 mm2
        ({**EARTHED, "protective_conductor": "14 AWG"}, False),  # 2.08 mm2
        ({**EARTHED, "protective_conductor": None}, True),
        ({**EARTHED, "earthed": False}, True),
        ({**EARTHED, "earthed": None}, True),
        ({"mesh": 30}, True),
        ({}, True),
    ],
)
def test_a_grid_over_class_ii(grid: Any, floats: bool) -> None:
    assert found(grid) == ([("rooms.room.grid", "error")] if floats else [])


SAFE = {"kind": "safety isolating transformer", "standard": "IEC 61558-2-6", "rating": "2 kVA"}


@pytest.mark.parametrize("grid", [None, EARTHED])
@pytest.mark.parametrize(
    ("supply", "seen"),
    [
        ({}, True),
        ({"voltage": "24 V", "system": "SELV", "source": SAFE}, False),
        ({"voltage": "24 V", "system": "SELV"}, True),  # out of what, nobody knows
    ],
)
def test_class_iii_on_anything_but_selv_is_helped_by_no_grid(
    grid: Any, supply: Any, seen: bool
) -> None:
    film = {"protection_class": "III", "voltage": supply.get("voltage", "230 V")}
    report = check({
        "materials": {"films": {"film-80": film}},
        "supply": supply,
        "rooms": {"room": {"grid": grid}},
    })  # fmt: skip
    told = of_rule(report, "protective-grid")
    assert [each.severity for each in told] == (["error"] if seen else [])
    for each in told:
        assert "class III" in each.message
        assert "Lay a metal grid" not in each.remedy


def test_a_grid_settles_nothing_by_being_there() -> None:
    assert tally_of(check({"rooms.room.use": None}), "protective-grid").undecided == 1
    earthed = check({"rooms.room": {"use": None, "grid": EARTHED}})
    assert tally_of(earthed, "protective-grid").undecided == 0


def test_the_mesh_is_asked_for_where_the_grid_is() -> None:
    room = {"use": "bathroom", "grid": {**EARTHED, "mesh": None}}
    row = tally_of(check({"rooms.room": room}), "protective-grid")
    assert (row.checked, row.undecided) == (1, 1)
    assert row.why == "the mesh of the grid is not given"
