"""The materials of a plan or a catalogue."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any, TypeVar

from underfoot.plan import Board, Covering, Film, Materials, MembraneRoll
from underfoot.reading.building.problem_log import (
    Data,
    ProblemLog,
    read_length,
    read_non_negative,
    read_quantity,
    read_size,
)
from underfoot.reading.quantities import QuantityError, read, read_one_of
from underfoot.reading.wording import show

Thing = TypeVar("Thing")


def build_materials(log: ProblemLog, data: Data) -> Materials:
    """All films, boards, sheets and coverings of one file."""
    materials: Data = data.get("materials", {})
    return Materials(
        films=build_each(log, materials, "materials", "films", _build_film),
        boards=build_each(log, materials, "materials", "boards", _build_board),
        sheets=build_each(log, materials, "materials", "sheets", _build_sheet),
        coverings=build_each(log, materials, "materials", "coverings", _build_covering),
    )


def merge_materials(own: Materials, shared: Materials) -> Materials:
    """A plan's materials with its catalogue's: for each id the plan's own wins."""
    return Materials(
        films={**shared.films, **own.films},
        boards={**shared.boards, **own.boards},
        sheets={**shared.sheets, **own.sheets},
        coverings={**shared.coverings, **own.coverings},
    )


def check_film_boards(log: ProblemLog, data: Data, known_boards: Collection[str]) -> None:
    """Report boards that a film names and that are not there."""
    for film, entry in entries_of(data.get("materials", {}), "films"):
        for number, board in enumerate(entry.get("boards", ())):
            if board is not None and board not in known_boards:
                place = f"materials.films.{film}.boards.{number}"
                log.report_unknown(place, board, known_boards, "board")


def entries_of(data: Data, key: str) -> list[tuple[str, Any]]:
    """The things of a mapping by id, its remark left out."""
    return [(name, entry) for name, entry in data.get(key, {}).items() if name != "note"]


def build_each(
    log: ProblemLog,
    data: Data,
    path: str,
    key: str,
    build: Callable[[ProblemLog, Data, str, str], Thing | None],
) -> dict[str, Thing]:
    """What `build` makes of each entry of the mapping at `key`, by id."""
    found: dict[str, Thing] = {}
    for name, entry in entries_of(data, key):
        thing = build(log, entry, f"{path}.{key}.{name}", name)
        if thing is not None:
            found[name] = thing
    return found


def _build_film(log: ProblemLog, data: Data, path: str, name: str) -> Film | None:
    width = read_length(log, data, path, "width")
    voltage_v = read_quantity(log, data, path, "voltage", "V")
    output = _read_output(log, data, path)
    cut_every = read_length(log, data, path, "cut_every")
    longest_strip = read_length(log, data, path, "longest_strip")
    longest_circuit = read_length(log, data, path, "longest_circuit")
    tolerance = _read_tolerance(log, data, path)
    busbar_ohm_m = read_non_negative(log, data, path, "busbar_resistance", "ohm/m")
    largest_a = read_quantity(log, data, path, "largest_current", "A")
    leakage_ma_m2, leakage_ma_m = _read_leakage(log, data, path)
    warmest_c = read_quantity(log, data, path, "warmest", "degC", above=None)
    if width is None or voltage_v is None or output is None:
        return None
    suits, boards = data.get("suits"), data.get("boards")
    return Film(
        id=name,
        path=log.prefix + path,
        width=width,
        voltage_v=voltage_v,
        output_w_m2=output[0],
        output_w_m=output[1],
        cut_every=cut_every,
        longest_strip=longest_strip,
        longest_circuit=longest_circuit,
        tolerance=tolerance,
        lies=data.get("lies"),
        suits=None if suits is None else tuple(suits),
        boards=None if boards is None else tuple(boards),
        protection_class=data.get("protection_class"),
        standard=data.get("standard"),
        busbar_resistance_ohm_m=busbar_ohm_m,
        note=data.get("note"),
        largest_current_a=largest_a,
        leakage_ma_m2=leakage_ma_m2,
        leakage_ma_m=leakage_ma_m,
        warmest_c=warmest_c,
    )


def _read_output(
    log: ProblemLog, data: Data, path: str
) -> tuple[float | None, float | None] | None:
    """(W/m2, W/m), one of them None."""
    value = data.get("output")
    if value is None:
        return None
    try:
        output, unit = read_one_of(value, ("W/m2", "W/m"))
    except QuantityError as error:
        log.report(f"{path}.output", f"`output`: {error}")
        return None
    if output <= 0:
        log.report(f"{path}.output", f"`output`: {show(value)} must be more than 0")
        return None
    return (output, None) if unit == "W/m2" else (None, output)


def _read_leakage(log: ProblemLog, data: Data, path: str) -> tuple[float | None, float | None]:
    """(mA/m2, mA/m), both None where none is given."""
    value = data.get("leakage")
    if value is None:
        return None, None
    try:
        leakage, unit = read_one_of(value, ("mA/m2", "mA/m"))
    except QuantityError as error:
        log.report(f"{path}.leakage", f"`leakage`: {error}")
        return None, None
    if leakage < 0:
        log.report(f"{path}.leakage", f"`leakage`: {show(value)} must not be less than 0")
        return None, None
    return (leakage, None) if unit == "mA/m2" else (None, leakage)


def _read_tolerance(log: ProblemLog, data: Data, path: str) -> tuple[float, float] | None:
    value = data.get("tolerance")
    if value is None or len(value) != 2 or None in value:
        return None
    percents: list[float] = []
    for number, percent in enumerate(value):
        if isinstance(percent, str):
            try:
                percents.append(read(percent, "%"))
            except QuantityError as error:
                log.report(f"{path}.tolerance.{number}", f"`tolerance`: {error}")
                return None
        else:
            percents.append(float(percent))
    low, high = percents
    if low > high:
        log.report(
            f"{path}.tolerance",
            f"`tolerance`: the lowest stands first: write {show(f'[{high:g}, {low:g}]')}",
        )
        return None
    if low <= -100:
        log.report(
            f"{path}.tolerance.0", f"`tolerance`: {show(value[0])} would leave no power at all"
        )
        return None
    return low, high


def _build_board(log: ProblemLog, data: Data, path: str, name: str) -> Board | None:
    size = read_size(log, data, path, "size")
    thickness = read_length(log, data, path, "thickness")
    conductivity = read_quantity(log, data, path, "conductivity", "W/m/K")
    density = read_quantity(log, data, path, "density", "kg/m3")
    if size is None:
        return None
    return Board(
        id=name,
        path=log.prefix + path,
        size=size,
        thickness=thickness,
        conductivity_w_mk=conductivity,
        material=data.get("material"),
        density_kg_m3=density,
        note=data.get("note"),
    )


def _build_sheet(log: ProblemLog, data: Data, path: str, name: str) -> MembraneRoll | None:
    width = read_length(log, data, path, "width")
    thickness = read_length(log, data, path, "thickness")
    if width is None:
        return None
    return MembraneRoll(
        id=name,
        path=log.prefix + path,
        width=width,
        thickness=thickness,
        material=data.get("material"),
        note=data.get("note"),
    )


def _build_covering(log: ProblemLog, data: Data, path: str, name: str) -> Covering:
    return Covering(
        id=name,
        path=log.prefix + path,
        kind=data.get("kind"),
        thickness=read_length(log, data, path, "thickness"),
        resistance_m2k_w=read_non_negative(log, data, path, "resistance", "m2 K/W"),
        conductivity_w_mk=read_quantity(log, data, path, "conductivity", "W/m/K"),
        material=data.get("material"),
        density_kg_m3=read_quantity(log, data, path, "density", "kg/m3"),
        warmest_surface_c=read_quantity(log, data, path, "warmest_surface", "degC", above=None),
        most_output_w_m2=read_quantity(log, data, path, "most_output", "W/m2"),
        fixing=data.get("fixing"),
        note=data.get("note"),
    )
