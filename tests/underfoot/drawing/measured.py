"""A sheet measured as it is drawn: what every text, balloon, leader line and dimension covers."""

import math
import re
from collections.abc import Iterator
from functools import cached_property
from xml.etree import ElementTree

import shapely
from msgspec import Struct
from shapely import affinity

from tests.underfoot.drawing.rooms import SVG, parse, places_of

_NUMBER = r"(-?[0-9.]+)"
# Capitals and digits reach so high above the base line, as a share of the font size.
_HIGH = 0.7


class Text(Struct, frozen=True, kw_only=True):
    """A text with what it covers, and the classes of what it stands in."""

    words: str
    shape: shapely.Polygon
    within: tuple[str, ...]


class Dimension(Struct, frozen=True, kw_only=True):
    """A dimension inside the room: its figure and what it is of; its strokes' middles."""

    figure: str
    what: str
    ends: tuple[tuple[float, float], tuple[float, float]]


class Measured:
    """A sheet with its parts."""

    def __init__(self, svg: str) -> None:
        self.svg = svg
        self.root = parse(svg)
        wide, high = (float(each) for each in (self.root.get("viewBox") or "").split()[2:])
        self.paper = shapely.box(0, 0, wide, high)

    @cached_property
    def texts(self) -> list[Text]:
        """Every text of the sheet."""
        return list(_texts(self.root, (0.0, 0.0), ()))

    @cached_property
    def leaders(self) -> dict[str, shapely.LineString]:
        """The leader lines by the number of their finding."""
        return {
            each.get("data-finding") or "": shapely.LineString(places_of(each[0].get("d") or "")[0])
            for each in self.of_class("leader")
        }

    @cached_property
    def balloons(self) -> dict[str, shapely.Polygon]:
        """What the balloons cover, by the number of their finding."""
        return {each.get("data-finding") or "": _body(each[1]) for each in self.of_class("balloon")}

    @cached_property
    def dimensions(self) -> list[Dimension]:
        """The dimensions inside the room."""
        return [_dimension(each) for each in self.of_class("measure")]

    @cached_property
    def share(self) -> float:
        """How much of the paper the room fills."""
        (outline,) = self.of_class("outline")
        (corners,) = places_of(outline.get("d") or "")
        return float(shapely.Polygon(corners).area / self.paper.area)

    @cached_property
    def scale(self) -> int:
        """The scale that the sheet states."""
        found = re.search(r">1:(\d+), dimensions in mm<", self.svg)
        assert found is not None
        return int(found[1])

    def of_class(self, name: str) -> list[ElementTree.Element]:
        """Find the elements of a class."""
        return [each for each in self.root.iter() if each.get("class") == name]


def _texts(
    element: ElementTree.Element, at: tuple[float, float], within: tuple[str, ...]
) -> Iterator[Text]:
    moved = re.match(rf"translate\({_NUMBER} {_NUMBER}\)", element.get("transform") or "")
    if moved:
        at = (at[0] + float(moved[1]), at[1] + float(moved[2]))
    for name in ("class", "data-of", "data-finding", "data-dimension"):
        if element.get(name):
            within = (*within, element.get(name) or "")
    if element.tag == f"{SVG}text" and (element.text or "").strip():
        yield Text(words=element.text or "", shape=_covered(element, at), within=within)
    for child in element:
        yield from _texts(child, at, within)


def _covered(text: ElementTree.Element, at: tuple[float, float]) -> shapely.Polygon:
    size = float(text.get("font-size") or 0)
    x, y = float(text.get("x") or 0), float(text.get("y") or 0)
    words = text.text or ""
    # A single letter needs no stated length.
    wide = float(text.get("textLength") or 0.6 * size * len(words))
    left = x - {"middle": wide / 2, "end": wide}.get(text.get("text-anchor") or "", 0.0)
    shape = shapely.box(left, y - _HIGH * size, left + wide, y)
    turned = re.match(rf"rotate\({_NUMBER} ", text.get("transform") or "")
    if turned:
        shape = affinity.rotate(shape, float(turned[1]), origin=(x, y))
    return affinity.translate(shape, *at)


def _body(child: ElementTree.Element) -> shapely.Polygon:
    def size(name: str) -> float:
        return float(child.get(name) or 0)

    if child.tag == f"{SVG}rect":
        return shapely.box(
            size("x"), size("y"), size("x") + size("width"), size("y") + size("height")
        )
    if child.tag == f"{SVG}circle":
        return shapely.Point(size("cx"), size("cy")).buffer(size("r"))
    return shapely.Polygon(places_of(child.get("d") or "")[0])


def _dimension(group: ElementTree.Element) -> Dimension:
    (figure,) = [each.text or "" for each in group.iter(f"{SVG}text")]
    paths = [each for each in group if each.tag == f"{SVG}path" and each.get("class") is None]
    middles = []
    for stroke in paths[-2:]:
        ((x, y), (u, v)) = places_of(stroke.get("d") or "")[0]
        middles.append(((x + u) / 2, (y + v) / 2))
    return Dimension(
        figure=figure, what=group.get("data-dimension") or "", ends=(middles[0], middles[1])
    )


def find_overlaps(sheet: Measured) -> list[str]:
    """Say what lies on what: texts, balloons and leader lines."""
    found = []
    shapes = [text.shape for text in sheet.texts]
    tree = shapely.STRtree(shapes)
    for one, other in tree.query(shapes, predicate="intersects").T.tolist():
        if one < other and shapes[one].intersection(shapes[other]).area > 0.05:
            found.append(f"{sheet.texts[one].words!r} on {sheet.texts[other].words!r}")
    found += [f"{text.words!r} is cut" for text in sheet.texts if "…" in text.words]
    found += [
        f"{text.words!r} leaves the paper"
        for text in sheet.texts
        if not sheet.paper.contains(text.shape)
    ]
    lettered = [text for text in sheet.texts if "balloon" not in text.within]
    # Signs are drawn over leader lines, which may pass behind them.
    open_to_lines = [text for text in lettered if "sign" not in text.within]
    for number, balloon in sheet.balloons.items():
        found += [
            f"balloon {number} on {text.words!r}"
            for text in lettered
            if text.shape.intersection(balloon).area > 0.05
        ]
    for number, leader in sheet.leaders.items():
        found += [
            f"leader {number} through {text.words!r}"
            for text in open_to_lines
            if text.shape.intersection(leader).length > 0.05
        ]
        found += [
            f"leader {number} crosses {kind} {other}"
            for kind, others in (("leader", sheet.leaders), ("balloon", sheet.balloons))
            for other, shape in others.items()
            if other != number and leader.crosses(shape)
        ]
    return found


def line_lengths(sheet: Measured) -> Iterator[tuple[Dimension, float]]:
    """Yield each dimension with how long it is drawn, in mm of the room."""
    for each in sheet.dimensions:
        yield each, math.dist(*each.ends) * sheet.scale
