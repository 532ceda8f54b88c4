"""The kinds of value that keys of several things have, and the units that numbers are kept in."""

from underfoot.plan_format.declaration import (
    Choice,
    ConductorSize,
    ListOf,
    Quantity,
    Text,
    WordOr,
    YesNo,
)

# A field of the plan's values says its unit at the end of its name; lengths are in millimetres.
ENDINGS = {
    "mm": "",
    "mm2": "_mm2",
    "m2": "_m2",
    "V": "_v",
    "A": "_a",
    "mA": "_ma",
    "mA/m2": "_ma_m2",
    "mA/m": "_ma_m",
    "VA": "_va",
    "W": "_w",
    "W/m2": "_w_m2",
    "W/m": "_w_m",
    "ohm": "_ohm",
    "ohm/m": "_ohm_m",
    "Mohm": "_mohm",
    "W/m/K": "_w_mk",
    "m2 K/W": "_m2k_w",
    "W/m2/K": "_w_m2k",
    "kg/m3": "_kg_m3",
    "degC": "_c",
    "deg": "_deg",
    "%": "_percent",
    "1/h": "_per_h",
    "ms": "_ms",
}

# Neither a length nor a coordinate is more, in millimetres: a plan reaches 1 km to each side.
FARTHEST = 1_000_000.0

# What things are called in examples.
EXAMPLE_IDS = {
    "film": "film-140",
    "board": "board-6",
    "sheet": "sheet-200",
    "covering": "oak-14",
    "room": "garden-room",
    "circuit": "C1",
    "element": "E1",
    "row": "A",
    "lead": "W1",
    "fixture": "chest",
    "line": "joint-1",
    "opening": "door",
    "board_piece": "B1",
    "sheet_piece": "S1",
    "resistance": "A1",
}

TEXT = Text()
YES_NO = YesNo()
NOTE = Text("note", "a remark", "A remark, printed beside its thing.")
ID = Text("id", "an id", "The id of another thing in the plan.", pattern="^[A-Za-z0-9_-]+$")
DATE = Text(
    "date",
    "a date",
    "A date: year, month and day.",
    examples=("2026-09-14",),
    pattern="^[0-9]{4}-[0-9]{2}-[0-9]{2}$",
)

LENGTH = Quantity(
    "length", "a length", "mm", "more than 0", (2750, "2.75 m"), bare="millimetres",
    says="A length above nought: a bare number is millimetres, text carries its unit.",
)  # fmt: skip
LENGTH_FROM_ZERO = Quantity(
    "length_or_none", "a length", "mm", "0 or more", (0, 600, "0.6 m"), bare="millimetres",
    says="A length of nought or more: a bare number is millimetres, text carries its unit.",
)  # fmt: skip
COORDINATE = Quantity(
    "coordinate", "a coordinate", "mm", "any", (4200, "4.2 m"), bare="millimetres",
    says="A coordinate: a bare number is millimetres, text carries its unit.",
)  # fmt: skip
PERCENT = Quantity("percent", "a percentage", "%", "any", (-10, 5), bare="percent", says="Percent.")
VOLTAGE = Quantity("voltage", "a voltage", "V", "more than 0", ("230 V",))
CURRENT = Quantity("current", "a current", "A", "more than 0", ("10 A", "40 A"))
CURRENT_FROM_ZERO = Quantity("current", "a current", "A", "0 or more", ("10 A", "40 A"))
RESIDUAL_CURRENT = Quantity(
    "residual_current", "a residual current", "mA", "more than 0", ("30 mA", "0.03 A")
)
LEAKAGE = Quantity(
    "leakage",
    "a leakage current",
    "mA/m2",
    "0 or more",
    ("0.4 mA/m2", "0.2 mA/m"),
    also=("mA/m",),
)
APPARENT_POWER = Quantity(
    "apparent_power", "an apparent power", "VA", "more than 0", ("300 VA", "0.3 kVA")
)
POWER = Quantity("power", "a power", "W", "0 or more", ("1450 W", "1.45 kW"))
OUTPUT = Quantity(
    "output", "an output", "W/m2", "more than 0", ("140 W/m2", "70 W/m"), also=("W/m",)
)
OUTPUT_OF_AREA = Quantity("output_of_area", "an output", "W/m2", "more than 0", ("160 W/m2",))
RESISTANCE = Quantity(
    "resistance", "an electrical resistance", "ohm", "0 or more", ("94.5 ohm", "36.4 ohm")
)
RESISTANCE_OF_LENGTH = Quantity(
    "resistance_of_length",
    "an electrical resistance of a length",
    "ohm/m",
    "0 or more",
    ("0.02 ohm/m",),
)
INSULATION_RESISTANCE = Quantity(
    "insulation_resistance",
    "an insulation resistance",
    "Mohm",
    "0 or more",
    ("210 Mohm", "900 kohm"),
)
CONDUCTIVITY = Quantity(
    "conductivity", "a thermal conductivity", "W/m/K", "more than 0", ("0.033 W/m/K",)
)
THERMAL_RESISTANCE = Quantity(
    "thermal_resistance", "a thermal resistance", "m2 K/W", "0 or more", ("0.10 m2 K/W",)
)
U_VALUE = Quantity(
    "u_value", "a heat transfer coefficient", "W/m2/K", "more than 0", ("1.4 W/m2/K",)
)
TEMPERATURE = Quantity("temperature", "a temperature", "degC", "any", ("27 degC", "80 degF"))
SHARE = Quantity("share", "a share", "%", "0 or more", ("1.8 %",))
AIR_CHANGES = Quantity("air_changes", "a rate of air changes", "1/h", "0 or more", ("0.5 1/h",))
TIME = Quantity("time", "a time", "ms", "0 or more", ("24 ms", "0.2 s"))
AREA = Quantity("area", "an area", "m2", "more than 0", ("11.2 m2",))
DENSITY = Quantity("density", "a density", "kg/m3", "more than 0", ("500 kg/m3",))
CONDUCTOR_SIZE = ConductorSize(
    "conductor_size", "a conductor's cross-section", "mm2", ("1.5 mm2", "12 AWG")
)

POINT = ListOf(
    COORDINATE, 2, 2, "point", "a point",
    "A point, [x, y]: x to the right, y up, seen from above.",
    ([60, 60], [0, 1500]),
)  # fmt: skip
SIZE = ListOf(LENGTH, 2, 2, "size", "a size", "Two lengths, [along x, along y].", ([900, 2000],))
OUTLINE = ListOf(
    POINT, 3, None, "outline", "an outline",
    "Three or more corners [x, y], either way round, the first not repeated at the end.",
    ([[0, 0], [4200, 0], [4200, 3100], [0, 3100]],),
)  # fmt: skip
LINE = ListOf(
    POINT, 2, None, "line", "a line", "Two or more points [x, y].", ([[2100, 0], [2100, 3100]],)
)  # fmt: skip
DIRECTION = WordOr(
    "direction",
    "a direction",
    "The direction of the length: x, y, or an angle such as 30 deg, turned anticlockwise from x "
    "about `at`.",
    ("x", "y"),
    "deg",
    ("x", "y", "30 deg"),
    number="angle",
)
NORTH = WordOr(
    "north",
    "a way to the north",
    "Which way north is, seen from above: x, -x, y or -y, or an angle such as 30 deg, turned "
    "anticlockwise from x.",
    ("x", "-x", "y", "-y"),
    "deg",
    ("y", "-x", "75 deg"),
)
AXIS = Choice(("x", "y"), "axis", "a direction", "The direction of the length: x or y.")
STOP = Text(
    "stop",
    "a stop of a route",
    "junction-box, an element (A1), one of its ends (A1.start, A1.end), a row, or a bend [x, y].",
    ("junction-box", "A1", "A1.end", [400, 1500]),
    r"^[A-Za-z0-9_-]+(\.(start|end))?$",
    or_list=ListOf(COORDINATE, 2, 2),
)
ROUTE = ListOf(
    STOP, 1, None, "route", "a route", "The whole way, stop by stop.",
    (["junction-box", [30, 1500], "A1", "A2"],),
)  # fmt: skip
BEYOND = WordOr(
    "beyond",
    "what lies beyond",
    "What lies beyond the surface: outside, unheated, heated, ground, or a temperature.",
    ("outside", "unheated", "heated", "ground"),
    "degC",
    ("outside", "10 degC"),
)
