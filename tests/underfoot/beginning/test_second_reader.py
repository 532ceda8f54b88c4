"""Drawings with blocks in blocks, read by another reader of DXF too: the same outlines."""

import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import shapely

from tests.underfoot.beginning.drawings import closed, new_drawing, saved
from underfoot.beginning.curves import flatten
from underfoot.beginning.drawing_file import read_drawing_file

pytestmark = pytest.mark.oracle


@pytest.mark.parametrize("seed", range(12))
def test_both_readers_find_the_same_outlines(seed: int, tmp_path: Path) -> None:
    pyogrio = pytest.importorskip("pyogrio", reason="comes with momepy of the extra `test`")
    chance = random.Random(seed)
    drawing = new_drawing(4, "ROOMS")
    for number in range(3):
        block = drawing.blocks.new(f"B{number}", base_point=(chance.uniform(-99, 99), 7))
        corners = [(0, 0), (chance.uniform(600, 900), 0), (300, chance.uniform(600, 900))]
        bulges = [chance.choice([0, 0, 0.4, -0.2]) for _ in corners]
        closed(block, [(*at, by) for at, by in zip(corners, bulges, strict=True)], "0", "xyb")
        if number:
            _insert(chance, block, f"B{number - 1}")
    for _ in range(4):
        _insert(chance, drawing.modelspace(), "B2")
    _insert(chance, drawing.modelspace(), "B0")
    source = saved(drawing)
    ours = [
        shapely.Polygon(flatten(loop.pieces, floor_inside=True, error=0.05))
        for loop in read_drawing_file(source, None).loops
    ]
    place = tmp_path / "a.dxf"
    place.write_bytes(source)
    _, _, geometry, _ = pyogrio.raw.read(place)
    theirs = [
        shapely.Polygon(part.coords)
        for whole in map(shapely.from_wkb, geometry)
        for part in _lines(whole)
    ]
    assert len(ours) == len(theirs) == 4 * 3 + 1
    for shape in ours:
        near = min(theirs, key=lambda other: shape.hausdorff_distance(other))
        # The other reader draws arcs in steps of 4 degrees: up to r (1 - cos 2 deg) off.
        assert shape.hausdorff_distance(near) < 2.0
        assert shape.area == pytest.approx(near.area, rel=0.01)


def _lines(shape: Any) -> Iterator[Any]:
    if hasattr(shape, "geoms"):
        for part in shape.geoms:
            yield from _lines(part)
    else:
        yield shape


def _insert(chance: random.Random, layout: Any, name: str) -> None:
    size = chance.uniform(0.8, 1.5)
    layout.add_blockref(
        name,
        (chance.uniform(-20_000, 20_000), chance.uniform(-20_000, 20_000)),
        dxfattribs={
            "xscale": size * chance.choice([1, -1]),
            "yscale": size,
            "rotation": chance.uniform(0, 360),
            "layer": "ROOMS",
        },
    )
