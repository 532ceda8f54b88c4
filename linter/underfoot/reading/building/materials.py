"""The materials of a plan or a catalogue."""

from collections.abc import Collection
from typing import Any

from msgspec.structs import asdict, replace

from underfoot.plan import Materials, Packs
from underfoot.plan_format.materials import BOARD, COVERING, FILM, PACKS, SHEET
from underfoot.reading.building.problem_log import Data, ProblemLog
from underfoot.reading.building.thing_reader import Fields, Make, maker_of
from underfoot.reading.wording import show


def build_materials(log: ProblemLog, data: Data) -> Materials:
    """All films, boards, sheets and coverings of one file."""
    materials: Data = data.get("materials", {})
    return Materials(
        films=build_each(log, materials, "materials", "films", _make_film),
        boards=build_each(log, materials, "materials", "boards", _make_board),
        sheets=build_each(log, materials, "materials", "sheets", _make_sheet),
        coverings=build_each(log, materials, "materials", "coverings", _make_covering),
    )


def merge_materials(own: Materials, shared: Materials) -> Materials:
    """A plan's materials with its catalogue's: for each id the plan's own wins."""
    return Materials(
        films={**shared.films, **own.films},
        boards={**shared.boards, **own.boards},
        sheets={**shared.sheets, **own.sheets},
        coverings={**shared.coverings, **own.coverings},
    )


def build_packs(log: ProblemLog, data: Data) -> Packs | None:
    """What packs hold, by one file."""
    packs = data.get("packs")
    made: Packs | None = None if packs is None else _make_packs(log, packs, "packs")
    return made


def merge_packs(own: Packs | None, shared: Packs | None) -> Packs | None:
    """A plan's packs with its catalogue's: for each key the plan's own wins."""
    if own is None or shared is None:
        return own or shared
    return replace(shared, **{key: each for key, each in asdict(own).items() if each is not None})


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


def build_each(log: ProblemLog, data: Data, path: str, key: str, make: Make) -> dict[str, Any]:
    """What `make` makes of each entry of the mapping at `key`, by id."""
    found: dict[str, Any] = {}
    for name, entry in entries_of(data, key):
        thing = make(log, entry, f"{path}.{key}.{name}", id=name)
        if thing is not None:
            found[name] = thing
    return found


def _check_tolerance(log: ProblemLog, data: Data, path: str, fields: Fields) -> None:
    if "tolerance" not in fields:
        return
    low, high = fields["tolerance"]
    if low > high:
        log.report(
            f"{path}.tolerance",
            f"`tolerance`: the lowest stands first: write {show(f'[{high:g}, {low:g}]')}",
        )
    elif low <= -100:
        log.report(
            f"{path}.tolerance.0",
            f"`tolerance`: {show(data['tolerance'][0])} would leave no power at all",
        )


_make_film = maker_of(FILM, then=_check_tolerance)
_make_board = maker_of(BOARD)
_make_sheet = maker_of(SHEET)
_make_covering = maker_of(COVERING)
_make_packs = maker_of(PACKS)
