"""Boards in bond at the exact limit, at walls and fixtures, and layers that cover only a part."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, measured, of_rule, tally_of
from underfoot.checking.report import PlanReport

# The least offset of 150 mm is an own default; 0.1 % and 1 mm are common practice.


def _insulated(insulation: dict[str, Any], **room: Any) -> PlanReport:
    return check({"rooms.room": {"insulation": insulation, **room}})


def _bond(layers: list[Any], **room: Any) -> list[tuple[tuple[str, ...], float]]:
    found = of_rule(_insulated({"layers": layers}, **room), "insulation-bond")
    return [(one.items, round(one.measured.value, 6)) for one in found if one.measured]


@pytest.mark.parametrize(
    ("stagger", "offset"),
    [(150, None), (149.9999995, None), (149.999, 149.999), (100, 100), (1050, None),
     (1050.001, 149.999), (0, 0), (1200, 0)],
)  # fmt: skip
def test_courses_at_the_limit(stagger: float, offset: float | None) -> None:
    # Boards of 1200 mm: joints of every second course lie `stagger`, or 1200 - stagger, away.
    found = _bond([{"courses": "x", "stagger": stagger}])
    assert len(found) == (0 if offset is None else 4)  # five courses of 600 mm in 3000 mm
    assert {value for _, value in found} <= {offset}
    # A short first board of 100 mm: the joint at 1300 lies nearest to one at 1200, that at 100 not.
    first = ("1-2-2", "1-2-3") if 0 < stagger < 150 else ("1-2-1", "1-2-2")
    assert [items for items, _ in found[:1]] == ([first] if found else [])


def test_courses_are_counted_whether_or_not_they_are_laid_out() -> None:
    good = tally_of(_insulated({"layers": [{"courses": "x", "stagger": 600}]}), "insulation-bond")
    bad = tally_of(_insulated({"layers": [{"courses": "x", "stagger": 10}]}), "insulation-bond")
    assert (good.checked, good.found) == (4, 0)
    assert (bad.checked, bad.found) == (4, 4)


COURSES = {"courses": "x", "stagger": 600}
ACROSS = {"courses": "y", "stagger": 600}
TURNED = {"pieces": {"P1": {"at": [0, 0], "along": "x"}, "P2": {"at": [1200, 0], "along": "y"}}}


def _part(width: float, height: float, **layer: Any) -> dict[str, Any]:
    return {**COURSES, **layer, "over": [[0, 0], [width, 0], [width, height], [0, height]]}


@pytest.mark.parametrize(
    ("insulation", "checked", "undecided"),
    [
        (None, 1, 1),
        ({"layers": None}, 1, 1),
        ({"board": None}, 1, 1),
        ({"board": None, "layers": [COURSES, ACROSS]}, 2, 2),
        # 4000 x 3000 mm of boards 600 mm wide: five courses along x, seven along y.
        ({"layers": [COURSES]}, 4, 0),
        ({"layers": [ACROSS]}, 6, 0),
        ({"layers": [COURSES, ACROSS]}, 10, 0),
        ({"layers": [_part(2000, 1800)]}, 2, 0),
        ({"layers": [_part(2000, 1801)]}, 3, 0),
        ({"layers": [_part(2000, 1800, courses="y")]}, 3, 0),
        ({"layers": [_part(2000, 300)]}, 0, 0),
        ({"layers": [TURNED]}, 1, 1),
        ({"layers": [COURSES, TURNED]}, 5, 1),
    ],
)
def test_how_many_pairs_of_courses_there_are(
    insulation: dict[str, Any] | None, checked: int, undecided: int
) -> None:
    tally = tally_of(check({"rooms.room.insulation": insulation}), "insulation-bond")
    assert (tally.checked, tally.found, tally.undecided) == (checked, 0, undecided)


# Three courses in a room of 3600 x 1800 mm, joints at 1200 and 2400, 600 and 1800, 1200 and 2400.
PIECES: dict[str, Any] = {
    "B1": {"at": [0, 0], "along": "x"},
    "B2": {"at": [1200, 0], "along": "x"},
    "B3": {"at": [2400, 0], "along": "x"},
    "B4": {"at": [0, 600], "along": "x", "length": 600},
    "B5": {"at": [600, 600], "along": "x"},
    "B6": {"at": [1800, 600], "along": "x"},
    "B7": {"at": [3000, 600], "along": "x", "length": 600},
    "B8": {"at": [0, 1200], "along": "x"},
    "B9": {"at": [1200, 1200], "along": "x"},
    "B10": {"at": [2400, 1200], "along": "x"},
}
OUTLINE = [[0, 0], [3600, 0], [3600, 1800], [0, 1800]]


def _pieces(**change: Any) -> list[Any]:
    return [{"pieces": {**PIECES, **change}}]


def test_pieces_in_bond() -> None:
    assert _bond(_pieces(), outline=OUTLINE) == []


def test_worst_joint_of_two_courses_is_named_once() -> None:
    # The second course begins with 1080 mm: its joints lie at 1080 and 2280, 120 mm from those of
    # both neighbours.
    moved = {
        "B4": {"at": [0, 600], "along": "x", "length": 1080},
        "B5": {"at": [1080, 600], "along": "x"},
        "B6": {"at": [2280, 600], "along": "x"},
        "B7": {"at": [3480, 600], "along": "x", "length": 120},
    }
    assert _bond(_pieces(**moved), outline=OUTLINE) == [
        (("B4", "B5"), 120.0),
        (("B8", "B9"), 120.0),
    ]


def test_end_at_a_wall_is_no_joint() -> None:
    # Off-cuts of 40 mm at the wall: their joints lie far from any other, the wall itself is none.
    moved = {
        "B4": {"at": [0, 600], "along": "x", "length": 40},
        "B5": {"at": [40, 600], "along": "x", "length": 700},
        "B6": {"at": [740, 600], "along": "x"},
        "B7": {"at": [1940, 600], "along": "x"},
        "B11": {"at": [3140, 600], "along": "x", "length": 460},
    }
    assert _bond(_pieces(**moved), outline=OUTLINE) == []


def test_end_at_a_fixture_is_no_joint() -> None:
    # A column where the joints at 1200 of two courses would meet: no board ends there but at it.
    moved = {
        "B4": {"at": [0, 600], "along": "x", "length": 1100},
        "B5": {"at": [1300, 600], "along": "x", "length": 500},
    }
    column = {"at": [1100, 500], "size": [200, 800], "kind": "structure"}
    layers = _pieces(**moved)
    assert _bond(layers, outline=OUTLINE, fixtures={"column": column}) == []
    # Without the column boards B4 and B5 leave a gap of 200 mm, which is no joint either.
    assert _bond(layers, outline=OUTLINE) == []
    # Pushed together at 1100 they have one, 100 mm from those at 1200.
    together = _pieces(**{**moved, "B5": {"at": [1100, 600], "along": "x", "length": 700}})
    assert _bond(together, outline=OUTLINE) == [(("B4", "B5"), 100.0), (("B8", "B9"), 100.0)]
    assert _bond(together, outline=OUTLINE, fixtures={"column": column}) == []


def test_courses_in_a_u_shaped_room_do_not_meet_through_its_wall() -> None:
    # Boards of 1200 mm, stagger 1130: joints at 1200 and 1130, 70 mm apart. A wall from 1140 to
    # 1190 stands between them, from y = 600 less 100 to 600 and 100 more.
    slot = [[0, 0], [4000, 0], [4000, 1200], [0, 1200]]
    layers = [{"courses": "x", "stagger": 1130}]
    assert [value for _, value in _bond(layers, outline=slot)] == [70.0]
    wall = [[0, 0], [1900, 0], [1900, 1200], [1190, 1200], [1190, 500], [1140, 500], [1140, 1200],
            [0, 1200]]  # fmt: skip
    assert _bond(layers, outline=wall) == []


def test_pieces_across_each_other_are_undecided() -> None:
    layers = _pieces(B4={"at": [0, 600], "along": "y", "length": 1200})
    row = tally_of(_insulated({"layers": layers}, outline=OUTLINE), "insulation-bond")
    assert (row.found, row.undecided) == (0, 1)
    assert row.why == "the boards of layer 1 do not lie in courses"


def test_bond_of_a_turned_layer() -> None:
    # Both boards of two courses end at the same place, at 30 deg across the room.
    outline = [[-200, 0], [2200, 0], [2200, 2400], [-200, 2400]]
    along = "30 deg"
    layers = [
        {
            "pieces": {
                "B1": {"at": [600, 200], "along": along, "length": 700},
                "B2": {"at": [600 + 606.218, 200 + 350], "along": along, "length": 500},
                "B3": {"at": [300, 200 + 519.615], "along": along, "length": 750},
                "B4": {"at": [300 + 649.519, 200 + 519.615 + 375], "along": along, "length": 500},
            }
        }
    ]
    assert _bond(layers, outline=outline) == [(("B3", "B4"), pytest.approx(50, abs=0.01))]


@pytest.mark.parametrize(("bare", "found"), [(2.9, False), (3.0, False), (3.1, True), (30, True)])
def test_cover_at_its_tolerance(bare: float, found: bool) -> None:
    # 3 mm of 3000 are 0.1 %.
    part = [[0, 0], [4000, 0], [4000, 3000 - bare], [0, 3000 - bare]]
    report = _insulated({"layers": [{"courses": "x", "stagger": 600, "over": part}]})
    told = [measured(one) for one in of_rule(report, "insulation-cover")]
    assert told == [pytest.approx(100 * bare / 3000)] * found


def test_upper_layers_do_not_cover_the_subfloor() -> None:
    half = [[0, 0], [2000, 0], [2000, 3000], [0, 3000]]
    layers = [{"courses": "x", "stagger": 600, "over": half}, {"courses": "y", "stagger": 600}]
    (finding,) = of_rule(_insulated({"layers": layers}), "insulation-cover")
    assert measured(finding) == pytest.approx(50)


@pytest.mark.parametrize(("lap", "found"), [(1, False), (1.0000005, False), (1.01, True)])
def test_overlap_at_its_tolerance(lap: float, found: bool) -> None:
    layers = _pieces(B2={"at": [1200 - lap, 0], "along": "x"})
    report = _insulated({"layers": layers}, outline=OUTLINE)
    told = [(one.items, measured(one)) for one in of_rule(report, "insulation-overlap")]
    assert told == [(("B1", "B2"), pytest.approx(lap))] * found


def test_boards_of_different_layers_may_lie_on_each_other() -> None:
    layers = [*_pieces(), {"pieces": {f"U{name}": piece for name, piece in PIECES.items()}}]
    report = _insulated({"layers": layers}, outline=OUTLINE)
    assert of_rule(report, "insulation-overlap") == ()
    assert tally_of(report, "insulation-overlap").checked == 2 * 45


def test_missing_insulation_silences_what_depends_on_it() -> None:
    concrete = {"kind": "concrete", "below": "ground", "moisture": "1.8 %"}
    report = check({"rooms.room": {"insulation": None, "subfloor": concrete}})
    for rule in ("board", "cover", "overlap", "bond", "layers", "taped"):
        row = tally_of(report, f"insulation-{rule}")
        assert (row.found, row.undecided) == (0, 1), rule
    for rule in ("floor-temperature", "downward-loss", "heat-demand"):
        assert tally_of(report, rule).why == "there is no insulation (insulation-missing)"


def test_film_that_names_no_boards_is_undecided() -> None:
    report = check({"materials.films.film-80.boards": None})
    assert tally_of(report, "insulation-board").why == (
        "film film-80 does not say what boards it may lie on (`boards`)"
    )


def test_layers_count_only_under_strips() -> None:
    # The second layer lies under the strips alone, from 60 to 3560 mm; a joint of 10 mm is none.
    concrete = {
        "kind": "concrete", "below": "ground", "moisture": "1.8 %",
        "layers": [{"material": "concrete", "thickness": 150}],
    }  # fmt: skip

    def found(end: float) -> int:
        part = [[60, 60], [end, 60], [end, 2810], [60, 2810]]
        second = {"courses": "y", "stagger": 600, "over": part}
        layers = [{"courses": "x", "stagger": 600}, second]
        report = _insulated({"layers": layers}, subfloor=concrete, use="conservatory")
        return len(of_rule(report, "insulation-layers"))

    assert found(3560) == 0
    assert found(3551) == 0
    assert found(3540) == 1


def test_layers_outside_need_the_temperature_outside() -> None:
    slab = {"material": "concrete", "thickness": 150}
    subfloor = {"kind": "concrete", "below": "outside", "layers": [slab]}
    row = tally_of(_insulated({}, subfloor=subfloor), "insulation-layers")
    assert row.why == "the temperature outside is not given (`fabric.outside`)"
    report = _insulated({}, subfloor=subfloor, fabric={"outside": "-5 degC"})
    (finding,) = of_rule(report, "insulation-layers")
    # By hand, ISO 11855-2 A.29-A.31: above 1/10.8 + 0.10 + 0.03 + 0.0002/0.19 = 0.22365; below
    # 0.010/0.033 + 0.150/1.65 + 0.04 = 0.43394 m2 K/W; 25 K: lost 57.61; up (80 - 57.61) / 1.51539
    # = 14.77; down 65.23 W/m2 = 81.5 %.
    assert measured(finding) == pytest.approx(81.5, abs=0.1)


@pytest.mark.parametrize(
    ("insulation", "why", "silent"),
    [
        (
            {"layers": None},
            "how the insulation's boards lie is not given (`insulation.layers`)",
            ("insulation-bond", "insulation-overlap", "insulation-cover"),
        ),
        (
            {"board": None},
            "the insulation's board is not given (`insulation.board`)",
            ("insulation-bond", "insulation-board"),
        ),
    ],
)
def test_what_is_not_given_is_said_to_be_undecided(
    insulation: dict[str, Any], why: str, silent: tuple[str, ...]
) -> None:
    report = _insulated(insulation)
    for rule in silent:
        tally = tally_of(report, rule)
        assert (rule, tally.checked, tally.undecided, tally.why) == (rule, 1, 1, why)


@pytest.mark.parametrize("turned", [False, True])
def test_of_two_floors_the_one_that_loses_more_is_judged(turned: bool) -> None:
    """Under the covering that resists more, more of the heat goes down."""
    over = {"covering": "cork-9", "over": [[2000, 0], [4000, 0], [4000, 3000], [2000, 3000]]}
    whole = {"covering": "oak-14"}
    change: dict[str, Any] = {
        "rooms.room.subfloor": {"kind": "concrete", "below": "ground", "layers": [
            {"material": "concrete", "thickness": 100, "conductivity": "1.6 W/m/K"}]},
        "materials.coverings.cork-9": {"kind": "cork", "resistance": "0.02 m2 K/W"},
        "rooms.room.covering": None,
        "rooms.room.coverings": [whole, over] if turned else [over, whole],
    }  # fmt: skip
    shares = {}
    for name in ("oak-14", "cork-9", None):
        one = {"rooms.room.covering": name, "rooms.room.coverings": None} if name else {}
        (found,) = of_rule(check({**change, **one}), "insulation-layers")
        shares[name] = measured(found)
    assert shares[None] == shares["oak-14"] > shares["cork-9"]
