"""A single value that cannot be read: what hangs on it is not earned, and the rest is."""

import copy
from collections.abc import Iterator
from typing import Any

import pytest
import yaml

from tests.underfoot.marking.demo import FOLDER, demo_desk, plan_of
from underfoot.marking.judging import Attempt, judge_source
from underfoot.marking.pages import write_sheet
from underfoot.marking.results import gather_class
from underfoot.marking.submissions import Handed

Data = dict[str, Any]
Path = tuple[str | int, ...]
PERFECT = plan_of("apprentice-01")
BRIEF: Data = yaml.safe_load((FOLDER / "brief.yaml").read_text("utf-8"))
ROOM: Path = ("rooms", "bedroom")


def judged(plan: Data) -> Attempt:
    text = yaml.safe_dump(plan, sort_keys=False).encode()
    return judge_source(text, Handed(name="a", attempt=1, shown="a.yaml", place=None), demo_desk())


def with_value(path: Path, value: Any) -> Data:
    plan = copy.deepcopy(PERFECT)
    told: Any = plan
    for key in path[:-1]:
        told = told[key]
    told[path[-1]] = value
    return plan


def lost(attempt: Attempt) -> dict[str, float]:
    return {row.what: float(row.marks - row.earned) for row in attempt.rows if not row.is_full}


STRIP = {"wall-clearance": 1.0, "fixture-clearance": 0.5, "cut-length": 0.5}
LEAD = {"lead-under-element": 6.0, "lead-outside-room": 2.0}
# What hangs on each value; a seventh of 7 marks is a strip's share, 0.5 that of 3.5 in halves.
VALUES: dict[Path, dict[str, float]] = {
    # Where the strips begin: laying, what they heat, whether sensor and leads lie right.
    (*ROOM, "rows", "A", "at", 0): {
        "wall-clearance": 7, "heated share": 3, "heat-demand": 2, "covering-output": 1,
        "output": 3, "sensor-under-element": 3, "circuits": 2, **LEAD,
    },
    # One strip of seven; the sensor lies below the second.
    (*ROOM, "rows", "A", "lengths", 0): STRIP,
    (*ROOM, "rows", "A", "lengths", 1): {**STRIP, "sensor-under-element": 3},
    (*ROOM, "rows", "A", "lengths", 6): {"wall-clearance": 1, "cut-length": 0.5},
    # Where the sensor lies, and how far its cable has to go.
    (*ROOM, "sensor", "at", 0): {"sensor-under-element": 3, "sensor-cable-reach": 1},
    (*ROOM, "sensor", "cable"): {"sensor-cable-reach": 1},
    # The lead's way and its size, and what that may carry.
    (*ROOM, "leads", "W1", "route", 2, 0): LEAD,
    (*ROOM, "leads", "W1", "size"): {"breaker-rating": 2, "cable-capacity": 1},
    (*ROOM, "leads", "W1", "recessed"): {"lead-recessed": 1},
    (*ROOM, "thermostat", "switches"): {"thermostat-rating": 2},
    # A floor that may hardly get warm does not heat its room.
    (*ROOM, "thermostat", "floor_limit"): {"floor-limit": 2, "heat-demand": 2},
    (*ROOM, "membrane", "runs", "overlap"): {"membrane-overlap": 1},
    (*ROOM, "membrane", "sheet"): {"membrane-cover": 2, "membrane-overlap": 1},
    (*ROOM, "insulation", "joints_taped"): {"insulation-taped": 1},
    ("circuits", "C1", "breaker"): {"breaker-rating": 2},
    ("circuits", "C1", "rcd"): {"rcd": 3},
    # Left out it would be taken for 30 degC, and cost nothing.
    ("circuits", "C1", "cable", "ambient"): {"breaker-rating": 2, "cable-capacity": 1},
    ("method_statement", "bare_conductor"): {"method-statement": 0.5},
    # Whichever way the boards lie, they cover the floor: no row hangs on it.
    (*ROOM, "insulation", "layers", 0, "courses"): {},
}  # fmt: skip


@pytest.mark.parametrize("path", VALUES, ids=lambda path: ".".join(map(str, path[-3:])))
def test_what_hangs_on_a_value_that_cannot_be_read_is_not_earned(path: Path) -> None:
    attempt = judged(with_value(path, "???"))
    assert attempt.is_read
    assert lost(attempt) == VALUES[path]
    written = f"`{'.'.join(map(str, path))}`"
    assert [one.path for one in attempt.report.problems] == [written.strip("`")]
    # A row that lost by it says so.
    for row in attempt.rows:
        if not row.is_full:
            assert any(f"{written} cannot be read" in said for said in row.reasons), row
    assert attempt.changes == ()
    # Nobody is told to mend what is wrong only with the value that was taken in its place.
    assert attempt.report.findings == ()


# A fault, and the value that hides it: none of the rows may earn more than with the fault.
FAULTS: dict[Path, Any] = {
    (*ROOM, "rows", "A", "lengths", 1): 3000,
    (*ROOM, "rows", "A", "at", 1): 20,
    (*ROOM, "sensor", "at", 0): 30,
    (*ROOM, "sensor", "cable"): "1 m",
    (*ROOM, "thermostat", "floor_limit"): "45 degC",
    (*ROOM, "thermostat", "switches"): "2 A",
    (*ROOM, "membrane", "runs", "overlap"): 10,
    (*ROOM, "leads", "W1", "route", 2, 0): 1800,
    ("circuits", "C1", "rcd"): "300 mA",
    ("circuits", "C1", "breaker"): "63 A",
    ("circuits", "C1", "cable", "ambient"): "70 degC",
    ("circuits", "C1", "cable", "size"): "0.75 mm2",
    ("method_statement", "busbars"): "up",
}


@pytest.mark.parametrize("path", FAULTS, ids=lambda path: ".".join(map(str, path[-3:])))
def test_a_fault_is_not_hidden_by_what_cannot_be_read(path: Path) -> None:
    wrong, hidden = judged(with_value(path, FAULTS[path])), judged(with_value(path, "???"))
    assert lost(wrong) or wrong.failed_by
    for with_fault, without in zip(wrong.rows, hidden.rows, strict=True):
        # A gate that the fault shuts is no matter of the value.
        gated = any("Counts for nothing" in said for said in with_fault.reasons)
        assert gated or without.earned <= with_fault.earned, with_fault.what
    if wrong.failed_by:
        assert hidden.failed_by


def test_what_one_value_leaves_open_is_told_in_one() -> None:
    attempt = judged(with_value((*ROOM, "rows", "A", "at", 0), "???"))
    why = "`rooms.bedroom.rows.A.at.0` cannot be read"
    told = [one for one in attempt.failed_by if why in one]
    assert told == [
        f"lead-under-element (not judged, 1 point: {why})",
        f"element-outside-room, sensor-other-strip (not judged, 8 points: {why}; carries no marks)",
    ]


def test_a_page_shows_the_value_s_place_as_it_is_written() -> None:
    attempt = judged(with_value((*ROOM, "thermostat", "floor_limit"), "???"))
    marks = gather_class(demo_desk().scheme, [attempt], [])
    page = write_sheet(marks, marks.sheets[0], {})
    assert page.count("<code>rooms.bedroom.thermostat.floor_limit</code> cannot be read") == 3


def test_what_is_wrong_whatever_stands_there_stays_a_finding() -> None:
    plan = with_value(("circuits", "C1", "breaker"), "ten")
    plan["rooms"]["bedroom"]["rows"]["A"]["at"] = [20, 60]
    attempt = judged(plan)
    assert "A1" in {one.items[0] for one in attempt.report.findings if one.rule == "wall-clearance"}
    (row,) = [row for row in attempt.rows if row.what == "wall-clearance"]
    assert not any("cannot be read" in said for said in row.reasons)


def test_no_value_that_stands_in_is_held_to_be_a_slip_of_the_pen() -> None:
    assert judged(with_value((*ROOM, "thermostat", "switches"), "???")).failed_by == ()


def test_two_values_cost_what_hangs_on_each() -> None:
    plan = with_value(("circuits", "C1", "breaker"), "ten")
    plan["rooms"]["bedroom"]["sensor"]["cable"] = "three metres"
    assert lost(judged(plan)) == {"breaker-rating": 2, "sensor-cable-reach": 1}


def test_much_that_cannot_be_read_costs_what_it_is_worth() -> None:
    plan = copy.deepcopy(PERFECT)
    plan["method_statement"] = dict.fromkeys(plan["method_statement"], 7)
    plan["circuits"]["C1"].update(breaker="?", rcd="?")
    plan["circuits"]["C1"]["cable"] = dict.fromkeys(plan["circuits"]["C1"]["cable"], "?")
    plan["rooms"]["bedroom"]["thermostat"] = {"height": "?", "switches": "?", "floor_limit": "?"}
    attempt = judged(plan)
    # A bare conductor of 7 mm is right; the lead is thick enough whatever the cable is.
    assert lost(attempt) == {
        "method-statement": 5, "method statement": 2.5, "rcd": 3, "breaker-rating": 2,
        "cable-capacity": 1, "floor-limit": 2, "heat-demand": 2, "thermostat-rating": 2,
        "thermostat-height": 1, "sensor-cable-reach": 1,
    }  # fmt: skip


def leaves(told: Any, path: Path = ()) -> Iterator[Path]:
    if isinstance(told, dict):
        for key, value in told.items():
            yield from leaves(value, (*path, key))
    elif isinstance(told, list):
        for at, value in enumerate(told):
            yield from leaves(value, (*path, at))
    else:
        yield path


def is_given(path: Path) -> bool:
    """Tell whether the brief gives a value, and holds to it."""
    told: Any = BRIEF if path[0] != "job" else {}
    for key in path:
        try:
            told = told[key]
        except (KeyError, IndexError, TypeError):
            return False
    return True


# Papers, and what no row of this scheme hangs on: boards or sheets laid the other way cover the
# floor as well; channel, conduit, how high the box is, and how long the cable to it.
NO_MATTER = {
    "measured", "site", "client", "drawn_by", "film", "courses", "stagger", "along", "width",
    "depth", "cut_into", "height", "length",
}  # fmt: skip


@pytest.mark.long
@pytest.mark.parametrize("bad", ["???", -7, [], {}], ids=str)
def test_no_value_gains_by_being_unreadable_and_the_brief_s_own_cost_nothing(bad: Any) -> None:
    for path in leaves(PERFECT):
        attempt = judged(with_value(path, bad))
        assert attempt.earned <= 70, path
        if not attempt.report.problems:
            continue
        if is_given(path):
            assert lost(attempt) == {}, path
            # A number can be read, and what it makes of an outline is told as a change.
            assert bad == -7 or attempt.changes == (), path
        elif not lost(attempt) and not attempt.failed_by:
            assert path[-1] in NO_MATTER, path
