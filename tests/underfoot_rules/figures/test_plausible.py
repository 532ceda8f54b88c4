"""The figures of the table of plausible ranges, written a second time: none moves by a slip.

How the ends are met and passed is in `test_odd_figure`; here it is whether they are the ones meant.
"""

import pytest

from underfoot_rules.figures import plausible

# The thing, its key, least, most and what is mostly meant, the unit, and how grave it is.
ROWS = (
    ("FILM", "width", 100, 1500, 500, "mm", "error"),
    ("FILM", "output", 20, 400, 100, "W/m2", "error"),
    ("FILM", "voltage", 5, 500, 230, "V", "error"),
    ("FILM", "cut_every", 5, 2000, 250, "mm", "warning"),
    ("FILM", "longest_strip", 500, 100000, 9000, "mm", "warning"),
    ("FILM", "longest_circuit", 500, 300000, 30000, "mm", "warning"),
    ("FILM", "busbar_resistance", 0.0001, 1, 0.02, "ohm/m", "warning"),
    ("FILM", "largest_current", 1, 63, 16, "A", "error"),
    ("FILM", "leakage", 0, 20, 1, "mA/m2", "warning"),
    ("FILM", "leakage", 0, 20, 1, "mA/m", "warning"),
    ("FILM", "warmest", 30, 150, 80, "degC", "warning"),
    ("FILM", "roll", 2000, 500000, 50000, "mm", "warning"),
    ("BOARD", "thickness", 2, 200, 10, "mm", "warning"),
    ("BOARD", "conductivity", 0.015, 0.3, 0.033, "W/m/K", "warning"),
    ("SHEET", "width", 300, 12000, 2000, "mm", "warning"),
    ("SHEET", "thickness", 0.05, 5, 0.2, "mm", "warning"),
    ("SHEET", "roll", 2000, 500000, 25000, "mm", "warning"),
    ("COVERING", "thickness", 1, 60, 12, "mm", "warning"),
    ("COVERING", "resistance", 0.001, 0.6, 0.1, "m2 K/W", "warning"),
    ("COVERING", "conductivity", 0.03, 5, 0.15, "W/m/K", "warning"),
    ("COVERING", "warmest_surface", 20, 45, 27, "degC", "error"),
    ("COVERING", "most_output", 20, 500, 150, "W/m2", "warning"),
    ("COVERING", "pack", 0.2, 50, 2, "m2", "warning"),
    ("PACKS", "board_tape", 2000, 500000, 50000, "mm", "warning"),
    ("PACKS", "strip_tape", 2000, 500000, 50000, "mm", "warning"),
    ("PACKS", "sheet_tape", 2000, 500000, 25000, "mm", "warning"),
    ("PACKS", "wall_tape", 2000, 500000, 25000, "mm", "warning"),
    ("PACKS", "conductor", 2000, 500000, 100000, "mm", "warning"),
    ("PACKS", "cable", 2000, 500000, 50000, "mm", "warning"),
    ("PACKS", "conduit", 300, 500000, 3000, "mm", "warning"),
    ("PACKS", "underlay", 0.2, 200, 10, "m2", "warning"),
    ("PACKS", "overlay", 0.2, 200, 2, "m2", "warning"),
    ("PACKS", "grid", 0.2, 500, 25, "m2", "warning"),
    ("UNDERLAY", "thickness", 0.3, 30, 3, "mm", "warning"),
    ("UNDERLAY", "resistance", 0.001, 0.5, 0.04, "m2 K/W", "warning"),
    ("OVERLAY", "thickness", 1, 50, 6, "mm", "warning"),
    ("OVERLAY", "resistance", 0.001, 0.5, 0.05, "m2 K/W", "warning"),
    ("SUBFLOOR", "moisture", 0.05, 40, 2, "%", "warning"),
    ("SUBFLOOR_LAYER", "thickness", 0.1, 1000, 100, "mm", "warning"),
    ("SUBFLOOR_LAYER", "conductivity", 0.015, 60, 1, "W/m/K", "warning"),
    ("SUBFLOOR_LAYER", "resistance", 0.001, 12, 1, "m2 K/W", "warning"),
    ("SUPPLY", "available", 1, 200, 30, "A", "error"),
    ("SOURCE", "rating", 20, 50000, 500, "VA", "error"),
    ("CABLE", "length", 300, 400000, 15000, "mm", "warning"),
    ("CABLE", "size", 0.05, 16, 2.5, "mm2", "error"),
    ("CABLE", "ambient", -15, 60, 30, "degC", "warning"),
    ("CABLE", "capacity", 0.1, 100, 20, "A", "error"),
    ("LEAD", "size", 0.05, 10, 1.5, "mm2", "error"),
    ("LEAD", "capacity", 0.1, 80, 16, "A", "error"),
    ("LEAD", "width", 2, 80, 6, "mm", "error"),
    ("LEAD", "thickness", 1, 60, 3, "mm", "error"),
    ("CIRCUIT", "rcd", 5, 1000, 30, "mA", "error"),
    ("ROOM", "height", 1800, 12000, 2400, "mm", "warning"),
    ("ROOM", "other_heat", 20, 20000, 500, "W", "warning"),
    ("FABRIC", "inside", 5, 32, 20, "degC", "warning"),
    ("FABRIC", "outside", -55, 25, -5, "degC", "warning"),
    ("FABRIC", "air_changes", 0.05, 12, 0.5, "/h", "warning"),
    ("SURFACE", "area", 0.05, 2000, 10, "m2", "warning"),
    ("SURFACE", "u_value", 0.05, 7, 1, "W/m2/K", "warning"),
    ("SURFACE", "beyond", -55, 40, 10, "degC", "warning"),
    ("THERMOSTAT", "height", 50, 3000, 1400, "mm", "warning"),
    ("THERMOSTAT", "switches", 1, 63, 16, "A", "error"),
    ("THERMOSTAT", "floor_limit", 15, 45, 27, "degC", "warning"),
    ("CONTACTOR", "rating", 2, 125, 20, "A", "error"),
    ("JUNCTION_BOX", "height", 0, 3000, 450, "mm", "warning"),
    ("SENSOR", "cable", 300, 100000, 3000, "mm", "warning"),
    ("CHANNEL", "width", 3, 150, 13, "mm", "warning"),
    ("CHANNEL", "depth", 2, 100, 7, "mm", "warning"),
    ("CONDUIT", "width", 3, 60, 12, "mm", "warning"),
    ("CONDUIT", "depth", 2, 60, 7, "mm", "warning"),
    ("GRID", "mesh", 1, 300, 30, "mm", "warning"),
    ("GRID", "protective_conductor", 0.05, 25, 4, "mm2", "error"),
    ("STRIP", "length", 50, 100000, 3000, "mm", "error"),
    ("TEST", "ambient", -25, 50, 18, "degC", "warning"),
    ("OPENING", "sill", 0, 3000, 900, "mm", "warning"),
    ("FIXTURE", "clear", 1, 3000, 120, "mm", "warning"),
)  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]} {row[1]}")
def test_the_figures_of_a_range(row: tuple[object, ...]) -> None:
    thing, key, *figures = row
    found = [
        [one.least, one.most, one.typical, one.unit, one.severity]
        for one in getattr(plausible, str(thing))
        if one.key == key
    ]
    assert figures in found


def test_every_range_is_here() -> None:
    listed = [
        (name, one.key)
        for name, value in vars(plausible).items()
        if isinstance(value, tuple)
        for one in value
        if isinstance(one, plausible.Range)
    ]
    assert listed == [(thing, key) for thing, key, *_ in ROWS]


def test_what_breakers_and_supplies_are_made_for() -> None:
    assert (
        *(1, 2, 3, 4, 5, 6, 8, 10, 13, 15, 16, 20, 25, 30, 32, 35, 40, 45, 50, 60, 63, 70, 80),
        *(90, 100, 110, 125, 150, 160, 175, 200),
    ) == plausible.BREAKERS_A
    assert (
        *(100, 110, 115, 120, 127, 200, 208, 220, 230, 240, 250, 265, 277, 347, 380, 400, 415),
        *(440, 480),
    ) == plausible.NETWORKS_V
    assert plausible.EXTRA_LOW_V == (12, 24, 36, 42, 48, 60)
    assert (plausible.SELV_MOST_V, plausible.NEAR_NOMINAL) == (50, 0.06)


def test_the_other_bounds() -> None:
    assert plausible.ROOM_SIDES == {"other": (700, 400_000), "office": (700, 60_000)}
    assert (plausible.ROOM_SIDE, plausible.ROOM_WIDTH) == ((700, 30_000), 300)
    assert plausible.TOLERANCE == ((-30, 0), (0, 20))
    assert (plausible.LOSS_W_M2, plausible.TYPICAL_LOSS_W_M2) == ((8, 300), 50)
    assert (plausible.FIXTURE_SIDE, plausible.FIXING_SIDE) == ((10, 60_000), (3, 60_000))
    assert plausible.OPENING_WIDTH == (200, 15_000)
    # Two years, ten years with their leap days, and no plan of film is older than this.
    assert (plausible.DATE_AHEAD_DAYS, plausible.WAIVER_AHEAD_DAYS) == (731, 3660)
    assert (plausible.FIRST_YEAR, plausible.MOST_CONDUCTING_W_MK) == (1980, 5)
