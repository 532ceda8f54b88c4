"""Zones of baths and showers: as far as the standard has them, and as the rule judges."""

import io
import math
import random

import ezdxf
import pytest
import shapely

from tests.underfoot.drawing.demo_sheets import words
from tests.underfoot.drawing.rooms import PLANS, demo_room, parse, places_of, read, right, rooms_of
from tests.underfoot.drawing.test_odd_rooms import plan_of
from tests.underfoot.drawing.test_setting_out import facts_of
from underfoot.checking.facts.bath_zones import ZoneReach, find_bath_zones
from underfoot.checking.settings import default_settings
from underfoot.drawing import LAYERS, SheetOptions, choose_options, draw_room
from underfoot.drawing.dxf import draw_dxf
from underfoot_rules import STANDARD
from underfoot_rules.thermostat.way_over_floor import reach_over_floor

# A bath of 1700 by 700 in a room of 2500 by 2000 (published-values 6.15, IEC 60364-7-701, 701.30).
BATH = "    fixtures: {tub: {at: [0, 1300], size: [1700, 700], kind: bath}}\n"
ROOM = "[[0, 0], [2500, 0], [2500, 2000], [0, 2000]]"
# A wall of 100 that stands out from below between the bath and the rest; a niche behind it.
WALLED = (
    "    fixtures:\n"
    "      tub: {at: [0, 0], size: [700, 1700], kind: bath}\n"
    "      screen: {at: [900, 0], size: [100, 1400], kind: structure}\n"
    "      low: {at: [0, 2000], size: [700, 50], kind: structure, height: 900}\n"
)
OPEN = (
    "    fixtures:\n"
    "      rain: {at: [0, 0], size: [900, 900], kind: open shower, outlet: [450, 450]}\n"
    "      screen: {at: [1000, 0], size: [80, 1200], kind: structure}\n"
)


def test_zone_2_is_all_floor_within_600_of_a_bath() -> None:
    (zone,) = find_bath_zones(facts_of(BATH, ROOM), ZoneReach())
    # A band below it and one beside it, and a quarter of a circle at its free corner.
    assert zone.number == 2
    assert zone.shape.area == pytest.approx(600 * 1700 + 600 * 700 + math.pi * 600**2 / 4, rel=2e-3)


def test_an_open_shower_has_zone_1_round_its_outlet_and_no_zone_2() -> None:
    rain = "    fixtures: {rain: {at: [1100, 850], size: [900, 900], kind: open shower}}\n"
    facts = facts_of(rain.replace("shower}", "shower, outlet: [2000, 1500]}"))
    (zone,) = find_bath_zones(facts, ZoneReach())
    assert (zone.number, zone.shape.bounds) == (1, pytest.approx((800, 300, 3200, 2700)))


@pytest.mark.parametrize("more", [BATH, WALLED, OPEN])
def test_zones_are_where_the_rule_finds_a_place_in_them(more: str) -> None:
    facts = facts_of(more)
    (zone,) = find_bath_zones(facts, ZoneReach())
    chance = random.Random(7)
    inside = shapely.union_all([zone.shape, zone.origin])
    counted = [0, 0]
    for _ in range(300):
        spot = (chance.uniform(0, 4000), chance.uniform(0, 3000))
        way = reach_over_floor(facts, spot, zone.origin, zone.reach)
        is_near = way is not None and way.length < zone.reach
        if not facts.floor.covers(shapely.Point(spot)):
            continue
        at = shapely.Point(spot)
        # Within 8 mm of its edge steps and chords may fall short.
        if inside.boundary.distance(at) > 8.0:
            assert inside.covers(at) == is_near, spot
            counted[is_near] += 1
    assert min(counted) > 20


def test_a_zone_ends_at_a_wall_and_not_at_what_is_low() -> None:
    (zone,) = find_bath_zones(facts_of(WALLED), ZoneReach())
    # 500 from the bath, but behind the screen.
    assert not zone.shape.covers(shapely.Point(1200, 300))
    assert zone.shape.covers(shapely.Point(350, 2200))


def test_zones_are_drawn_named_and_in_the_legend_where_a_bath_is() -> None:
    plan, facts = demo_room("bathroom")
    root = parse(draw_room(facts, plan, right(plan)))
    (drawn,) = [each for each in root.iter() if each.get("class") == "zone"]
    # At 1:10 as large as it is.
    (zone,) = find_bath_zones(facts, ZoneReach())
    assert shapely.Polygon(places_of(drawn.get("d") or "")[0]).area == pytest.approx(
        zone.shape.area / 100, rel=1e-3
    )
    assert "zone 2\n600 from bath" in words(root)
    assert "zones 0 and 1" in words(root)
    assert "zone 2 of a bath or shower, to 2250 up" in words(root)
    for path, room in (("study", "study"), ("flat", "hall")):
        plain = read(PLANS / f"{path}.yaml")
        assert "zone" not in draw_room(rooms_of(plain)[room], plain, right(plain))


def test_zones_follow_the_limits_in_force_and_their_layer() -> None:
    settings = default_settings(STANDARD.rules)
    assert choose_options(settings).bath_zones == ZoneReach()
    assert choose_options(default_settings([])).bath_zones is None
    plan = plan_of(BATH, ROOM)
    (facts,) = rooms_of(plan).values()
    farther = SheetOptions(bath_zones=ZoneReach(zone_2=750))
    assert "750 from tub" in draw_room(facts, plan, right(plan), farther)
    bare = SheetOptions(layers=tuple(layer for layer in LAYERS if layer != "zones"))
    for options in (bare, SheetOptions(bath_zones=None)):
        assert "zone" not in draw_room(facts, plan, right(plan), options)


def test_in_dxf_zones_have_a_layer_of_their_own() -> None:
    plan = plan_of(BATH, ROOM)
    (facts,) = rooms_of(plan).values()
    text = draw_dxf(facts, plan, right(plan), SheetOptions())
    space = ezdxf.read(io.StringIO(text)).modelspace()
    (ring,) = space.query('LWPOLYLINE[layer=="zones"]')
    (zone,) = find_bath_zones(facts, ZoneReach())
    assert shapely.Polygon(ring.get_points("xy")).area == pytest.approx(zone.shape.area)
    (name,) = space.query('TEXT[layer=="zones"]')
    assert name.dxf.text == "zone 2 of tub, 600"
