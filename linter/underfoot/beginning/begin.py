"""From a size or a drawing to the rooms of a new plan."""

import os
import re
from collections.abc import Callable, Sequence

from msgspec import Struct

from underfoot.beginning.curves import CHORD_ERROR
from underfoot.beginning.found import MM_PER_UNIT, CannotBeginError, Found, FoundRoom
from underfoot.beginning.lines import number, shown
from underfoot.beginning.naming import make_id, spell_as_id
from underfoot.beginning.nesting import Drawn, make_rooms
from underfoot.beginning.new_room import NewRoom
from underfoot.beginning.placing import DECIMALS, Placed, place_room
from underfoot.reading.quantities import QuantityError, read_typed

FORMATS = {
    ".dxf": "DXF",
    ".ifc": "IFC",
    ".geojson": "GeoJSON",
    ".json": "GeoJSON",
    ".wkt": "well-known text",
}
MOST_ROOMS = 200
_NUMBER = re.compile(r"[0-9]+(\.[0-9]+)?")


class FromDrawing(Struct, frozen=True, kw_only=True):
    """How a drawing is to be read; `rooms` are the names given to its rooms, or chosen of them."""

    unit: str | None = None
    layers: tuple[str, ...] = ()
    rooms: tuple[str, ...] = ()
    chord_error: float = CHORD_ERROR


def read_size(text: str) -> tuple[float, float]:
    """Read "4.2mx3.1m" as two lengths in mm; CannotBeginError says how to write it.

    A unit that stands at one side alone is that of both.
    """
    sides = re.split(r"\s*(?:[x×*]|\bby\b)\s*", text.strip())
    if len(sides) != 2 or not all(sides):
        raise CannotBeginError(f"{text!r} is no size: write width by depth, such as 4.2mx3.1m")
    units = [_NUMBER.sub("", side, count=1).strip() for side in sides]
    if sorted(map(bool, units)) == [False, True]:
        sides = [
            side if unit else f"{side} {max(units)}"
            for side, unit in zip(sides, units, strict=True)
        ]
    try:
        wide, deep = (read_typed(side, "mm") for side in sides)
    except QuantityError as error:
        raise CannotBeginError(f"{text!r}: {error}".replace("`", "")) from None
    if not (wide > 0 and deep > 0):
        raise CannotBeginError(f"{text!r}: both sides must be longer than nothing")
    return wide, deep


def room_of_size(text: str, name: str) -> NewRoom:
    """Begin a rectangular room; CannotBeginError where it is no size of a room."""
    wide, deep = read_size(text)
    found = FoundRoom(
        name=name, where=shown(text), corners=((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep))
    )
    placed = place_room(found, ": write the unit, such as 4.2mx3.1m")
    return NewRoom(id=name, corners=placed.room.corners)


def read_outlines(place: str, source: bytes, how: FromDrawing) -> Found:
    """Find the rooms of a file by its ending; CannotBeginError says what is wrong, and where."""
    ending = os.path.splitext(place)[1].lower()
    form = FORMATS.get(ending)
    wanted = frozenset(spell_as_id(name) for name in how.rooms)
    if form is not None and form != "DXF" and how.layers:
        raise CannotBeginError(f"{form} has no layers: leave out --layer")
    if form == "IFC":
        if how.unit is not None:
            raise CannotBeginError("a model in IFC says its unit: leave out --unit")
        from underfoot.beginning.building_model import read_building_model

        return read_building_model(source, how.chord_error)
    if form == "DXF":
        from underfoot.beginning.drawing_file import read_drawing_file

        drawn = read_drawing_file(source, how.unit, how.layers)
    elif form is not None:
        from underfoot.beginning.polygons import read_geojson, read_wkt

        if how.unit is None:
            raise CannotBeginError(
                f"{form} does not say in which unit it is: add --unit, such as --unit mm"
            )
        text = _decode(source)
        read_text: Callable[[str, str], Drawn] = read_geojson if form == "GeoJSON" else read_wkt
        drawn = read_text(text, how.unit)
    else:
        raise CannotBeginError(
            "by its ending this is none of the files that an outline can come from: "
            f"{', '.join(FORMATS)}; save it as one of them"
        )
    return make_rooms(drawn, wanted, how.chord_error)


def _decode(source: bytes) -> str:
    try:
        return source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = source[: error.start].count(b"\n") + 1
        raise CannotBeginError(
            f"line {line}: the byte 0x{source[error.start]:02x} here is not UTF-8: save the file "
            "in UTF-8"
        ) from None


def choose_rooms(found: Found, how: FromDrawing) -> list[NewRoom]:
    """Choose the rooms that are asked for, name them all, and put each at its own origin.

    Names that no room has are given to rooms without one, where there are as many.
    CannotBeginError.
    """
    rooms = list(found.rooms)
    by_name: dict[str, list[FoundRoom]] = {}
    for room in rooms:
        if room.name:
            by_name.setdefault(spell_as_id(room.name), []).append(room)
    unknown = [name for name in how.rooms if spell_as_id(name) not in by_name]
    nameless = [room for room in rooms if not room.name]
    named: list[tuple[str | None, FoundRoom]]
    if not how.rooms:
        named = [(room.name, room) for room in rooms]
    elif not unknown:
        named = [(name, room) for name in how.rooms for room in by_name[spell_as_id(name)]]
    elif len(unknown) == len(how.rooms) == len(rooms):
        # Said outright, what they are to be called goes before what the drawing has.
        named = list(zip(how.rooms, rooms, strict=True))
    elif len(unknown) == len(nameless) and len(how.rooms) - len(unknown) <= len(rooms):
        given = iter(nameless)
        named = [
            (name, room)
            for name in how.rooms
            for room in (by_name.get(spell_as_id(name)) or [next(given)])
        ]
    else:
        raise CannotBeginError(_say_unknown(unknown, rooms))
    if len(named) > MOST_ROOMS:
        raise CannotBeginError(
            f"these are {len(named)} rooms; a plan is begun with at most {MOST_ROOMS}: choose with "
            "--room or --layer"
        )
    begun: list[NewRoom] = []
    for place, (name, room) in enumerate(named, start=1):
        taken = [other.id for other in begun]
        otherwise = "room" if len(named) == 1 else f"room-{place}"
        begun.append(_begin_room(make_id(name, otherwise, taken), room, found, how))
    return begun


def _say_unknown(unknown: Sequence[str], rooms: Sequence[FoundRoom]) -> str:
    few = [f"{room.where}{f' ({room.name})' if room.name else ''}" for room in rooms[:8]]
    more = f" and {len(rooms) - 8} more" if len(rooms) > 8 else ""
    return (
        f"--room {unknown[0]}: no room is called that; there are {len(rooms)}: "
        f"{', '.join(few)}{more}: name some of these, or as many names as there are rooms"
    )


def _begin_room(name: str, room: FoundRoom, found: Found, how: FromDrawing) -> NewRoom:
    hint = f"; its unit was taken to be {found.unit}: is it another one (--unit)?"
    placed = place_room(room, hint)
    ids: list[str] = []
    for place, one in enumerate(room.standing, start=1):
        ids.append(make_id(one.name, f"structure-{place}", ids))
    return NewRoom(
        id=name,
        corners=placed.room.corners,
        standing=tuple(zip(ids, (one.corners for one in placed.room.standing), strict=True)),
        height=room.height,
        told=(
            _tell_source(placed, found.unit),
            *_tell_arcs(room, how.chord_error),
            *([f"It is bounded by {room.bounded_by}."] if room.bounded_by else []),
        ),
    )


def _tell_source(placed: Placed, unit: str) -> str:
    title = placed.room.name
    called = f"{shown(title)}: " if title and title not in placed.room.where else ""
    scale = MM_PER_UNIT[unit]
    x, y = (number_in(value / scale) for value in placed.origin)
    turned = ""
    if placed.turn_deg:
        way = "anticlockwise" if placed.turn_deg > 0 else "clockwise"
        turned = f", and the drawing is turned {abs(placed.turn_deg):.3f} deg {way} to lie along x"
    return (
        f"{called}{shown(placed.room.where)}. [0, 0] here is ({x}, {y}) {unit} in the drawing"
        f"{turned}."
    )


def _tell_arcs(room: FoundRoom, error: float) -> tuple[str, ...]:
    if not room.has_arcs:
        return ()
    return (
        f"Arcs are drawn as sides that lie on the floor, at most {number(error)} mm from the arc; "
        f"corners are rounded to {10.0**-DECIMALS:g} mm.",
    )


def number_in(value: float) -> str:
    """Write a coordinate in the drawing's unit, no finer than it can matter."""
    return f"{value:.4f}".rstrip("0").rstrip(".") if abs(value) < 1e9 else f"{value:.9g}"
