"""One room: what it is, what stands in it, what it is built of."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, NamedTuple

from underfoot.plan import (
    Contactor,
    CoveredArea,
    Covering,
    Fabric,
    Fixture,
    Grid,
    Joint,
    JunctionBox,
    Materials,
    Overlay,
    Subfloor,
    SubfloorLayer,
    Surface,
    Thermostat,
    Underlay,
)
from underfoot.reading.building.circuits import read_size_of_conductor
from underfoot.reading.building.outlines import read_corners, read_outline
from underfoot.reading.building.problem_log import (
    Data,
    ProblemLog,
    read_length,
    read_length_from_zero,
    read_non_negative,
    read_point,
    read_quantity,
    read_reference,
    read_size,
)

_BEYOND = ("outside", "unheated", "heated", "ground")


class Known(NamedTuple):
    """The ids that a plan may name, of all its things, whether or not they could be built."""

    films: Collection[str]
    boards: Collection[str]
    sheets: Collection[str]
    coverings: Collection[str]
    rooms: Collection[str]
    circuits: Mapping[str, Any]


def build_fixture(log: ProblemLog, data: Data, path: str, name: str) -> Fixture | None:
    """A fixture, its outline worked out where it has `at` and `size`."""
    kind = data.get("kind")
    at = read_point(log, data, path, "at")
    size = read_size(log, data, path, "size")
    outline = read_outline(log, data, path, "outline")
    if "outline" in data and ("at" in data or "size" in data):
        log.report(
            f"{path}.outline", "a fixture has `at` with `size`, or `outline`: delete one of the two"
        )
    if at is not None and size is not None:
        (x, y), (width, depth) = at, size
        outline = ((x, y), (x + width, y), (x + width, y + depth), (x, y + depth))
    clear = read_length_from_zero(log, data, path, "clear")
    if kind == "lying flat":
        if clear:
            log.report(
                f"{path}.clear",
                "`clear`: below what is lying flat nothing stays open: delete this, or write "
                "`kind: on legs`",
            )
        clear = 0.0
    outlet = read_point(log, data, path, "outlet")
    height = read_length_from_zero(log, data, path, "height")
    clearance = read_length_from_zero(log, data, path, "clearance")
    if kind is None or outline is None:
        return None
    return Fixture(
        id=name,
        path=path,
        kind=kind,
        outline=outline,
        clear=clear,
        stands_on=data.get("stands_on"),
        outlet=outlet,
        note=data.get("note"),
        height=height,
        clearance=clearance,
    )


def build_joint(log: ProblemLog, data: Any, path: str, name: str) -> Joint | None:
    """A movement joint."""
    line = read_corners(log, data, path)
    if line is None:
        return None
    if all(point == line[0] for point in line):
        log.report(path, "this joint has no length: give it two points that differ")
        return None
    return Joint(id=name, path=path, line=line)


def build_subfloor(
    log: ProblemLog, data: Data, path: str, materials: Materials, known: Known
) -> Subfloor | None:
    """What the floor is built on."""
    subfloor = data.get("subfloor")
    if subfloor is None:
        return None
    path = f"{path}.subfloor"
    barrier = read_reference(log, subfloor, path, "barrier", known.sheets, "sheet")
    layers = []
    for number, entry in enumerate(subfloor.get("layers", ())):
        if entry is not None:
            place = f"{path}.layers.{number}"
            layers.append(
                SubfloorLayer(
                    path=place,
                    material=entry.get("material"),
                    thickness=read_length(log, entry, place, "thickness"),
                    conductivity_w_mk=read_quantity(log, entry, place, "conductivity", "W/m/K"),
                    resistance_m2k_w=read_non_negative(log, entry, place, "resistance", "m2 K/W"),
                    density_kg_m3=read_quantity(log, entry, place, "density", "kg/m3"),
                    note=entry.get("note"),
                )
            )
    return Subfloor(
        path=path,
        kind=subfloor.get("kind"),
        below=subfloor.get("below"),
        layers=tuple(layers),
        exposed_perimeter=read_length_from_zero(log, subfloor, path, "exposed_perimeter"),
        barrier=materials.sheets.get(barrier or ""),
        **_read_moisture(log, subfloor, path),
        note=subfloor.get("note"),
        screed=subfloor.get("screed"),
    )


def _read_moisture(log: ProblemLog, subfloor: Data, path: str) -> dict[str, Any]:
    """The reading of a subfloor's moisture, by itself or with its method."""
    told = subfloor.get("moisture")
    if not isinstance(told, dict):
        return {"moisture_percent": read_non_negative(log, subfloor, path, "moisture", "%")}
    return {
        "moisture_percent": read_non_negative(log, told, f"{path}.moisture", "value", "%"),
        "moisture_method": told.get("method"),
        "moisture_note": told.get("note"),
    }


def build_coverings(
    log: ProblemLog,
    data: Data,
    path: str,
    coverings: Mapping[str, Covering],
    known: Collection[str],
) -> tuple[CoveredArea, ...]:
    """The covering of the room, or the coverings of its parts."""
    single = read_reference(log, data, path, "covering", known, "covering")
    several = data.get("coverings")
    if single is not None and several is not None:
        log.report(
            f"{path}.coverings", "a room has one `covering`, or `coverings`: delete one of the two"
        )
    areas = []
    if single is not None and single in coverings:
        areas.append(CoveredArea(path=f"{path}.covering", covering=coverings[single]))
    rests = 0
    for number, entry in enumerate(several or ()):
        if entry is None:
            continue
        place = f"{path}.coverings.{number}"
        name = read_reference(log, entry, place, "covering", known, "covering")
        over = read_outline(log, entry, place, "over")
        rests += "over" not in entry
        if rests == 2 and "over" not in entry:
            log.report(
                place, "a second covering lies over the rest of the room: give one of them `over`"
            )
        if name is not None and name in coverings:
            areas.append(
                CoveredArea(path=place, covering=coverings[name], over=over, note=entry.get("note"))
            )
    return tuple(areas)


def build_underlay(log: ProblemLog, data: Data, path: str) -> Underlay | None:
    """The layer between membrane and covering."""
    underlay = data.get("underlay")
    if underlay is None:
        return None
    path = f"{path}.underlay"
    return Underlay(
        path=path,
        thickness=read_length(log, underlay, path, "thickness"),
        resistance_m2k_w=read_non_negative(log, underlay, path, "resistance", "m2 K/W"),
        conductivity_w_mk=read_quantity(log, underlay, path, "conductivity", "W/m/K"),
        material=underlay.get("material"),
        density_kg_m3=read_quantity(log, underlay, path, "density", "kg/m3"),
        note=underlay.get("note"),
    )


def build_overlay(log: ProblemLog, data: Data, path: str) -> Overlay | None:
    """The boards below the covering that spread loads."""
    overlay = data.get("overlay")
    if overlay is None:
        return None
    path = f"{path}.overlay"
    return Overlay(
        path=path,
        thickness=read_length(log, overlay, path, "thickness"),
        resistance_m2k_w=read_non_negative(log, overlay, path, "resistance", "m2 K/W"),
        conductivity_w_mk=read_quantity(log, overlay, path, "conductivity", "W/m/K"),
        material=overlay.get("material"),
        density_kg_m3=read_quantity(log, overlay, path, "density", "kg/m3"),
        fixing=overlay.get("fixing"),
        note=overlay.get("note"),
    )


def build_fabric(log: ProblemLog, data: Data, path: str) -> Fabric | None:
    """What a room's heat loss is computed from."""
    fabric = data.get("fabric")
    if fabric is None:
        return None
    path = f"{path}.fabric"
    surfaces = [
        _build_surface(log, entry, f"{path}.surfaces.{number}")
        for number, entry in enumerate(fabric.get("surfaces", ()))
        if entry is not None
    ]
    return Fabric(
        path=path,
        inside_c=read_quantity(log, fabric, path, "inside", "degC", above=None),
        outside_c=read_quantity(log, fabric, path, "outside", "degC", above=None),
        air_changes_per_h=read_non_negative(log, fabric, path, "air_changes", "1/h"),
        surfaces=tuple(surfaces),
        note=fabric.get("note"),
    )


def _build_surface(log: ProblemLog, data: Data, path: str) -> Surface:
    beyond = data.get("beyond")
    beyond_c = None
    if beyond is not None and beyond not in _BEYOND:
        beyond_c = read_quantity(log, data, path, "beyond", "degC", above=None)
        beyond = None
    return Surface(
        path=path,
        name=data.get("name"),
        area_m2=read_quantity(log, data, path, "area", "m2"),
        u_value_w_m2k=read_quantity(log, data, path, "u_value", "W/m2/K"),
        beyond=beyond,
        beyond_c=beyond_c,
        note=data.get("note"),
    )


def build_grid(log: ProblemLog, data: Data, path: str) -> Grid | None:
    """A metal grid over the strips."""
    grid = data.get("grid")
    if grid is None:
        return None
    path = f"{path}.grid"
    conductor_mm2, conductor_text = read_size_of_conductor(log, grid, path, "protective_conductor")
    return Grid(
        path=path,
        mesh=read_length(log, grid, path, "mesh"),
        earthed=grid.get("earthed"),
        note=grid.get("note"),
        conductor_mm2=conductor_mm2,
        conductor_text=conductor_text,
    )


def build_box(log: ProblemLog, data: Data, path: str) -> JunctionBox | None:
    """Where the leads meet the cable."""
    box = data.get("junction_box")
    if box is None:
        return None
    path = f"{path}.junction_box"
    at = read_point(log, box, path, "at")
    height = read_length_from_zero(log, box, path, "height")
    return (
        None if at is None else JunctionBox(path=path, at=at, height=height, note=box.get("note"))
    )


def build_thermostat(
    log: ProblemLog, data: Data, path: str, known_rooms: Collection[str]
) -> Thermostat | None:
    """The room's thermostat."""
    thermostat = data.get("thermostat")
    if thermostat is None:
        return None
    path = f"{path}.thermostat"
    return Thermostat(
        path=path,
        at=read_point(log, thermostat, path, "at"),
        height=read_length_from_zero(log, thermostat, path, "height"),
        switches_a=read_quantity(log, thermostat, path, "switches", "A"),
        floor_limit_c=read_quantity(log, thermostat, path, "floor_limit", "degC", above=None),
        room=read_reference(log, thermostat, path, "room", known_rooms, "room"),
        contactor=_build_contactor(log, thermostat, path),
        note=thermostat.get("note"),
        reads=_read_rooms(log, thermostat, path, known_rooms),
    )


def _read_rooms(
    log: ProblemLog, data: Data, path: str, known_rooms: Collection[str]
) -> tuple[str, ...] | None:
    """The rooms that `reads` names, those that are not there reported."""
    rooms = data.get("reads")
    if rooms is None:
        return None
    for number, room in enumerate(rooms):
        if room is not None and room not in known_rooms:
            log.report_unknown(f"{path}.reads.{number}", room, known_rooms, "room")
    return tuple(dict.fromkeys(room for room in rooms if room is not None))


def _build_contactor(log: ProblemLog, data: Data, path: str) -> Contactor | None:
    contactor = data.get("contactor")
    if contactor is None:
        return None
    path = f"{path}.contactor"
    poles = contactor.get("poles")
    return Contactor(
        path=path,
        poles=None if poles is None else int(poles),
        rating_a=read_quantity(log, contactor, path, "rating", "A"),
        note=contactor.get("note"),
    )
