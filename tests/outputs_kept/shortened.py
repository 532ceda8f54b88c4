"""Long outputs as one line for each part: how many figures, their sums, and a number of the words.

A figure more, less or elsewhere shows, and in which part; what it was, only the output itself.
"""

import math
import re
import zlib
from collections.abc import Iterator
from xml.etree import ElementTree

_FIGURE = re.compile(r"(?<![\w#-])-?[0-9]+(?:\.[0-9]+)?")
_SHORT = 100
_LINES = 60


def shorten(text: str) -> str:
    """Write a text as it is where it is short, and else in figures."""
    words = " ".join(text.split())
    if len(words) <= _SHORT:
        return words
    figures = [float(each) for each in _FIGURE.findall(words)]
    by_place = math.fsum(place * each for place, each in enumerate(figures, 1))
    told = zlib.crc32(_FIGURE.sub("0", words).encode())
    return f"{len(figures)} figures, {math.fsum(figures):.2f}, {by_place:.6g}; words {told:08x}"


def shorten_lines(text: str) -> str:
    """Write each line of a text so."""
    return "\n".join(shorten(line) for line in text.splitlines() if line.strip())


def shorten_parts(text: str) -> str:
    """Write so many lines of a text at a time so."""
    lines = text.splitlines()
    return "\n".join(
        shorten(" ".join(lines[at : at + _LINES])) for at in range(0, len(lines), _LINES)
    )


def shorten_drawing(svg: str) -> str:
    """Write a drawing's parts so: its layers, and what stands round them."""
    parts: dict[str, list[str]] = {}
    svg = svg.replace(' xmlns="http://www.w3.org/2000/svg"', "")
    for name, element in _parts_of(ElementTree.fromstring(svg)):
        element.tail = None
        parts.setdefault(name, []).append(ElementTree.tostring(element, encoding="unicode"))
    return "\n".join(f"{name}: {shorten(' '.join(each))}" for name, each in parts.items())


def _parts_of(root: ElementTree.Element) -> Iterator[tuple[str, ElementTree.Element]]:
    for each in root:
        name = each.get("data-layer") or each.get("class") or each.tag.rpartition("}")[2]
        if name == "drawing":
            yield from _parts_of(each)
        else:
            yield name, each
