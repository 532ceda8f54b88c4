"""What a catalogue has to choose from."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from underfoot.beginning.found import CannotBeginError
from underfoot.plan import Board, Covering, Film, MembraneRoll
from underfoot.reading.catalogue import CatalogueError, open_catalogue, read_catalogue


class Stock(Struct, frozen=True, kw_only=True):
    """A catalogue's things by id; `name` is how the plan names the file."""

    name: str
    films: dict[str, Film]
    boards: dict[str, Board]
    sheets: dict[str, MembraneRoll]
    coverings: dict[str, Covering]
    has_method: bool


def read_stock(name: str, folder: Path) -> Stock:
    """Read the catalogue that a plan in `folder` calls `name`; CannotBeginError."""
    try:
        shared, problems = read_catalogue(open_catalogue(name, folder, None), name, {})
    except CatalogueError as error:
        raise CannotBeginError(f"the catalogue: {error}") from None
    if problems:
        first = problems[0]
        raise CannotBeginError(f"{name}:{first.line}:{first.column}: {first.message}")
    held = shared.materials
    return Stock(
        name=name,
        films=dict(held.films),
        boards=dict(held.boards),
        sheets=dict(held.sheets),
        coverings=dict(held.coverings),
        has_method=shared.method is not None,
    )
