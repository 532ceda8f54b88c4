"""SVG written by hand: elements as text, numbers of fixed decimals, everything escaped."""

import re
from collections.abc import Iterable, Sequence

from underfoot.drawing.lettering import SMALL, measured_width
from underfoot.reading.hidden import escape_invisible

Point = tuple[float, float]
# Attributes that several elements share.
Look = dict[str, str | float | None]

# What XML 1.0 cannot hold (its clause 2.2), and the marks that turn the reading direction of
# what follows: a title must not be able to reorder the text around it.
_UNFIT = re.compile(
    "[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]|[\u202a-\u202e\u2066-\u2069]"
)
_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"})


def clean(text: str) -> str:
    """Write out what a drawing cannot show or would hide, and one space for each gap."""
    return " ".join(escape_invisible(text).split())


def escape(text: str) -> str:
    """Make any text safe as content and as an attribute's value."""
    return _UNFIT.sub("\ufffd", escape_invisible(text)).translate(_ESCAPES)


def number(value: float) -> str:
    """Write millimetres on paper to a thousandth."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def tag(name: str, *content: str, **attributes: str | float | None) -> str:
    """Write an element; ``stroke_width`` gives stroke-width, ``class_`` class, None is left out."""
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if not content:
        return f"<{name}{written}/>"
    return f"<{name}{written}>{''.join(content)}</{name}>"


def _value(value: str | float) -> str:
    return escape(value) if isinstance(value, str) else number(value)


def group(*content: str, **attributes: str | float | None) -> str:
    """Write a group, or nothing where there is nothing in it."""
    inside = "".join(content)
    return tag("g", inside, **attributes) if inside else ""


def points(places: Iterable[Point]) -> str:
    """Write places as the beginning of a path: the first is moved to, the others drawn to."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in places)


def line(places: Sequence[Point], **attributes: str | float | None) -> str:
    """Draw an open line through places."""
    return tag("path", d=points(places), fill="none", **attributes)


def area(*rings: Sequence[Point], **attributes: str | float | None) -> str:
    """Draw a closed area; further rings are holes."""
    return tag(
        "path", d="".join(points(ring) + "z" for ring in rings), fill_rule="evenodd", **attributes
    )


def box(
    left: float, top: float, width: float, height: float, **attributes: str | float | None
) -> str:
    """Draw an upright rectangle."""
    return tag("rect", x=left, y=top, width=width, height=height, **attributes)


def circle(middle: Point, radius: float, **attributes: str | float | None) -> str:
    """Draw a circle."""
    return tag("circle", cx=middle[0], cy=middle[1], r=radius, **attributes)


def letter_sign(text: str, middle: Point, ink: str) -> str:
    """Write small bold letters about a middle, as signs have them."""
    at = (middle[0], middle[1] + SMALL * 0.35)
    return letters(text, at, SMALL, anchor="middle", font_weight="bold", fill=ink)


def letters(
    text: str,
    at: Point,
    size: float,
    *,
    anchor: str | None = None,
    turn: float = 0.0,
    **attributes: str | float | None,
) -> str:
    """Write one line of text with its baseline at `at`, turned clockwise by `turn` degrees.

    It says how long it is, so that it keeps to its place in another font too.
    """
    x, y = at
    text = clean(text)
    bold = attributes.get("font_weight") == "bold"
    length = measured_width(text, size, bold=bold) if len(text) > 1 else None
    turned = f"rotate({number(turn)} {number(x)} {number(y)})" if turn else None
    return tag(
        "text",
        escape(text),
        x=x,
        y=y,
        font_size=size,
        text_anchor=anchor,
        transform=turned,
        textLength=length,
        lengthAdjust=None if length is None else "spacingAndGlyphs",
        **attributes,
    )
