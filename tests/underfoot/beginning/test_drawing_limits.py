"""Drawings in DXF that are too large, too deep, or none."""

import pytest

from tests.underfoot.beginning.drawings import ROOM, closed, new_drawing, saved, text
from tests.underfoot.beginning.read_drawings import refused, rooms_of
from underfoot.beginning import drawing_entities, drawing_file
from underfoot.beginning.begin import FromDrawing, read_outlines
from underfoot.beginning.drawing_entities import DEEPEST_BLOCK
from underfoot.beginning.drawing_file import read_drawing_file
from underfoot.beginning.found import CannotBeginError


def test_blocks_too_deep_and_too_many_are_refused() -> None:
    drawing = new_drawing(4)
    closed(drawing.blocks.new("B0"), ROOM)
    for depth in range(1, DEEPEST_BLOCK + 1):
        drawing.blocks.new(f"B{depth}").add_blockref(f"B{depth - 1}", (0, 0))
    drawing.modelspace().add_blockref(f"B{DEEPEST_BLOCK - 1}", (0, 0))
    assert len(rooms_of(drawing)) == 1
    drawing.modelspace().add_blockref(f"B{DEEPEST_BLOCK}", (0, 0))
    assert "more than 16 deep" in refused(drawing)


def test_blocks_that_multiply_are_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    drawing = new_drawing(4)
    closed(drawing.blocks.new("B0"), ROOM)
    for depth in range(1, 8):
        block = drawing.blocks.new(f"B{depth}")
        for _ in range(10):
            block.add_blockref(f"B{depth - 1}", (0, 0))
    drawing.modelspace().add_blockref("B7", (0, 0))
    monkeypatch.setattr(drawing_entities, "MOST_ENTITIES", 500)
    assert "with its blocks opened out the drawing has more than 500 things" in refused(drawing)
    # B7 stands once, each of the others ten times in the next, B0's line in each of its places.
    things = 1 + sum(10**level for level in range(1, 3)) + 10**2
    shallow = new_drawing(4)
    closed(shallow.blocks.new("B0"), ROOM)
    for depth in (1, 2):
        block = shallow.blocks.new(f"B{depth}")
        for _ in range(10):
            block.add_blockref(f"B{depth - 1}", (0, 0))
    shallow.modelspace().add_blockref("B2", (0, 0))
    # Each insert counts as it is met and for each of its places.
    monkeypatch.setattr(drawing_entities, "MOST_ENTITIES", 2 * (things - 10**2) + 10**2)
    assert read_drawing_file(saved(shallow), None).loops
    monkeypatch.setattr(drawing_entities, "MOST_ENTITIES", 2 * (things - 10**2) + 10**2 - 1)
    assert "has more than" in refused(shallow)
    monkeypatch.setattr(drawing_entities, "MOST_ENTITIES", 100_000)
    monkeypatch.setattr(drawing_entities, "MOST_LOOPS", 50)
    assert "more than 50 closed lines" in refused(drawing)
    wide = new_drawing(4)
    closed(wide.blocks.new("B0"), ROOM)
    wide.modelspace().add_blockref(
        "B0",
        (0, 0),
        dxfattribs={
            "row_count": 30000,
            "column_count": 30000,
            "row_spacing": 1,
            "column_spacing": 1,
        },
    )
    assert "stands in 900,000,000 places" in refused(wide)


def test_a_drawing_too_large_is_refused_before_it_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    drawing = new_drawing(4)
    for _ in range(9):
        closed(drawing.modelspace(), ROOM)
    source = saved(drawing)
    lines = source.count(b"\n")
    things = sum(line.strip() == b"0" for line in source.split(b"\n")[::2])
    # A drawing of nothing has some hundred things of its own.
    assert 50 < things < lines / 4
    for name, most in (("MOST_LINES", lines), ("MOST_THINGS", things)):
        monkeypatch.setattr(drawing_file, name, most)
        assert read_drawing_file(source, None).loops
        monkeypatch.setattr(drawing_file, name, most - 1)
        with pytest.raises(CannotBeginError, match="the drawing is too large: at most"):
            read_drawing_file(source, None)
        monkeypatch.undo()


def test_an_outline_of_more_corners_than_a_plan_has_is_refused() -> None:
    drawing = new_drawing(4)
    steps = [(x * 0.5, 3000 + x % 2) for x in range(10_000, 0, -1)]
    closed(drawing.modelspace(), [(0, 0), (5000, 0), *steps])
    assert "has, or what stands in it, 10,002 corners; a plan has at most" in refused(drawing)


@pytest.mark.parametrize(
    ("source", "says"),
    [
        (b"", "there is no closed polyline in the drawing"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLINE\n", "there is no closed polyline"),
        (b"hello\nworld\n" * 50, "this cannot be read as DXF"),
        (b"\0\1\2" * 99, "this is no DXF in text form"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n10\nnan\n20\n1e400\n0\nENDSEC\n0\nEOF\n", "."),
        (b"999999999999999999999999999\nSECTION\n", "."),
    ],
)
def test_what_is_no_drawing_is_refused_in_words(source: bytes, says: str) -> None:
    with pytest.raises(CannotBeginError, match=says):
        read_outlines("a.dxf", source, FromDrawing(unit="mm"))


def test_a_drawing_with_bytes_missing_never_ends_in_a_traceback() -> None:
    drawing = new_drawing()
    block = drawing.blocks.new("B")
    closed(block, [(0, 0, 0.5), (4000, 0, 0), (4000, 3000, 0)], form="xyb")
    drawing.modelspace().add_blockref("B", (0, 0)).add_attrib("NAME", "Hall", (10, 10))
    text(drawing.modelspace(), "Hall", (3000, 1000))
    source = saved(drawing)
    start = source.index(b"BLOCKS")
    for cut in range(start, len(source), 997):
        for broken in (source[:cut], source[:cut] + source[cut + 5 :]):
            try:
                read_outlines("a.dxf", broken, FromDrawing())
            except CannotBeginError:
                continue
