"""How near two plans are, cell by cell, and how often that happens by chance: worked by hand."""

import pytest
from msgspec.structs import replace

from tests.there import there
from underfoot.marking.nudges import Near, Spread, measure_near
from underfoot.marking.traits import RoomTraits, Traits

Spots = tuple[tuple[str, tuple[float, float]], ...]
STRIPS = (("film", (-500.0, 0.0), (250.0, 1000.0)), ("film", (100.0, 20.0), (250.0, 900.0)))
SPOTS: Spots = (("sensor", (100.0, 300.0)), ("thermostat", (-900.0, 700.0)))
THREE: Spots = (*SPOTS, ("lead's bend", (0.0, 50.0)))
FIGURES = (("breaker", 16.0), ("cable's length", 12000.0))


def plan(spots: Spots = SPOTS, **figures: float) -> Traits:
    """A room of two strips, a sensor and a thermostat."""
    told = dict(FIGURES) | {name.replace("_s_", "'s "): value for name, value in figures.items()}
    return Traits(rooms=(RoomTraits(rects=STRIPS, spots=spots),), figures=tuple(told.items()))


def near(one: Traits, other: Traits, brief: Traits | None = None) -> Near:
    return there(measure_near(one, other, Spread([one, other], brief)))


def moved(dx: float = 0, dy: float = 0) -> Spots:
    return tuple((kind, (x + dx, y + dy)) for kind, (x, y) in SPOTS)


# `is_alike` as the manual of marking has it: 85 % of four cells or more.
@pytest.mark.parametrize(
    ("cells", "same", "nudged", "places", "places_near", "alike"),
    [
        (20, 17, 0, 0, 0, True),  # 85 % exactly
        (20, 0, 17, 0, 0, True),
        (20, 10, 6, 0, 0, False),
        (4, 4, 0, 0, 0, True),
        (3, 3, 0, 0, 0, False),
        (40, 40, 0, 20, 17, True),
        (40, 40, 0, 20, 16, False),  # the figures agree, the places do not
        (0, 0, 0, 0, 0, False),
    ],
)
def test_alike_is_85_percent_of_four_cells_and_of_the_places(
    cells: int, same: int, nudged: int, places: int, places_near: int, alike: bool
) -> None:
    found = Near(
        cells=cells, same=same, nudged=nudged, chance=1.0, farthest=0.0, places=places,
        places_near=places_near,
    )  # fmt: skip
    assert found.is_alike is alike


def figures_only(*values: float) -> list[Traits]:
    return [Traits(rooms=(), figures=(("cable", value),)) for value in values]


CABLE = (-1, "cable 0", 0)
SENSOR = (0, "sensor 0", 0)


@pytest.mark.parametrize(
    ("values", "cell", "apart", "value", "chance"),
    [
        # Nobody chose: what one thinks beforehand, 20 % and twice the part that they are apart.
        ((), CABLE, 10, 100, 0.4),
        ((), CABLE, 0, 100, 0.2),
        ((), CABLE, 50, 100, 1.0),
        ((), CABLE, 10, -100, 0.4),
        ((), CABLE, 0, 0, 0.2),
        # A place is free over 2 m: the span of 2 x 40 mm and 20 mm about it.
        ((), SENSOR, 40, 100, 0.05),
        ((), SENSOR, 0, 100, 0.01),
        # Three pairs, one of them (100 and 110) within 10: this one aside none of two.
        ((100, 110, 200), CABLE, 10, 100, (0 + 5 * 0.4) / (2 + 5)),
        # Six pairs, of which three are of the same value; this one aside two of five.
        ((100, 100, 100, 900), CABLE, 0, 100, (2 + 5 * 0.2) / (5 + 5)),
        # All ten pairs are within 99: nine of nine.
        ((1, 2, 3, 4, 100), CABLE, 99, 100, 1.0),
        # One pair only, which is this one: as if nobody had chosen.
        ((100, 100), CABLE, 0, 100, 0.2),
        # Half a millimetre more is no farther.
        ((100, 110.5, 300), CABLE, 10, 100, (0 + 5 * 0.4) / 7),
        ((100, 110.5, 110.4, 300), CABLE, 10, 100, (2 + 5 * 0.4) / 10),
    ],
)
def test_chance_is_what_the_class_chose_and_what_one_thought_beforehand(
    values: tuple[float, ...],
    cell: tuple[int, str, int],
    apart: float,
    value: float,
    chance: float,
) -> None:
    spread = Spread(figures_only(*values))
    assert spread.chance(cell, apart, value) == pytest.approx(chance)
    assert spread.chance(cell, apart, value) == pytest.approx(chance), "and asked again"


def test_a_plan_is_as_near_to_itself_as_can_be() -> None:
    found = near(plan(), plan())
    # Four coordinates and two figures, all free.
    assert (found.same, found.nudged, found.cells) == (6, 0, 6)
    assert (found.places, found.places_near, found.farthest) == (4, 4, 0.0)
    # 1 % for each coordinate, 20 % for each figure.
    assert found.chance == pytest.approx(0.01**4 * 0.2**2)
    assert found.is_alike


def test_what_moves_together_is_one_choice() -> None:
    found = near(plan(), plan(moved(dx=20)))
    assert (found.same, found.nudged, found.farthest) == (4, 2, 20.0)
    # (2 x 20 + 20) / 2000 once, though two were moved; two heights; two figures.
    assert found.chance == pytest.approx(0.03 * 0.01**2 * 0.2**2)


@pytest.mark.parametrize(
    ("dx", "nudged", "places_near"), [(0.5, 0, 4), (0.6, 2, 4), (60, 2, 4), (60.1, 0, 2)]
)
def test_a_place_is_touched_up_by_more_than_half_a_millimetre_and_at_most_60(
    dx: float, nudged: int, places_near: int
) -> None:
    found = near(plan(), plan(moved(dx=dx)))
    assert (found.nudged, found.places, found.places_near) == (nudged, 4, places_near)


@pytest.mark.parametrize(
    ("length", "same", "nudged"),
    [(12000, 2, 0), (13200, 1, 1), (10920, 1, 1), (14400, 1, 0), (9000, 1, 0)],
)
def test_a_figure_is_touched_up_by_at_most_15_percent(
    length: float, same: int, nudged: int
) -> None:
    found = near(plan(THREE), plan(THREE, cable_s_length=length))
    assert (found.same - 6, found.nudged, found.cells) == (same, nudged, 8)


def test_where_too_many_figures_differ_no_place_is_looked_at() -> None:
    # One of two figures; at most 15 % of six cells may differ, which is none.
    one, other = plan(), plan(cable_s_length=20000)
    assert measure_near(one, other, Spread([one, other])) is None


def test_what_the_brief_gives_and_neither_moved_is_no_choice() -> None:
    assert near(plan(), plan(), brief=plan()) == replace(
        near(plan(), plan()), same=0, cells=0, chance=1.0, places=0, places_near=0
    )
    # Half a millimetre is a move; all but the sensor's and the thermostat's way across is given.
    found = near(plan(moved(dx=0.5)), plan(moved(dx=0.5)), brief=plan())
    assert (found.cells, found.same) == (2, 2)
    found = near(plan(), plan(moved(dx=0.5)), brief=plan())
    assert (found.cells, found.same) == (2, 2)


def test_what_most_of_the_class_chose_is_not_free() -> None:
    one = plan()
    others = [plan(moved(dx=200.0 * n, dy=300.0 * n)) for n in range(1, 9)]
    found = there(measure_near(one, one, Spread([one, one, *others])))
    # Both figures are the same in all ten.
    assert (found.cells, found.same, found.places) == (4, 4, 4)


def test_what_only_one_has_agrees_with_nothing() -> None:
    more = plan(THREE)
    for one, other in ((plan(), more), (more, plan())):
        found = near(one, other)
        assert (found.cells, found.same, found.places, found.places_near) == (8, 6, 6, 4)
    fewer = replace(more, figures=FIGURES[:1])
    for one, other in ((more, fewer), (fewer, more)):
        found = near(one, other)
        assert (found.cells, found.same, found.places) == (8, 7, 6)


def test_a_kind_that_stands_there_twice_is_compared_in_order() -> None:
    bends: Spots = (("lead's bend", (10.0, 20.0)), ("lead's bend", (500.0, 900.0)))
    found = near(plan(bends), plan(bends))
    assert (found.same, found.places) == (6, 4)
    found = near(plan(bends), plan(bends[::-1]))
    assert (found.same, found.places_near) == (2, 0)


def test_a_copy_that_was_turned_is_laid_on_the_other() -> None:
    one = plan()
    turned = Traits(
        rooms=(one.rooms[0].turned((-1, 0, 0, 1)),),  # mirrored left to right
        figures=one.figures,
    )
    assert near(turned, one) == near(one, one)


def test_plans_that_are_not_built_alike_are_not_measured() -> None:
    one = plan()
    two_rooms = Traits(rooms=one.rooms * 2, figures=one.figures)
    one_strip = replace(one, rooms=(replace(one.rooms[0], rects=STRIPS[:1]),))
    no_strip = replace(one, rooms=(replace(one.rooms[0], rects=()),))
    for other in (two_rooms, one_strip):
        assert measure_near(one, other, Spread([one, other])) is None
    assert measure_near(no_strip, no_strip, Spread([no_strip])) is None


@pytest.mark.parametrize(("dx", "measured"), [(150.0, True), (150.1, False)])
def test_strips_of_a_copy_lie_within_150_mm(dx: float, measured: bool) -> None:
    one = plan()
    shifted = tuple((kind, (x + dx, y), half) for kind, (x, y), half in STRIPS)
    other = replace(one, rooms=(replace(one.rooms[0], rects=shifted),))
    assert (measure_near(one, other, Spread([one, other])) is not None) is measured
