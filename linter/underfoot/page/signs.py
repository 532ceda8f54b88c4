"""The signs of findings beside their words: each shape stands on the page once, and is used."""

from functools import cache

from markupsafe import Markup

from underfoot.drawing.finding_signs import HALF, draw_balloon_sign
from underfoot.drawing.lettering import SMALL
from underfoot.drawing.svg import group, number, tag

_HALF = max(HALF.values()) + 0.3
_SIZE = f"0 0 {number(2 * _HALF)} {number(2 * _HALF)}"


@cache
def draw_sign_shapes() -> Markup:
    """Draw the shapes that the drawing uses: square an error, diamond a warning, circle a note."""
    shapes = [
        group(
            draw_balloon_sign(severity, "", (_HALF, _HALF), waived=waived),
            id=_shape(severity, waived),
        )
        for severity in HALF
        for waived in (False, True)
    ]
    return Markup(tag("svg", tag("defs", *shapes), class_="aside", aria_hidden="true"))


@cache
def draw_sign(severity: str, waived: bool, finding: int | None = None) -> Markup:
    """Draw a sign; whatever number stands in it, it is no larger than on the drawing."""
    shape = _shape(severity, waived)
    middle, low = number(_HALF), number(_HALF + SMALL * 0.35)
    text = "" if finding is None else tag("text", str(finding), x=middle, y=low)
    drawn = tag("use", href=f"#{shape}")
    kind = f"sign {shape}"
    return Markup(tag("svg", drawn, text, viewBox=_SIZE, class_=kind, aria_hidden="true"))


def _shape(severity: str, waived: bool) -> str:
    return f"{severity}-sign{'-waived' if waived else ''}"
