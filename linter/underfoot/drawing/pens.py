"""Line widths, colours and hatches: each circuit differs in hatch as well as in colour."""

from underfoot.drawing.svg import Look, circle, tag

# Line widths of ISO 128-2, mm.
HAIR = 0.18
FINE = 0.25
MIDDLE = 0.35
WIDE = 0.5
FRAME = 0.7

INK = "#1b1f24"
SOFT = "#5b6470"
PALE = "#c9ced6"
WALL = "#7d8590"
PAPER = "#ffffff"
SENSOR = "#7a0177"

# Chosen to stay apart for the common kinds of colour blindness: (line, ground).
CIRCUIT_COLOURS = (
    ("#0b63a5", "#e3eef7"),
    ("#b84a00", "#fbeade"),
    ("#00735a", "#e0f1ec"),
    ("#8d3f7f", "#f4e8f1"),
    ("#5a5a00", "#f1f1d8"),
    ("#31688e", "#e4edf2"),
)
NO_CIRCUIT = ("#5b6470", "#f2f3f5")

SEVERITY_COLOURS = {"error": "#b3261e", "warning": "#f2b200", "note": "#1f5fa8"}

_TILE = 3.2


def pen(ink: str | None, width: float) -> Look:
    """Return a pen of that colour and width, as elements take it."""
    return {"stroke": ink, "stroke_width": width}


def _hatches(ink: str) -> tuple[str, ...]:
    size = _TILE
    half = size / 2

    def stroke(d: str) -> str:
        return tag("path", d=d, stroke=ink, stroke_width=HAIR, fill="none")

    def dot(x: float, y: float, radius: float) -> str:
        return circle((x, y), radius, fill=ink)

    rising = f"M0 {size}L{size} 0"
    falling = f"M0 0L{size} {size}"
    return (
        stroke(rising),
        dot(half / 2, half / 2, 0.22) + dot(half * 1.5, half * 1.5, 0.22),
        stroke(falling),
        stroke(rising + falling),
        stroke(f"M0.4 {half / 2}H{half}M{half} {half * 1.5}H{size - 0.4}"),
        stroke(f"M{half} {half - 0.6}V{half + 0.6}M{half - 0.6} {half}H{half + 0.6}"),
        circle((half, half), 0.6, fill="none", stroke=ink, stroke_width=HAIR),
    )


HATCHES = len(_hatches(""))
# Circuits that differ in colour, hatch or both; after these the looks begin anew.
LOOKS = len(CIRCUIT_COLOURS) * HATCHES


def circuit_colours(place: int | None) -> tuple[str, str]:
    """Return line and ground colour of the circuit at a place in the plan; None is no circuit."""
    return NO_CIRCUIT if place is None else CIRCUIT_COLOURS[place % len(CIRCUIT_COLOURS)]


def hatch_name(prefix: str, place: int | None) -> str:
    """Name the pattern that fills the strips of a circuit."""
    return f"{prefix}hatch-{'none' if place is None else place % LOOKS}"


def hatch(prefix: str, place: int | None) -> str:
    """Define the pattern of a circuit."""
    ink, ground = circuit_colours(place)
    drawn = "" if place is None else _hatches(ink)[place % HATCHES]
    tile = tag("rect", width=_TILE, height=_TILE, fill=ground)
    return _pattern(hatch_name(prefix, place), _TILE, tile + drawn)


def shading(prefix: str) -> str:
    """Define the patterns of fixtures, laps and cold floor."""
    size = 1.6
    drawn = {
        "structure": tag("rect", width=size, height=size, fill="#d7dbe0")
        + tag("path", d=f"M0 {size}L{size} 0", stroke=SOFT, stroke_width=HAIR),
        "cold": tag("path", d=f"M{size / 2} 0V{size}", stroke=SOFT, stroke_width=0.1),
        "lap": tag("path", d=f"M0 {size / 2}H{size}", stroke="#006d77", stroke_width=HAIR),
    }
    return "".join(_pattern(prefix + name, size, content) for name, content in drawn.items())


def _pattern(name: str, size: float, content: str) -> str:
    """Define a square pattern."""
    look: Look = {"patternUnits": "userSpaceOnUse", "width": size, "height": size}
    return tag("pattern", content, id=name, **look)
