"""Laps of sheets at their exact limit, and in rooms and layouts that are out of the ordinary."""

from time import process_time
from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule, tally_of

# 100 mm is common practice, the rule's own default.
ROOM = [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]


def _membrane(pieces: dict[str, Any], outline: list[list[int]] = ROOM) -> dict[str, Any]:
    membrane = {"runs": None, "pieces": pieces}
    return {"rooms.room": {"outline": outline, "membrane": membrane}}


def _laps(pieces: dict[str, Any], outline: list[list[int]] = ROOM) -> list[tuple[Any, ...]]:
    found = of_rule(check(_membrane(pieces, outline)), "membrane-overlap")
    return [
        (finding.items, round(finding.measured.value, 6) if finding.measured else None)
        for finding in found
    ]


def _two(start: float) -> dict[str, Any]:
    """Two sheets from wall to wall; the second begins at `start`."""
    return {
        "M1": {"at": [0, 0], "along": "x", "length": 4000},
        "M2": {"at": [0, start], "along": "x", "length": 4000},
    }


@pytest.mark.parametrize(
    ("start", "lap"),
    [(1900, None), (1900.0000009, None), (1900.1, 99.9), (1901, 99), (2000, 0)],
)
def test_lap_at_its_limit(start: float, lap: float | None) -> None:
    # The first sheet ends at 2000: from 1900 on the lap is 100 mm.
    expected = [] if lap is None else [(("M1", "M2"), lap)]
    assert _laps(_two(start)) == expected


@pytest.mark.parametrize(("start", "found"), [(2099, True), (2100, True), (2101, False)])
def test_sheets_apart_are_neighbours_up_to_the_limit(start: float, found: bool) -> None:
    laps = _laps(_two(start))
    assert laps == ([(("M1", "M2"), 0.0)] if found else [])
    # What lies bare between them is the other rule's, at any distance.
    cover = of_rule(check(_membrane(_two(start))), "membrane-cover")
    assert [finding.measured.value for finding in cover if finding.measured] == [
        pytest.approx(100 * (start - 2000) / 3000)
    ]


def test_remedy_says_what_the_lap_must_come_to() -> None:
    (finding,) = of_rule(check(_membrane(_two(2030))), "membrane-overlap")
    assert "so that this lap is 100 mm or more and no other is less" in finding.remedy


# 2000 deep over 3000 wide, with a notch out of the right half from y = 1000 up.
L_ROOM = [[0, 0], [4000, 0], [4000, 1000], [1800, 1000], [1800, 3000], [0, 3000]]


def test_gap_within_an_l_shaped_room_is_found_though_it_goes_on_outside() -> None:
    found = _laps(_two(2020), L_ROOM)
    assert found == [(("M1", "M2"), 0.0)]


def test_seam_that_lies_outside_the_room_is_none() -> None:
    pieces = {
        "M1": {"at": [0, 0], "along": "x", "length": 4000},
        "M2": {"at": [0, 1850], "along": "x", "length": 1850},
        "M3": {"at": [1900, 1950], "along": "x", "length": 2000},
    }
    assert _laps(pieces, L_ROOM) == []


def test_strips_along_a_seam_in_two_pieces() -> None:
    pieces = {
        "M1": {"at": [0, 0], "along": "x", "length": 4000, "width": 1500},
        "M2": {"at": [0, 1500], "along": "x", "length": 4000, "width": 1500},
        "S1": {"at": [0, 1350], "along": "x", "length": 2100, "width": 300},
        "S2": {"at": [1950, 1350], "along": "x", "length": 2050, "width": 300},
    }
    assert _laps(pieces) == []


def test_strip_along_half_of_a_seam_does_not_close_it() -> None:
    pieces = {
        "M1": {"at": [0, 0], "along": "x", "length": 4000, "width": 1500},
        "M2": {"at": [0, 1500], "along": "x", "length": 4000, "width": 1500},
        "S1": {"at": [0, 1350], "along": "x", "length": 2100, "width": 300},
    }
    assert _laps(pieces) == [(("M1", "M2"), 0.0)]


def test_strip_as_narrow_as_the_lap_excuses_nothing() -> None:
    pieces = {
        "M1": {"at": [0, 0], "along": "x", "length": 4000, "width": 1550},
        "M2": {"at": [0, 1500], "along": "x", "length": 4000, "width": 1500},
        "S1": {"at": [0, 1500], "along": "x", "length": 4000, "width": 50},
    }
    assert _laps(pieces) == [(("M1", "M2"), 50.0), (("M1", "S1"), 50.0), (("M2", "S1"), 50.0)]


def test_corner_where_four_sheets_meet_is_one_fault() -> None:
    # Side by side they lap by 80 mm, end to end by 150 mm: two seams, and no crosswise pair.
    pieces = {
        "M1": {"at": [0, 0], "along": "x", "length": 2075},
        "M2": {"at": [1925, 0], "along": "x", "length": 2075},
        "M3": {"at": [0, 1920], "along": "x", "length": 2075},
        "M4": {"at": [1925, 1920], "along": "x", "length": 2075},
    }
    assert _laps(pieces) == [(("M1", "M3"), 80.0), (("M2", "M4"), 80.0)]


def test_lap_of_a_crooked_sheet_is_its_narrowest() -> None:
    # The second sheet is turned by 1 deg about its low left corner at y = 1800: along 4000 mm it
    # rises by 4000 x tan(1 deg) = 69.8 mm, so that the lap narrows from 200 to 130 mm.
    pieces = _two(1800)
    pieces["M2"]["along"] = "1 deg"
    pieces["M2"]["length"] = 4100
    assert _laps(pieces) == []
    pieces["M2"]["at"] = [0, 1870]
    ((items, lap),) = _laps(pieces)
    assert items == ("M1", "M2")
    # At x = 4000 it starts at 1870 + 69.83; square to its own side the lap is cos(1 deg) of that.
    assert lap == pytest.approx((2000 - 1870 - 69.83) * 0.99985, abs=0.1)


def test_without_a_sheet_runs_cannot_be_judged() -> None:
    report = check({"rooms.room.membrane.sheet": None})
    for rule in ("membrane-cover", "membrane-overlap"):
        assert "the membrane's sheet is not given" in (tally_of(report, rule).why or "")


def test_missing_membrane_silences_the_other_rules() -> None:
    report = check({"rooms.room.membrane": None})
    assert of_rule(report, "membrane-missing")
    for rule in ("membrane-cover", "membrane-overlap", "membrane-taped"):
        row = tally_of(report, rule)
        assert (row.found, row.undecided) == (0, 1)
        assert row.why == "there is no membrane (membrane-missing)"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"overlaps_taped": None}, "overlaps of"),
        ({"perimeter_taped": False}, "perimeter of"),
        ({"overlaps_taped": None, "perimeter_taped": None}, "overlaps and perimeter of"),
    ],
)
def test_taped(change: dict[str, Any], says: str) -> None:
    (finding,) = of_rule(check({"rooms.room.membrane": change}), "membrane-taped")
    assert says in finding.message
    assert ("stated not to be" in finding.message) is (False in change.values())


@pytest.mark.parametrize(
    ("membrane", "why"),
    [
        ({"runs": None}, "how the membrane's sheets lie is not given"),
        ({"sheet": None}, "the membrane's sheet is not given, so its runs have no width"),
    ],
)
def test_what_is_not_given_is_said_to_be_undecided(membrane: dict[str, Any], why: str) -> None:
    report = check({"rooms.room.membrane": membrane})
    for rule in ("membrane-cover", "membrane-overlap"):
        tally = tally_of(report, rule)
        assert (tally.checked, tally.undecided, tally.why) == (1, 1, why)


@pytest.mark.slow
def test_a_heap_of_sheets_is_judged_at_once() -> None:
    # Each of the 3160 laps is as wide as a sheet: none needs a look at what lies over its seam,
    # which for 80 sheets took half a minute.
    pieces = {f"M{n}": {"at": [n % 7, n % 5], "along": "x", "length": 4000} for n in range(80)}
    begun = process_time()
    assert _laps(pieces) == []
    assert process_time() - begun < 10
