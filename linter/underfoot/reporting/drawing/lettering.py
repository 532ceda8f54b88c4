"""Lettering: sizes after ISO 3098, and how wide a text will be."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

FAMILY = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif"

# Height of the capitals as a share of the font size, in the lowest of the families above.
CAPITALS = 0.688
# Font sizes whose capitals are 1.8, 2.5 and 3.5 mm high, the smallest three of ISO 3098-1.
SMALL = 2.65
MEDIUM = 3.65
LARGE = 5.1
LEADING = 1.32

# Advance widths of the family in thousandths of the font size, space to tilde.
_WIDTHS = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 "
    "556 556 556 556 556 556 556 556 556 556 278 278 584 584 584 556 "
    "1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 "
    "667 778 722 667 611 722 667 944 667 667 611 278 278 278 469 556 "
    "333 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 "
    "556 556 333 500 278 556 500 722 500 500 500 334 260 334 584"
)
_ASCII = tuple(int(width) for width in _WIDTHS.split())
_BOLD = 1.08


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Estimate how wide a text is at a font size."""
    total = sum(_width(letter) for letter in text)
    return total * size / 1000 * (_BOLD if bold else 1.0)


def _width(letter: str) -> int:
    place = ord(letter) - 32
    if 0 <= place < len(_ASCII):
        return _ASCII[place]
    if unicodedata.combining(letter):
        return 0
    return 1000 if unicodedata.east_asian_width(letter) in "WF" else 650


def wrap(text: str, width: float, size: float, *, most: int | None = None) -> list[str]:
    """Break a text into lines no wider than `width`; the last of `most` lines ends in an ellipsis.

    A word that is wider than a line is broken.
    """
    lines: list[str] = []
    current = ""
    for word in text.split():
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
    """Give the width of the widest line."""
    return max((width_of(line, size, bold=bold) for line in lines), default=0.0)
