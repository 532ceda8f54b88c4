"""Lettering: sizes after ISO 3098, and how wide a text will be."""

import unicodedata
from collections.abc import Sequence

from underfoot.reporting.layout import join_units

FAMILY = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif"

# Font sizes whose capitals are 2.5 and 3.5 mm high: ISO 3098-1, less its smallest size, so that
# a sheet on A3 can be read when it is printed on A4, 0.71 times as large.
SMALL = 3.65
MEDIUM = 5.1
LEADING = 1.32

# Advance widths of the families in thousandths of the font size: space to tilde, then U+00A0 to
# U+00FF; first of the regular, then of the bold face.
_TABLES = (
    (
        "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 "
        "556 556 556 556 278 278 584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 "
        "556 833 722 778 667 778 722 667 611 722 667 944 667 667 611 278 278 278 469 556 333 556 "
        "556 500 556 556 278 556 556 222 222 500 222 833 556 556 556 556 333 500 278 556 500 722 "
        "500 500 500 334 260 334 584",
        "278 333 556 556 556 556 260 556 333 737 370 556 584 333 737 552 400 549 333 333 333 576 "
        "537 278 333 333 365 556 834 834 834 611 667 667 667 667 667 667 1000 722 667 667 667 667 "
        "278 278 278 278 722 722 778 778 778 778 778 584 778 722 722 722 722 667 667 611 556 556 "
        "556 556 556 556 889 500 556 556 556 556 278 278 278 278 556 556 556 556 556 556 556 549 "
        "611 556 556 556 556 500 556 500",
        {"–": 556, "…": 1000, "Ω": 748, "’": 222},
    ),
    (
        "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 556 556 556 556 556 556 "
        "556 556 556 556 333 333 584 584 584 611 975 722 722 722 722 667 611 778 722 278 556 722 "
        "611 833 722 778 667 778 722 667 611 722 667 944 667 667 611 333 278 333 584 556 333 556 "
        "611 556 611 556 333 611 611 278 278 556 278 889 611 611 611 611 389 556 333 611 556 778 "
        "556 556 500 389 280 389 584",
        "278 333 556 556 556 556 280 556 333 737 370 556 584 333 737 552 400 549 333 333 333 576 "
        "556 278 333 333 365 556 834 834 834 611 722 722 722 722 722 722 1000 722 667 667 667 667 "
        "278 278 278 278 722 722 778 778 778 778 778 584 778 722 722 722 722 667 667 611 556 556 "
        "556 556 556 556 889 556 556 556 556 556 278 278 278 278 611 611 611 611 611 611 611 549 "
        "611 611 611 611 611 556 611 556",
        {"–": 556, "…": 1000, "Ω": 802, "’": 278},
    ),
)


def _table(ascii_: str, latin: str, more: dict[str, int]) -> dict[str, int]:
    widths = {chr(32 + place): int(width) for place, width in enumerate(ascii_.split())}
    widths |= {chr(160 + place): int(width) for place, width in enumerate(latin.split())}
    return widths | more


_REGULAR, _BOLD = (_table(*table) for table in _TABLES)
_JOINED = "\x00"


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Measure a text at a font size; letters that the families lack are estimated."""
    widths = _BOLD if bold else _REGULAR
    return sum(widths.get(letter) or _estimate(letter) for letter in text) * size / 1000


def measured_width(text: str, size: float, *, bold: bool = False) -> float | None:
    """Measure a text of known letters alone; None where a letter would be an estimate."""
    widths = _BOLD if bold else _REGULAR
    return width_of(text, size, bold=bold) if all(letter in widths for letter in text) else None


def _estimate(letter: str) -> int:
    if unicodedata.combining(letter):
        return 0
    return 1000 if unicodedata.east_asian_width(letter) in "WF" else 700


def wrap(text: str, width: float, size: float, *, most: int | None = None) -> list[str]:
    """Break a text into lines no wider than `width`; the last of `most` lines ends in an ellipsis.

    A word that is wider than a line is broken; a number keeps its unit. What a terminal has in
    backquotes stands in quotes on paper.
    """
    lines: list[str] = []
    current = ""
    for glued in join_units(" ".join(text.replace("`", '"').split()), _JOINED).split(" "):
        word = glued.replace(_JOINED, " ")
        joined = f"{current} {word}" if current else word
        if width_of(joined, size) <= width:
            current = joined
            continue
        if current:
            lines.append(current)
        *whole, current = _broken(word, width, size)
        lines.extend(whole)
    if current:
        lines.append(current)
    if most is not None and len(lines) > most:
        lines = [*lines[: most - 1], shorten(" ".join(lines[most - 1 :]), width, size)]
    return lines


def _broken(word: str, width: float, size: float) -> list[str]:
    parts = [""]
    for letter in word:
        if parts[-1] and width_of(parts[-1] + letter, size) > width:
            parts.append("")
        parts[-1] += letter
    return parts


def shorten(text: str, width: float, size: float, *, bold: bool = False) -> str:
    """Cut a text to a width, with an ellipsis where something is missing."""
    if width_of(text, size, bold=bold) <= width:
        return text
    while text and width_of(text + "…", size, bold=bold) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def widest(lines: Sequence[str], size: float, *, bold: bool = False) -> float:
    """Return the width of the widest line."""
    return max((width_of(line, size, bold=bold) for line in lines), default=0.0)
