"""A room on the page, wherever in its plan it lies."""

import pytest

from tests.underfoot.drawing.rooms import rooms_of
from tests.underfoot.drawing.test_odd_rooms import plan_of
from underfoot.drawing import SheetOptions
from underfoot.drawing.scene import find_extent
from underfoot.page.drawn_room import _scene, width_of


@pytest.mark.parametrize(("wide", "high"), [(2000, 6000), (6000, 2000)])
@pytest.mark.parametrize(("x", "y"), [(0, 0), (30_000, 5_000), (-4_000, 20_000)])
def test_a_room_is_drawn_as_large_wherever_it_lies(x: int, y: int, wide: int, high: int) -> None:
    corners = [[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]]
    plan = plan_of(outline=str(corners))
    (facts,) = rooms_of(plan).values()
    view = _scene(facts, plan, SheetOptions()).view
    left, low, right, top = find_extent(facts)
    (a, b), (c, d) = view.places(((left, low), (right, top)))
    # On 207 by 207 mm its longer way takes all, the other is in the same scale; both in the middle.
    assert max(c - a, b - d) == pytest.approx(207)
    assert (a + c, b + d) == pytest.approx((207, 207))
    assert (c - a) / (b - d) == pytest.approx((right - left) / (top - low))
    (first,) = rooms_of(plan_of(outline=f"[[0, 0], [{wide}, 0], [{wide}, {high}], [0, {high}]]")
                        ).values()  # fmt: skip
    assert width_of(facts) == pytest.approx(width_of(first))
