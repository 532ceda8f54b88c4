"""Attempts to cheat the demo class's scheme: each is a change to the perfect plan."""

from typing import Any

from tests.underfoot.marking.demo import plan_of
from tests.underfoot_rules.plans import change_plan

Data = dict[str, Any]
PERFECT = plan_of("apprentice-01")
ROOM: Data = PERFECT["rooms"]["bedroom"]
FILM: Data = PERFECT["materials"]["films"]["film-80"]
AT_THE_BOX = ("junction-box", [30, 1500], [30, 30])
NOT_LAID = dict.fromkeys(f"rooms.bedroom.{key}" for key in ("rows", "leads", "sensor"))
BARE = NOT_LAID | dict.fromkeys(f"rooms.bedroom.{key}" for key in ("insulation", "membrane"))
NO_SENSOR = {"rooms.bedroom.sensor": None}
NO_THERMOSTAT = {"rooms.bedroom.thermostat": None, "circuits.C1.thermostat": None}
NO_RCD = {"circuits.C1.rcd": None}

# Each with what must become of it: at most so many marks, and whether it fails outright. The scheme
# takes marks for strips under furniture and does not fail anybody for it.
CHEATS: dict[str, tuple[Data, float, bool]] = {
    # A lead drawn rightly along the wall that ends in nothing.
    "feed nothing": ({"rooms.bedroom.leads.W1.route": [*AT_THE_BOX]}, 61, True),
    # One faultless strip.
    "heat a tenth": ({"rooms.bedroom.rows.A.lengths": [2250]}, 17, False),
    # Many short strips in one corner: seven things that are right, and a cold floor.
    "heat a tenth ten times": ({"rooms.bedroom.rows.A.lengths": [250] * 7}, 17, False),
    # Strips and sensor twenty metres away, the room left where it is.
    "next house": ({
        "rooms.bedroom.rows.A.at": [20060, 60], "rooms.bedroom.sensor.at": [20810, 1500],
    }, 17, True),
    "no sensor": (NO_SENSOR, 66, True),
    # A sensor, but out in the garden.
    "sensor outside": ({"rooms.bedroom.sensor.at": [-900, 1500]}, 66, True),
    "no thermostat": (NO_THERMOSTAT, 64, True),
    "no insulation": ({"rooms.bedroom.insulation": None}, 67, True),
    "no membrane": ({"rooms.bedroom.membrane": None}, 66, True),
    # One board in a corner.
    "a patch of insulation": ({
        "rooms.bedroom.insulation.layers": [{"pieces": {"P1": {"at": [0, 0], "along": "x"}}}],
    }, 67, True),
    # Every step of the method is stated, and stated wrongly.
    "all steps wrong": ({"method_statement": {
        "floor_cleaned": False, "busbars": "up", "elements_taped": False,
        "cut_ends_insulated": False, "connector_tool": "pliers",
        "connectors_insulated": "one side", "connectors_recessed": False,
        "single_conductor_folded": False, "bare_conductor": 25, "conduit_closed": False,
        "sensor_taped": False,
    }}, 62, True),
    # No RCD, a strip at the wall, and a waiver of each.
    "waive everything": ({
        **NO_RCD, "rooms.bedroom.rows.A.at": [10, 60],
        "waivers": [{"rule": rule, "reason": "agreed", "agreed_by": "me"}
                    for rule in ("rcd", "wall-clearance")],
    }, 66, True),
    # The room made bigger so that strips across the wall lie inside.
    "move the wall": ({
        "rooms.bedroom.outline": [[0, 0], [4200, 0], [4200, 3120], [0, 3120]],
        "rooms.bedroom.rows.A.lengths": [2250] * 4 + [3000] * 4,
    }, 69, True),
    # A room of which four strips heat nearly all.
    "shrink the room": ({
        "rooms.bedroom.outline": [[0, 0], [2200, 0], [2200, 2500], [0, 2500]],
        "rooms.bedroom.fixtures": {"wardrobe": None, "bed": None},
        "rooms.bedroom.rows.A.lengths": [2250] * 4,
    }, 65, False),
    # Three strips of a film that gives thrice as much.
    "alter the film": ({
        "materials.films.film-80.output": "160 W/m2",
        "rooms.bedroom.rows.A": {"lengths": [3000] * 3, "at": [2060, 60]},
    }, 48, False),
    # A better film under another name beside the brief's.
    "bring a film": ({
        "materials.films.best": {**FILM, "output": "160 W/m2", "cut_every": 10},
        "rooms.bedroom.rows.A": {"film": "best", "lengths": [3040] * 3, "at": [2060, 60]},
    }, 48, False),
    # A room that loses less, and half the strips for it.
    "halve the loss": ({
        "rooms.bedroom.heat_loss": "150 W", "rooms.bedroom.rows.A.lengths": [2250] * 3,
    }, 48, False),
    # What could not be heated is said to be furniture.
    "add furniture": ({
        "rooms.bedroom.fixtures.chest": {
            "at": [1100, 0], "size": [2500, 3100], "kind": "floor-mounted",
        },
        "rooms.bedroom.rows.A.lengths": [2250] * 2,
    }, 17, False),
    # Strips under what stands there.
    "remove the wardrobe": ({
        "rooms.bedroom.fixtures.wardrobe": None, "rooms.bedroom.rows.A.lengths": [3000] * 7,
    }, 68, True),
    # All strips on top of each other: the output of seven on the floor of one.
    "pile the strips": ({
        "rooms.bedroom.rows.A": None,
        "rooms.bedroom.elements": {
            f"E{at}": {"film": "film-80", "at": [60, 60], "along": "y", "length": 2250,
                       "circuit": "C1"}
            for at in range(7)
        },
        "rooms.bedroom.leads.W1.route": [*AT_THE_BOX, *(f"E{at}" for at in range(7))],
    }, 17, True),
    # The brief's room cut in two, of which one is heated.
    "two half rooms": ({
        "rooms.bedroom.outline": [[0, 0], [1825, 0], [1825, 3120], [0, 3120]],
        "rooms.bedroom.rows.A.lengths": [2250] * 3,
        "rooms.other": {
            "use": "living", "height": 2400,
            "outline": [[1825, 0], [3650, 0], [3650, 3120], [1825, 3120]],
        },
    }, 48, False),
    # The brief's room empty, a room of one's own beside it heated as it should be.
    "another room as well": ({
        **BARE, "rooms.own": {**ROOM, "outline": [[0, 0], [3700, 0], [3700, 3120], [0, 3120]]},
    }, 10, True),
    # The thermostat in a room that nobody asked for.
    "thermostat elsewhere": ({
        "rooms.bedroom.thermostat": None, "circuits.C1.thermostat": "hall",
        "rooms.hall": {
            "use": "living", "outline": [[0, 0], [1000, 0], [1000, 1500], [0, 1500]],
            "thermostat": ROOM["thermostat"], "junction_box": {"at": [0, 500]},
        },
    }, 65, True),
    # The one thing that saves lives left out.
    "no rcd": (NO_RCD, 67, True),
    # Strips that hang on no circuit at all, so that no rule asks for a breaker.
    "no circuits": ({
        "circuits.C1": None, "rooms.bedroom.rows.A.circuit": None, "rooms.bedroom.leads": None,
    }, 55, True),
    # Nothing but strips.
    "strips alone": ({
        "rooms.bedroom": dict.fromkeys(
            ("insulation", "membrane", "junction_box", "thermostat", "sensor", "leads")
        ),
        "method_statement": None,
    }, 48, True),
    # A method statement for a floor with nothing in it.
    "method alone": (NOT_LAID, 4.5, True),
    # The brief handed back.
    "nothing at all": ({
        **BARE, "rooms.bedroom.junction_box": None, "rooms.bedroom.thermostat": None,
        "circuits": None, "method_statement": None,
    }, 4.5, True),
    # What no rule can judge: a lead and a cable whose sizes are not said.
    "a lead without size": ({
        "rooms.bedroom.leads.W1.size": None, "circuits.C1.cable.size": None,
    }, 68, True),
    # An RCD, but of 300 mA.
    "a rcd that never trips": ({"circuits.C1.rcd": "300 mA"}, 67, True),
    # A lead under the strips.
    "lead through the room": ({
        "rooms.bedroom.leads.W1.route": ["junction-box", [310, 1500], [310, 30], "A"],
    }, 64, True),
    # Everything said in notes, and nothing drawn.
    "notes in place of things": ({
        **NO_SENSOR, **NO_THERMOSTAT,
        "rooms.bedroom.note": "A floor sensor and a thermostat as in the lesson.",
    }, 62, True),
    # Test readings that nobody measured, for a status that asks for none.
    "tests made up": ({**NO_RCD, "tests": [
        {"circuit": "C1", "stage": "laid", "load_resistance": "1 ohm",
         "insulation_resistance": "0.01 Mohm", "test_voltage": "500 V", "date": "2026-09-20"},
    ]}, 67, True),
    # The strips are written on a second circuit, to which no lead goes.
    "feed on paper": ({
        "rooms.bedroom.rows.A.circuit": "C2", "circuits.C2": PERFECT["circuits"]["C1"],
    }, 61, True),
    # A lead to the first strip alone.
    "one strip fed": ({"rooms.bedroom.leads.W1.route": [*AT_THE_BOX, "A1"]}, 61, True),
    # A thin cable that is said to carry 500 A.
    "a wire said to bear": ({
        "circuits.C1.cable": {"size": "0.5 mm2", "capacity": "500 A"},
    }, 69, True),
    # A thermostat that switches what no thermostat does.
    "a contact of iron": ({"rooms.bedroom.thermostat.switches": "1000 A"}, 70, True),
    # A lead that is said to be a tenth of a millimetre thick.
    "leads as thin as paper": ({
        "rooms.bedroom.leads.W1": {"thickness": 0.1, "width": 0.1},
    }, 70, True),
    # Sheets as large as the room, and nine metres beside it.
    "sheets in the garden": ({
        "rooms.bedroom.membrane.runs": None,
        "rooms.bedroom.membrane.pieces": {
            f"M{at}": {"at": [9000, 1850 * (at - 1)], "along": "x", "length": 4000}
            for at in (1, 2)
        },
    }, 66, True),
    # Boards enough, all in one corner on each other.
    "boards on a pile": ({
        "rooms.bedroom.insulation.layers": [
            {"pieces": {f"B{at}": {"at": [0, 0], "along": "x"} for at in range(16)}}
        ],
    }, 67, True),
    # A box from which no lead can come.
    "box in the garden": ({"rooms.bedroom.junction_box.at": [-5000, 1500]}, 67, True),
    # Strips under the wardrobe, of a length written with the letter O.
    "strips that nobody can read": ({
        "rooms.bedroom.rows.A.lengths": [2250, *["3OOO"] * 3, *[3000] * 3],
    }, 53, True),
    # A breaker and an RCD as if mistyped, whatever they are.
    "protection that nobody can read": ({
        "circuits.C1": {"rcd": "3OO mA", "breaker": "6E A"},
    }, 65, True),
}  # fmt: skip


def cheat(by: str) -> Data:
    """Draw the perfect plan with a cheat in it."""
    return change_plan(PERFECT, CHEATS[by][0])
