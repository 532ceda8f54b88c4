"""Where things are put on paper, one by one and by hand."""

import io
import math
from itertools import pairwise
from typing import Any

import ezdxf
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from tests.effort import examples
from tests.underfoot.drawing.rooms import finding, right, rooms_of
from tests.underfoot.drawing.test_occupancy import patches
from tests.underfoot.drawing.test_odd_rooms import plan_of
from underfoot.drawing import LAYERS, SheetOptions
from underfoot.drawing.anchors import _midline, _spots, find_place
from underfoot.drawing.body import make_scene
from underfoot.drawing.dxf import draw_dxf
from underfoot.drawing.labels import Label, beside, fit_either_way, is_within, place_labels, size_of
from underfoot.drawing.lettering import LEADING, SMALL, shorten, widest, width_of, wrap
from underfoot.drawing.north import _list_places
from underfoot.drawing.occupancy import is_free, nothing_taken, patch_of, touches
from underfoot.drawing.outline import label_shell
from underfoot.drawing.panel import Panel, Section, heading, paragraphs, stack, together
from underfoot.drawing.pens import LOOKS, circuit_colours, hatch, hatch_name
from underfoot.drawing.scene import Scene, find_extent
from underfoot.drawing.sheets import Box, look_at, split
from underfoot.drawing.svg import area, letters, line

PAPER = Box(left=0.0, top=0.0, width=200.0, height=200.0)


def scene_of(more: str, scale: float = 50.0) -> Scene:
    plan = plan_of(more)
    (facts,) = rooms_of(plan).values()
    extent = find_extent(facts)
    view = look_at(extent, PAPER, scale)
    return make_scene(facts, plan, extent, view, PAPER, "", SheetOptions())


@pytest.mark.parametrize(
    ("at", "way"),
    [((2000, 0), (0, -1)), ((2000, 3000), (0, 1)), ((0, 1500), (-1, 0)), ((4000, 1500), (1, 0))],
)
def test_in_dxf_signs_on_a_wall_are_named_beyond_it_each_by_itself(
    at: tuple[int, int], way: tuple[int, int]
) -> None:
    here = f"{{at: [{at[0]}, {at[1]}]}}"
    plan = plan_of(f"    junction_box: {here}\n    thermostat: {here}\n")
    (facts,) = rooms_of(plan).values()
    text = draw_dxf(facts, plan, right(plan), SheetOptions(layers=tuple(LAYERS)))
    space = ezdxf.read(io.StringIO(text)).modelspace()
    named = {
        each.dxf.text: each.get_placement()[1] for each in space.query('TEXT[layer=="controls"]')
    }
    box, thermostat = named["junction-box"], named["thermostat"]
    for place in (box, thermostat):
        off = (place[0] - at[0]) * way[0] + (place[1] - at[1]) * way[1]
        assert off >= 120
    # Letters of 80 mm: neither covers the other, and the second is no nearer to the room.
    assert abs(box[1] - thermostat[1]) >= 80
    if way[1]:
        assert (thermostat[1] - box[1]) * way[1] > 0


@examples(60)
@given(st.lists(patches, max_size=6), patches)
def test_as_many_are_touched_as_overlap(taken: list[Any], patch: Any) -> None:
    shared = [shapely.Polygon(each).intersection(shapely.Polygon(patch)).area for each in taken]
    apart = [shapely.Polygon(each).distance(shapely.Polygon(patch)) for each in taken]
    surely = sum(each > 1e-6 for each in shared)
    at_most = sum(each <= 1e-6 for each in apart)
    assert surely <= touches(nothing_taken(taken), patch) <= at_most


def test_a_label_takes_the_first_place_that_is_free() -> None:
    def label(*middles: tuple[float, float], **told: Any) -> Label:
        return Label(layer="l", item="A1", versions=(("A1", "long"), ("A1",)), middles=middles,
                     **told)  # fmt: skip

    wide, high = size_of(("A1", "long"), bold_first=True)
    assert high == pytest.approx(2 * SMALL * LEADING + 0.5)
    assert wide == pytest.approx(max(width_of("A1", SMALL, bold=True), width_of("long", SMALL)) + 1)
    taken = nothing_taken([patch_of(0, 0, 20, 20)])
    (found,), _ = place_labels([label((10, 10), (50, 50), (90, 90))], taken, nothing_taken())
    assert (found.middle, found.is_whole) == ((50, 50), True)
    # What was placed is taken for the next.
    (again,), _ = place_labels([label((50, 50), (90, 90))], taken, nothing_taken())
    assert again.middle == (90, 90)
    # Rather elsewhere than on what is disliked, but there before nowhere.
    ground = nothing_taken([patch_of(100, 100, 30, 30)])
    (kept,), _ = place_labels([label((115, 115), (150, 150))], taken, ground)
    assert kept.middle == (150, 150)
    (kept,), _ = place_labels([label((115, 115))], taken, ground)
    assert kept.middle == (115, 115)
    none, left_out = place_labels([label((170, 170))], taken, nothing_taken(), None,
                                  nothing_taken([patch_of(160, 160, 20, 20)]))  # fmt: skip
    assert (none, len(left_out)) == ([], 1)
    # Where the room is too low for two lines one is written; outside of a box nothing.
    (short,), _ = place_labels([label((60, 120), room=(wide, high - 0.1))], taken, nothing_taken())
    assert (short.lines, short.is_whole) == (("A1",), False)
    (whole,), _ = place_labels([label((60, 150), room=(wide, high))], taken, nothing_taken())
    assert whole.is_whole
    within = Box(left=0.0, top=0.0, width=60.0, height=200.0)
    placed, _ = place_labels([label((59, 180), (30, 180))], taken, nothing_taken(), within)
    assert [each.middle for each in placed] == [(30, 180)]
    either = fit_either_way(label((30, 60)), 5.5, 40.0)
    (turned,), _ = place_labels([either], taken, nothing_taken())
    assert turned.label.turn_deg == -90.0
    assert either.in_words == "long"
    assert label((0, 0), words="said").in_words == "said"


def test_a_patch_lies_in_a_box_to_its_edge() -> None:
    box = Box(left=10.0, top=20.0, width=30.0, height=40.0)
    assert is_within(box, patch_of(10, 20, 30, 40))
    for left, top in ((9.9, 20), (10.1, 20), (10, 19.9), (10, 20.1)):
        assert not is_within(box, patch_of(left, top, 30, 40))
    assert beside((5.0, 5.0), 2.0, 0.0) == (5, 7)
    assert beside((5.0, 5.0), 2.0, -90.0) == pytest.approx((7, 5))
    assert box.inset(1, 2, 3, 4) == Box(left=11.0, top=22.0, width=26.0, height=34.0)


def test_places_to_point_at_lie_on_what_is_meant() -> None:
    strip = shapely.box(0, 0, 500, 2000)
    corners = list(strip.exterior.coords[:-1])
    assert sorted(_midline(corners).coords) == [(250, 0), (250, 2000)]
    assert sorted(_midline(corners[1:] + corners[:1]).coords) == [(250, 0), (250, 2000)]
    spots = _spots(strip)
    assert (spots[0].x, spots[0].y) == (250, 1000)
    assert all(strip.covers(spot.buffer(0.0)) or strip.distance(spot) < 1e-9 for spot in spots)
    # Seven along its middle, twelve on its edge.
    assert [strip.exterior.distance(spot) > 1 for spot in spots] == [True] * 7 + [False] * 12
    angle = shapely.Polygon([(0, 0), (900, 0), (900, 100), (100, 100), (100, 900), (0, 900)])
    assert all(angle.covers(spot) for spot in _spots(angle))
    line_ = shapely.LineString([(0, 0), (1000, 0)])
    assert [spot.x for spot in _spots(line_)] == [500, 350, 650, 200, 800, 80, 920]
    # Of parts the largest is first.
    parts = shapely.MultiPolygon([shapely.box(0, 0, 10, 10), shapely.box(100, 0, 200, 100)])
    assert _spots(parts)[0].x == 150
    hollow = shapely.Polygon(
        [(0, 0), (900, 0), (900, 900), (0, 900)], [[(100, 100), (800, 100), (800, 800), (100, 800)]]
    )
    assert all(hollow.covers(spot) for spot in _spots(hollow))


def test_a_finding_is_where_its_items_are() -> None:
    more = (
        "    fixtures: {one: {at: [0, 0], size: [1000, 500], kind: structure},"
        " two: {at: [800, 0], size: [1000, 500], kind: structure}}\n"
        "    junction_box: {at: [0, 900]}\n    thermostat: {}\n    sensor: {at: [2000, 1500]}\n"
    )
    (facts,) = rooms_of(plan_of(more)).values()

    def place(*items: str, **told: Any) -> Any:
        return find_place(facts, finding(1, items=items, **told))

    assert place("one").bounds == (0, 0, 1000, 500)
    # Of two that overlap what they share; of others all.
    assert place("one", "two").bounds == (800, 0, 1000, 500)
    assert place("one", "sensor").bounds == (0, 0, 2000, 1500)
    assert place("thermostat").coords[:] == place("junction-box").coords[:] == [(0, 900)]
    assert place("one", "nothing").bounds == (0, 0, 1000, 500)
    assert place("nothing") is place() is place("one", room="other") is None
    assert place("one", room=None) is None
    own = shapely.box(1, 2, 3, 4)
    assert place("one", shape=own).bounds == (1, 2, 3, 4)
    assert place("one", shape=own, room=None) is None


def test_a_fixture_s_name_begins_in_its_middle() -> None:
    scene = scene_of(
        "    fixtures: {box: {at: [1000, 1000], size: [1000, 600], kind: structure},"
        " bent: {outline: [[2500, 500], [3500, 500], [3500, 700], [2700, 700], [2700, 2000],"
        " [2500, 2000]], kind: structure}}\n"
    )
    labels = {each.item: each for each in label_shell(scene)}
    x, y = scene.view.place((1500, 1300))
    assert labels["box"].middles[0] == pytest.approx((x, y))
    assert ("box", "structure", "1000 × 600") in labels["box"].versions
    bent = shapely.Polygon(scene.facts.drawn.fixtures["bent"].outline)
    paper = shapely.Polygon(scene.view.places(bent.exterior.coords))
    assert paper.covers(shapely.Point(labels["bent"].middles[0]))


def test_lists_are_as_tall_as_their_lines() -> None:
    text = "one two three four five six seven eight nine ten"
    (entry,) = paragraphs([text])
    lines = wrap(text, 30.0, SMALL)
    step = SMALL * LEADING
    assert len(lines) > 2
    assert entry(30.0).height == pytest.approx(len(lines) * step + 0.8)
    head = heading("Title", 30.0)
    long = heading(text, 30.0)
    more = len(wrap(text, 30.0 * 0.94, SMALL)) - 1
    assert long.height - head.height == pytest.approx(more * step)
    section = Section(title="Title", entries=(entry, entry))
    assert stack(section, 30.0).height == pytest.approx(head.height + 2 * entry(30.0).height + 3.4)
    two = together(
        lambda _: Panel(height=3.0, drawn="<a/>"), lambda _: Panel(height=4.0, drawn="<b/>")
    )
    assert two(10.0).height == 7
    assert 'translate(0 3)"><b/>' in two(10.0).drawn
    # A text longer than 400 letters is several entries, an empty one is one.
    assert len(paragraphs(["word " * 100])) == 2
    assert len(paragraphs([""])) == 1


def test_lists_share_the_width_that_there_is() -> None:
    where = Box(left=10.0, top=20.0, width=213.0, height=50.0)
    # 210 after the first gap: two columns of 105, of which 3 is the gap.
    assert split(where) == (
        Box(left=13.0, top=23.0, width=102.0, height=44.0),
        Box(left=118.0, top=23.0, width=102.0, height=44.0),
    )
    assert len(split(Box(left=0.0, top=0.0, width=40.0, height=50.0))) == 1
    assert len(split(Box(left=0.0, top=0.0, width=162.0, height=50.0))) == 2


def test_each_circuit_looks_otherwise_until_the_looks_begin_anew() -> None:
    looks = [(circuit_colours(place), hatch("", place).partition(">")[2]) for place in range(42)]
    assert LOOKS == 42
    assert len(set(looks)) == 42
    assert hatch("", 42) == hatch("", 0)
    assert hatch_name("p-", 43) == hatch_name("p-", 1) == "p-hatch-1"
    assert hatch_name("p-", None) == "p-hatch-none"
    assert circuit_colours(6) == circuit_colours(0) != circuit_colours(5)
    assert circuit_colours(None) not in {circuit_colours(place) for place in range(6)}


def test_places_for_the_arrow_begin_in_the_corners() -> None:
    across, down = _list_places(Box(left=10.0, top=20.0, width=112.0, height=52.0))
    places = list(zip(across.tolist(), down.tolist(), strict=True))
    # It reaches 6 mm from its middle.
    assert places[:4] == [(116, 26), (16, 26), (116, 66), (16, 66)]
    assert all(16 <= x <= 116 and 26 <= y <= 66 for x, y in places)
    corners = ((116, 26), (16, 26), (116, 66), (16, 66))
    ways = [min(abs(x - u) + abs(y - v) for u, v in corners) for x, y in places]
    assert all(after >= before - 1e-9 for before, after in pairwise(ways))
    assert {round(way % 2.0, 6) for way in ways} == {0}


def test_marks_are_written_as_svg_has_them() -> None:
    assert line([(0, 0), (1, 2)], stroke_width=0.5) == (
        '<path d="M0 0L1 2" fill="none" stroke-width="0.5"/>'
    )
    assert area([(0, 0), (1, 0), (1, 1)], [(2, 2), (3, 2), (3, 3)]) == (
        '<path d="M0 0L1 0L1 1zM2 2L3 2L3 3z" fill-rule="evenodd"/>'
    )
    assert 'transform="rotate(-90 3 4)"' in letters("ab", (3, 4), 2.0, turn=-90.0)
    assert "transform" not in letters("ab", (3, 4), 2.0)
    assert widest([], 3.0) == 0
    assert widest(["a", "mmm"], 3.0) == width_of("mmm", 3.0)
    # What just fits is not cut; of what does not as much is left as goes in before the ellipsis.
    exact = width_of("abcdef", 3.0)
    assert shorten("abcdef", exact, 3.0) == "abcdef"
    cut = shorten("abcdef", exact - 0.01, 3.0)
    assert cut.endswith("…")
    assert width_of(cut, 3.0) <= exact - 0.01
    kept = len(cut) - 1
    assert width_of("abcdef"[: kept + 1] + "…", 3.0) > exact - 0.01
    assert math.isclose(width_of("mmm", 3.0), 3 * width_of("m", 3.0))
    assert is_free(nothing_taken(), patch_of(0, 0, 1, 1))
