"""The supply and the circuits."""

from underfoot.plan import Cable, Circuit, Source, Supply
from underfoot.plan_format import kinds
from underfoot.plan_format.declaration import Choice, IdOf, Key, ListOf, Thing

# fmt: off
SOURCE = Thing(
    "source", "the source", "What makes the extra-low voltage of a SELV supply.",
    keys=(
        Key("kind",
            Choice(("safety isolating transformer", "safety power supply", "battery",
                    "isolating transformer", "autotransformer", "other")),
            "What it is: only the first three keep the extra-low voltage apart from the mains."),
        Key("standard", kinds.TEXT, "The product standard that it is made to.",
            examples=("IEC 61558-2-6",)),
        Key("rating", kinds.APPARENT_POWER, "The load that it may carry without end.",
            examples=("300 VA",)),
    ),
    examples=(
        {"kind": "safety isolating transformer", "standard": "IEC 61558-2-6", "rating": "300 VA"},
    ),
    makes=Source,
)

SUPPLY = Thing(
    "supply", "the supply", "What feeds the heating.",
    keys=(
        Key("voltage", kinds.VOLTAGE,
            "Voltage of the supply; of three phases, between one and neutral.", needed=True),
        Key("system", Choice(("mains", "SELV")),
            "Mains, or safety extra-low voltage: at most 50 V, out of a `source` made for it.",
            default="mains"),
        Key("source", SOURCE),
        Key("phases", Choice((1, 3)), "How many phases there are.", default=1),
        Key("available", kinds.CURRENT_FROM_ZERO,
            "The current that the installation can spare; of three phases, on each.",
            examples=("40 A",)),
    ),
    examples=({"voltage": "230 V", "system": "mains", "available": "40 A"},),
    makes=Supply,
)

_CONDUCTORS = Key("size", kinds.CONDUCTOR_SIZE, "The conductors' cross-section.",
                  examples=("2.5 mm2", "12 AWG"))
_INSTALLED = (
    Key("method", Choice(("A1", "A2", "B1", "B2", "C")),
        "How it is installed: a reference method of IEC 60364-5-52."),
    Key("ambient", kinds.TEMPERATURE, "The temperature around it.", examples=("30 degC",)),
    Key("capacity", kinds.CURRENT, "What it can carry, where the designer gives it.",
        examples=("20 A",)),
)

CABLE = Thing(
    "cable", "a cable",
    "The cable from the distribution board to the junction box, or a link from box to box.",
    keys=(
        _CONDUCTORS,
        Key("length", kinds.LENGTH, "Its length.", examples=("14 m",)),
        *_INSTALLED,
    ),
    examples=({"size": "2.5 mm2", "length": "14 m", "method": "C"},),
    makes=Cable,
)

LINK = Thing(
    "link", "a link", "What leads on from the junction box of one room to that of another.",
    keys=(
        Key("from", IdOf("room"), "The room whose junction box feeds it, by id.", field="start",
            needed=True),
        Key("to", IdOf("room"), "The room whose junction box it feeds, by id.", field="end",
            needed=True),
        _CONDUCTORS,
        Key("length", kinds.LENGTH, "Its length.", examples=("6 m",)),
        *_INSTALLED,
    ),
    examples=(
        {"from": "kitchen", "to": "hall", "size": "2.5 mm2", "length": "6 m", "method": "C"},
    ),
    makes=Cable,
)

CIRCUIT = Thing(
    "circuit", "a circuit", "One chain of strips from a junction box with its protection.",
    keys=(
        Key("thermostat", IdOf("room"), "The room whose thermostat switches it."),
        Key("breaker", kinds.CURRENT, "The breaker's rating.", examples=("10 A",)),
        Key("rcd", kinds.RESIDUAL_CURRENT, "The residual current at which its RCD trips."),
        Key("rcd_type", Choice(("AC", "A", "F", "B")), "The type of its RCD, as printed on it."),
        Key("rcd_group", kinds.ID,
            "A name of your own for its RCD, the same for all circuits that stand behind it.",
            examples=("R1",)),
        Key("phase", Choice(("L1", "L2", "L3")), "The phase that it is on, of three."),
        Key("cable", CABLE,
            "The cable from the distribution board to its junction box; of a circuit that "
            "shares, the link from the other's junction box to its own."),
        Key("shares", kinds.ID, "The circuit that it is fed and protected with, by id."),
        Key("links", ListOf(LINK, most=200),
            "Where its strips lie in several rooms: what leads on from junction box to junction "
            "box."),
    ),
    examples=({"thermostat": "garden-room", "breaker": "10 A", "rcd": "30 mA"},),
    makes=Circuit,
)
