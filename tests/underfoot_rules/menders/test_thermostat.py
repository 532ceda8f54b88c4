"""Thermostats set, hung and named, and moved along the walls with the box."""

from typing import Any

import pytest
import yaml

from tests.underfoot_rules.menders.asking import mended, mends, plan, says, two_circuits
from underfoot.api.rules import Data
from underfoot_rules import BASE_PLAN


def thermostat(**told: Any) -> Data:
    return {"rooms": {"room": {"thermostat": told}}}


def box(**told: Any) -> Data:
    return {"rooms": {"room": {"junction_box": told}}}


# The oak of the base plan may get 27 °C.
@pytest.mark.parametrize("limit", [None, "35 degC", "84.2 degF"])
def test_the_dial_is_set_to_what_the_covering_allows(limit: str | None) -> None:
    data = plan(thermostat(floor_limit=limit))
    assert says(data, "floor-limit") == ["Set the floor limit of room room to 27 °C."]
    assert mended(data, "floor-limit")["rooms"]["room"]["thermostat"]["floor_limit"] == "27 degC"


def test_where_the_sensor_reads_late_the_dial_is_set_by_it() -> None:
    films = yaml.safe_load(BASE_PLAN)["materials"]["films"]
    uneven = plan({
        "materials": {
            "films": {"film-60": {**films["film-80"], "output": "60 W/m2"},
                      "film-80": {"output": "190 W/m2"}},
            "coverings": {"oak-14": {"most_output": "200 W/m2"}},
        },
        "rooms": {"room": {
            "subfloor": {"layers": [{"material": "floor and ceiling", "thickness": 250,
                                     "resistance": "1.1 m2 K/W"}]},
            "rows": {"A": {"film": "film-60", "lengths": [2750] * 4},
                     "B": {"film": "film-80", "at": [2060, 60], "along": "y",
                           "lengths": [2750] * 3, "circuit": "C1"}},
            "leads": {"W1": {"route": ["junction-box", [30, 1500], [30, 30], "A", "B"]}},
        }},
    })  # fmt: skip
    dial = mended(uneven, "floor-limit")["rooms"]["room"]["thermostat"]["floor_limit"]
    # The page of the rule: the oak reaches 28.7 °C before the sensor reads 27.
    assert dial in ("24 degC", "25 degC", "26 degC")


def test_a_thermostat_is_hung_at_the_usual_height_in_the_plans_unit() -> None:
    (mend,) = mends(plan(thermostat(height="2 m")), "thermostat-height")
    assert mend.says == "Hang the thermostat of room room at 1400 mm."
    assert mend.patch[0].value == "1.4 m"


def test_circuits_get_a_pole_each() -> None:
    data = two_circuits()
    assert says(data, "thermostat-circuits") == [
        "Let the thermostat of room room switch a contactor of 2 poles, one a circuit, rated 20 A."
    ]
    after = mended(data, "thermostat-circuits")["rooms"]["room"]["thermostat"]
    assert after["contactor"] == {"poles": 2, "rating": "20 A"}


def test_poles_are_added_to_a_contactor() -> None:
    data = two_circuits(contactor={"poles": 1, "rating": "20 A"})
    (mend,) = mends(data, "thermostat-circuits")
    assert [(edit.path[-1], edit.value) for edit in mend.patch] == [("poles", 2)]


def test_a_circuit_goes_on_the_thermostat_of_its_room() -> None:
    data = plan({"circuits": {"C1": {"thermostat": None}}})
    assert mended(data, "thermostat-missing")["circuits"]["C1"]["thermostat"] == "room"


def test_a_thermostat_is_hung_where_none_is() -> None:
    after = mended(plan(thermostat() | {"rooms": {"room": {"thermostat": None}}}),
                   "thermostat-missing")  # fmt: skip
    assert after["rooms"]["room"]["thermostat"] == {
        "height": 1400, "switches": "16 A", "floor_limit": "27 degC"
    }  # fmt: skip


HALL = {"hall": {"use": "hall", "outline": [[0, 0], [2000, 0], [2000, 1300], [0, 1300]],
                 "thermostat": {"at": [0, 600], "height": 1400, "switches": "16 A",
                                "floor_limit": "27 degC"}}}  # fmt: skip


def test_a_floor_goes_on_the_thermostat_that_reads_it() -> None:
    data = plan({"rooms": HALL, "circuits": {"C1": {"thermostat": "hall"}}})
    data["rooms"]["hall"]["thermostat"]["reads"] = []
    said = says(data, "floor-unlimited")
    assert said[0].startswith("Let the thermostat of room room switch circuit C1.")
    assert said[0].endswith("Leave out the thermostat of room hall, which switches nothing.")


@pytest.mark.parametrize(
    ("change", "rule", "said"),
    [
        (thermostat(switches="2 A"), "thermostat-rating",
         "Take a thermostat for room room that switches 16 A."),
        (thermostat(contactor={"poles": 1, "rating": "3 A"}), "thermostat-rating",
         "Take a contactor for room room that is rated 20 A."),
        (thermostat(switches="8 A"), "contact-protection",
         "Take a thermostat for room room that switches 16 A."),
        (thermostat(contactor={"poles": 1, "rating": "8 A"}), "contact-protection",
         "Take a contactor for room room that is rated 20 A."),
        (thermostat(reads=[]), "floor-unlimited",
         "Let the thermostat of room room read the sensor of its own room."),
        ({"rooms": HALL}, "thermostat-idle",
         "Leave out the thermostat of room hall, which switches nothing."),
        (box(height=20), "box-reach",
         "Hang the junction box of room room at 450 mm on the same wall."),
        (box(height=2500), "box-reach",
         "Hang the junction box of room room at 450 mm on the same wall."),
        (thermostat(at=[400, 1000]), "thermostat-place",
         "Hang the thermostat of room room at [0, 1000]."),
    ],
)  # fmt: skip
def test_one_mend_is_offered(change: Data, rule: str, said: str) -> None:
    assert says(plan(change), rule) == [said]


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        (thermostat(floor_limit=None), "floor-limit"),
        (thermostat(height="2 m"), "thermostat-height"),
        (thermostat(switches="2 A"), "thermostat-rating"),
        (thermostat(switches="8 A"), "contact-protection"),
        (thermostat(reads=[]), "floor-unlimited"),
        ({"rooms": HALL}, "thermostat-idle"),
        ({"circuits": {"C1": {"thermostat": None}}}, "thermostat-missing"),
        (thermostat(at=[400, 1000]), "thermostat-place"),
    ],
)
def test_nothing_is_offered_for_a_finished_floor(change: Data, rule: str) -> None:
    assert says(plan(change), rule) != []
    assert says(plan({**change, "status": "handed over"}), rule) == []


def test_a_box_in_the_room_is_hung_on_the_nearest_wall() -> None:
    data = plan(box(at=[300, 1500]))
    assert says(data, "box-reach")[0] == "Hang the junction box of room room at [0, 1500]."


def test_a_box_stays_where_its_leads_are_laid() -> None:
    data = plan({**box(at=[300, 1500]), "status": "laid"})
    assert says(data, "box-reach") == []


def test_a_thermostat_by_a_stove_is_hung_away_from_it() -> None:
    stove = {"stove": {"at": [3700, 2600], "size": [300, 400], "kind": "heat source"}}
    data = plan({"rooms": {"room": {"fixtures": stove, "thermostat": {"at": [4000, 2500]},
                                    "rows": {"A": {"lengths": [2750] * 6}}}}})  # fmt: skip
    x, y = mended(data, "thermostat-place")["rooms"]["room"]["thermostat"]["at"]
    assert x == 4000
    assert y <= 2100


def test_a_thermostat_by_a_bath_is_hung_outside_its_zones() -> None:
    bath = {"bath": {"at": [0, 2200], "size": [1700, 800], "kind": "bath"}}
    data = plan({"rooms": {"room": {"fixtures": bath, "thermostat": {"at": [0, 1900]}}}})
    after = mended(data, "bath-zone", "thermostat")["rooms"]["room"]["thermostat"]
    # Zone 2 reaches 600 mm; drawn round in 32 sides to a half circle that is 600 / cos(pi / 64) =
    # 600.7 at its corners, and one is left for what is rounded: 2200 - 601.7.
    assert after["at"] == [0, 1598]
