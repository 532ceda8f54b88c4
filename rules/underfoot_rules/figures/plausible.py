"""What figures of a plan can be meant: one table of plausible ranges, by the thing they stand in.

The ranges are wide on purpose: what lies outside was almost surely written in another unit, or
with a digit too many or too few. Severities go by what rests on the figure: an error where a
wrong one would hide a danger from another rule, a warning where it would only mislead.
"""

from msgspec import Struct

from underfoot.api.rules import Severity


class Range(Struct, frozen=True):
    """The plausible range of one figure of a thing.

    `attribute` is the plan value's name, `key` the plan file's; both ends are in `unit` and may
    be met. `typical` is what such a figure mostly is: of all that may have been meant the nearest
    to it is guessed, unless `too_much` says else of one above. `what` completes "... is 16 mm":
    with ``{}`` for the thing's id.
    """

    attribute: str
    key: str
    least: float
    most: float
    typical: float
    unit: str
    what: str
    severity: Severity = "warning"
    too_much: str = ""


FILM = (
    Range("width", "width", 100, 1500, 500, "mm", "the width of film {}", "error"),
    Range("rated_w_m2", "output", 20, 400, 100, "W/m2", "the output of film {}", "error"),
    Range("voltage_v", "voltage", 5, 500, 230, "V", "the rated voltage of film {}", "error"),
    Range("cut_every", "cut_every", 5, 2000, 250, "mm", "the cut length of film {}"),
    Range(
        "longest_strip", "longest_strip", 500, 100_000, 9000, "mm",
        "the longest strip of film {}",
    ),
    Range(
        "longest_circuit", "longest_circuit", 500, 300_000, 30_000, "mm",
        "the longest circuit of film {}",
    ),
    Range(
        "busbar_resistance_ohm_m", "busbar_resistance", 0.0001, 1, 0.02, "ohm/m",
        "the busbar resistance of film {}",
    ),
    Range(
        "largest_current_a", "largest_current", 1, 63, 16, "A",
        "what a connector of film {} may carry", "error",
    ),
    Range("leakage_ma_m2", "leakage", 0, 20, 1, "mA/m2", "the leakage of film {}"),
    Range("leakage_ma_m", "leakage", 0, 20, 1, "mA/m", "the leakage of film {}"),
    Range("warmest_c", "warmest", 30, 150, 80, "degC", "how warm film {} may get"),
    Range("roll", "roll", 2000, 500_000, 50_000, "mm", "a roll of film {}"),
)  # fmt: skip
BOARD = (
    Range("thickness", "thickness", 2, 200, 10, "mm", "the thickness of board {}"),
    Range(
        "conductivity_w_mk",
        "conductivity",
        0.015,
        0.3,
        0.033,
        "W/m/K",
        "the conductivity of board {}",
    ),
)
SHEET = (
    Range("width", "width", 300, 12_000, 2000, "mm", "the width of sheet {}"),
    Range("thickness", "thickness", 0.05, 5, 0.2, "mm", "the thickness of sheet {}"),
    Range("roll", "roll", 2000, 500_000, 25_000, "mm", "a roll of sheet {}"),
)
COVERING = (
    Range("thickness", "thickness", 1, 60, 12, "mm", "the thickness of covering {}"),
    Range(
        "resistance_m2k_w", "resistance", 0.001, 0.6, 0.1, "m2 K/W",
        "the resistance of covering {}",
    ),
    Range(
        "conductivity_w_mk", "conductivity", 0.03, 5, 0.15, "W/m/K",
        "the conductivity of covering {}",
    ),
    Range(
        "warmest_surface_c", "warmest_surface", 20, 45, 27, "degC",
        "the warmest surface of covering {}", "error",
    ),
    Range(
        "most_output_w_m2", "most_output", 20, 500, 150, "W/m2", "the most output under covering {}"
    ),
    Range("pack_m2", "pack", 0.2, 50, 2, "m2", "a pack of covering {}"),
)  # fmt: skip
PACKS = (
    Range("board_tape", "board_tape", 2000, 500_000, 50_000, "mm", "a roll of tape for boards"),
    Range("strip_tape", "strip_tape", 2000, 500_000, 50_000, "mm", "a roll of tape for strips"),
    Range("sheet_tape", "sheet_tape", 2000, 500_000, 25_000, "mm", "a roll of tape for sheets"),
    Range("wall_tape", "wall_tape", 2000, 500_000, 25_000, "mm", "a roll of tape for walls"),
    Range("conductor", "conductor", 2000, 500_000, 100_000, "mm", "a reel of conductor"),
    Range("cable", "cable", 2000, 500_000, 50_000, "mm", "a reel of cable"),
    Range("conduit", "conduit", 300, 500_000, 3000, "mm", "a piece of conduit"),
    Range("underlay_m2", "underlay", 0.2, 200, 10, "m2", "a pack of underlay"),
    Range("overlay_m2", "overlay", 0.2, 200, 2, "m2", "a pack of boards over the film"),
    Range("grid_m2", "grid", 0.2, 500, 25, "m2", "a roll of grid"),
)
UNDERLAY = (
    Range("thickness", "thickness", 0.3, 30, 3, "mm", "the thickness of the underlay"),
    Range(
        "resistance_m2k_w",
        "resistance",
        0.001,
        0.5,
        0.04,
        "m2 K/W",
        "the resistance of the underlay",
    ),
)
OVERLAY = (
    Range("thickness", "thickness", 1, 50, 6, "mm", "the thickness of the overlay"),
    Range(
        "resistance_m2k_w",
        "resistance",
        0.001,
        0.5,
        0.05,
        "m2 K/W",
        "the resistance of the overlay",
    ),
)
SUBFLOOR = (
    Range(
        "moisture_percent", "moisture", 0.05, 40, 2, "%", "the subfloor's moisture",
        too_much=" The damp of the air in a hole or under a hood is no share of water: measure by "
        "weight or with the carbide test.",
    ),
)  # fmt: skip
SUBFLOOR_LAYER = (
    Range("thickness", "thickness", 0.1, 1000, 100, "mm", "the thickness of a subfloor layer"),
    Range("conductivity_w_mk", "conductivity", 0.015, 60, 1, "W/m/K", "a conductivity below"),
    Range("resistance_m2k_w", "resistance", 0.001, 12, 1, "m2 K/W", "a resistance below"),
)
SUPPLY = (
    Range(
        "available_a",
        "available",
        1,
        200,
        30,
        "A",
        "the current that the supply has to spare",
        "error",
    ),
)
SOURCE = (
    Range(
        "rating_va", "rating", 20, 50_000, 500, "VA", "the rating of the supply's source", "error"
    ),
)
CABLE = (
    Range("length", "length", 300, 400_000, 15_000, "mm", "the length of {}"),
    Range("size_mm2", "size", 0.05, 16, 2.5, "mm2", "the size of {}", "error"),
    Range("ambient_c", "ambient", -15, 60, 30, "degC", "how warm {} gets"),
    Range("capacity_a", "capacity", 0.1, 100, 20, "A", "what {} is said to carry", "error"),
)
LEAD = (
    Range("size_mm2", "size", 0.05, 10, 1.5, "mm2", "the size of lead {}", "error"),
    Range("capacity_a", "capacity", 0.1, 80, 16, "A", "what lead {} is said to carry", "error"),
    Range("width", "width", 2, 80, 6, "mm", "the width of lead {}", "error"),
    Range("thickness", "thickness", 1, 60, 3, "mm", "the thickness of lead {}", "error"),
)
CIRCUIT = (
    Range("rcd_ma", "rcd", 5, 1000, 30, "mA", "the residual current of circuit {}", "error"),
)
ROOM = (
    Range("height", "height", 1800, 12_000, 2400, "mm", "the height of room {}"),
    Range("other_heat_w", "other_heat", 20, 20_000, 500, "W", "what other heaters give room {}"),
)
FABRIC = (
    Range("inside_c", "inside", 5, 32, 20, "degC", "the temperature inside room {}"),
    Range("outside_c", "outside", -55, 25, -5, "degC", "the temperature outside room {}"),
    Range("air_changes_per_h", "air_changes", 0.05, 12, 0.5, "/h", "the air change of room {}"),
)
SURFACE = (
    Range("area_m2", "area", 0.05, 2000, 10, "m2", "the area of a surface of room {}"),
    Range("u_value_w_m2k", "u_value", 0.05, 7, 1, "W/m2/K", "a U-value of room {}"),
    Range("beyond_c", "beyond", -55, 40, 10, "degC", "the temperature beyond a surface of room {}"),
)
THERMOSTAT = (
    Range("height", "height", 50, 3000, 1400, "mm", "the height of the thermostat"),
    Range(
        "switches_a",
        "switches",
        1,
        63,
        16,
        "A",
        "the current that the thermostat switches",
        "error",
    ),
    Range("floor_limit_c", "floor_limit", 15, 45, 27, "degC", "the floor limit of the thermostat"),
)
CONTACTOR = (
    Range("rating_a", "rating", 2, 125, 20, "A", "the rating of the contactor", "error"),
)  # fmt: skip
JUNCTION_BOX = (Range("height", "height", 0, 3000, 450, "mm", "the height of the junction box"),)
SENSOR = (Range("cable", "cable", 300, 100_000, 3000, "mm", "the length of the sensor's cable"),)
CHANNEL = (
    Range("width", "width", 3, 150, 13, "mm", "the width of the sensor's channel"),
    Range("depth", "depth", 2, 100, 7, "mm", "the depth of the sensor's channel"),
)
CONDUIT = (
    Range("width", "width", 3, 60, 12, "mm", "the width of the sensor's conduit"),
    Range("depth", "depth", 2, 60, 7, "mm", "the depth of the sensor's conduit"),
)
GRID = (
    Range("mesh", "mesh", 1, 300, 30, "mm", "the mesh of the grid"),
    Range(
        "conductor_mm2", "protective_conductor", 0.05, 25, 4, "mm2",
        "the size of the grid's protective conductor", "error",
    ),
)  # fmt: skip
STRIP = (Range("length", "length", 50, 100_000, 3000, "mm", "the length of strip {}", "error"),)
# From a shell in a hard frost to a loft in the sun.
TEST = (
    Range("ambient_c", "ambient", -25, 50, 18, "degC", "the temperature at a test of circuit {}"),
)
OPENING = (Range("sill", "sill", 0, 3000, 900, "mm", "the sill of window {}"),)
FIXTURE = (Range("clear", "clear", 1, 3000, 120, "mm", "the height below {}"),)

# What breakers are made with, A: IEC 60898-1, 5.3.2, the smaller ones below it, and the sizes that
# North American makers add (from memory).
BREAKERS_A = (
    1, 2, 3, 4, 5, 6, 8, 10, 13, 15, 16, 20, 25, 30, 32, 35, 40, 45, 50, 60, 63, 70, 80, 90, 100,
    110, 125, 150, 160, 175, 200,
)  # fmt: skip
# What floors are fed with, V: the nominal voltages of the world's low-voltage networks, and
# extra-low voltages that transformers are made for; measured ones lie near them.
NETWORKS_V = (
    100, 110, 115, 120, 127, 200, 208, 220, 230, 240, 250, 265, 277, 347, 380, 400, 415, 440, 480,
)  # fmt: skip
EXTRA_LOW_V = (12, 24, 36, 42, 48, 60)
SELV_MOST_V = 50
NEAR_NOMINAL = 0.06
# The longer side of a room, mm, by its use; a hall of any use that is named `other` may be large.
ROOM_SIDES: dict[str | None, tuple[float, float]] = {
    "other": (700, 400_000),
    "office": (700, 60_000),
}
ROOM_SIDE = (700.0, 30_000.0)
# The shorter side of any room, mm.
ROOM_WIDTH = 300.0
# How far a film's rated power may lie below and above, %.
TOLERANCE = ((-30.0, 0.0), (0.0, 20.0))
# The most that what lies over a film conducts, W/m/K: stone. A resistance too great for a thickness
# makes the film too hot rather than too cool, which other rules tell.
MOST_CONDUCTING_W_MK = 5.0
# Heat loss over the floor's area, W/m2.
LOSS_W_M2 = (8.0, 300.0)
TYPICAL_LOSS_W_M2 = 50.0
# The longer side of a fixture, mm.
FIXTURE_SIDE = (10.0, 60_000.0)
# Fixings may be drawn as the screw that goes into the floor.
FIXING_SIDE = (3.0, 60_000.0)
# The width of a door, a window or a passage, mm.
OPENING_WIDTH = (200.0, 15_000.0)
# Days from today that a plan's date may lie ahead, and years that a waiver may run.
DATE_AHEAD_DAYS = 731
WAIVER_AHEAD_DAYS = 10 * 366
FIRST_YEAR = 1980
