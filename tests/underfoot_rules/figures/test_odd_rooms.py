"""Rooms, rows and dates that cannot be meant, and what of a room in metres is still judged."""

import json
from datetime import date
from typing import Any

import pytest
from msgspec.structs import replace

from tests.underfoot_rules.figures.odd import asked
from tests.underfoot_rules.plans import A_DAY, BASE, BENCH, change_plan, check, of_rule, tally_of
from underfoot.checking.check import check_source


def test_a_link_is_called_a_link() -> None:
    link = {"from": "room", "to": "other", "size": "1.5 mm2", "length": 6}
    other = {"use": "living", "outline": [[0, 0], [3000, 0], [3000, 3000], [0, 3000]]}
    change = {"rooms.other": other, "circuits.C1.links": [link]}
    (finding,) = of_rule(check(change), "odd-figure")
    assert finding.message.startswith("The length of the link of C1 from room to other is 6 mm")
    assert "did you mean 6 m?" in finding.remedy


def test_an_outline_in_metres_hides_no_overlap_of_strips_in_millimetres() -> None:
    strip = {"film": "film-80", "at": [300, 60], "along": "y", "length": 2750, "circuit": "C1"}
    room: dict[str, Any] = {
        "outline": [[0, 0], [4, 0], [4, 3], [0, 3]],
        "elements": {"X1": strip},
    }
    report = check({"rooms.room": room})
    assert of_rule(report, "element-overlap")
    assert tally_of(report, "wall-clearance").found == 0
    # Drawn in metres like the outline nothing of it can be told.
    room["rows"] = {"A": {"at": [0.06, 0.06]}}
    room["elements"] = {"X1": {**strip, "at": [0.3, 0.06]}}
    report = check({"rooms.room": room})
    assert tally_of(report, "element-overlap").found == 0
    assert tally_of(report, "element-overlap").undecided > 0


def test_a_row_in_metres_is_one_finding_and_hides_no_other_row() -> None:
    other = {"film": "film-80", "at": [60, 2900], "along": "x", "length": 1010, "circuit": "C1"}
    change = {"rows": {"A": {"lengths": [2.75] * 7}}, "elements": {"X1": other}}
    report = check({"rooms.room": change})
    assert [each.items for each in of_rule(report, "odd-figure")] == [("A",)]
    assert [each.items for each in of_rule(report, "cut-length")] == [("X1",)]
    assert tally_of(report, "cut-length").undecided == 7


@pytest.mark.parametrize(
    ("outline", "use", "severity"),
    [
        ([700, 300], "living", None),
        ([699, 400], "living", "error"),
        ([699, 400], "other", "error"),
        ([4000, 299], "living", "error"),
        ([30_000, 3000], "living", None),
        ([30_001, 3000], "living", "warning"),
        ([62_000, 3000], None, "warning"),
        ([60_000, 3000], "office", None),
        ([60_001, 3000], "office", "warning"),
        ([400_000, 3000], "other", None),
        ([400_001, 3000], "other", "warning"),
    ],
)
def test_the_size_of_a_room(outline: list[int], use: str | None, severity: str | None) -> None:
    x, y = outline
    room = {"outline": [[0, 0], [x, 0], [x, y], [0, y]], "use": use, "heat_loss": None}
    found = asked(check({"rooms.room": room}))
    assert found == ([] if severity is None else [("room", ("outline",), severity)])


@pytest.mark.parametrize(
    ("x", "y", "meant"),
    [
        (4, 3, "4 m × 3 m"),
        (400, 300, "400 cm × 300 cm"),
        # 0.6 is neither metres nor centimetres of a room; nothing is guessed.
        (0.6, 0.2, "write what is meant"),
    ],
)
def test_a_room_in_other_units(x: float, y: float, meant: str) -> None:
    room = {"outline": [[0, 0], [x, 0], [x, y], [0, y]]}
    (finding,) = of_rule(check({"rooms.room": room}), "odd-figure")
    assert meant in finding.remedy


def test_a_room_in_metres_is_one_finding_and_hides_nothing_else() -> None:
    row = {"at": [0.06, 0.06], "lengths": [2.75] * 7}
    lead = {"route": ["junction-box", [0.03, 1.5], [0.03, 0.03], "A"]}
    report = check(
        {
            "rooms.room": {
                "outline": [[0, 0], [4, 0], [4, 3], [0, 3]],
                "rows": {"A": row},
                "leads": {"W1": lead},
                "junction_box": {"at": [0, 1.5], "height": 0.45},
                "membrane": None,
            },
            "circuits.C1.breaker": None,
        }
    )
    assert {(each.rule, each.items) for each in report.findings} == {
        ("odd-figure", ("outline",)),
        ("membrane-missing", ()),
        ("breaker-rating", ("C1",)),
    }
    assert tally_of(report, "wall-clearance").undecided == 7


def test_a_room_that_is_only_long_is_judged() -> None:
    x = 31_000
    row = {"rows": {"A": {"at": [40, 60]}}}
    room = {"outline": [[0, 0], [x, 0], [x, 3000], [0, 3000]], "heat_loss": None, **row}
    report = check({"rooms.room": room})
    assert [each.items for each in of_rule(report, "wall-clearance")] == [("A1",)]


@pytest.mark.parametrize(
    ("loss", "meant"),
    [
        ("60 W", "600 W"),
        ("6 kW", "600 W"),
        ("5 W", "500 W"),
        ("0.6 W", "600 W"),
        # Of two that are usual the nearer to 50 W/m2, as parts of each other: 90 of 9 and 90, 30
        # of 30 and 300, 100 of 10 and 100, 30 of 30 and 300.
        ("10.8 W", "1080 W"),
        ("36 W", "360 W"),
        ("12 kW", "1200 W"),
        ("36 kW", "360 W"),
    ],
)
def test_the_loss_that_was_probably_meant(loss: str, meant: str) -> None:
    # 50 W/m2 of 12 m2 are 600 W.
    (finding,) = of_rule(check({"rooms.room.heat_loss": loss}), "odd-figure")
    assert f"did you mean {meant}?" in finding.remedy


def test_a_row_of_short_strips_is_asked_about_once() -> None:
    report = check({"rooms.room.rows.A.lengths": [2.75] * 7})
    assert [each.items for each in of_rule(report, "odd-figure")] == [("A",)]


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("1979-12-31", True),
        ("1980-01-01", False),
        # A_DAY is 2026-10-01; two years and a day later is as far ahead as a plan is dated.
        ("2028-10-01", False),
        ("2028-10-02", True),
        ("2066-10-01", True),
    ],
)
def test_the_date_of_a_plan(written: str, found: bool) -> None:
    assert date(2026, 10, 1) == A_DAY
    report = check({"job.date": written})
    assert bool(of_rule(report, "odd-figure")) is found
    # Another day would give another report where the date lies ahead.
    assert (report.today is not None) is (written > "2027-10-01")


@pytest.mark.parametrize(("until", "found"), [("2036-10-01", False), ("2066-10-01", True)])
def test_a_waiver_that_never_ends(until: str, found: bool) -> None:
    waiver = {
        "rule": "wall-clearance", "item": "A1", "reason": "as built", "agreed_by": "design lead",
        "until": until,
    }  # fmt: skip
    report = check({"waivers": [waiver]})
    assert bool(of_rule(report, "odd-figure")) is found


def test_large_buildings_have_more_to_spare() -> None:
    # 32 A a circuit, and 200 A in any case.
    def spare(current: int, circuits: int) -> bool:
        more = {f"X{number}": {"shares": "C1"} for number in range(circuits - 1)}
        change = {"supply.available": f"{current} A", "circuits": more}
        return bool(of_rule(check(change), "odd-figure"))

    assert (spare(200, 1), spare(201, 1)) == (False, True)
    assert (spare(320, 10), spare(321, 10)) == (False, True)


def test_films_that_no_strip_is_cut_from_are_not_asked_about() -> None:
    film = {**BASE["materials"]["films"]["film-80"], "width": 5}
    assert asked(check({"materials.films.spare": film})) == []


def test_a_plan_without_a_job_has_no_date_to_look_at() -> None:
    report = check({"job": None})
    assert not report.faults
    assert not [one for one in of_rule(report, "odd-figure") if "job" in one.items]


@pytest.mark.parametrize("day", [date.min, date.max])
def test_dates_are_held_against_any_day(day: date) -> None:
    waiver = {
        "rule": "wall-clearance", "item": "A1", "reason": "as built", "agreed_by": "design lead",
        "until": "2036-10-01",
    }  # fmt: skip
    text = json.dumps(change_plan(BASE, {"job.date": "2026-09-28", "waivers": [waiver]}))
    report = check_source(text.encode(), replace(BENCH, today=day), path="plan.yaml")
    assert report.faults == ()
    assert len(of_rule(report, "odd-figure")) == (2 if day == date.min else 0)
