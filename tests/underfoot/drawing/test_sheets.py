"""Sheets and scales."""

from __future__ import annotations

import pytest

from underfoot.drawing.sheets import (
    SCALES,
    Box,
    choose_sheet,
    finest_scale,
    lay_out,
    look_at,
)

NONE = (0.0, 0.0, 0.0, 0.0)


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


@pytest.mark.parametrize("landscape", [False, True])
@pytest.mark.parametrize("paper", ["A4", "A3"])
def test_parts_of_a_sheet_lie_in_its_frame_and_apart(paper: str, landscape: bool) -> None:
    layout = lay_out(paper, landscape)
    parts = [layout.drawing, layout.title, layout.caution, *layout.panels]
    if layout.legend is not None:
        parts.append(layout.legend)
    frame = layout.frame
    for part in parts:
        assert part.left >= frame.left
        assert part.top >= frame.top
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


def test_a_small_room_goes_on_a4_and_a_large_one_on_a3() -> None:
    small, _ = choose_sheet((0, 0, 3000, 3000), NONE, "auto")
    large, _ = choose_sheet((0, 0, 11_000, 9000), NONE, "auto")
    assert small.paper == "A4"
    assert large.paper == "A3"
    assert choose_sheet((0, 0, 3000, 3000), NONE, "A3")[0].paper == "A3"


def test_a_hall_that_a3_shows_no_larger_stays_on_a4() -> None:
    drawing = lay_out("A4", True).drawing
    # Just fits A4 at 1:200; on A3, 1.5 times as wide, 1:100 would ask for twice the width.
    wide = drawing.width * 200
    layout, scale = choose_sheet((0, 0, wide, 1000), NONE, "auto")
    assert (layout.paper, scale) == ("A4", 200)


def test_a_view_keeps_lengths_and_turns_y_up() -> None:
    view = look_at((0.0, 0.0, 1000.0, 500.0), Box(left=10, top=10, width=100, height=100), 10)
    left, low = view.place((0.0, 0.0))
    right, high = view.place((1000.0, 500.0))
    assert right - left == pytest.approx(100.0)  # 1000 mm at 1:10
    assert low - high == pytest.approx(50.0)
    assert (left, low) == pytest.approx((10.0, 85.0))  # in the middle: (100 - 50) / 2 = 25 free
