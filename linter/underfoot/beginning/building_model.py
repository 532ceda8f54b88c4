"""The spaces of a building model in IFC, read by the library of the extra ``bim``."""

import math
from collections import Counter
from importlib import import_module
from typing import Any

from underfoot.beginning.building_shapes import Footprint, find_footprint
from underfoot.beginning.curves import Arc, flatten
from underfoot.beginning.found import (
    MOST_OUTLINES,
    CannotBeginError,
    Found,
    FoundRoom,
    Standing,
    check_number,
)

INSTALL = "pip install 'underfoot[bim]'"
_BEGINS, _ENDS = b"ISO-10303-21;", b"END-ISO-10303-21;"
_HEIGHTS = ("Height", "NetHeight", "FinishCeilingHeight", "ClearHeight")
_KINDS = {
    "IfcWall": "wall",
    "IfcCurtainWall": "wall",
    "IfcDoor": "door",
    "IfcWindow": "window",
    "IfcSlab": "slab",
    "IfcRoof": "roof",
    "IfcColumn": "column",
}
_LOWEST_ROOM, _HIGHEST_ROOM = 1_000.0, 50_000.0


def read_building_model(source: bytes, error: float) -> Found:
    """Find the spaces of a model, in mm; CannotBeginError names what is at fault by its number."""
    library = _find_library()
    if not source.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(_BEGINS):
        raise CannotBeginError("this is no IFC in text form (it does not begin with ISO-10303-21)")
    if _ENDS not in source[-200:]:
        raise CannotBeginError(f"this IFC is not whole: {_ENDS.decode()} is missing at its end")
    try:
        model = library.file.from_string(source.decode("utf-8-sig", "replace"))
        spaces = sorted(model.by_type("IfcSpace"), key=lambda space: int(space.id()))
        scale = 1000.0 * float(library.util.unit.calculate_unit_scale(model))
    except MemoryError:
        raise
    except Exception as fault:  # whatever a broken file makes the library stumble over
        raise CannotBeginError(f"this cannot be read as IFC: {_say(fault)}") from None
    if not spaces:
        raise CannotBeginError("the model has no IfcSpace: save it with its rooms as spaces")
    if len(spaces) > MOST_OUTLINES:
        raise CannotBeginError(f"the model has more than {MOST_OUTLINES:,} spaces: divide it")
    rooms: list[FoundRoom] = []
    remarks: list[str] = []
    for space in spaces:
        where = f"IfcSpace #{space.id()}"
        try:
            footprint = find_footprint(library, space, scale, where)
            room = _room_of(library, space, where, footprint, scale, error)
        except (CannotBeginError, MemoryError) as fault:
            if isinstance(fault, MemoryError) or len(spaces) == 1:
                raise
            remarks.append(f"left out: {fault}")
            continue
        except Exception as fault:  # as above
            remarks.append(f"left out: {where} cannot be read: {_say(fault)}")
            continue
        remarks += footprint.remarks
        rooms.append(room)
    if not rooms:
        raise CannotBeginError(f"of no space in the model the floor could be found; {remarks[0]}")
    return Found(rooms=tuple(rooms), unit="mm", remarks=tuple(remarks))


def _find_library() -> Any:
    try:
        library = import_module("ifcopenshell")
        for part in ("util.element", "util.placement", "util.unit"):
            import_module(f"ifcopenshell.{part}")
    except ImportError:
        raise CannotBeginError(
            f"a model in IFC needs the extra 'bim', which is not installed: {INSTALL}"
        ) from None
    return library


def _say(fault: Exception) -> str:
    return " ".join(str(fault).split())[:200] or type(fault).__name__


def _room_of(
    library: Any, space: Any, where: str, footprint: Footprint, scale: float, error: float
) -> FoundRoom:
    outer, *holes = footprint.loops
    return FoundRoom(
        name=_name_of(space),
        where=where,
        corners=flatten(outer, floor_inside=True, error=error),
        standing=tuple(
            Standing(
                name=None,
                where=f"{where}, hole {place}",
                corners=flatten(hole, floor_inside=False, error=error),
            )
            for place, hole in enumerate(holes, start=1)
        ),
        height=_height_of(library, space, scale) or footprint.height,
        has_arcs=any(isinstance(piece, Arc) for loop in footprint.loops for piece in loop),
        bounded_by=_say_bounds(space),
    )


def _say_bounds(space: Any) -> str:
    """Say what the model has round a space: "3 walls (1 outside), 1 door"."""
    kinds: Counter[str] = Counter()
    outside: Counter[str] = Counter()
    seen: set[int] = set()
    for bound in space.BoundedBy or ():
        element = bound.RelatedBuildingElement
        if element is None or element.id() in seen or element.is_a("IfcVirtualElement"):
            continue
        seen.add(element.id())
        kind = _KINDS.get(element.is_a().removesuffix("StandardCase"), "other part")
        kinds[kind] += 1
        outside[kind] += str(bound.InternalOrExternalBoundary).startswith("EXTERNAL")
    return ", ".join(
        f"{count} {kind}{'s' if count > 1 else ''}"
        f"{f' ({outside[kind]} to the outside)' if outside[kind] else ''}"
        for kind, count in sorted(kinds.items())
    )


def _name_of(space: Any) -> str | None:
    """Give the long name ("Kitchen") before the short one, which often is a number."""
    for name in (space.LongName, space.Name):
        if isinstance(name, str) and name.strip():
            return name.strip()[:200]
    return None


def _height_of(library: Any, space: Any, scale: float) -> float | None:
    """Return the height that the model states among the space's quantities, where it can be one."""
    stated = library.util.element.get_psets(space, qtos_only=True)
    for name in _HEIGHTS:
        for quantities in stated.values():
            value = quantities.get(name)
            if isinstance(value, int | float) and math.isfinite(value):
                height = check_number(float(value) * scale, "its height")
                if _LOWEST_ROOM <= height <= _HIGHEST_ROOM:
                    return round(height, 1)
    return None
