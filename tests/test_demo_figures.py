"""The demo plans' figures are invented: unlike one another, and unlike those that the limits name.

The limits' own figures stand in the rules' base plan and on the rules' pages, which test them.
"""

from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tests.demo_plans import PLANS
from tests.underfoot.drawing.rooms import read, read_text
from underfoot.plan import Plan, Room
from underfoot_rules import STANDARD

# These keep the figures of the base plan: guides and tests quote them line by line.
KEPT = {
    "bedroom.yaml",
    "study.yaml",
    "as-reviewed/sewing-room.yaml",
    "as-laid/sewing-room.yaml",
}
# How many different ones there are at least over all demo plans.
SPREAD = {
    "width of film": 10,
    "output": 14,
    "cut distance": 10,
    "longest strip": 12,
    "board": 8,
    "thickness of board": 8,
    "width of sheet": 6,
    "lap": 10,
    "border": 8,
    "channel": 8,
    "conduit": 6,
    "height of thermostat": 12,
    "height of box": 8,
    "thickness of covering": 8,
    "supply": 5,
}


def figures_of_room(room: Room) -> Iterator[tuple[str, Any]]:
    """Yield what a room shows of its films, boards, sheets, channels, distances and heights."""
    for strip in room.elements:
        yield "width of film", strip.film.width
        yield "output", strip.film.rated_w_m2
        yield "cut distance", strip.film.cut_every
        yield "longest strip", strip.film.longest_strip
    if room.elements and room.elements[0].along != "angle":
        yield from (("border", from_wall) for from_wall in room.elements[0].at)
    if room.insulation is not None and room.insulation.board is not None:
        yield "board", room.insulation.board.size
        yield "thickness of board", room.insulation.board.thickness
    if room.membrane is not None and room.membrane.sheet is not None:
        yield "width of sheet", room.membrane.sheet.width
        yield from (("lap", run.overlap) for run in room.membrane.runs)
    sensor = room.sensor
    for what, cut in (
        ("channel", None if sensor is None else sensor.channel),
        ("conduit", None if sensor is None else sensor.conduit),
    ):
        if cut is not None:
            yield what, (cut.width, cut.depth)
    if room.thermostat is not None:
        yield "height of thermostat", room.thermostat.height
    if room.junction_box is not None and room.junction_box.height is not None:
        yield "height of box", room.junction_box.height
    for area in room.coverings:
        yield "thickness of covering", area.covering.thickness


def figures_of(plan: Plan) -> dict[str, set[Any]]:
    """Return each kind of figure in a plan with those that occur."""
    found: defaultdict[str, set[Any]] = defaultdict(set)
    found["supply"].add(plan.supply.available_a)
    for room in plan.rooms.values():
        for what, figure in figures_of_room(room):
            found[what].add(figure)
    return found


@cache
def demo_plans() -> dict[str, Plan]:
    places = [each for each in PLANS.rglob("*.yaml") if "plan_format" in each.read_text("utf-8")]
    return {place.relative_to(PLANS).as_posix(): read(place) for place in sorted(places)}


@cache
def base_plan() -> dict[str, set[Any]]:
    return figures_of(read_text(STANDARD.base_plan))


def limit(rule: str, key: str) -> float:
    (found,) = (each for each in STANDARD.rules if each.id == rule)
    return next(each.default for each in found.limits if each.key == key)


def test_kept_plans_are_few_and_there() -> None:
    assert set(demo_plans()) >= KEPT
    assert len(KEPT) <= len(demo_plans()) / 8


def test_figures_differ_among_the_plans() -> None:
    found: defaultdict[str, set[Any]] = defaultdict(set)
    for plan in demo_plans().values():
        for what, figures in figures_of(plan).items():
            found[what] |= figures
    assert {what: len(found[what]) >= least for what, least in SPREAD.items()} == dict.fromkeys(
        SPREAD, True
    )


@pytest.mark.parametrize("name", sorted(set(demo_plans()) - KEPT))
def test_no_figure_of_a_plan_is_the_base_plans(name: str) -> None:
    found = figures_of(demo_plans()[name])
    assert {what: figures & base_plan()[what] for what, figures in found.items()} == {
        what: set() for what in found
    }


@pytest.mark.parametrize("name", sorted(set(demo_plans()) - KEPT))
def test_no_figure_of_a_plan_is_a_limits_own(name: str) -> None:
    found = figures_of(demo_plans()[name])
    width, depth = (limit("sensor-channel", key) for key in ("width", "depth"))
    assert not [each for each in found["channel"] if each[0] == width or each[1] == depth]
    assert limit("thermostat-height", "height") not in found["height of thermostat"]
    assert limit("membrane-overlap", "minimum") not in found["lap"]
    assert not {limit("wall-clearance", key) for key in ("minimum", "planned")} & found["border"]
    # A strip as wide as the sensor is to lie deep is what the rules count circuits in, too.
    assert limit("sensor-depth", "minimum") not in found["width of film"]


def test_every_plan_and_the_catalogue_say_that_figures_are_invented() -> None:
    silent = [
        place.relative_to(PLANS).as_posix()
        for place in sorted(PLANS.rglob("*.yaml"))
        if ("plan_format" in (text := place.read_text("utf-8")) or "catalogue_format" in text)
        and "invented" not in text
    ]
    assert silent == []


def test_films_of_the_catalogue_are_unlike_one_another() -> None:
    films = read_text(
        STANDARD.base_plan + "\ncatalogue: catalogue.yaml\n", folder=Path(PLANS)
    ).materials.films.values()
    shared = [film for film in films if film.id.removeprefix("film-") != "80"]
    assert len(shared) >= 7
    for of in ("width", "rated_w_m2", "cut_every", "longest_strip"):
        assert len({getattr(film, of) for film in shared}) == len(shared), of
