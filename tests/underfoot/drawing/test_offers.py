"""What findings offer, and floor that they call cold: never drawn as what is planned."""

import re

from msgspec.structs import replace
from shapely.geometry import Point, Polygon

from tests.underfoot.drawing.demo_sheets import words
from tests.underfoot.drawing.measured import Measured, find_overlaps
from tests.underfoot.drawing.rooms import PLANS, finding, read, right, rooms_of
from tests.underfoot.drawing.test_odd_rooms import plan_of
from tests.underfoot.page.pages import examine_demo
from underfoot.checking.geojson import geojson
from underfoot.checking.report import ReportedFinding
from underfoot.drawing import SheetOptions, draw_room

STRIP = Polygon([(2600, 60), (3100, 60), (3100, 2560), (2600, 2560)])


def draw(*findings: ReportedFinding) -> Measured:
    plan = read(PLANS / "bedroom.yaml")
    (facts,) = rooms_of(plan).values()
    # On A3 the legend has room beside the drawing.
    options = SheetOptions(paper="A3")
    return Measured(draw_room(facts, plan, replace(right(plan), findings=findings), options))


def offering(number: int, shape: Polygon | Point, *, waived: bool = False) -> ReportedFinding:
    made = finding(number, "note", room="bedroom", shape=STRIP, waived=waived)
    return replace(made, offer=geojson(shape))


def test_a_further_strip_is_an_empty_outline_that_says_it_is_not_planned() -> None:
    sheet = draw(offering(3, STRIP))
    (offer,) = sheet.of_class("offer")
    assert offer.get("fill") == "none"
    assert " 0.4 " in (offer.get("stroke-dasharray") or "")
    # Its own shape is not drawn besides, and no strip of the plan is drawn like it.
    assert sheet.of_class("fault") == []
    strips = [each for each in sheet.root.iter() if each.get("data-circuit")]
    assert strips
    for strip in strips:
        assert strip.get("fill") != "none"
        assert strip.get("stroke") != offer.get("stroke")
    said = " ".join(words(sheet.root).split())
    assert "offer of finding 3 not planned" in said
    assert "offered by a finding, not planned" in said
    assert find_overlaps(sheet) == []


def test_one_place_that_two_findings_offer_is_drawn_once() -> None:
    sheet = draw(offering(1, Point(0, 900)), offering(2, Point(0, 900)))
    assert len(sheet.of_class("offer")) == 1
    said = " ".join(words(sheet.root).split())
    assert "offer of findings 1 and 2 not planned" in said
    assert "place that a finding offers" in said
    assert find_overlaps(sheet) == []


def test_nothing_is_offered_where_nothing_is_or_it_is_waived() -> None:
    for sheet in (draw(finding(1, room="bedroom")), draw(offering(1, STRIP, waived=True))):
        assert sheet.of_class("offer") == []
        assert "offer" not in words(sheet.root)


def test_floor_that_a_finding_calls_cold_is_lined_and_has_its_sign() -> None:
    made = finding(1, "warning", room="bedroom", shape=STRIP)
    plain, cold = draw(made), draw(replace(made, is_cold=True))
    fills = [[part.get("fill") for part in sheet.of_class("fault")[0]] for sheet in (plain, cold)]
    assert fills[0] != fills[1] == ["url(#cold)"]
    # In the legend, too, and there it is not what a finding is about.
    assert plain.svg.count("url(#cold)") == 0
    assert cold.svg.count("url(#cold)") == 2
    assert "what a finding is about" in words(plain.root)
    assert "what a finding is about" not in words(cold.root)
    assert "floor that stays cold" in words(cold.root)


def test_the_rules_offer_what_their_remedies_say() -> None:
    found = examine_demo("shower-room").report.findings
    offered = [each for each in found if each.offer is not None]
    assert {each.rule for each in offered} == {"bath-zone", "sensor-depth"}
    for each in offered:
        said = re.match(r"Move it to \[(\d+), (\d+)\]", each.remedy)
        assert said is not None
        assert each.offer == {"type": "Point", "coordinates": [float(said[1]), float(said[2])]}
    found = examine_demo("nursery").report.findings
    sensor = {"sensor-near-heat", "sensor-covered", "sensor-depth"}
    assert {each.rule for each in found if each.offer is not None} == {"cold-area", *sensor}
    assert {each.rule for each in found if each.is_cold} == {"floor-coverage"}


def test_a_place_that_is_wanted_in_no_room_is_drawn_in_none() -> None:
    plan = plan_of()
    (facts,) = rooms_of(plan).values()
    elsewhere = offering(1, Point(0, 900))
    svg = draw_room(facts, plan, replace(right(plan), findings=(elsewhere,)))
    assert Measured(svg).of_class("offer") == []
