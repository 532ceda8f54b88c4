"""The sentences with figures that are not tried, each kind with why: none is passed over unsaid.

They name no move, cut, place or rating to be taken as it stands, but what must hold.
"""

import re

# Why it is not tried, and what such sentences look like (`#` stands for a figure).
KINDS: tuple[tuple[str, str], ...] = (
    ("how near a way may come: the way itself is left to who draws it",
     r"(its|their) middles? at least # mm|# mm apart|# mm or more (from|away)|at # mm or more"),
    ("a nearest thing is named, and how far away it is",
     r"\(the nearest is .*# mm away\)"),
    ("how a strip, a board or a sheet is to lie",
     r"# strips end to end|this lap is # mm or more|lies # mm or more from those beside it"),
    ("how much more must be laid, drawn or lost, and not where",
     r"at least # m² more strip|about # m² more|# A less|bears # A more|is # W short"
     r"|# W at the very most|would then draw # A|# m² K/W more brings it to"),
    ("what a catalogue's thing must not pass, or must be made for",
     r"(film made for|film and a source of) # V|of at most # m² K/W|weaker film"),
    ("what stands in the way of a figure", r"asks for a breaker rated # A"),
    ("a question", r"did you mean"),
    ("a dial that stands as it should", r"Leave the dial .* at # °C"),
    ("how something is measured or made, with what tool", r"# V DC|Bare # mm"),
    ("a kind of thing that is asked for, written out besides",
     r"RCD of # mA or less|meshes of at most # mm|of # mm² or more; # mm²"),
    ("what one of several ways asks for, the others being free",
     r"Cut the last # mm into the subfloor|laid straight to the sensor it needs only # m"
     r"|one of # mm or more"),
)  # fmt: skip
_KINDS = tuple((why, re.compile(said)) for why, said in KINDS)


def why_not_tried(left: str) -> str | None:
    """Say why a sentence with figures is not tried; None for one of no known kind."""
    said = re.sub(r"-?\d+(?:\.\d+)?", "#", left)
    return next((why for why, pattern in _KINDS if pattern.search(said)), None)
