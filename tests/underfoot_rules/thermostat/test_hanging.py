"""Where junction boxes and thermostats hang: on a wall, away from stoves, behind no furniture."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, limit_of, measured, of_rule, tally_of
from underfoot.checking.report import ReportedFinding

# The base plan's room is 4000 by 3000 with strips up to x = 3560; its box hangs at [0, 1500].
RULES = ("box-place", "box-reach", "thermostat-place")


def findings(rule: str, **room: Any) -> tuple[ReportedFinding, ...]:
    return of_rule(check({"rooms.room": room}), rule)


def box(rule: str, x: float, y: float, height: float | None, **room: Any) -> list[str]:
    told = {"junction_box": {"at": [x, y], "height": height}, **room}
    return [finding.severity for finding in findings(rule, **told)]


def test_the_base_plan_is_in_order() -> None:
    report = check({})
    for rule in RULES:
        row = tally_of(report, rule)
        assert (row.checked, row.found, row.undecided) == (1, 0, 0)


@pytest.mark.parametrize(
    ("ceiling", "height", "is_found"),
    [(2400, 2399.9, False), (2400, 2400, True), (2400, 2900, True), (None, 2900, False)],
)
def test_a_box_in_or_above_the_ceiling(ceiling: Any, height: float, is_found: bool) -> None:
    told = {"junction_box": {"height": height}, "height": ceiling}
    found = [finding.severity for finding in findings("box-reach", **told)]
    assert found == (["warning"] if is_found else [])


@pytest.mark.parametrize(("away", "is_found"), [(100, False), (100.01, True), (1500, True)])
def test_a_box_up_to_100_mm_off_a_wall_is_on_it(away: float, is_found: bool) -> None:
    # 100 mm: this project's own figure, a flush box in a wall or one on its face.
    expected = ["error"] if is_found else []
    assert box("box-place", 4000 - away, 1500, 0) == expected
    # At its usual height it is not in the floor, but nothing is there to hang it on.
    assert box("box-place", 4000 - away, 1500, 450) == []
    assert box("box-reach", 4000 - away, 1500, 450) == (["warning"] if is_found else [])


@pytest.mark.parametrize(
    ("height", "in_floor"), [(None, True), (0, True), (49.9, True), (50, False), (450, False)]
)
def test_a_box_below_50_mm_or_of_unknown_height_is_in_the_floor(
    height: float | None, in_floor: bool
) -> None:
    assert box("box-place", 3780, 1500, height) == (["error"] if in_floor else [])
    assert box("box-reach", 3780, 1500, height) == ([] if in_floor else ["warning"])


def test_a_box_in_the_floor_tells_how_far_it_is_and_where_it_may_hang() -> None:
    (finding,) = findings("box-place", junction_box={"at": [3780, 1500], "height": None})
    assert measured(finding) == pytest.approx(220)
    assert "its height is not given" in finding.message
    assert "[4000, 1500]" in finding.remedy


def test_a_column_is_a_wall() -> None:
    column = {"column": {"at": [3700, 1400], "size": [100, 200], "kind": "structure"}}
    assert box("box-place", 3800, 1500, 0) == ["error"]
    assert box("box-place", 3800, 1500, 0, fixtures=column) == []


@pytest.mark.parametrize(
    ("x", "severity"), [(4050, []), (4100, []), (4101, ["warning"]), (-3000, ["warning"])]
)
def test_a_box_outside_the_room(x: float, severity: list[str]) -> None:
    assert box("box-reach", x, 1500, 450) == severity
    assert box("box-place", x, 1500, 0) == []  # in another floor, if in any


def test_outside_and_on_no_wall_are_told_apart() -> None:
    for x, said in ((3780, "hangs on no wall"), (4200, "outside")):
        (of_box,) = findings("box-reach", junction_box={"at": [x, 1500], "height": 450})
        (of_thermostat,) = thermostat([x, 1500])
        assert said in of_box.message
        assert said in of_thermostat.message


@pytest.mark.parametrize(
    ("height", "said"), [(0, "warning"), (49.9, "warning"), (50, None), (None, "undecided")]
)
def test_a_box_on_the_wall_by_its_height(height: float | None, said: str | None) -> None:
    report = check({"rooms.room.junction_box.height": height})
    row = tally_of(report, "box-reach")
    assert (row.found, row.undecided) == (int(said == "warning"), int(said == "undecided"))


def stove(**told: Any) -> dict[str, Any]:
    return {"stove": {"at": [3800, 1700], "size": [200, 300], "kind": "heat source", **told}}


@pytest.mark.parametrize(
    ("clearance", "is_found"), [(None, False), (199.9, False), (200, False), (200.1, True)]
)
def test_a_box_nearer_to_a_stove_than_its_maker_allows(
    clearance: float | None, is_found: bool
) -> None:
    found = box("box-place", 4000, 1500, 450, fixtures=stove(clearance=clearance))
    assert found == (["error"] if is_found else [])


def test_a_box_by_a_stove_is_told_how_and_by_whose_figure() -> None:
    by_box = {"at": [4000, 1800]}
    (near,) = findings(
        "box-place", junction_box={"at": [4000, 1500]}, fixtures=stove(clearance=300)
    )
    assert "200 mm from stove (heat source); its maker wants 300 mm kept free" in near.message
    assert near.basis.kind == "maker's manual"
    (within,) = findings("box-place", junction_box=by_box, fixtures=stove())
    assert "in or behind stove" in within.message
    assert "maker" not in within.message
    assert within.basis.kind == "common practice"
    away = stove(at=[3740, 1700])
    (behind,) = findings("box-place", junction_box=by_box, fixtures=away)
    assert "lies behind stove" in behind.message


def test_what_is_no_stove_counts_where_it_has_a_clearance() -> None:
    kiln = stove(kind="floor-mounted", clearance=300)
    assert box("box-place", 4000, 1500, 450, fixtures=kiln) == ["error"]


@pytest.mark.parametrize(
    ("x", "is_found"), [(3800, True), (3740, True), (3499, False)]
)  # against the wall, 60 mm before it, 301 mm before it
def test_a_box_behind_a_stove(x: float, is_found: bool) -> None:
    behind = {"stove": {"at": [x, 1400], "size": [200, 300], "kind": "heat source"}}
    found = box("box-place", 4000, 1500, 450, fixtures=behind)
    assert found == (["error"] if is_found else [])


@pytest.mark.parametrize(("y", "is_found"), [(1540, False), (1539, True), (1460, True)])
def test_a_box_is_hidden_up_to_half_its_width(y: float, is_found: bool) -> None:
    # 80 mm wide: the wardrobe that begins 40 mm beside its middle leaves all of it free.
    wardrobe = {"wardrobe": {"at": [3620, y], "size": [380, 600], "kind": "floor-mounted"}}
    found = box("box-reach", 4000, 1500, 450, fixtures=wardrobe)
    assert found == (["warning"] if is_found else [])


@pytest.mark.parametrize(
    ("top", "height", "said"),
    [
        (450, 450, None),
        (450.1, 450, "warning"),
        (None, 450, "warning"),
        (None, None, "warning"),
        (400, None, "undecided"),
    ],
)
def test_a_fixture_lower_than_the_box_does_not_hide_it(
    top: float | None, height: float | None, said: str | None
) -> None:
    bench = {"at": [3620, 1400], "size": [380, 600], "kind": "floor-mounted", "height": top}
    room = {"fixtures": {"bench": bench}, "junction_box": {"at": [4000, 1500], "height": height}}
    row = tally_of(check({"rooms.room": room}), "box-reach")
    assert (row.found, row.undecided) == (int(said == "warning"), int(said == "undecided"))


@pytest.mark.parametrize("kind", ["on legs", "fixings", "structure"])
def test_what_can_be_moved_or_is_flat_hides_nothing(kind: str) -> None:
    thing = {"thing": {"at": [3620, 1600], "size": [380, 600], "kind": kind}}
    assert box("box-reach", 4000, 1650, 450, fixtures=thing) == []


def test_in_a_corner_the_freer_wall_counts() -> None:
    # 60 mm from the corner. Before the lower wall a wardrobe stands in any case; before the right
    # wall only where it begins less than 40 mm up, half of the box.
    def beside(y: float) -> list[str]:
        wardrobe = {"at": [3900, y], "size": [100, 600], "kind": "floor-mounted"}
        return box("box-reach", 3940, 0, 450, fixtures={"wardrobe": wardrobe})

    assert beside(40) == []
    assert beside(39) == ["warning"]


def test_the_box_of_a_room_without_strips_is_judged_too() -> None:
    hall = {"outline": [[0, 0], [2000, 0], [2000, 1200], [0, 1200]]}
    report = check({"rooms.hall": {**hall, "junction_box": {"at": [900, 600]}}})
    assert [(f.room, f.severity) for f in of_rule(report, "box-place")] == [("hall", "error")]


def test_a_box_that_must_leave_its_place_is_told_once() -> None:
    report = check({"rooms.room.junction_box": {"at": [3780, 1500], "height": 0}})
    assert len(of_rule(report, "box-place")) == 1
    assert (tally_of(report, "box-reach").found, tally_of(report, "box-reach").undecided) == (0, 1)


def thermostat(at: list[float] | None, fixtures: dict[str, Any] | None = None, **told: Any) -> Any:
    room = {"thermostat": {"at": at, **told}, "fixtures": fixtures, "sensor": {"cable": "20 m"}}
    return findings("thermostat-place", **room)


@pytest.mark.parametrize(("y", "is_found"), [(2000, False), (1999.9, True), (1700, True)])
def test_a_thermostat_500_mm_from_a_stove(y: float, is_found: bool) -> None:
    # 500 mm: this project's own figure.
    hot = {"stove": {"at": [3800, y], "size": [200, 300], "kind": "heat source"}}
    found = thermostat([4000, 1500], hot)
    assert [f.severity for f in found] == (["warning"] if is_found else [])


@pytest.mark.parametrize(
    ("clearance", "severity"), [(200, "warning"), (200.1, "error"), (600, "error")]
)
def test_a_thermostat_nearer_than_the_maker_allows_is_an_error(
    clearance: float, severity: str
) -> None:
    (found,) = thermostat([4000, 1500], stove(clearance=clearance))
    assert found.severity == severity
    assert limit_of(found).least == max(500, clearance)


def test_the_stove_that_is_nearest_to_what_it_asks_for_speaks() -> None:
    hot = {
        "near": {"at": [3900, 1950], "size": [100, 100], "kind": "heat source"},
        "far": {"at": [3900, 300], "size": [100, 300], "kind": "heat source", "clearance": 1000},
    }
    (found,) = thermostat([4000, 1500], hot)  # 450 of 500 mm, and 900 of 1000 mm
    assert (found.severity, "far" in found.message) == ("error", True)


@pytest.mark.parametrize(("x", "is_found"), [(100, False), (100.1, True), (-100.1, True)])
def test_a_thermostat_is_on_a_wall(x: float, is_found: bool) -> None:
    found = thermostat([x, 1500])
    assert [f.severity for f in found] == (["warning"] if is_found else [])


def test_a_thermostat_above_the_box_is_off_the_wall_with_it() -> None:
    report = check(
        {
            "rooms.room": {
                "thermostat": {"at": None},
                "junction_box": {"at": [3780, 1500], "height": 450},
            }
        }
    )
    assert len(of_rule(report, "box-reach")) == 1
    assert not of_rule(report, "thermostat-place")


@pytest.mark.parametrize(
    ("top", "height", "said"),
    [
        (1400, 1400, "warning"),
        (1399, 1400, None),
        (None, 1400, "warning"),
        (None, None, "warning"),
        (900, None, "undecided"),
    ],
)
def test_a_thermostat_behind_furniture(
    top: float | None, height: float | None, said: str | None
) -> None:
    wardrobe = {"at": [3620, 1400], "size": [380, 600], "kind": "floor-mounted", "height": top}
    room = {
        "fixtures": {"wardrobe": wardrobe},
        "thermostat": {"at": [4000, 1500], "height": height},
    }
    row = tally_of(check({"rooms.room": room}), "thermostat-place")
    assert (row.found, row.undecided) == (int(said == "warning"), int(said == "undecided"))


def test_in_another_room_it_is_judged_by_that_rooms_walls() -> None:
    hall = {"outline": [[0, 0], [2000, 0], [2000, 1200], [0, 1200]]}

    def hangs(at: list[float] | None) -> Any:
        told = {"room": "hall", "at": at}
        return check({"rooms": {"hall": hall, "room": {"thermostat": told}}})

    assert not of_rule(hangs([1000, 0]), "thermostat-place")
    (found,) = of_rule(hangs([1000, 600]), "thermostat-place")
    assert (found.room, found.shape) == ("room", None)
    row = tally_of(hangs(None), "thermostat-place")
    assert (row.found, row.undecided) == (0, 1)


def test_the_place_advised_is_free_of_stoves_and_baths() -> None:
    fixtures = {
        "stove": {"at": [3800, 1700], "size": [200, 300], "kind": "heat source"},
        "bath": {"at": [3700, 0], "size": [300, 700], "kind": "bath"},
    }
    # From 1700 - 501 down, and from 700 + 601 up: nothing is left between on the right wall. What
    # is drawn as round a stove lies outside its circle, a millimetre at most.
    (found,) = [f for f in thermostat([4000, 1500], fixtures) if f.severity == "warning"]
    assert "Move it to [4000, 2502]" in found.remedy


def test_a_height_that_was_taken_is_said() -> None:
    for height in (None, 2000):
        wardrobe = {"at": [3620, 1400], "size": [380, 600], "kind": "floor-mounted"}
        fixtures = {"wardrobe": {**wardrobe, "height": height}}
        (of_box,) = findings("box-reach", junction_box={"at": [4000, 1500]}, fixtures=fixtures)
        (of_thermostat,) = thermostat([4000, 1500], fixtures)
        assert bool(of_box.details) == bool(of_thermostat.details) == (height is None)
