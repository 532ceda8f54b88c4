"""Strips of film: by themselves, and in rows."""

from underfoot.plan import Element, Row
from underfoot.plan_format.declaration import Choice, Either, IdOf, Key, ListOf, Thing, Whole
from underfoot.plan_format.kinds import DIRECTION, ID, LENGTH, LENGTH_FROM_ZERO, POINT

# fmt: off
ELEMENT = Thing(
    "element", "an element", "One strip of film.",
    keys=(
        Key("film", IdOf("film"), "A film, by id.", needed=True),
        Key("at", POINT,
            "The corner with the smallest x and y; with an angle, the point about which it is "
            "turned.", needed=True),
        Key("along", DIRECTION, needed=True),
        Key("length", LENGTH, "The strip's length.", needed=True),
        Key("circuit", ID, "The circuit that it is on, by id."),
        Key("connected", Choice(("start", "end")),
            "The end at which its conductors are joined: start is the end at `at` (default).",
            default="start"),
    ),
    examples=({"film": "film-140", "at": [60, 60], "along": "y", "length": 2750, "circuit": "C1"},),
    makes=Element,
)

PLACE = Thing(
    "place", "a strip's place in a row",
    "A strip's length; null leaves the place empty; a mapping says more of a strip.",
    keys=(
        Key("length", LENGTH, "The strip's length.", needed=True),
        Key("from", LENGTH_FROM_ZERO, "Start so much later along the strip.", examples=(650,),
            default=0),
        Key("circuit", ID, "The circuit that it is on, where it is not the row's."),
        Key("connected", Choice(("start", "end")),
            "The end at which its conductors are joined, where it is not the row's."),
    ),
    examples=(2750, {"length": 1500, "from": 650}),
    or_quantity=LENGTH,
    or_null=True,
)

ROW = Thing(
    "row", "a row",
    "Strips butted side by side, named after the row: A1, A2, ... towards +x (along y) or +y "
    "(along x). `at` or `after`; `lengths`, or `length` with `count`.",
    keys=(
        Key("film", IdOf("film"), "A film, by id.", needed=True),
        Key("at", POINT, "The corner of the first strip with the smallest x and y."),
        Key("after", IdOf("row"), "The row at whose end this one goes on, by id."),
        Key("along", DIRECTION, needed=True),
        Key("lengths", ListOf(PLACE, least=1), "The strips' lengths, in order.",
            examples=([2750, 2750, None, 2500],)),
        Key("length", LENGTH, "The length of each strip."),
        Key("count", Whole(least=1), "How many strips of that length.", examples=(4,)),
        Key("spacing", LENGTH_FROM_ZERO, "Space between the strips (default 0).", default=0),
        Key("circuit", ID, "The circuit that they are on, by id."),
        Key("connected", Choice(("start", "end")),
            "The end at which their conductors are joined: start is the end at `at` (default).",
            default="start"),
    ),
    examples=(
        {"film": "film-140", "at": [60, 60], "along": "y", "lengths": [2750, 2750],
         "circuit": "C1"},
    ),
    needs=(Either(("at",), ("after",)), Either(("lengths",), ("length", "count"))),
    makes=Row,
)
