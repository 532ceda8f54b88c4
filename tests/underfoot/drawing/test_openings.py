"""Doors, windows and passages on paper: gaps in the wall, leaves that swing the right way."""

import io
import math
import re
from xml.etree import ElementTree

import ezdxf
import pytest
import shapely

from tests.underfoot.drawing.demo_sheets import EACH_ROOM, ROOMS, plain
from tests.underfoot.drawing.measured import Measured
from tests.underfoot.drawing.rooms import PLANS, SVG, parse, places_of, read_text, right, rooms_of
from underfoot.checking.facts import RoomFacts
from underfoot.drawing import LAYERS, SheetOptions, draw_room
from underfoot.drawing.dxf import draw_dxf
from underfoot.drawing.openings import find_leaves
from underfoot.physics.shapes import way_inside
from underfoot.plan import Opening, Plan

# By each wall of the bedroom, 3650 by 3120, and of each kind; the fixtures do not matter here.
OPENED = """\
    openings:
      door: {kind: door, from: [3650, 120], to: [3650, 940], hinge: from, opens: inwards}
      porch: {kind: door, from: [0, 200], to: [0, 1100], hinge: to, opens: outwards}
      pair: {kind: door, from: [2000, 3120], to: [3200, 3120], hinge: both, opens: inwards}
      slide: {kind: door, from: [200, 0], to: [1000, 0], opens: slides}
      window: {kind: window, from: [1200, 0], to: [2400, 0]}
      arch: {kind: passage, from: [2500, 0], to: [3500, 0]}
"""


def opened(north: str = "-y") -> tuple[Plan, RoomFacts]:
    text = (PLANS / "bedroom.yaml").read_text(encoding="utf-8")
    text, count = re.subn(r"    openings:.*?(?=    height:)", OPENED, text, flags=re.DOTALL)
    assert count == 1
    plan = read_text(re.sub(r"^north: .*$", f"north: {north}", text, flags=re.MULTILINE))
    return plan, rooms_of(plan)["bedroom"]


def drawn_of(root: ElementTree.Element, item: str) -> ElementTree.Element:
    (group,) = (
        each
        for each in root.iter(f"{SVG}g")
        if each.get("class") == "opening" and each.get("data-item") == item
    )
    return group


def ways_of(group: ElementTree.Element) -> list[list[tuple[float, float]]]:
    return [way for path in group.iter(f"{SVG}path") for way in places_of(path.get("d") or "")]


@pytest.mark.parametrize(
    ("name", "into", "edges"),
    [
        # 820 wide, hung at the low end of the right wall: the leaf stands 820 into the room.
        ("door", (-1, 0), [(3650 - 820, 120)]),
        # 900 wide, hung at y = 1100 of the left wall: outside, as far as is asked for here.
        ("porch", (1, 0), [(-900, 1100)]),
        # Two leaves of 600, hung at both ends of the upper wall.
        ("pair", (0, -1), [(2000, 3120 - 600), (3200, 3120 - 600)]),
        ("slide", (0, 1), []),
        ("window", (0, 1), []),
        ("arch", (0, 1), []),
    ],
)
def test_leaves_swing_as_the_plan_says(
    name: str, into: tuple[int, int], edges: list[tuple[int, int]]
) -> None:
    _, facts = opened()
    opening = facts.drawn.openings[name]
    assert way_inside(facts.outline, *opening.line) == pytest.approx(into)
    leaves = find_leaves(facts.outline, opening, math.inf)
    assert [leaf.edge for leaf in leaves] == [pytest.approx(edge, abs=1e-6) for edge in edges]
    for leaf in leaves:
        # Along the arc the edge keeps its distance from the hinge, from closed to open.
        assert {round(math.dist(leaf.hinge, spot), 6) for spot in leaf.arc} == {
            round(math.dist(leaf.hinge, leaf.edge), 6)
        }
        assert shapely.LineString(opening.line).distance(shapely.Point(leaf.arc[0])) < 1e-6


def test_a_leaf_outside_is_no_farther_open_than_there_is_paper() -> None:
    _, facts = opened()
    (leaf,) = find_leaves(facts.outline, facts.drawn.openings["porch"], 130.0)
    assert leaf.edge[0] == pytest.approx(-130)
    assert math.dist(leaf.hinge, leaf.edge) == pytest.approx(900)
    inwards = facts.drawn.openings["door"]
    assert find_leaves(facts.outline, inwards, 130.0) == find_leaves(facts.outline, inwards, 9e9)


def test_a_door_of_which_too_little_is_said_has_no_leaf() -> None:
    _, facts = opened()
    for hinge, opens in ((None, "inwards"), ("from", None), (None, None)):
        door = Opening(
            id="d", path="d", kind="door", line=((0, 0), (800, 0)), hinge=hinge, opens=opens
        )
        assert find_leaves(facts.outline, door, 1.0) == []


def test_each_is_a_gap_in_its_wall_on_the_sheet_and_named_with_its_width() -> None:
    plan, facts = opened()
    root = parse(draw_room(facts, plan, right(plan)))
    counts, scales = {}, set()
    for name in facts.drawn.openings:
        ways = ways_of(drawn_of(root, name))
        counts[name] = len(ways)
        # As deep as the wall is drawn, 1.5 mm; as wide as it is at the sheet's scale.
        wide = shapely.Polygon(ways[0]).area / 1.5
        scales.add(round(facts.drawn.openings[name].width / wide))
    assert len(scales) == 1
    # Gap and jambs; four panes; a step, a leaf and its arc, two leaves, one without an arc, none.
    assert counts == {"door": 6, "porch": 6, "pair": 8, "slide": 5, "window": 7, "arch": 4}
    text = "\n".join(each.text or "" for each in root.iter(f"{SVG}text"))
    for words in ("door, 820", "porch, 900", "pair, 1200", "window, 1200", "arch, 1000"):
        assert words in text
    bare = parse(draw_room(facts, plan, right(plan), SheetOptions(layers=("strips",))))
    assert not [each for each in bare.iter() if each.get("class") == "opening"]


@pytest.mark.parametrize(
    ("north", "ahead"),
    [("y", (0, -1)), ("-y", (0, 1)), ("x", (1, 0)), ("30 deg", (math.sqrt(3) / 2, -0.5))],
)
def test_the_arrow_points_north(north: str, ahead: tuple[float, float]) -> None:
    plan, facts = opened(north)
    root = parse(draw_room(facts, plan, right(plan)))
    (arrow,) = (each for each in root.iter(f"{SVG}g") if each.get("class") == "north")
    (tail, tip), *_ = ways_of(arrow)
    long = math.dist(tail, tip)
    assert ((tip[0] - tail[0]) / long, (tip[1] - tail[1]) / long) == pytest.approx(ahead, abs=1e-2)
    (letter,) = arrow.iter(f"{SVG}text")
    at = (float(letter.get("x") or ""), float(letter.get("y") or ""))
    assert math.dist(at, tip) < math.dist(at, tail)


@EACH_ROOM
def test_the_arrow_touches_nothing_else(place: int) -> None:
    _, plan, facts = ROOMS[place]
    sheet = Measured(plain(place))
    arrows = sheet.of_class("north")
    assert bool(arrows) == (plan.north_of(facts.drawn) is not None)
    for arrow in arrows:
        circle = next(arrow.iter(f"{SVG}circle"))
        middle = shapely.Point(float(circle.get("cx") or 0), float(circle.get("cy") or 0))
        (letter,) = (text.shape for text in sheet.texts if "north" in text.within)
        shape = middle.buffer(float(circle.get("r") or 0)).union(letter)
        rows = [way for name in ("chain", "measure") for each in sheet.of_class(name)
                for way in ways_of(each)]  # fmt: skip
        walls = places_of(sheet.of_class("outline")[0].get("d") or "")
        assert not shape.intersects(shapely.MultiLineString([*rows, *walls]))
        assert not [text.words for text in sheet.texts
                    if text.shape.intersects(shape) and "north" not in text.within]  # fmt: skip


def test_without_a_north_there_is_no_arrow() -> None:
    text = (PLANS / "bedroom.yaml").read_text(encoding="utf-8")
    plan = read_text(re.sub(r"^north: .*$", "", text, flags=re.MULTILINE))
    assert 'class="north"' not in draw_room(rooms_of(plan)["bedroom"], plan, right(plan))


def test_in_dxf_they_have_a_layer_of_their_own() -> None:
    plan, facts = opened("30 deg")
    document = ezdxf.read(
        io.StringIO(draw_dxf(facts, plan, right(plan), SheetOptions(layers=LAYERS)))
    )
    found = document.modelspace().query('LWPOLYLINE[layer=="openings"]')
    # A gap each; two panes; a leaf and an arc for each of the four leaves; the arrow in two lines.
    assert len(found) == 6 + 2 + 2 * 4 + 2
    words = {each.dxf.text for each in document.modelspace().query('TEXT[layer=="openings"]')}
    assert words == {"N"} | {
        f"{each.id} {each.width:.0f}" for each in facts.drawn.openings.values()
    }
    shaft = next(
        each
        for each in document.modelspace().query('LWPOLYLINE[layer=="openings"]')
        if each.get_xdata("UNDERFOOT")[0].value == "north"
    )
    (x, y), (u, v) = shaft.get_points("xy")
    assert (u - x, v - y) == pytest.approx((400 * math.sqrt(3) / 2, 200))
