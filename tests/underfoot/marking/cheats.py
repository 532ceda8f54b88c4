"""Attempts to cheat the demo class's scheme: each changes the perfect plan in place."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

Data = dict[str, Any]
Cheat = Callable[[Data], None]


def _room(plan: Data) -> Data:
    room: Data = plan["rooms"]["bedroom"]
    return room


def feed_nothing(plan: Data) -> None:
    """A lead drawn rightly along the wall that ends in nothing."""
    _room(plan)["leads"]["W1"]["route"] = ["junction-box", [30, 1500], [30, 30]]


def heat_a_tenth(plan: Data) -> None:
    """One faultless strip."""
    _room(plan)["rows"]["A"]["lengths"] = [2250]


def heat_a_tenth_ten_times(plan: Data) -> None:
    """Many short strips in one corner: seven things that are right, and a cold floor."""
    _room(plan)["rows"]["A"]["lengths"] = [250] * 7


def next_house(plan: Data) -> None:
    """Strips and sensor twenty metres away, the room left where it is."""
    _room(plan)["rows"]["A"]["at"] = [20060, 60]
    _room(plan)["sensor"]["at"] = [20810, 1500]


def no_sensor(plan: Data) -> None:
    """No sensor."""
    del _room(plan)["sensor"]


def sensor_outside(plan: Data) -> None:
    """A sensor, but out in the garden."""
    _room(plan)["sensor"]["at"] = [-900, 1500]


def no_thermostat(plan: Data) -> None:
    """No thermostat."""
    del _room(plan)["thermostat"]
    del plan["circuits"]["C1"]["thermostat"]


def no_insulation(plan: Data) -> None:
    """No insulation."""
    del _room(plan)["insulation"]


def no_membrane(plan: Data) -> None:
    """No membrane."""
    del _room(plan)["membrane"]


def a_patch_of_insulation(plan: Data) -> None:
    """One board in a corner."""
    _room(plan)["insulation"]["layers"] = [{"pieces": {"P1": {"at": [0, 0], "along": "x"}}}]


def all_steps_wrong(plan: Data) -> None:
    """Every step of the method is stated, and stated wrongly."""
    plan["method_statement"] = {
        "floor_cleaned": False, "busbars": "up", "elements_taped": False,
        "cut_ends_insulated": False, "connector_tool": "pliers",
        "connectors_insulated": "one side", "connectors_recessed": False,
        "single_conductor_folded": False, "bare_conductor": 25, "conduit_closed": False,
        "sensor_taped": False,
    }  # fmt: skip


def waive_everything(plan: Data) -> None:
    """No RCD, a strip at the wall, and a waiver of each."""
    del plan["circuits"]["C1"]["rcd"]
    _room(plan)["rows"]["A"]["at"] = [10, 60]
    plan["waivers"] = [
        {"rule": rule, "reason": "agreed", "agreed_by": "me"} for rule in ("rcd", "wall-clearance")
    ]


def move_the_wall(plan: Data) -> None:
    """The room made bigger so that strips across the wall lie inside."""
    _room(plan)["outline"] = [[0, 0], [4200, 0], [4200, 3120], [0, 3120]]
    _room(plan)["rows"]["A"]["lengths"] = [2250] * 4 + [3000] * 4


def shrink_the_room(plan: Data) -> None:
    """A room of which four strips heat nearly all."""
    _room(plan)["outline"] = [[0, 0], [2200, 0], [2200, 2500], [0, 2500]]
    _room(plan)["fixtures"] = {}
    _room(plan)["rows"]["A"]["lengths"] = [2250] * 4


def alter_the_film(plan: Data) -> None:
    """Three strips of a film that gives thrice as much."""
    plan["materials"]["films"]["film-80"]["output"] = "160 W/m2"
    _room(plan)["rows"]["A"]["lengths"] = [3000, 3000, 3000]
    _room(plan)["rows"]["A"]["at"] = [2060, 60]


def bring_a_film(plan: Data) -> None:
    """A better film under another name beside the brief's."""
    films = plan["materials"]["films"]
    films["best"] = {**films["film-80"], "output": "160 W/m2", "cut_every": 10}
    _room(plan)["rows"]["A"].update(film="best", lengths=[3040, 3040, 3040], at=[2060, 60])


def halve_the_loss(plan: Data) -> None:
    """A room that loses less, and half the strips for it."""
    _room(plan)["heat_loss"] = "150 W"
    _room(plan)["rows"]["A"]["lengths"] = [2250, 2250, 2250]


def add_furniture(plan: Data) -> None:
    """What could not be heated is said to be furniture."""
    _room(plan)["fixtures"]["chest"] = {
        "at": [1100, 0], "size": [2500, 3100], "kind": "floor-mounted",
    }  # fmt: skip
    _room(plan)["rows"]["A"]["lengths"] = [2250, 2250]


def remove_the_wardrobe(plan: Data) -> None:
    """Strips under what stands there."""
    del _room(plan)["fixtures"]["wardrobe"]
    _room(plan)["rows"]["A"]["lengths"] = [3000] * 7


def pile_the_strips(plan: Data) -> None:
    """All strips on top of each other: the output of seven on the floor of one."""
    elements = {
        f"E{at}": {"film": "film-80", "at": [60, 60], "along": "y", "length": 2250,
                   "circuit": "C1"}
        for at in range(7)
    }  # fmt: skip
    _room(plan)["rows"] = {}
    _room(plan)["elements"] = elements
    _room(plan)["leads"]["W1"]["route"] = ["junction-box", [30, 1500], [30, 30], *elements]


def two_half_rooms(plan: Data) -> None:
    """The brief's room cut in two, of which one is heated."""
    room = _room(plan)
    room["outline"] = [[0, 0], [1825, 0], [1825, 3120], [0, 3120]]
    room["rows"]["A"]["lengths"] = [2250] * 3
    plan["rooms"]["other"] = {
        "use": "living", "height": 2400,
        "outline": [[1825, 0], [3650, 0], [3650, 3120], [1825, 3120]],
    }  # fmt: skip


def another_room_as_well(plan: Data) -> None:
    """The brief's room empty, a room of one's own beside it heated as it should be."""
    own = copy.deepcopy(_room(plan))
    own["outline"] = [[0, 0], [3700, 0], [3700, 3120], [0, 3120]]
    room = _room(plan)
    for key in ("rows", "leads", "sensor", "insulation", "membrane"):
        del room[key]
    plan["rooms"]["own"] = own


def thermostat_elsewhere(plan: Data) -> None:
    """The thermostat in a room that nobody asked for."""
    thermostat = _room(plan).pop("thermostat")
    plan["rooms"]["hall"] = {
        "use": "living", "outline": [[0, 0], [1000, 0], [1000, 1500], [0, 1500]],
        "thermostat": thermostat, "junction_box": {"at": [0, 500]},
    }  # fmt: skip
    plan["circuits"]["C1"]["thermostat"] = "hall"


def no_rcd(plan: Data) -> None:
    """The one thing that saves lives left out."""
    del plan["circuits"]["C1"]["rcd"]


def no_circuits(plan: Data) -> None:
    """Strips that hang on no circuit at all, so that no rule asks for a breaker."""
    plan["circuits"] = {}
    del _room(plan)["rows"]["A"]["circuit"]
    del _room(plan)["leads"]


def strips_alone(plan: Data) -> None:
    """Nothing but strips."""
    for key in ("insulation", "membrane", "junction_box", "thermostat", "sensor", "leads"):
        del _room(plan)[key]
    del plan["method_statement"]


def method_alone(plan: Data) -> None:
    """A method statement for a floor with nothing in it."""
    for key in ("rows", "leads", "sensor"):
        del _room(plan)[key]


def nothing_at_all(plan: Data) -> None:
    """The brief handed back."""
    for key in ("rows", "leads", "sensor", "insulation", "membrane", "junction_box", "thermostat"):
        _room(plan).pop(key)
    del plan["circuits"]
    del plan["method_statement"]


def a_lead_without_size(plan: Data) -> None:
    """What no rule can judge: a lead and a cable whose sizes are not said."""
    del _room(plan)["leads"]["W1"]["size"]
    del plan["circuits"]["C1"]["cable"]["size"]


def a_rcd_that_never_trips(plan: Data) -> None:
    """An RCD, but of 300 mA."""
    plan["circuits"]["C1"]["rcd"] = "300 mA"


def lead_through_the_room(plan: Data) -> None:
    """A lead under the strips."""
    _room(plan)["leads"]["W1"]["route"] = ["junction-box", [310, 1500], [310, 30], "A"]


def notes_in_place_of_things(plan: Data) -> None:
    """Everything said in notes, and nothing drawn."""
    no_sensor(plan)
    no_thermostat(plan)
    _room(plan)["note"] = "A floor sensor and a thermostat as in the lesson."


def tests_made_up(plan: Data) -> None:
    """Test readings that nobody measured, for a status that asks for none."""
    plan["tests"] = [
        {"circuit": "C1", "stage": "laid", "load_resistance": "1 ohm",
         "insulation_resistance": "0.01 Mohm", "test_voltage": "500 V", "date": "2026-09-20"},
    ]  # fmt: skip
    del plan["circuits"]["C1"]["rcd"]


def feed_on_paper(plan: Data) -> None:
    """The strips are written on a second circuit, to which no lead goes."""
    _room(plan)["rows"]["A"]["circuit"] = "C2"
    plan["circuits"]["C2"] = copy.deepcopy(plan["circuits"]["C1"])


def one_strip_fed(plan: Data) -> None:
    """A lead to the first strip alone."""
    _room(plan)["leads"]["W1"]["route"] = ["junction-box", [30, 1500], [30, 30], "A1"]


def a_wire_said_to_bear(plan: Data) -> None:
    """A thin cable that is said to carry 500 A."""
    plan["circuits"]["C1"]["cable"].update(size="0.5 mm2", capacity="500 A")


def a_contact_of_iron(plan: Data) -> None:
    """A thermostat that switches what no thermostat does."""
    _room(plan)["thermostat"]["switches"] = "1000 A"


def leads_as_thin_as_paper(plan: Data) -> None:
    """A lead that is said to be a tenth of a millimetre thick."""
    _room(plan)["leads"]["W1"].update(thickness=0.1, width=0.1)


def sheets_in_the_garden(plan: Data) -> None:
    """Sheets as large as the room, and nine metres beside it."""
    membrane = _room(plan)["membrane"]
    del membrane["runs"]
    membrane["pieces"] = {
        f"M{at}": {"at": [9000, 1850 * (at - 1)], "along": "x", "length": 4000} for at in (1, 2)
    }


def boards_on_a_pile(plan: Data) -> None:
    """Boards enough, all in one corner on each other."""
    board = {"at": [0, 0], "along": "x"}
    _room(plan)["insulation"]["layers"] = [{"pieces": {f"B{at}": dict(board) for at in range(16)}}]


def box_in_the_garden(plan: Data) -> None:
    """A box from which no lead can come."""
    _room(plan)["junction_box"]["at"] = [-5000, 1500]


def strips_that_nobody_can_read(plan: Data) -> None:
    """Strips under the wardrobe, of a length written with the letter O."""
    _room(plan)["rows"]["A"]["lengths"] = [2250, *["3OOO"] * 3, *[3000] * 3]


def protection_that_nobody_can_read(plan: Data) -> None:
    """A breaker and an RCD as if mistyped, whatever they are."""
    plan["circuits"]["C1"].update(rcd="3OO mA", breaker="6E A")


# Each with what must become of it: at most so many marks, and whether it fails outright. The scheme
# takes marks for strips under furniture and does not fail anybody for it.
CHEATS: dict[Cheat, tuple[float, bool]] = {
    feed_nothing: (61, True),
    heat_a_tenth: (17, False),
    heat_a_tenth_ten_times: (17, False),
    next_house: (17, True),
    no_sensor: (66, True),
    sensor_outside: (66, True),
    no_thermostat: (64, True),
    no_insulation: (67, True),
    no_membrane: (66, True),
    a_patch_of_insulation: (67, True),
    all_steps_wrong: (62, True),
    waive_everything: (66, True),
    move_the_wall: (69, True),
    shrink_the_room: (65, False),
    alter_the_film: (48, False),
    bring_a_film: (48, False),
    halve_the_loss: (48, False),
    add_furniture: (17, False),
    remove_the_wardrobe: (68, True),
    pile_the_strips: (17, True),
    two_half_rooms: (48, False),
    another_room_as_well: (10, True),
    thermostat_elsewhere: (65, True),
    no_rcd: (67, True),
    no_circuits: (55, True),
    strips_alone: (48, True),
    method_alone: (4.5, True),
    nothing_at_all: (4.5, True),
    a_lead_without_size: (68, True),
    a_rcd_that_never_trips: (67, True),
    lead_through_the_room: (64, True),
    notes_in_place_of_things: (62, True),
    tests_made_up: (67, True),
    feed_on_paper: (61, True),
    one_strip_fed: (61, True),
    a_wire_said_to_bear: (69, True),
    a_contact_of_iron: (70, True),
    leads_as_thin_as_paper: (70, True),
    sheets_in_the_garden: (66, True),
    boards_on_a_pile: (67, True),
    box_in_the_garden: (67, True),
    strips_that_nobody_can_read: (53, True),
    protection_that_nobody_can_read: (65, True),
}
