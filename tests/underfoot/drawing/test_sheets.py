"""Sheets and scales."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.underfoot.drawing.rooms import PLANS, read, wrong
from underfoot.drawing.sheets import (
    PAPERS,
    SCALES,
    Box,
    choose_sheet,
    finest_scale,
    lay_out,
    look_at,
)
from underfoot.drawing.title_block import Named, find_rows

PLAN = read(PLANS / "bedroom.yaml")


@pytest.mark.parametrize(
    ("paper", "landscape", "size"),
    [  # ISO 216
        ("A4", False, (210, 297)),
        ("A4", True, (297, 210)),
        ("A3", False, (297, 420)),
        ("A3", True, (420, 297)),
    ],
)
def test_sheets_have_the_sizes_of_the_standard(
    paper: str, landscape: bool, size: tuple[int, int]
) -> None:
    layout = lay_out(paper, landscape)
    assert (layout.width, layout.height) == size


@pytest.mark.parametrize("in_column", [False, True])
@pytest.mark.parametrize("landscape", [False, True])
@pytest.mark.parametrize("paper", ["A4", "A3"])
def test_parts_of_a_sheet_lie_in_its_frame_and_apart(
    paper: str, landscape: bool, in_column: bool
) -> None:
    layout = lay_out(paper, landscape, in_column)
    frame = layout.frame
    _lie_apart([layout.drawing, layout.title, layout.caution, layout.head], frame)
    # The fields fill the title block: 180 mm wide at the foot, as ISO 7200 has it.
    rows = find_rows(
        layout,
        PLAN,
        wrong(),
        Named(room="bedroom", called="bedroom", scale=20),
    )
    wide = 54.0 if in_column else 180.0
    assert layout.title.width == wide
    assert [sum(cell.width for cell in cells) for _, cells in rows] == [wide] * len(rows)
    assert sum(height for height, _ in rows) <= layout.title.height


def _lie_apart(parts: list[Box], frame: Box) -> None:
    for part in parts:
        assert part.left >= frame.left - 1e-9
        assert part.top >= frame.top - 1e-9
        assert part.right <= frame.right + 1e-9
        assert part.bottom <= frame.bottom + 1e-9
    for place, one in enumerate(parts):
        for other in parts[place + 1 :]:
            apart = (
                one.right <= other.left + 1e-9
                or other.right <= one.left + 1e-9
                or one.bottom <= other.top + 1e-9
                or other.bottom <= one.top + 1e-9
            )
            assert apart, (one, other)


@given(st.integers(400, 30_000), st.integers(400, 30_000))
def test_a_room_gets_the_largest_scale_and_the_lists_what_is_left(wide: int, high: int) -> None:
    extent, margins = (0.0, 0.0, wide, high), (20.0, 9.0, 9.0, 20.0)
    chosen = choose_sheet(extent, margins)
    _lie_apart([chosen.room, *chosen.lists], chosen.layout.drawing)
    assert chosen.room.width >= wide / chosen.scale + 29.0 - 1e-9
    assert chosen.room.height >= high / chosen.scale + 29.0 - 1e-9
    for paper in PAPERS:
        assert choose_sheet(extent, margins, paper).scale >= chosen.scale
    if chosen.layout.paper == "A3":
        assert choose_sheet(extent, margins, "A4").scale > chosen.scale
    finer = SCALES[SCALES.index(chosen.scale) - 1]
    for landscape in (True, False):
        for in_column in (True, False):
            drawing = lay_out("A3", landscape, in_column).drawing
            assert wide / finer + 29.0 > drawing.width or high / finer + 29.0 > drawing.height


@pytest.mark.parametrize(
    ("wide", "scale"),
    [
        (100.0, 1),
        (100.001, 2),
        (2000.0, 20),  # 2000 / 20 = 100
        (2000.1, 50),
        (5000.0, 50),
        (5000.1, 100),
        (10_000.0, 100),
    ],
)
def test_the_largest_standard_scale_that_fits_is_taken(wide: float, scale: int) -> None:
    assert finest_scale((0.0, 0.0, wide, 1.0), Box(left=0, top=0, width=100, height=100)) == scale


def test_nothing_fits_beyond_the_smallest_scale() -> None:
    too_wide = 100.0 * SCALES[-1] + 1
    assert (
        finest_scale((0.0, 0.0, too_wide, 1.0), Box(left=0, top=0, width=100, height=100)) is None
    )


def test_a_view_keeps_lengths_and_turns_y_up() -> None:
    view = look_at((0.0, 0.0, 1000.0, 500.0), Box(left=10, top=10, width=100, height=100), 10)
    left, low = view.place((0.0, 0.0))
    right, high = view.place((1000.0, 500.0))
    assert right - left == pytest.approx(100.0)  # 1000 mm at 1:10
    assert low - high == pytest.approx(50.0)
    assert (left, low) == pytest.approx((10.0, 85.0))  # in the middle: (100 - 50) / 2 = 25 free
