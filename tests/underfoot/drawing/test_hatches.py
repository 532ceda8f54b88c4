"""Layers of a section can be told apart by their hatches, and each hatch is named."""

import re

import pytest
import shapely

from tests.underfoot.drawing.rooms import every_room, places_of
from underfoot.drawing.hatches import draw_hatch, find_hatch, say_hatch
from underfoot.drawing.section import draw_section, find_layers

ROOMS = tuple(every_room())
_WIDE, _HIGH = 26.0, 7.0


def strokes(drawn: str) -> list[shapely.LineString]:
    ways = re.findall(r' d="([^"]+)"', drawn)
    return [shapely.LineString(line) for way in ways for line in places_of(way)]


@pytest.mark.parametrize(
    ("kind", "name", "hatch"),
    [
        ("insulation", "boards board-10", "insulation"),
        ("subfloor", "foam under the slab", "insulation"),
        ("subfloor", "mineral wool between joists", "insulation"),
        ("concrete", "concrete", "concrete"),
        ("subfloor", "screed", "screed"),
        ("subfloor", "floorboards", "wood"),
        ("subfloor", "joist space and plasterboard", "cut"),
        ("covering", "oak-14, engineered wood", "wood"),
        ("covering", "cork-8, cork parquet", "cut"),
        ("covering", "tile-10, ceramic tile", "cut"),
        ("below", "below: ground", "ground"),
        ("below", "below: heated", None),
    ],
)
def test_a_hatch_follows_what_a_layer_is_made_of(kind: str, name: str, hatch: str | None) -> None:
    assert find_hatch(kind, name) == hatch


def test_cut_parts_are_hatched_at_45_degrees_neighbours_otherwise() -> None:
    ways = {}
    for place in range(4):
        lines = strokes(draw_hatch("cut", place, _WIDE, 0.0, _HIGH))
        ends = [line.coords for line in lines]
        # At 45 degrees a line rises as much as it goes across.
        (rise,) = {round((a[1] - b[1]) / (b[0] - a[0]), 3) for a, b in ends}
        assert rise in (1.0, -1.0)
        assert len(lines) > 5
        ways[place] = (rise, len(lines))
    assert all(ways[place] != ways[place + 1] for place in range(3))
    assert ways[0] != ways[2]


@pytest.mark.parametrize("hatch", ["insulation", "concrete", "screed", "wood", "ground", "cut"])
@pytest.mark.parametrize("place", [0, 1, 2, 3])
@pytest.mark.parametrize("high", [5.0, 5.6, 9.6])
def test_a_hatch_stays_in_its_layer(hatch: str, place: int, high: float) -> None:
    drawn = draw_hatch(hatch, place, _WIDE, 10.0, high)  # type: ignore[arg-type]
    layer = shapely.box(-0.01, 9.99, _WIDE + 0.01, 10.01 + high)
    assert all(layer.covers(line) for line in strokes(drawn))
    dots = re.findall(r'cx="([0-9.]+)" cy="([0-9.]+)"', drawn)
    assert all(layer.covers(shapely.Point(float(x), float(y))) for x, y in dots)
    assert strokes(drawn) or dots


def test_each_hatch_is_named_beside_its_layer() -> None:
    seen = set()
    for _, _, facts in ROOMS:
        section = draw_section(facts.drawn, 95.0)
        for layer in find_layers(facts.drawn):
            hatch = find_hatch(layer.kind, layer.name)
            seen.add(hatch)
            if section is not None and hatch not in (None, "cut"):
                text = " ".join(re.sub(r"<[^>]+>", " ", section.drawn).split())
                assert (layer.name + say_hatch(hatch, layer.name)) in text
                assert str(hatch) in (layer.name + say_hatch(hatch, layer.name)).lower()
    assert seen == {"insulation", "concrete", "screed", "wood", "ground", "cut", None}
