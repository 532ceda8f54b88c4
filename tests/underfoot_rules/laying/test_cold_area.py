"""The search for one more strip: exact corridors, concave rooms, and a raster to compare with."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box, contains, distance, points

from tests.effort import fewer
from tests.underfoot_rules.laying.rooms import change_of, lay, offered, report_on
from tests.underfoot_rules.plans import check, measured, of_rule, tally_of

PLANNED, FIXTURE, WIDTH, CUT = 58.0, 50.0, 500.0, 250.0
CLEARANCES = (
    "element-outside-room", "wall-clearance", "fixture-clearance", "covered-floor",
    "element-overlap", "joint-crossing", "lead-under-element", "cut-length", "strip-length",
)  # fmt: skip
Room = Mapping[str, Any]
Strip = dict[str, Any]


def offers(strips: Mapping[str, Strip], room: Room, **film: Any) -> list[Strip]:
    """Return the strips found to fit, as a user would paste them."""
    found = lay("cold-area", strips, room, **film)
    if not found:
        return []
    (finding,) = found
    read = offered(change_of(strips, room, **film))
    largest = max(strip["length"] for strip in read) * WIDTH / 1e6
    assert measured(finding) == pytest.approx(largest)
    return read


def assert_clear(strips: Mapping[str, Strip], room: Room, offered: Strip) -> None:
    """Paste an offer: no rule of laying has anything to say of it."""
    report = report_on({**strips, "NEW": offered}, room)
    found = [(finding.rule, finding.items) for finding in report.findings]
    assert not [rule for rule, items in found if rule in CLEARANCES and "NEW" in items], offered


FAR: dict[str, Strip] = {"E1": {"at": [-9000, -9000], "film": "film-80"}}  # so that there is one


@pytest.mark.parametrize(
    ("width", "fits"), [(616, True), (615.999, False), (617, True), (600, False)]
)
def test_a_corridor_as_wide_as_strip_and_clearances(width: float, fits: bool) -> None:
    # 58 + 500 + 58 = 616 mm.
    room = {"outline": [[0, 0], [3000, 0], [3000, width], [0, width]]}
    found = offers(FAR, room)
    assert [(strip["along"], strip["length"]) for strip in found] == ([("x", 2750)] if fits else [])


@pytest.mark.parametrize(("length", "offered"), [(1116, 1000), (1115.9, None), (1366, 1250)])
def test_the_least_length(length: float, offered: float | None) -> None:
    # Own default: 1000 mm; 58 + 1000 + 58 = 1116 mm.
    found = offers(FAR, {"outline": [[0, 0], [length, 0], [length, 700], [0, 700]]})
    assert [strip["length"] for strip in found] == ([offered] if offered else [])


def test_not_above_the_longest_strip() -> None:
    room = {"outline": [[0, 0], [6000, 0], [6000, 700], [0, 700]]}
    assert [strip["length"] for strip in offers(FAR, room, longest_strip="3.1 m")] == [3000]


def test_one_in_each_direction() -> None:
    room = {"outline": [[0, 0], [3000, 0], [3000, 2000], [0, 2000]]}
    found = offers(FAR, room)
    assert [(strip["along"], strip["length"]) for strip in found] == [("x", 2750), ("y", 1750)]


def test_in_a_wing_of_a_concave_room() -> None:
    # A U: the left wing is full, the bridge too low, the right wing open.
    room = {"outline": [[0, 0], [4000, 0], [4000, 3000], [3300, 3000], [3300, 600], [700, 600],
                        [700, 3000], [0, 3000]]}  # fmt: skip
    strips = {"E1": {"at": [100, 60], "length": 2750}}
    found = offers(strips, room)
    assert [(strip["along"], strip["length"]) for strip in found] == [("y", 2750)]
    assert found[0]["at"][0] >= 3358
    assert_clear(strips, room, found[0])


def test_a_fixture_divides_the_floor() -> None:
    room = {
        "outline": [[0, 0], [4000, 0], [4000, 700], [0, 700]],
        "fixtures": {"post": {"at": [1500, 300], "size": [100, 100], "kind": "structure"}},
    }
    # Right of the post: 1600 + 50 to 4000 - 58, so 2292 mm.
    found = offers(FAR, room)
    assert [(strip["along"], strip["length"]) for strip in found] == [("x", 2250)]
    assert_clear(FAR, room, found[0])


@pytest.mark.parametrize(
    ("fixture", "length"),
    [
        ({"kind": "on legs", "clear": 120}, 3750),
        ({"kind": "on legs"}, 3750),
        ({"kind": "on legs", "clear": 59}, 2250),  # up to the legs: from 1600 to 3942
    ],
)
def test_under_legs_that_are_high_enough(fixture: Room, length: float) -> None:
    room = {
        "outline": [[0, 0], [4000, 0], [4000, 700], [0, 700]],
        "fixtures": {"chest": {"at": [1500, 300], "size": [100, 100], **fixture}},
    }
    assert [strip["length"] for strip in offers(FAR, room)] == [length]


def test_off_a_joint_and_along_its_edge() -> None:
    corridor = [[0, 0], [4000, 0], [4000, 700], [0, 700]]
    across = {"outline": corridor, "joints": {"J1": [[1500, 0], [1500, 700]]}}
    assert [strip["length"] for strip in offers(FAR, across)] == [2250]  # 3942 - 1500 = 2442
    beside = {"outline": corridor, "joints": {"J1": [[0, 600], [4000, 600]]}}
    assert [strip["length"] for strip in offers(FAR, beside)] == [3750]
    through = {"outline": corridor, "joints": {"J1": [[0, 350], [4000, 350]]}}
    assert offers(FAR, through) == []


def test_off_a_lead() -> None:
    room = {
        "outline": [[0, 0], [4000, 0], [4000, 700], [0, 700]],
        "leads": {"W1": {"circuit": "C1", "route": [[1500, 0], [1500, 700]]}},
    }
    found = offers(FAR, room)
    assert [strip["length"] for strip in found] == [2250]
    assert_clear(FAR, room, found[0])


def test_it_butts_to_the_strip_beside_it() -> None:
    # 700 mm are free left of the strips: the offer lies at their side, not at the wall's.
    strips = {"E1": {"at": [800, 60], "length": 2750}}
    room = {"outline": [[0, 0], [1400, 0], [1400, 3000], [0, 3000]]}
    found = offers(strips, room)
    assert found[0]["at"] == [300, 58]
    assert lay("strip-gap", {**strips, "NEW": found[0]}, room) == ()


def test_a_slanted_wall() -> None:
    # The wall from (4000, 0) to (2000, 4000) leans inwards: 2 x + y = 8000. The strip's upper
    # right corner (58 + L, 558) keeps 58 mm from it: 2 (58 + L) + 558 + 58 sqrt 5 <= 8000, so
    # L <= 3598.2, of which 3500 is on a cut line.
    room = {"outline": [[0, 0], [4000, 0], [2000, 4000], [0, 4000]]}
    found = offers(FAR, room)
    by = {strip["along"]: strip["length"] for strip in found}
    assert by["x"] == 3500
    for strip in found:
        assert_clear(FAR, room, strip)


def test_a_film_that_states_no_cut_lines_is_not_judged_where_a_strip_would_fit() -> None:
    wide = {"outline": [[0, 0], [3000, 0], [3000, 2000], [0, 2000]]}
    narrow = {"outline": [[0, 0], [3000, 0], [3000, 600], [0, 600]]}
    for film in ({"cut_every": None}, {"longest_strip": None}):
        assert lay("cold-area", FAR, wide, **film) == ()
        assert lay("cold-area", FAR, narrow, **film) == ()


def test_the_film_with_the_most_area_is_offered() -> None:
    # 1000 - 560 - 58 = 382 mm are left above E1: enough for the narrow film, too little for the
    # one that most of the floor is laid with.
    narrow = {"width": 220, "output": "80 W/m2", "voltage": "230 V", "cut_every": 250}
    room = {"outline": [[0, 0], [6000, 0], [6000, 1000], [0, 1000]], "rows": None, "leads": None}
    wide = {"film": "film-80", "at": [60, 60], "along": "x", "circuit": "C1"}
    strip = {"film": "narrow", "at": [5060, 400], "along": "x", "length": 750, "circuit": "C1"}

    def found(length: float) -> int:
        elements = {"E1": {**wide, "length": length}, "E2": strip}
        change = {
            "materials.films.narrow": {**narrow, "longest_strip": "9 m"},
            "rooms.room": {**room, "elements": elements},
        }
        return len(of_rule(check(change), "cold-area"))

    assert found(4750) == 0
    assert found(250) == 1


# Rooms cut from a rectangle, on a grid of 50 mm, with fixtures and strips anywhere in them.
def _corner(low: int, high: int) -> st.SearchStrategy[float]:
    return st.integers(low, high).map(lambda step: step * 50.0)


@st.composite
def rooms(draw: st.DrawFn) -> tuple[dict[str, Strip], Room]:
    width, depth = draw(_corner(30, 80)), draw(_corner(30, 80))
    a, b = draw(_corner(10, 28)), draw(_corner(10, 28))
    kind = draw(st.sampled_from(["rectangle", "l", "slant", "t"]))
    outline = {
        "rectangle": [(0, 0), (width, 0), (width, depth), (0, depth)],
        "l": [(0, 0), (width, 0), (width, b), (a, b), (a, depth), (0, depth)],
        "slant": [(0, 0), (width, 0), (a, depth), (0, b)],
        "t": [(0, 0), (width, 0), (width, b), (width - a / 3, b), (width - a / 3, depth),
              (a / 3, depth), (a / 3, b), (0, b)],
    }[kind]  # fmt: skip
    place = st.tuples(_corner(0, 70), _corner(0, 70))
    fixtures = {
        f"F{n}": {"at": list(at), "size": [size, size], "kind": "floor-mounted"}
        for n, (at, size) in enumerate(draw(st.lists(st.tuples(place, _corner(1, 16)), max_size=2)))
    }
    strips = {
        f"E{n}": {"at": list(at), "along": along, "length": length}
        for n, (at, along, length) in enumerate(
            draw(
                st.lists(
                    st.tuples(place, st.sampled_from("xy"), st.sampled_from([1000, 2000])),
                    min_size=1,
                    max_size=3,
                )
            )
        )
    }
    return strips, {"outline": [list(corner) for corner in outline], "fixtures": fixtures}


STEP, MARGIN = 50.0, 36.0  # half a cell's diagonal is 35.4 mm


def longest_in_raster(strips: Mapping[str, Strip], room: Room, along: str) -> float:
    """Find the longest strip of whole sections among points that are surely free all around."""
    outline = Polygon(room["outline"])
    taken = [
        box(x, y, x + WIDTH, y + strip["length"])
        if strip["along"] == "y"
        else box(x, y, x + strip["length"], y + WIDTH)
        for strip in strips.values()
        for x, y in [strip["at"]]
    ]
    posts = [
        box(x, y, x + fixture["size"][0], y + fixture["size"][1])
        for fixture in room["fixtures"].values()
        for x, y in [fixture["at"]]
    ]
    x = np.arange(0, outline.bounds[2] + STEP, STEP)
    y = np.arange(0, outline.bounds[3] + STEP, STEP)
    grid = points(np.stack(np.meshgrid(x, y), axis=-1))
    free = contains(outline, grid)
    free &= distance(grid, outline.exterior) >= PLANNED + MARGIN
    for thing, apart in [*((post, FIXTURE) for post in posts), *((strip, 0.0) for strip in taken)]:
        free &= distance(grid, thing) >= apart + MARGIN
    if along == "y":
        free = free.T
    rows = int(WIDTH / STEP) + 1
    best = 0
    for low in range(len(free) - rows + 1):
        run = 0
        for is_free in free[low : low + rows].all(axis=0):
            run = run + 1 if is_free else 0
            best = max(best, run)
    length = (best - 1) * STEP // CUT * CUT
    return length if length >= 1000 else 0.0


@settings(max_examples=fewer(8, 40), deadline=None, derandomize=True)
@given(rooms())
def test_against_a_raster(drawn: tuple[dict[str, Strip], Room]) -> None:
    # What is offered is really clear; and nothing longer hides in the raster, which sees every
    # strip that keeps 36 mm more than it must.
    strips, room = drawn
    found = {strip["along"]: strip for strip in offers(strips, room)}
    for along in ("x", "y"):
        if along in found:
            assert_clear(strips, room, found[along])
        seen = longest_in_raster(strips, room, along)
        assert (found[along]["length"] if along in found else 0.0) >= seen


def test_an_offer_pinned_between_a_strip_and_a_slanted_wall_can_be_pasted() -> None:
    # Rounded to the nearest thousandth it would lie 57.9997 mm from the upper wall.
    strip = {"at": [0, 0], "along": "61 deg", "length": 2020}
    outline = [[225, 0], [1500, 608], [1350, 3040], [0, 2432]]
    (found,) = [each for each in offers({"E1": strip}, {"outline": outline}) if
                each["along"] == "x"]  # fmt: skip
    assert found["length"] == 1000
    strips = {"E1": strip, "E2": found}
    assert not [
        each.items
        for rule in ("wall-clearance", "element-outside-room", "element-overlap")
        for each in lay(rule, strips, {"outline": outline})
        if "E2" in each.items
    ]


def test_a_film_a_hair_wide_is_not_searched_for() -> None:
    report = check({"materials.films.film-80.width": 1e-9})
    assert tally_of(report, "cold-area").why == "film-80 is less than 1 mm wide"
