"""What the floor is made of."""

from __future__ import annotations

from underfoot.plan import Board, Covering, Film, Materials, MembraneRoll
from underfoot.plan_format.declaration import ById, Choice, IdOf, Key, ListOf, Thing
from underfoot.plan_format.kinds import (
    CONDUCTIVITY,
    CURRENT,
    DENSITY,
    LEAKAGE,
    LENGTH,
    OUTPUT,
    OUTPUT_OF_AREA,
    PERCENT,
    RESISTANCE_OF_LENGTH,
    SIZE,
    TEMPERATURE,
    TEXT,
    THERMAL_RESISTANCE,
    VOLTAGE,
)

# fmt: off
FILM = Thing(
    "film", "a film", "A heating film, sold by the roll and cut to length.",
    keys=(
        Key("width", LENGTH, "Width of the roll, busbars and edges included.", examples=(500,),
            needed=True),
        Key("output", OUTPUT, "Rated output, of an area or of a metre of strip.",
            examples=("140 W/m2", "70 W/m"), needed=True),
        Key("voltage", VOLTAGE, "Rated voltage.", needed=True),
        Key("cut_every", LENGTH, "Distance between the marked cut lines.", examples=(250,)),
        Key("longest_strip", LENGTH, "Length of the longest strip that the maker allows.",
            examples=("9 m",)),
        Key("longest_circuit", LENGTH, "The maker's limit for all strips of one circuit together.",
            examples=("30 m",)),
        Key("tolerance", ListOf(PERCENT, least=2, most=2, title="a tolerance"),
            "Tolerance of the rated power, lowest and highest, in percent.", examples=([-10, 5],)),
        Key("lies", Choice(("busbars down", "busbars up")), "The side that the maker wants below."),
        Key("suits", ListOf(TEXT), "The kinds of floor covering that the film is made for.",
            examples=(["laminate", "engineered wood"],)),
        Key("boards", ListOf(IdOf("board")),
            "The insulation boards that it may be used with, by id.", examples=(["board-6"],)),
        Key("protection_class", Choice(("I", "II", "III")),
            "Protection class; without class II an earthed metal grid is asked for."),
        Key("standard", TEXT,
            "The product standard: 2-96 for a film built in, 2-106 for one under a loose-laid "
            "covering.", examples=("IEC 60335-2-106", "IEC 60335-2-96")),
        Key("busbar_resistance", RESISTANCE_OF_LENGTH,
            "Resistance of the two busbars together, of one metre of strip."),
        Key("largest_current", CURRENT,
            "The greatest current that one of its connectors may carry, by its maker; decides at "
            "extra-low voltage.", examples=("12 A",)),
        Key("leakage", LEAKAGE,
            "Leakage current in normal use, of an area or of a metre of strip, by its maker."),
        Key("warmest", TEMPERATURE,
            "The greatest temperature that the film itself may get, by its maker.",
            examples=("80 degC",)),
    ),
    examples=({"width": 500, "output": "140 W/m2", "voltage": "230 V"},),
    makes=Film,
)

BOARD = Thing(
    "board", "a board", "An insulation board.",
    keys=(
        Key("size", SIZE, "Length and width of a whole board.", examples=([1200, 600],),
            needed=True),
        Key("thickness", LENGTH, "Thickness.", examples=(6,)),
        Key("conductivity", CONDUCTIVITY, "Thermal conductivity."),
        Key("material", TEXT, "What it is made of.", examples=("extruded polystyrene",)),
        Key("density", DENSITY, "Density.", examples=("35 kg/m3",)),
    ),
    examples=({"size": [1200, 600], "thickness": 6, "conductivity": "0.033 W/m/K"},),
    makes=Board,
)

SHEET = Thing(
    "sheet", "a sheet", "A vapour barrier, by the roll.",
    keys=(
        Key("width", LENGTH, "Width of the roll.", examples=("2 m",), needed=True),
        Key("thickness", LENGTH, "Thickness.", examples=(0.2,)),
        Key("material", TEXT, "What it is made of.", examples=("polyester",)),
    ),
    examples=({"width": "2 m", "thickness": 0.2},),
    makes=MembraneRoll,
)

COVERING = Thing(
    "covering", "a covering", "A floor covering.",
    keys=(
        Key("kind", TEXT, "Its kind, as the film's `suits` names it.",
            examples=("engineered wood", "laminate", "tile")),
        Key("thickness", LENGTH, "Thickness.", examples=(14,)),
        Key("resistance", THERMAL_RESISTANCE,
            "Thermal resistance; or `conductivity` with `thickness`."),
        Key("conductivity", CONDUCTIVITY, "Thermal conductivity.", examples=("0.13 W/m/K",)),
        Key("material", TEXT, "What it is made of.", examples=("oak",)),
        Key("density", DENSITY, "Density."),
        Key("warmest_surface", TEMPERATURE, "The warmest surface that the maker allows."),
        Key("most_output", OUTPUT_OF_AREA,
            "The highest heating output that the maker allows under it."),
        Key("fixing", Choice(("floating", "glued", "nailed")), "How it is laid."),
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
