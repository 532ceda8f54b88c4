"""The boards below the strips, and the vapour barrier above them."""

from underfoot.plan import BoardPiece, Courses, Insulation, Membrane, MembraneSheet, Runs
from underfoot.plan_format import kinds
from underfoot.plan_format.declaration import ById, Choice, Either, IdOf, Key, ListOf, Thing

# fmt: off
BOARD_PIECE = Thing(
    "board_piece", "a board",
    "A board laid by hand: whole, or cut where `length` or `width` is given.",
    keys=(
        Key("at", kinds.POINT, "The corner with the smallest x and y.", needed=True),
        Key("along", kinds.DIRECTION, needed=True),
        Key("length", kinds.LENGTH, "Its length, where it is cut."),
        Key("width", kinds.LENGTH, "Its width, where it is cut."),
    ),
    examples=({"at": [0, 0], "along": "x"},),
    makes=BoardPiece,
)

LAYER = Thing(
    "layer", "a layer of boards", "A layer of boards: `courses`, or `pieces`.",
    keys=(
        Key("courses", Choice(("x", "y")), "Laid in brickwork courses along x or y.",
            field="along"),
        Key("stagger", kinds.LENGTH_FROM_ZERO, "Length of the first board in every second course.",
            examples=(600,), default=0),
        Key("over", kinds.OUTLINE, "The part of the floor; left out, it is the whole outline."),
        Key("pieces", ById(BOARD_PIECE, title="boards"), "Boards laid piece by piece, by id."),
    ),
    examples=({"courses": "x", "stagger": 600},),
    needs=(Either(("courses",), ("pieces",)),),
    makes=Courses,
)

INSULATION = Thing(
    "insulation", "the insulation", "The boards below the elements.",
    keys=(
        Key("board", IdOf("board"), "A board, by id."),
        Key("joints_taped", kinds.YES_NO, "Are the joints taped?"),
        Key("layers", ListOf(LAYER), "The layers, from the subfloor up."),
    ),
    makes=Insulation,
)

RUN = Thing(
    "run", "a run", "Sheets laid side by side from the low side.",
    keys=(
        Key("along", kinds.AXIS, needed=True),
        Key("overlap", kinds.LENGTH_FROM_ZERO, "How far each sheet laps the last.", examples=(150,),
            default=0),
        Key("over", kinds.OUTLINE, "The part of the floor; left out, it is the whole outline."),
    ),
    makes=Runs,
)

RUNS = Thing(
    "runs", "the runs",
    "Sheets laid side by side from the low side, over the whole outline or a part; a list where "
    "there are several.",
    keys=RUN.keys,
    examples=({"along": "x", "overlap": 150},),
    or_list=RUN,
    makes=Runs,
)

SHEET_PIECE = Thing(
    "sheet_piece", "a sheet", "A sheet laid by hand, as wide as the roll unless `width` is given.",
    keys=(
        Key("at", kinds.POINT, "The corner with the smallest x and y.", needed=True),
        Key("along", kinds.DIRECTION, needed=True),
        Key("length", kinds.LENGTH, "Its length.", needed=True),
        Key("width", kinds.LENGTH, "Its width, where it is cut."),
    ),
    examples=({"at": [0, 0], "along": "x", "length": 4200},),
    makes=MembraneSheet,
)

MEMBRANE = Thing(
    "membrane", "the membrane", "The vapour barrier over the elements.",
    keys=(
        Key("sheet", IdOf("sheet"), "A sheet, by id."),
        Key("overlaps_taped", kinds.YES_NO, "Are the overlaps taped?"),
        Key("perimeter_taped", kinds.YES_NO, "Is the perimeter taped to the wall?"),
        Key("runs", RUNS),
        Key("pieces", ById(SHEET_PIECE, title="sheets"), "Sheets laid piece by piece, by id."),
    ),
    makes=Membrane,
)
