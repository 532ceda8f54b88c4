"""Doors, windows and passages of a room."""

from underfoot.plan import Opening
from underfoot.plan_format.declaration import Choice, Key, Thing
from underfoot.plan_format.kinds import LENGTH_FROM_ZERO, POINT

# fmt: off
OPENING = Thing(
    "opening", "an opening",
    "A door, a window or a passage in a wall: it runs on a side of the outline, `from` one end "
    "`to` the other.",
    keys=(
        Key("kind", Choice(("door", "window", "passage")), "What it is.", needed=True),
        Key("from", POINT, "Its one end, on the wall.", needed=True, field="start",
            examples=([600, 0],)),
        Key("to", POINT, "Its other end, on the same wall.", needed=True, field="end",
            examples=([1400, 0],)),
        Key("hinge", Choice(("from", "to", "both")), "The end at which a door hangs."),
        Key("opens", Choice(("inwards", "outwards", "slides")),
            "How a door opens: inwards is into this room."),
        Key("threshold", Choice(("screwed", "glued", "none")),
            "How what ends the floor in a door or a passage is held."),
        Key("sill", LENGTH_FROM_ZERO, "How high above the floor a window begins.",
            examples=(900,)),
    ),
    examples=(
        {"kind": "door", "from": [600, 0], "to": [1400, 0], "hinge": "from", "opens": "inwards"},
    ),
    makes=Opening,
)
