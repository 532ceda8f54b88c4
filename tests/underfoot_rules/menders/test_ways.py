"""Square ways over a floor: the cheapest by length, lanes and bends, worked out by hand."""

from typing import Any

import numpy as np
import pytest
import shapely

from underfoot_rules.menders.ways import End, Ground, find_bends

# A floor of 4 m by 3 m, with something that bars it in the middle.
FLOOR = shapely.box(0, 0, 4000, 3000)
PILLAR = shapely.box(1000, 1000, 3000, 2000)
Axis = tuple[float, ...]
# As if every line were a better one: the way costs its length and its bends.
ALIKE = (tuple(float(x) for x in range(0, 4001, 10)),) * 2


def ground(
    xs: Axis, ys: Axis, better: tuple[Axis, Axis] = ALIKE, open_floor: Any = None, **told: Any
) -> Ground:
    """A floor with lines along y at `xs` and along x at `ys`."""
    floor = shapely.difference(FLOOR, PILLAR) if open_floor is None else open_floor
    return Ground(
        open=floor,
        at_end=told.get("at_end", floor),
        between=told.get("between", floor),
        turn=told.get("turn", np.eye(2)),
        middle=better,
        lines=(xs, ys),
    )


def bends(
    floor: Ground, start: tuple[float, float], end: tuple[float, float], **ends: Any
) -> tuple[tuple[float, float], ...] | None:
    return find_bends(
        floor,
        End(at=start, outwards=ends.get("leaving")),
        End(at=end, outwards=ends.get("arriving")),
    )


def test_a_straight_way_has_no_bends() -> None:
    assert bends(ground((), ()), (100, 500), (3900, 500)) == ()
    # Slanted, too, where nothing bars it.
    assert bends(ground((), ()), (100, 100), (3900, 900)) == ()


@pytest.mark.parametrize(
    ("y", "round_by"),
    [
        # From 1400 it is 500 mm down to 900 and 700 mm up to 2100; from 1600 it is the other way.
        (1400.0, 900.0),
        (1600.0, 2100.0),
    ],
)
def test_the_shorter_way_round(y: float, round_by: float) -> None:
    floor = ground((500.0, 3500.0), (900.0, 2100.0))
    assert bends(floor, (500, y), (3500, y)) == ((500, round_by), (3500, round_by))
    # And back again by the same bends.
    assert bends(floor, (3500, y), (500, y)) == ((3500, round_by), (500, round_by))


@pytest.mark.parametrize(
    ("y", "better", "round_by"),
    [
        # 2 x 500 + 3000 x 1.2 = 4600 down, 2 x 700 + 3000 = 4400 up.
        (1400.0, (2100.0,), 2100.0),
        # 2 x 200 + 3000 x 1.2 = 4000 down, 2 x 1000 + 3000 = 5000 up.
        (1100.0, (2100.0,), 900.0),
        # 2 x 700 + 3000 x 1.2 = 5000 up, 2 x 500 + 3000 = 4000 down.
        (1400.0, (900.0,), 900.0),
    ],
)
def test_a_lane_in_the_middle_of_the_border_is_worth_a_fifth(
    y: float, better: Axis, round_by: float
) -> None:
    floor = ground((500.0, 3500.0), (900.0, 2100.0), ((500.0, 3500.0), better))
    assert bends(floor, (500, y), (3500, y)) == ((500, round_by), (3500, round_by))


@pytest.mark.parametrize("gap", [100.0, 400.0])
def test_of_ways_as_long_the_one_with_fewer_bends(gap: float) -> None:
    """Round what stands in the way close by has four bends; from where the way begins, two."""
    post = shapely.box(1900, 1500 - gap, 2100, 3000)
    low = 1400.0 - gap
    floor = ground((500.0, 1700.0, 2300.0), (low,), open_floor=FLOOR.difference(post))
    assert bends(floor, (500, 1500), (3500, 1500)) == ((500, low), (3500, low))


@pytest.mark.parametrize(
    ("low", "expected"),
    [
        # Below both posts it is 2 x (1500 - low) longer and has two bends; over one and below the
        # other it is 400 mm longer and has four. A bend counts as 150 mm.
        # 680 + 300 = 980 against 400 + 600 = 1000.
        (1160.0, ((500, 1160), (3500, 1160))),
        # 720 + 300 = 1020 against 1000.
        (1140.0, ((500, 1600), (2000, 1600), (2000, 1400), (3500, 1400))),
    ],
)
def test_a_bend_is_worth_150_mm_of_way(
    low: float, expected: tuple[tuple[float, float], ...]
) -> None:
    posts = shapely.union(
        shapely.box(900, low + 10, 1100, 1550), shapely.box(2900, 1450, 3100, 3000)
    )
    floor = ground((2000.0,), (low, 1400.0, 1600.0), open_floor=FLOOR.difference(posts))
    assert bends(floor, (500, 1500), (3500, 1500)) == expected


def test_a_way_leaves_and_comes_as_it_must() -> None:
    floor = ground((200.0, 500.0, 3500.0, 3800.0), (900.0, 2100.0))
    assert bends(floor, (500, 1500), (3500, 1500), leaving=(0, 1)) == ((500, 2100), (3500, 2100))
    assert bends(floor, (500, 1500), (3500, 1500), leaving=(0, -1)) == ((500, 900), (3500, 900))
    assert bends(floor, (500, 1500), (3500, 1500), leaving=(-1, 0)) == (
        (200, 1500), (200, 900), (3500, 900),
    )  # fmt: skip
    assert bends(floor, (500, 1500), (3500, 1500), arriving=(1, 0)) == (
        (500, 900), (3800, 900), (3800, 1500),
    )  # fmt: skip
    assert bends(floor, (500, 1500), (3500, 1500), arriving=(0, 1)) == ((500, 2100), (3500, 2100))


def test_there_is_no_way_where_none_is_open() -> None:
    wall = shapely.box(1900, 0, 2100, 3000)
    floor = ground((500.0, 3500.0), (900.0,), open_floor=FLOOR.difference(wall))
    assert bends(floor, (500, 1500), (3500, 1500)) is None
    # Nor where no line leads out.
    assert bends(ground((), ()), (500, 1500), (3500, 1400)) is None


def test_what_leaves_a_strip_may_pass_what_the_rest_may_not() -> None:
    """The end lies within the pillar: only the last piece may go there."""
    floor = ground((500.0, 2000.0), (900.0, 500.0))
    last, within = shapely.box(1950, 900, 2050, 1500), shapely.box(1400, 1400, 2600, 1600)
    floor = ground(
        (500.0, 2000.0),
        (900.0, 500.0),
        at_end=shapely.union(floor.open, last),
        between=shapely.union(floor.open, within),
    )
    assert bends(floor, (500, 500), (2000, 1500), arriving=(0, -1)) == ((2000, 500),)
    # Without leave to go there is no such way, but a straight piece between two joints may.
    assert bends(floor, (500, 500), (2000, 1500)) is None
    assert bends(floor, (1500, 1500), (2500, 1500), leaving=(1, 0), arriving=(-1, 0)) == ()


def test_a_turned_room_is_gone_over_square_to_its_strips() -> None:
    """The same floor turned by 30 degrees: the bends turn with it."""
    cosine, sine = np.cos(np.pi / 6), np.sin(np.pi / 6)
    turn = np.array([[cosine, -sine], [sine, cosine]])
    upright = ground((500.0, 3500.0), (900.0, 2100.0))
    turned = ground((500.0, 3500.0), (900.0, 2100.0), turn=turn)
    places = [tuple(np.array(p) @ turn.T) for p in ((500.0, 1400.0), (3500.0, 1400.0))]
    expected = bends(upright, (500, 1400), (3500, 1400))
    found = bends(turned, places[0], places[1])
    assert expected is not None
    assert found is not None
    assert np.abs(np.array(found) - np.array(expected) @ turn.T).max() < 0.051
