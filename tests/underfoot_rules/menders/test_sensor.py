"""A sensor moves to where it reads well, with its conduit's way and its cable."""

from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import mended, mends, plan, room, says
from underfoot.api.rules import Data

HEATER = {"at": [700, 1400], "size": [60, 60], "kind": "heat source"}
TRAY = {"at": [760, 1450], "size": [60, 60], "kind": "on legs", "clear": 20}


def sensor(**told: Any) -> Data:
    """Change the sensor."""
    return {"rooms": {"room": {"sensor": told}}}


@pytest.mark.parametrize(
    ("change", "rule", "said", "patch"),
    [
        (sensor(at=[310, 1500]), "sensor-depth",
         "Move the sensor to [700, 1500].", {"at": [700, 1500]}),
        (sensor(at=[1060, 1500]), "sensor-seam",
         "Move the sensor to [1000, 1500].", {"at": [1000, 1500]}),
        (sensor(at=[30, 2900]), "sensor-under-element",
         "Move the sensor to [700, 2300].", {"at": [700, 2300]}),
        (room(fixtures={"tray": TRAY}), "sensor-covered",
         "Move the sensor to [900, 1500].", {"at": [900, 1500]}),
        (sensor(route=["junction-box", [50, 1500], [50, 500], [400, 1500]], cable="9 m"),
         "sensor-near-lead", "Take the sensor's conduit straight from the junction box.",
         {"route": ["junction-box"]}),
        (sensor(cable="2 m"), "sensor-cable-reach",
         "Take a sensor with 2.5 m of cable.", {"cable": "2.5 m"}),
        (sensor(channel={"width": 10, "depth": 5}), "sensor-channel",
         "Cut the sensor's channel 13 mm wide and 7 mm deep.",
         {"channel.width": 13, "channel.depth": 7}),
        (sensor(channel={"depth": 14}), "sensor-channel",
         "Cut the sensor's channel no deeper than 7 mm.", {"channel.depth": 7}),
        (sensor(channel={"depth": 12}, conduit={"depth": 12}), "sensor-channel",
         "Cut the last 2 mm of the sensor's channel into the subfloor, and say so: "
         "`cut_into: subfloor`.", {"channel.cut_into": "subfloor"}),
    ],
)  # fmt: skip
def test_what_a_person_would_do_first(change: Data, rule: str, said: str, patch: Data) -> None:
    best = mends(plan(change), rule)[0]
    assert best.says == said
    assert {".".join(map(str, edit.path[3:])): edit.value for edit in best.patch} == patch
    assert says(plan({**change, "status": "laid"}), rule) == []


def test_a_sensor_is_drawn_with_all_that_is_asked_of_it() -> None:
    (mend,) = mends(plan(sensor() | room(sensor=None)), "sensor-missing")
    assert mend.says == ("Draw a floor sensor at [700, 1500], below a strip, with 3 m of cable.")
    value = mend.patch[0].value
    assert value["route"] == ["junction-box"]
    assert value["channel"] == {"width": 13, "depth": 7, "cut_into": "insulation"}
    assert value["conduit"] == {"width": 12, "depth": 7}


def test_the_conduit_goes_with_the_sensor() -> None:
    """A stove by the box bars the straight way: the conduit goes round, the cable is longer."""
    stove = {"at": [330, 1450], "size": [100, 100], "kind": "heat source"}
    change = room(fixtures={"stove": stove}, sensor={"cable": "2.3 m"})
    data = mended(plan(change), "sensor-way", "stove")
    told = data["rooms"]["room"]["sensor"]
    assert len(told["route"]) > 2
    assert told["cable"] == "2.5 m"
    assert told["at"] == [810, 1500]


def test_a_sensor_by_a_heater_moves_away_from_it() -> None:
    data = mended(plan(room(fixtures={"heater": HEATER})), "sensor-near-heat", "heater")
    x, y = data["rooms"]["room"]["sensor"]["at"]
    assert max(x - 760, 700 - x, 1400 - y, y - 1460) >= 200


def test_no_sensor_is_drawn_where_no_place_will_do() -> None:
    everywhere = {"at": [0, 0], "size": [4000, 3000], "kind": "on legs", "clear": 20}
    change = room(sensor=None, fixtures={"table": everywhere})
    assert says(plan(change), "sensor-missing") == []


def test_under_the_only_strip_of_a_room_it_is_moved_and_drawn_as_well() -> None:
    alone = plan({
        "materials.films.film-80.width": 1000,
        "rooms.room": {"outline": [[0, 0], [1120, 0], [1120, 3000], [0, 3000]], "heat_loss": "50 W",
                       "rows": {"A": {"lengths": [2750]}}},
    })  # fmt: skip
    told = alone["rooms"]["room"]["sensor"]
    told["at"] = [80, 1500]
    assert says(alone, "sensor-depth")
    del alone["rooms"]["room"]["sensor"]
    assert says(alone, "sensor-missing")


@pytest.mark.parametrize(
    ("height", "drawn", "longer"),
    [
        # By hand: 700 mm over the floor to where one is drawn, 810 mm to where one lies, and up.
        # A drawn one has 300 mm to spare and is sold by the metre; one that lies must just do.
        (1000, "2 m", "2 m"),
        (1001, "3 m", "2 m"),
        (1690, "3 m", "2.5 m"),
        (1691, "3 m", "3 m"),
        (2000, "3 m", "3 m"),
        (2001, "4 m", "3 m"),
    ],
)
def test_how_much_cable_is_taken(height: int, drawn: str, longer: str) -> None:
    missing = room(sensor=None, thermostat={"height": height})
    (mend,) = mends(plan(missing), "sensor-missing")
    assert mend.patch[0].value["cable"] == drawn
    short = room(sensor={"cable": "1 m"}, thermostat={"height": height})
    (mend,) = mends(plan(short), "sensor-cable-reach")
    assert mend.patch[0].value == longer
