"""Walls askew are as long on the sheet as a tape finds them, each said once and beside its wall."""

import math
from itertools import pairwise

import pytest
import shapely

from tests.underfoot.drawing.measured import Measured
from tests.underfoot.drawing.rooms import PLANS, places_of, read_text, right, rooms_of
from tests.underfoot.drawing.test_to_lay_from import turned_room
from underfoot.checking.facts import RoomFacts
from underfoot.drawing import draw_room, draw_sheets
from underfoot.plan import Plan


def attic() -> tuple[Plan, RoomFacts]:
    plan = read_text((PLANS / "attic.yaml").read_text(encoding="utf-8"))
    return plan, rooms_of(plan)["attic"]


@pytest.mark.parametrize("seed", [None, 0, 1, 2])
def test_each_wall_askew_says_its_length(seed: int | None) -> None:
    plan, facts = attic() if seed is None else turned_room(seed)
    first, *more = (Measured(svg) for svg in draw_sheets(facts, plan, right(plan)))
    said = [each for each in first.texts if "label" in each.within and "wall " in each.words]
    listed = " ".join(text.words for sheet in (first, *more) for text in sheet.texts)
    walls = list(pairwise(facts.outline.exterior.coords))
    assert len(walls) >= 4
    for start, end in walls:
        long = f"{math.dist(start, end):.0f}"
        same = [1 for a, b in walls if f"{math.dist(a, b):.0f}" == long]
        beside = [text for text in said if text.words == f"wall {long}"]
        assert len(beside) + listed.count(f": {long} long") == len(same)
    # They lie along their walls: outside the room, or just inside, no farther than two lines.
    (outline,) = first.of_class("outline")
    edges = shapely.Polygon(places_of(outline.get("d") or "")[0]).boundary
    assert said
    assert all(text.shape.centroid.distance(edges) < 8.0 for text in said)


def test_walls_along_the_rows_of_dimensions_do_not() -> None:
    plan = read_text((PLANS / "bedroom.yaml").read_text(encoding="utf-8"))
    assert ">wall " not in draw_room(rooms_of(plan)["bedroom"], plan, right(plan))


def test_a_curve_of_many_facets_says_none() -> None:
    turns = [math.tau * each / 40 for each in range(40)]
    corners = [[round(3000 + 2900 * math.cos(a)), round(3000 + 2900 * math.sin(a))] for a in turns]
    plan = read_text(
        "plan_format: 1\nmaterials: {}\nsupply: {voltage: 230 V}\ncircuits: {C1: {}}\n"
        f"rooms: {{room: {{outline: {corners}}}}}\n"
    )
    svg = draw_room(rooms_of(plan)["room"], plan, right(plan))
    assert 'class="outline"' in svg
    assert ">wall " not in svg
