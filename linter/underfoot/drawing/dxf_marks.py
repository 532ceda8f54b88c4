"""Marks of a drawing in DXF: lines, dots and letters on their layers, with what they are."""

from collections.abc import Iterable, Sequence
from typing import Any

from underfoot.drawing.svg import clean
from underfoot.reporting.ci_words import disarm

APPLICATION = "UNDERFOOT"
"""Under this name each mark keeps what it is in the plan (extended data)."""

# Letters, and what is drawn as a sign, in mm of the room.
LETTERS, SMALL_LETTERS, SIGN = 80.0, 50.0, 60.0
# How text stands to its place: $halign and $valign of DXF.
TO_THE_RIGHT, CENTRED, TO_THE_LEFT, MIDDLE = 0, 1, 2, 2
_LONGEST = 250


def draw_shape(space: Any, shape: Any, layer: str, name: str = "", ink: str | None = None) -> None:
    """Draw an area, a line or points; what has several parts, part by part."""
    names = (name,) if name else ()
    for part in getattr(shape, "geoms", [shape]):
        if hasattr(part, "geoms"):
            draw_shape(space, part, layer, name, ink)
        elif part.geom_type == "Polygon":
            for ring in (part.exterior, *part.interiors):
                draw_ring(space, ring.coords[:-1], layer, *names, ink=ink)
        elif part.geom_type == "Point":
            draw_dot(space, (part.x, part.y), SIGN, layer, name, ink)
        elif not part.is_empty:
            draw_line(space, part.coords, layer, *names, ink=ink)


def draw_ring(
    space: Any, corners: Iterable[Sequence[float]], layer: str, *names: str,
    ink: str | None = None,
) -> None:  # fmt: skip
    """Draw a closed line; `names` say what it is."""
    draw_line(space, corners, layer, *names, ink=ink, is_closed=True)


def draw_line(
    space: Any, places: Iterable[Sequence[float]], layer: str, *names: str,
    ink: str | None = None, is_closed: bool = False,
) -> None:  # fmt: skip
    """Draw a line."""
    points = [(float(at[0]), float(at[1])) for at in places]
    line = space.add_lwpolyline(points, close=is_closed, dxfattribs=_look(layer, ink))
    _sign(line, names)


def draw_dot(
    space: Any, at: Sequence[float], radius: float, layer: str, name: str,
    ink: str | None = None,
) -> None:  # fmt: skip
    """Draw a circle about a place."""
    dot = space.add_circle((at[0], at[1]), radius, dxfattribs=_look(layer, ink))
    _sign(dot, (name,) if name else ())


def write(
    space: Any, words: str, at: Sequence[float], layer: str, height: float = LETTERS,
    turn: float = 0.0, ink: str | None = None, across: int | None = CENTRED,
) -> None:  # fmt: skip
    """Write on one line, centred about `at`, or from there on where `across` is None."""
    look = _look(layer, ink)
    place = (float(at[0]), float(at[1]))
    look.update(insert=place, rotation=turn)
    if across is not None:
        look.update(halign=across, valign=MIDDLE, align_point=place)
    space.add_text(plain(words), height=height, dxfattribs=look)


def plain(words: str) -> str:
    """Write words so that no reader of DXF takes a part of them for a command.

    ``%%`` begins a sign, ``^`` a control character, ``\\U+`` and ``\\M+`` a code.
    """
    words = clean(words)[:_LONGEST]
    for mark, written in (("%%", "% %"), ("%%", "% %"), ("^", "^ "), ("\\", "\\ ")):
        words = words.replace(mark, written)
    return disarm(words)


def _look(layer: str, ink: str | None) -> dict[str, Any]:
    look: dict[str, Any] = {"layer": layer}
    if ink is not None:
        red, green, blue = split_ink(ink)
        look["true_color"] = red << 16 | green << 8 | blue
    return look


def _sign(entity: Any, names: Sequence[str]) -> None:
    """Keep with an entity what it is in the plan."""
    if names:
        entity.set_xdata(APPLICATION, [(1000, plain(name)) for name in names])


def split_ink(ink: str) -> tuple[int, int, int]:
    """Return the parts of a colour written as #rrggbb."""
    return int(ink[1:3], 16), int(ink[3:5], 16), int(ink[5:7], 16)
