"""Drawings as few bytes: a page of many holds thousands of lines. They look as they did."""

from __future__ import annotations

import re

from underfoot.drawing.lettering import FAMILY, SMALL
from underfoot.drawing.svg import escape, number

# The page's style says these once, of every drawing.
_SAID_ONCE = (
    f' font-family="{escape(FAMILY)}"',
    f' font-size="{number(SMALL)}"',
    ' fill-rule="evenodd"',
    ' text-anchor="middle"',
    # The ground of a label, the first in its group, and the plate below a dimension's figure.
    ' fill="#ffffff" fill-opacity="0.86"',
)
_BEGUN_LEFT = re.compile(r"<text (?![^>]*text-anchor)")
# The page's script puts it back; without it letters keep their width and stand apart.
_PUT_BACK = ' lengthAdjust="spacingAndGlyphs"'
# No text holds a quotation mark that is not escaped.
_SIZES = re.compile(r'(?<= )(?:d|x|y|cx|cy|textLength|width|height)="[^"]*"')
# A hundredth of a millimetre on paper is finer than any screen.
_LONG = re.compile(r"(\.[0-9]{2})[0-9]+")
_STEP = re.compile(r"([ML])(-?[0-9.]+) (-?[0-9.]+)|[^ML]")


def slim(svg: str, *, has_script: bool = False) -> str:
    """Leave out what the page says once, and what its script puts back; write paths shorter.

    What `styles/slim.css` says holds for drawings that are marked so.
    """
    svg = _BEGUN_LEFT.sub('<text text-anchor="start" ', svg).replace("<svg ", "<svg data-slim ", 1)
    if has_script:
        svg = svg.replace(_PUT_BACK, "")
    for said in _SAID_ONCE:
        svg = svg.replace(said, "")
    return _SIZES.sub(_write_shorter, svg)


def _write_shorter(found: re.Match[str]) -> str:
    sizes = _LONG.sub(r"\1", found[0])
    return shorten_path(sizes) if sizes.startswith("d=") else sizes


def shorten_path(path: str) -> str:
    """Write upright and level lines by the one ordinate that changes."""
    written: list[str] = []
    before = ("", "")
    for step in _STEP.finditer(path):
        way, x, y = step[1], step[2], step[3]
        if way is None:
            written.append(step[0])
            continue
        if way == "L" and x == before[0]:
            written.append(f"V{y}")
        elif way == "L" and y == before[1]:
            written.append(f"H{x}")
        else:
            written.append(f"{way}{x} {y}")
        before = (x, y)
    return "".join(written)
