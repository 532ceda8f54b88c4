"""A room: what it is, what stands in it, what it is built of."""

from underfoot import plan
from underfoot.plan_format import kinds
from underfoot.plan_format.declaration import ById, Choice, Either, IdOf, Key, ListOf, Thing
from underfoot.plan_format.insulation import INSULATION, MEMBRANE
from underfoot.plan_format.openings import OPENING
from underfoot.plan_format.strips import ELEMENT, ROW
from underfoot.plan_format.wiring import GRID, JUNCTION_BOX, LEAD, SENSOR, THERMOSTAT

# fmt: off
FIXTURE = Thing(
    "fixture", "a fixture",
    "What stands on the floor or comes through it: `at` with `size`, or `outline`.",
    keys=(
        Key("kind",
            Choice(("floor-mounted", "on legs", "lying flat", "structure", "heat source",
                    "fixings", "bath", "shower", "open shower", "basin")),
            "What it is: elements may pass under one on legs; a rug, mattress or bean bag is "
            "lying flat; fixings are screwed through the floor; a bath or shower has zones.",
            needed=True),
        Key("at", kinds.POINT, "The corner with the smallest x and y."),
        Key("size", kinds.SIZE, "Its size, along x and along y."),
        Key("outline", kinds.OUTLINE, "Its outline, where it is no rectangle."),
        Key("clear", kinds.LENGTH_FROM_ZERO,
            "Open height under a fixture on legs; 0 where a skirt, a drawer or a bedspread comes "
            "down to the floor.", examples=(120,)),
        Key("height", kinds.LENGTH_FROM_ZERO, "How high it is, from the floor to its top.",
            examples=(1900,)),
        Key("clearance", kinds.LENGTH_FROM_ZERO,
            "How far everything must keep from it, by its maker; a stove's.", examples=(400,)),
        Key("stands_on", Choice(("subfloor",)), "Where floor and foam stop at it."),
        Key("outlet", kinds.POINT, "An open shower's outlet."),
    ),
    examples=({"at": [3400, 0], "size": [800, 600], "kind": "floor-mounted"},),
    needs=(Either(("at", "size"), ("outline",)),),
    makes=plan.Fixture,
)

MOISTURE = Thing(
    "moisture", "a moisture reading",
    "A moisture reading: text with a unit, such as 1.7 %, or a mapping of its value and how it was "
    "measured.",
    keys=(
        Key("value", kinds.SHARE, "The reading.", needed=True),
        Key("method", Choice(("CM", "by weight")),
            "How it was measured: CM is the carbide test on site, by weight the loss of weight "
            "when dried."),
    ),
    examples=("1.7 %", {"value": "1.7 %", "method": "CM"}),
    or_quantity=kinds.SHARE,
)

SUBFLOOR_LAYER = Thing(
    "subfloor_layer", "a layer of the subfloor", "A layer of the subfloor.",
    keys=(
        Key("material", kinds.TEXT, "What it is made of.", examples=("concrete",)),
        Key("thickness", kinds.LENGTH, "Thickness.", examples=(100,)),
        Key("conductivity", kinds.CONDUCTIVITY, "Thermal conductivity.", examples=("1.65 W/m/K",)),
        Key("resistance", kinds.THERMAL_RESISTANCE,
            "Thermal resistance, in place of a conductivity.", examples=("1.7 m2 K/W",)),
        Key("density", kinds.DENSITY, "Density.", examples=("2200 kg/m3",)),
    ),
    makes=plan.SubfloorLayer,
)

SUBFLOOR = Thing(
    "subfloor", "the subfloor", "What the floor is built on.",
    keys=(
        Key("kind", Choice(("concrete", "timber", "existing floor")), "What it is."),
        Key("below", Choice(("ground", "outside", "unheated", "heated")), "What lies below it."),
        Key("layers", ListOf(SUBFLOOR_LAYER), "Its layers, from the top.",
            examples=([{"material": "concrete", "thickness": 100, "conductivity": "1.65 W/m/K"}],)),
        Key("exposed_perimeter", kinds.LENGTH_FROM_ZERO,
            "The length of the ground floor's edge that is exposed; left out, it is the whole "
            "outline.", examples=("7.3 m",)),
        Key("barrier", IdOf("sheet"), "The damp barrier below the insulation: a sheet, by id."),
        Key("moisture", MOISTURE,
            "The subfloor's moisture, as measured: a share, or a mapping that says how it was "
            "measured."),
        Key("screed", Choice(("cement", "calcium sulphate")),
            "What its top is made of, where that is a screed."),
    ),
    makes=plan.Subfloor,
)

COVERED_AREA = Thing(
    "covered_area", "a covered part", "A covering and where it lies.",
    keys=(
        Key("covering", IdOf("covering"), "A covering, by id.", needed=True),
        Key("over", kinds.OUTLINE, "The part of the floor; left out, it is the rest of the room."),
    ),
    makes=plan.CoveredArea,
)

UNDERLAY = Thing(
    "underlay", "the underlay", "What lies between membrane and covering.",
    keys=(
        Key("thickness", kinds.LENGTH, "Thickness.", examples=(3,)),
        Key("resistance", kinds.THERMAL_RESISTANCE,
            "Thermal resistance.", examples=("0.04 m2 K/W",)),
        Key("conductivity", kinds.CONDUCTIVITY, "Thermal conductivity."),
        Key("material", kinds.TEXT, "What it is made of."),
        Key("density", kinds.DENSITY, "Density."),
    ),
    makes=plan.Underlay,
)

OVERLAY = Thing(
    "overlay", "the overlay",
    "Boards that spread loads, over membrane and underlay, right below the covering.",
    keys=(
        Key("thickness", kinds.LENGTH, "Thickness, all layers together.", examples=(6,)),
        Key("resistance", kinds.THERMAL_RESISTANCE,
            "Thermal resistance.", examples=("0.05 m2 K/W",)),
        Key("conductivity", kinds.CONDUCTIVITY, "Thermal conductivity."),
        Key("material", kinds.TEXT, "What it is made of.", examples=("hardboard",)),
        Key("density", kinds.DENSITY, "Density."),
        Key("fixing", Choice(("floating", "glued", "screwed", "nailed")),
            "How it is held: floating is laid loose, whether or not its boards are joined to "
            "each other; glued, to what lies below it."),
    ),
    examples=({"thickness": 6, "material": "hardboard", "fixing": "floating"},),
    makes=plan.Overlay,
)

SURFACE = Thing(
    "surface", "a surface", "A surface of the room that loses heat.",
    keys=(
        Key("name", kinds.TEXT, "What it is called.", examples=("glazing",)),
        Key("area", kinds.AREA, "Its area."),
        Key("u_value", kinds.U_VALUE, "How much heat it lets through."),
        Key("beyond", kinds.BEYOND),
    ),
    makes=plan.Surface,
)

FABRIC = Thing(
    "fabric", "the fabric", "What the room's heat loss is computed from.",
    keys=(
        Key("inside", kinds.TEMPERATURE, "The temperature wanted inside.", examples=("20 degC",)),
        Key("outside", kinds.TEMPERATURE, "The outside temperature to design for.",
            examples=("-3 degC",)),
        Key("air_changes", kinds.AIR_CHANGES, "Air changes."),
        Key("surfaces", ListOf(SURFACE), "The surfaces that lose heat."),
    ),
    makes=plan.Fabric,
)

LAYING = Thing(
    "laying", "wishes for the laying",
    "What `underfoot lay` goes by where it lays this room; no rule looks at it. Where the junction "
    "box and the thermostat are to be, their own keys say.",
    keys=(
        Key("along", kinds.DIRECTION,
            "The way strips are to run: x, y, or an angle such as 30 deg."),
        Key("no_box", ListOf(kinds.LINE),
            "Stretches of wall where neither junction box nor thermostat may be, each from one end "
            "to the other: beds, curtains, where the client wants none.",
            examples=([[[0, 1200], [0, 3100]]],)),
    ),
    examples=({"along": "y", "no_box": [[[0, 1200], [0, 3100]]]},),
    makes=plan.LayingWishes,
)

ROOM = Thing(
    "room", "a room", "A room, with an origin of its own.",
    keys=(
        Key("name", kinds.TEXT, "What it is called on sheets and pages, where its id reads badly.",
            examples=("Guest room, first floor",)),
        Key("use",
            Choice(("living", "kitchen", "hall", "bathroom", "conservatory", "office", "other")),
            "What it is used for."),
        Key("outline", kinds.OUTLINE, "The floor's outline, corner by corner.", needed=True),
        Key("north", kinds.NORTH,
            "Which way north is in this room, where its x and y do not run as those of the "
            "others.", examples=("-x",)),
        Key("openings", ById(OPENING, title="openings"),
            "Doors, windows and passages in its walls, by id."),
        Key("height", kinds.LENGTH, "The height of the room.", examples=(2400,)),
        Key("fixtures", ById(FIXTURE, title="fixtures"),
            "What stands on or comes through the floor, by id."),
        Key("joints", ById(kinds.LINE, title="joints"), "Movement joints in the floor, by id."),
        Key("laying", LAYING),
        Key("subfloor", SUBFLOOR),
        Key("covering", IdOf("covering"), "The floor covering, by id."),
        Key("coverings", ListOf(COVERED_AREA), "The floor coverings, where there are several.",
            examples=([{"covering": "oak-14"}],)),
        Key("underlay", UNDERLAY),
        Key("overlay", OVERLAY),
        Key("heat_loss", kinds.POWER,
            "The room's heat loss, by its designer; or `fabric`, from which it is computed."),
        Key("fabric", FABRIC),
        Key("other_heat", kinds.POWER,
            "What other heaters in the room give it, for the coldest day; the floor must give "
            "the rest.", examples=("400 W",)),
        Key("insulation", INSULATION),
        Key("elements", ById(ELEMENT, title="elements"), "Single strips of film, by id."),
        Key("rows", ById(ROW, title="rows"), "Rows of strips, by id."),
        Key("grid", GRID),
        Key("membrane", MEMBRANE),
        Key("junction_box", JUNCTION_BOX),
        Key("thermostat", THERMOSTAT),
        Key("sensor", SENSOR),
        Key("leads", ById(LEAD, title="leads"),
            "The pairs of conductors from the junction box to the elements, by id."),
    ),
    examples=({"outline": [[0, 0], [4200, 0], [4200, 3100], [0, 3100]]},),
    makes=plan.Room,
)
