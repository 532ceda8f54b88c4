"""What the floor is made of."""

from underfoot.plan import Board, Covering, Film, Materials, MembraneRoll, Packs
from underfoot.plan_format import kinds
from underfoot.plan_format.declaration import ById, Choice, IdOf, Key, ListOf, Thing, Whole

# Nothing is sold by more pieces: a larger number was meant for something else.
_PIECES = Whole(least=1, most=100_000)

# fmt: off
FILM = Thing(
    "film", "a film", "A heating film, sold by the roll and cut to length.",
    keys=(
        Key("width", kinds.LENGTH,
            "Width of the roll, busbars and edges included.", examples=(500,),
            needed=True),
        Key("output", kinds.OUTPUT, "Rated output, of an area or of a metre of strip.",
            examples=("140 W/m2", "70 W/m"), needed=True),
        Key("voltage", kinds.VOLTAGE, "Rated voltage.", needed=True),
        Key("cut_every", kinds.LENGTH, "Distance between the marked cut lines.", examples=(250,)),
        Key("longest_strip", kinds.LENGTH, "Length of the longest strip that the maker allows.",
            examples=("9 m",)),
        Key("longest_circuit", kinds.LENGTH,
            "The maker's limit for all strips of one circuit together.", examples=("30 m",)),
        Key("tolerance", ListOf(kinds.PERCENT, least=2, most=2, title="a tolerance"),
            "Tolerance of the rated power, lowest and highest, in percent.", examples=([-10, 5],)),
        Key("lies", Choice(("busbars down", "busbars up")), "The side that the maker wants below."),
        Key("suits", ListOf(kinds.TEXT), "The kinds of floor covering that the film is made for.",
            examples=(["laminate", "engineered wood"],)),
        Key("boards", ListOf(IdOf("board")),
            "The insulation boards that it may be used with, by id.", examples=(["board-6"],)),
        Key("protection_class", Choice(("I", "II", "III")),
            "Protection class; without class II an earthed metal grid is asked for."),
        Key("standard", kinds.TEXT,
            "The product standard: 2-96 for a film built in, 2-106 for one under a loose-laid "
            "covering.", examples=("IEC 60335-2-106", "IEC 60335-2-96")),
        Key("busbar_resistance", kinds.RESISTANCE_OF_LENGTH,
            "Resistance of the two busbars together, of one metre of strip."),
        Key("largest_current", kinds.CURRENT,
            "The greatest current that one of its connectors may carry, by its maker; decides at "
            "extra-low voltage.", examples=("12 A",)),
        Key("leakage", kinds.LEAKAGE,
            "Leakage current in normal use, of an area or of a metre of strip, by its maker."),
        Key("warmest", kinds.TEMPERATURE,
            "The greatest temperature that the film itself may get, by its maker.",
            examples=("80 degC",)),
        Key("roll", kinds.LENGTH,
            "Length of a whole roll, as it is bought: for the cut list and the "
            "order.", examples=("50 m",)),
    ),
    examples=({"width": 500, "output": "140 W/m2", "voltage": "230 V"},),
    makes=Film,
)

BOARD = Thing(
    "board", "a board", "An insulation board.",
    keys=(
        Key("size", kinds.SIZE, "Length and width of a whole board.", examples=([1200, 600],),
            needed=True),
        Key("thickness", kinds.LENGTH, "Thickness.", examples=(6,)),
        Key("conductivity", kinds.CONDUCTIVITY, "Thermal conductivity."),
        Key("material", kinds.TEXT, "What it is made of.", examples=("extruded polystyrene",)),
        Key("density", kinds.DENSITY, "Density.", examples=("35 kg/m3",)),
        Key("pack", _PIECES, "How many boards a pack holds, for the order.", examples=(12,)),
    ),
    examples=({"size": [1200, 600], "thickness": 6, "conductivity": "0.033 W/m/K"},),
    makes=Board,
)

SHEET = Thing(
    "sheet", "a sheet", "A vapour barrier, by the roll.",
    keys=(
        Key("width", kinds.LENGTH, "Width of the roll.", examples=("2 m",), needed=True),
        Key("thickness", kinds.LENGTH, "Thickness.", examples=(0.2,)),
        Key("material", kinds.TEXT, "What it is made of.", examples=("polyester",)),
        Key("roll", kinds.LENGTH, "Length of a whole roll, as it is bought: for the order.",
            examples=("25 m",)),
    ),
    examples=({"width": "2 m", "thickness": 0.2},),
    makes=MembraneRoll,
)

COVERING = Thing(
    "covering", "a covering", "A floor covering.",
    keys=(
        Key("kind", kinds.TEXT, "Its kind, as the film's `suits` names it.",
            examples=("engineered wood", "laminate", "tile")),
        Key("thickness", kinds.LENGTH, "Thickness.", examples=(14,)),
        Key("resistance", kinds.THERMAL_RESISTANCE,
            "Thermal resistance; or `conductivity` with `thickness`."),
        Key("conductivity", kinds.CONDUCTIVITY, "Thermal conductivity.", examples=("0.13 W/m/K",)),
        Key("material", kinds.TEXT, "What it is made of.", examples=("oak",)),
        Key("density", kinds.DENSITY, "Density."),
        Key("warmest_surface", kinds.TEMPERATURE, "The warmest surface that the maker allows."),
        Key("most_output", kinds.OUTPUT_OF_AREA,
            "The highest heating output that the maker allows under it."),
        Key("fixing", Choice(("floating", "glued", "nailed")), "How it is laid."),
        Key("pack", kinds.AREA,
            "How much floor a pack covers, for the order.", examples=("2.2 m2",)),
    ),
    examples=({"kind": "engineered wood", "thickness": 14, "resistance": "0.10 m2 K/W"},),
    makes=Covering,
)

MATERIALS = Thing(
    "materials", "the materials", "What the floor is made of.",
    keys=(
        Key("films", ById(FILM, "films", "films", "Heating films, by id.")),
        Key("boards", ById(BOARD, "boards", "boards", "Insulation boards, by id.")),
        Key("sheets", ById(SHEET, "sheets", "sheets", "Vapour barriers, by id.")),
        Key("coverings", ById(COVERING, "coverings", "covering_kinds", "Floor coverings, by id.")),
    ),
    makes=Materials,
)

PACKS = Thing(
    "packs", "the packs",
    "What a pack, a roll or a reel holds of what is no material of its own: the order list counts "
    "in them. A film's and a sheet's `roll`, a board's and a covering's `pack` stand with these.",
    keys=(
        Key("connectors", _PIECES, "Connectors in a pack.", examples=(50,)),
        Key("connector_insulation", _PIECES, "Insulating pieces for connectors in a pack.",
            examples=(100,)),
        Key("end_insulation", _PIECES, "Insulating pieces for cut ends in a pack.",
            examples=(40,)),
        Key("board_tape", kinds.LENGTH, "Tape for boards on a roll.", examples=("50 m",)),
        Key("strip_tape", kinds.LENGTH, "Tape for strips on a roll.", examples=("50 m",)),
        Key("sheet_tape", kinds.LENGTH, "Tape for sheets on a roll.", examples=("25 m",)),
        Key("wall_tape", kinds.LENGTH, "Tape for sheets to walls on a roll.", examples=("25 m",)),
        Key("conductor", kinds.LENGTH, "A lead's conductor, of one colour, on a reel.",
            examples=("100 m",)),
        Key("cable", kinds.LENGTH, "Cable on a reel.", examples=("50 m",)),
        Key("conduit", kinds.LENGTH, "The sensor's conduit in one piece.", examples=("2 m",)),
        Key("underlay", kinds.AREA, "Underlay in a pack.", examples=("10 m2",)),
        Key("overlay", kinds.AREA, "Boards over the film in a pack.", examples=("1.5 m2",)),
        Key("grid", kinds.AREA, "Earthed grid on a roll.", examples=("25 m2",)),
    ),
    examples=({"connectors": 50, "strip_tape": "50 m", "conductor": "100 m"},),
    makes=Packs,
)
