"""A sheet of boards or membrane, read back: its pieces, its cut list, what is written of it."""

import re
from collections.abc import Iterator
from functools import cached_property
from xml.etree import ElementTree

import shapely
from msgspec import Struct

from tests.underfoot.drawing.measured import Measured, find_overlaps
from tests.underfoot.drawing.rooms import SVG, places_of
from underfoot.drawing import pens


class Cut(Struct, frozen=True, kw_only=True):
    """A line of a cut list: from which board, which piece, how long and wide."""

    board: int | None
    piece: str
    long: float
    wide: float
    more: str


class Lined:
    """The sheets of one lining: the drawing first, then those of its lists."""

    def __init__(self, sheets: tuple[str, ...]) -> None:
        self.all = tuple(Measured(svg) for svg in sheets)
        self.first = self.all[0]

    @cached_property
    def outline(self) -> shapely.Polygon:
        """The room's outline, as drawn, in mm of the room."""
        (outline,) = self.first.of_class("outline")
        return self._shape(outline)

    @cached_property
    def pieces(self) -> dict[str, shapely.Geometry]:
        """The boards by name, as drawn, in mm of the room (y down)."""
        return {
            each.get("data-item") or "": self._shape(each)
            for layer in self.first.root.iter(f"{SVG}g")
            if layer.get("data-layer") == "boards"
            for each in layer.iter(f"{SVG}path")
            if each.get("data-item")
        }

    def _shape(self, path: ElementTree.Element) -> shapely.Geometry:
        rings = [shapely.Polygon(ring) for ring in places_of(path.get("d") or "")]
        # Even and odd: a ring within another is a hole.
        shape = rings[0]
        for ring in rings[1:]:
            shape = shape.symmetric_difference(ring)
        return shapely.transform(shape, lambda places: places * self.first.scale)

    @cached_property
    def cuts(self) -> list[Cut]:
        """The cut list."""
        return list(self._cuts())

    def _cuts(self) -> Iterator[Cut]:
        board = None
        for texts in self.entries("cut-list"):
            names = [at for at, text in enumerate(texts) if " × " in text]
            if not names or names[0] == 0:
                continue
            at = names[0]
            if at == 2:
                board = int(texts[0])
            long, wide = (float(each) for each in texts[at].split(" × "))
            more = " ".join(texts[at + 1 :])
            yield Cut(board=board, piece=texts[at - 1], long=long, wide=wide, more=more)

    def entries(self, name: str) -> list[list[str]]:
        """Return the texts of each entry of a list."""
        return [
            ["".join(text.itertext()) for text in entry.iter(f"{SVG}text")]
            for sheet in self.all
            for table in sheet.of_class(name)
            for entry in table
        ]

    def says(self, name: str) -> str:
        """Return all that a list says."""
        return " ".join(" ".join(texts) for texts in self.entries(name))

    @property
    def names(self) -> list[str]:
        """What is named on the drawing, once for each time."""
        return [text.words for text in self.first.texts if "label" in text.within]

    def _wide_lines(self) -> Iterator[shapely.Geometry]:
        """Yield the faces of the walls and the doors' leaves, on paper."""
        for outline in self.first.of_class("outline"):
            for ring in places_of(outline.get("d") or ""):
                yield shapely.LinearRing(ring)
        for opening in self.first.of_class("opening"):
            for path in opening.iter(f"{SVG}path"):
                if path.get("stroke-width") == f"{pens.WIDE:g}":
                    yield shapely.LineString(places_of(path.get("d") or "")[0])

    def find_faults(self) -> list[str]:
        """Say what lies on what: as on any sheet, and the lines that lead to a name's piece."""
        found = [each for sheet in self.all for each in find_overlaps(sheet)]
        found += [
            f"{text.words!r} on a wall or a door's leaf"
            for text in self.first.texts
            if "measure" in text.within
            for line in self._wide_lines()
            if text.shape.intersection(line).length > 0.1
        ]
        for group in self.first.of_class("pointers"):
            for path in group.iter(f"{SVG}path"):
                line = shapely.LineString(places_of(path.get("d") or "")[0])
                found += [
                    f"a line to a piece through {text.words!r}"
                    for text in self.first.texts
                    if text.shape.intersection(line).length > 0.1
                ]
        return found


def number(text: str) -> float:
    """Read the first number in a text."""
    found = re.search(r"[0-9.]+", text)
    assert found is not None
    return float(found[0])
