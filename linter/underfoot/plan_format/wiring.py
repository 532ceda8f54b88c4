"""Junction box, thermostat, sensor and leads of a room."""

from underfoot.plan import Contactor, Cutout, Grid, JunctionBox, Lead, Sensor, Thermostat
from underfoot.plan_format import kinds
from underfoot.plan_format.declaration import Choice, IdOf, Key, ListOf, Thing, Whole

# fmt: off
JUNCTION_BOX = Thing(
    "junction_box", "the junction box", "Where the leads meet the cable.",
    keys=(
        Key("at", kinds.POINT, "Where it is.", needed=True),
        Key("height", kinds.LENGTH_FROM_ZERO, "Its height above the floor.", examples=(450,)),
    ),
    examples=({"at": [0, 1500], "height": 450},),
    makes=JunctionBox,
)

CONTACTOR = Thing(
    "contactor", "a contactor", "The contactor that the thermostat switches through.",
    keys=(
        Key("poles", Whole(least=1), "How many poles it switches.", examples=(4,)),
        Key("rating", kinds.CURRENT, "What each pole can switch.", examples=("20 A",)),
    ),
    examples=({"poles": 4, "rating": "20 A"},),
    makes=Contactor,
)

THERMOSTAT = Thing(
    "thermostat", "the thermostat", "The room's thermostat.",
    keys=(
        Key("at", kinds.POINT, "Where it hangs; left out, it is above the junction box."),
        Key("height", kinds.LENGTH_FROM_ZERO, "Its height above the floor.", examples=("1.4 m",)),
        Key("switches", kinds.CURRENT, "The current that it can switch.", examples=("16 A",)),
        Key("floor_limit", kinds.TEMPERATURE,
            "What the dial of its floor limit is set to: the sensor's reading at which it "
            "switches off, no more than the warmest that covering and room allow the surface."),
        Key("room", IdOf("room"), "The other room that it hangs in, by id; `at` is there."),
        Key("reads", ListOf(IdOf("room"), once=True),
            "The rooms whose floor sensors it reads, by id, where it takes more than one and "
            "cuts off at the warmest; left out, it reads the sensor of its own room.",
            examples=(["hall", "cloakroom"],)),
        Key("contactor", CONTACTOR),
    ),
    examples=({"height": "1.4 m", "switches": "16 A", "floor_limit": "27 degC"},),
    makes=Thermostat,
)

CHANNEL = Thing(
    "channel", "the channel", "The channel that the sensor lies in.",
    keys=(
        Key("width", kinds.LENGTH, "Its width.", examples=(13,)),
        Key("depth", kinds.LENGTH, "Its depth.", examples=(7,)),
        Key("cut_into", Choice(("insulation", "subfloor")), "What it is cut into."),
    ),
    examples=({"width": 13, "depth": 7, "cut_into": "insulation"},),
    makes=Cutout,
)

CONDUIT = Thing(
    "conduit", "the conduit", "The conduit that the sensor lies in.",
    keys=(
        Key("width", kinds.LENGTH, "Its width.", examples=(12,)),
        Key("depth", kinds.LENGTH, "Its depth.", examples=(7,)),
    ),
    examples=({"width": 12, "depth": 7},),
    makes=Cutout,
)

SENSOR = Thing(
    "sensor", "the sensor", "The floor sensor.",
    keys=(
        Key("at", kinds.POINT, "Where it lies.", needed=True),
        Key("route", kinds.ROUTE, "The way of its cable; it ends at the sensor.",
            examples=(["junction-box", [400, 1500]],)),
        Key("channel", CHANNEL),
        Key("conduit", CONDUIT),
        Key("cable", kinds.LENGTH, "The length of its cable.", examples=("4 m",)),
    ),
    examples=({"at": [810, 1500]},),
    makes=Sensor,
)

LEAD = Thing(
    "lead", "a lead", "A pair of conductors from the junction box to the elements.",
    keys=(
        Key("circuit", IdOf("circuit"), "The circuit that it feeds, by id.", needed=True),
        Key("size", kinds.CONDUCTOR_SIZE, "The conductors' cross-section."),
        Key("width", kinds.LENGTH,
            "How wide it is, both conductors with their insulation side by side.", examples=(6,)),
        Key("thickness", kinds.LENGTH,
            "How thick it is: how deep the groove must be for it to lie flush.", examples=(3,)),
        Key("recessed", kinds.YES_NO, "Is it recessed into the insulation?"),
        Key("capacity", kinds.CURRENT, "What it can carry, where the designer gives it.",
            examples=("16 A",)),
        Key("route", kinds.ROUTE,
            "Its whole way: junction-box and elements are connections, [x, y] pairs are bends, a "
            "row stands for its strips.", needed=True),
    ),
    examples=({"circuit": "C1", "size": "1.5 mm2", "route": ["junction-box", [30, 1500], "A1"]},),
    makes=Lead,
)

GRID = Thing(
    "grid", "the grid", "A metal grid over the elements.",
    keys=(
        Key("mesh", kinds.LENGTH, "The width of its mesh.", examples=(30,)),
        Key("earthed", kinds.YES_NO, "Is it joined to the protective conductor?"),
        Key("protective_conductor", kinds.CONDUCTOR_SIZE,
            "The cross-section of the protective conductor that it is joined to.",
            examples=("4 mm2",), field="conductor"),
    ),
    makes=Grid,
)
