"""The two files that are declared here: a plan, and a catalogue that plans share."""

from underfoot.plan import Plan
from underfoot.plan_format.circuits import CIRCUIT, SUPPLY
from underfoot.plan_format.declaration import ById, Choice, Key, ListOf, Thing
from underfoot.plan_format.kinds import NORTH, TEXT
from underfoot.plan_format.materials import MATERIALS, PACKS
from underfoot.plan_format.records import HANDOVER, JOB, METHOD_STATEMENT, TEST, WAIVER
from underfoot.plan_format.rooms import ROOM

# fmt: off
PLAN = Thing(
    "plan", "a plan", "A plan of electric floor heating laid as film: plan format 1.",
    keys=(
        Key("plan_format", Choice((1,)), "The format of this file.", needed=True),
        Key("status", Choice(("draft", "for review", "laid", "covered", "handed over")),
            "How far the work is (default: for review).", default="for review"),
        Key("job", JOB),
        Key("catalogue", TEXT,
            "A file with `catalogue_format: 1`, `materials`, a `method_statement` and `packs`; the "
            "plan's own entries win.", examples=("../catalogue.yaml",)),
        Key("materials", MATERIALS, needed=True),
        Key("supply", SUPPLY, needed=True),
        Key("north", NORTH,
            "Which way north is in all rooms, by their x and y: drawn as an arrow."),
        Key("rooms", ById(ROOM, title="rooms", least=1), "The rooms, by id; at least one.",
            needed=True),
        Key("circuits", ById(CIRCUIT, title="circuits"), "The circuits, by id."),
        Key("method_statement", METHOD_STATEMENT),
        Key("tests", ListOf(TEST), "The tests, each a visit with the meter."),
        Key("handover", HANDOVER),
        Key("waivers", ListOf(WAIVER), "What somebody agreed to leave as it is."),
        Key("packs", PACKS),
    ),
    examples=(
        {
            "plan_format": 1,
            "materials": {
                "films": {"film-140": {"width": 500, "output": "140 W/m2", "voltage": "230 V"}},
            },
            "supply": {"voltage": "230 V"},
            "rooms": {
                "garden-room": {
                    "outline": [[0, 0], [4200, 0], [4200, 3100], [0, 3100]],
                    "rows": {
                        "A": {"film": "film-140", "at": [60, 60], "along": "y",
                              "lengths": [2750, 2750], "circuit": "C1"},
                    },
                    "junction_box": {"at": [0, 1500], "height": 450},
                    "leads": {"W1": {"circuit": "C1", "route": ["junction-box", "A"]}},
                },
            },
            "circuits": {"C1": {"breaker": "10 A", "rcd": "30 mA"}},
        },
    ),
    makes=Plan,
)

CATALOGUE = Thing(
    "catalogue", "a catalogue", "A catalogue that plans share: catalogue format 1.",
    keys=(
        Key("catalogue_format", Choice((1,)), "The format of this file.", needed=True),
        Key("materials", MATERIALS),
        Key("method_statement", METHOD_STATEMENT),
        Key("packs", PACKS),
    ),
)

DECLARED = {"plan": PLAN, "catalogue": CATALOGUE}
