"""Dividing strips over circuits: the fewest that meet all limits, neighbours together."""

import itertools
import math
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.underfoot_rules.plans import BASE, check, measured, of_rule
from underfoot_rules.circuits.split_circuit import Load, Most, divide, name_strips

MOST = Most(current_a=10.0, equivalent_m=30.0)


def load(current_a: float, metres: float = 1.0, longest_m: float | None = None) -> Load:
    return Load(current_a=current_a, length_m=metres, equivalent_m=metres, longest_m=longest_m)


def runs(loads: list[Load], steps: list[float] | None = None) -> list[tuple[int, ...]] | None:
    cut = divide(loads, MOST, steps or [0.0] * (len(loads) - 1))
    return None if cut is None else list(cut.runs)


def test_fewest_and_evenly_filled() -> None:
    # 7 x 2 A: two circuits; 6 A and 8 A is the evenest cut.
    assert runs([load(2)] * 7) == [(0, 1, 2), (3, 4, 5, 6)]


def test_exactly_full_is_allowed() -> None:
    assert runs([load(2.5)] * 8) == [(0, 1, 2, 3), (4, 5, 6, 7)]


def test_every_limit_counts() -> None:
    assert runs([load(0.1, 11)] * 4) == [(0, 1), (2, 3)]  # 30 m
    assert runs([load(0.1, 11, 25)] * 4) == [(0, 1), (2, 3)]  # the maker's 25 m
    assert runs([load(0.1, 11, 21)] * 4) == [(0,), (1,), (2,), (3,)]
    assert runs([load(0.1, 11, 50)] * 4) == [(0, 1, 2, 3)]  # the maker's word goes before 30 m


def test_mixed_films_meet_both_limits() -> None:
    # Two strips of a film limited to 50 m, two of one without: 44 m of film, more than 30 m.
    mixed = [load(0.1, 11, 50), load(0.1, 11, 50), load(0.1, 11), load(0.1, 11)]
    assert runs(mixed) == [(0, 1), (2, 3)]


def test_cut_where_neighbours_lie_apart() -> None:
    # Evenest would be 3 and 4; the gap after the second strip goes before that.
    assert runs([load(2)] * 7, [0, 500, 0, 0, 0, 0]) == [(0, 1), (2, 3, 4, 5, 6)]
    # But not at the price of one circuit more.
    assert runs([load(2)] * 7, [500, 0, 0, 0, 0, 0]) == [(0, 1, 2), (3, 4, 5, 6)]


def test_a_strip_that_passes_a_limit_alone() -> None:
    assert runs([load(1), load(10.1), load(1)]) is None


@given(st.lists(st.sampled_from([0.7, 1.3, 2.9, 4.1, 6.5, 9.9]), min_size=1, max_size=9))
def test_against_every_cut(currents: list[float]) -> None:
    """Compare with all 2^(n-1) ways to cut the row."""
    best = (math.inf, math.inf)
    for cuts in itertools.product((False, True), repeat=len(currents) - 1):
        sums = [currents[0]]
        for current, cut in zip(currents[1:], cuts, strict=True):
            if cut:
                sums.append(current)
            else:
                sums[-1] += current
        if max(sums) <= 10.0 + 1e-9:
            best = min(best, (len(sums), max(sums)))
    found = runs([load(current, 0.1) for current in currents])
    assert found is not None
    assert sorted(itertools.chain(*found)) == list(range(len(currents)))
    fullest = max(sum(currents[place] for place in run) for run in found)
    assert (len(found), fullest) == pytest.approx(best)


def two_bands(order: list[str]) -> dict[str, Any]:
    """Two bands of four strips of 4 m, one above the other, listed in any order; 1.4 A each."""
    places = {
        **{f"E{number}": [60 + 500 * number - 500, 60] for number in range(1, 5)},
        **{f"F{number}": [60 + 500 * number - 500, 4200] for number in range(1, 5)},
    }
    elements = {
        name: {"film": "film-80", "at": places[name], "along": "y", "length": 4000, "circuit": "C1"}
        for name in order
    }
    room = {
        "outline": [[0, 0], [2120, 0], [2120, 8300], [0, 8300]],
        "rows": None,
        "elements": elements,
        "leads": {"W1": {"route": ["junction-box", *order]}},
    }
    return {"rooms.room": room}


@pytest.mark.parametrize(
    "order",
    [
        ["E1", "E2", "E3", "E4", "F1", "F2", "F3", "F4"],
        ["E1", "F1", "E2", "F2", "E3", "F3", "E4", "F4"],
        ["F3", "E2", "E4", "F1", "E1", "F4", "E3", "F2"],
    ],
)
def test_neighbours_by_where_they_lie(order: list[str]) -> None:
    # 32 m: two circuits. However the plan lists them, each band of 16 m stays together.
    (finding,) = of_rule(check(two_bands(order)), "circuit-element-length")
    parts = finding.remedy.partition(": ")[2].rstrip(".").split("; ")
    strips = [part.partition(" (")[0] for part in parts]
    assert sorted(sorted(part.replace(" and ", ", ").split(", ")) for part in strips) == [
        ["E1", "E2", "E3", "E4"],
        ["F1", "F2", "F3", "F4"],
    ]
    assert all("(2.78 A, 16 m)" in part for part in parts)  # 16 m x 40 W/m / 230 V


def test_rooms_stay_together() -> None:
    # Two rooms of 19.25 m on one circuit: a circuit a room.
    room = BASE["rooms"]["room"]
    annexe = {
        **room,
        "rows": {"B": room["rows"]["A"]},
        "leads": {
            "W2": {**room["leads"]["W1"], "route": ["junction-box", [30, 1500], [30, 30], "B"]}
        },
    }
    (finding,) = of_rule(check({"rooms.annexe": annexe}), "circuit-element-length")
    assert measured(finding) == 38.5
    assert "A1 to A7 (3.35 A, 19.25 m); B1 to B7 (3.35 A, 19.25 m)" in finding.remedy


def row(output: str, *lengths: float) -> dict[str, Any]:
    film = {"output": output, "longest_strip": "20 m"}
    return {
        "materials.films.film-80": film,
        "rooms.room": {
            "outline": [[0, 0], [4000, 0], [4000, 21000], [0, 21000]],
            "rows": {"A": {"lengths": list(lengths)}},
        },
    }


@pytest.mark.parametrize(
    ("output", "lengths", "current", "length"),
    [
        # 30 m x 0.5 m x 153.33 W/m2 = 2300 W, 10.0 A: both limits are met exactly.
        ("153.33 W/m2", [5000] * 6, False, False),
        ("153.35 W/m2", [5000] * 6, True, False),  # 2300.25 W
        ("2300 W/m", [1000], False, False),  # 10 A
        ("2300.01 W/m", [1000], True, False),
        ("10 W/m2", [5000] * 5 + [5001], False, True),
    ],
)
def test_limits_of_current_and_length(
    output: str, lengths: list[float], current: bool, length: bool
) -> None:
    report = check(row(output, *lengths))
    assert bool(of_rule(report, "circuit-current")) == current
    assert bool(of_rule(report, "circuit-element-length")) == length


def test_a_strip_too_strong_for_any_circuit_is_named() -> None:
    (finding,) = of_rule(check(row("2400 W/m", 1000, 500)), "circuit-current")
    assert finding.remedy.startswith("A1 passes the limit alone: cut shorter strips there")


@pytest.mark.parametrize(
    ("count", "names"),
    [
        (2, "A1 and A2"),
        (4, "A1, A2, A3 and A4"),
        (5, "A1, A2, A3, A4 and A5"),
        (6, "A1, A2, A3, A4 and 2 others"),
    ],
)
def test_several_strips_too_strong_for_any_circuit(count: int, names: str) -> None:
    (finding,) = of_rule(check(row("2400 W/m", *[1000] * count, 500)), "circuit-current")
    assert finding.remedy.startswith(f"{names} pass the limit alone: cut shorter strips there")


@pytest.mark.parametrize(
    ("row_of", "said"),
    [
        ([("A", "A1"), ("A", "A2"), ("A", "A3"), ("A", "A4")], "A1 to A4"),
        ([("A", "A1"), ("A", "A2")], "A1 and A2"),
        ([("A", "A3"), ("A", "A2"), ("A", "A1")], "A3 to A1"),  # walked from the far end
        ([("A", "A1"), ("A", "A2"), ("A", "A3"), ("A", "A2")], "A1 to A3 and A2"),
        ([("A", "A1"), ("A", "A3"), ("A", "A5")], "A1, A3 and A5"),
        ([("A", "A1"), ("A", "A2"), ("A", "A3"), ("B", "B4")], "A1 to A3 and B4"),
        ([(None, "E1"), (None, "E2"), (None, "E3")], "E1, E2 and E3"),
        ([("A", "A2"), ("A", "A3"), ("A", "A4"), (None, "E1")], "A2 to A4 and E1"),
    ],
)
def test_neighbours_of_a_row_are_named_as_a_span(
    row_of: list[tuple[str | None, str]], said: str
) -> None:
    strips = [SimpleNamespace(row=row, id=name) for row, name in row_of]
    assert name_strips(strips) == said  # type: ignore[arg-type]


@pytest.mark.parametrize(("longest", "found"), [("19.25 m", False), ("19.24 m", True)])
def test_the_makers_length(longest: str, found: bool) -> None:
    change = {"materials.films.film-80.longest_circuit": longest}
    findings = of_rule(check(change), "circuit-element-length")
    assert bool(findings) == found
    if found:
        assert findings[0].basis.kind == "maker's manual"
