"""Drawings as few bytes: a page of many holds thousands of lines. They look as they did."""

import re
from collections.abc import Iterable, Mapping

from underfoot.drawing.lettering import FAMILY, SMALL
from underfoot.drawing.svg import escape, number
from underfoot.page.short_paths import shorten_numbers, shorten_path

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
_SIZES = re.compile(r'(?<= )(d|x|y|cx|cy|textLength|width|height|transform)="([^"]*)"')
# What tells labels and dimensions apart for those who measure drawings; of no use on a page.
_UNUSED = re.compile(r' data-(?:of|dimension)="[^"]*"')
# A text that is turned about its own place.
_TURNED = re.compile(
    r'(<text (?:[^>]* )?)x="([^"]*)" y="([^"]*)" ([^>]*)transform="rotate\(([^ ]*) \2 \3\)"'
)
# Lines side by side that nobody names and that hide nothing: in which order they are drawn is all
# the same as long as their ink is.
_LINE = r'<path d="[^"]*" fill="none"(?: stroke="[^"]*")?(?: stroke-width="[^"]*")?/>'
_LINES = re.compile(rf"(?:{_LINE}){{2,}}")
_ONE_LINE = re.compile(r'<path d="([^"]*)" fill="none"( stroke="[^"]*")?( stroke-width="[^"]*")?/>')


def slim(svg: str, *, has_script: bool = False) -> str:
    """Leave out what the page says once, and what its script puts back; write the rest shorter.

    What `styles/slim.css` says holds for drawings that are marked so.
    """
    svg = _BEGUN_LEFT.sub('<text text-anchor="start" ', svg).replace("<svg ", "<svg data-slim ", 1)
    if has_script:
        svg = svg.replace(_PUT_BACK, "")
    for said in _SAID_ONCE:
        svg = svg.replace(said, "")
    svg = _TURNED.sub(r'\1\4transform="translate(\2 \3)rotate(\5)"', _UNUSED.sub("", svg))
    return _SIZES.sub(_write_shorter, _LINES.sub(_join_lines, svg))


def _write_shorter(found: re.Match[str]) -> str:
    key, value = found[1], found[2]
    return f'{key}="{shorten_path(value) if key == "d" else shorten_numbers(value)}"'


def _join_lines(found: re.Match[str]) -> str:
    """Draw lines of one ink that lie side by side in the text as one for each width."""
    written: list[str] = []
    ink: str | None = None
    widths: dict[str, str] = {}
    for path, stroke, width in _ONE_LINE.findall(found[0]):
        if stroke != ink:
            written += _one_a_width(ink, widths)
            ink, widths = stroke, {}
        widths[width] = widths.get(width, "") + path
    return "".join((*written, *_one_a_width(ink, widths)))


def _one_a_width(ink: str | None, widths: Mapping[str, str]) -> Iterable[str]:
    return (f'<path d="{path}" fill="none"{ink}{width}/>' for width, path in widths.items())
