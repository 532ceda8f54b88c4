"""What a catalogue has to choose from."""

from collections.abc import Sequence
from pathlib import Path

from msgspec import Struct

from underfoot.beginning.found import CannotBeginError
from underfoot.plan import Board, Covering, Film, MembraneRoll
from underfoot.reading.catalogue import CatalogueError, open_catalogue, read_catalogue
from underfoot.reading.problem import Problem


class Stock(Struct, frozen=True, kw_only=True):
    """A catalogue's things by id; `name` is how the plan names the file."""

    name: str
    films: dict[str, Film]
    boards: dict[str, Board]
    sheets: dict[str, MembraneRoll]
    coverings: dict[str, Covering]
    has_method: bool


class UnreadStockError(Exception):
    """Says what is wrong with a catalogue; `source` is what it holds."""

    def __init__(self, problems: Sequence[Problem], source: bytes) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = tuple(problems)
        self.source = source


def read_stock(name: str, folder: Path) -> Stock:
    """Read the catalogue that a plan in `folder` calls `name`.

    CannotBeginError where it cannot be opened, UnreadStockError where it cannot be read.
    """
    try:
        source = open_catalogue(name, folder, None)
    except CatalogueError as error:
        raise CannotBeginError(f"the catalogue: {error}") from None
    shared, problems = read_catalogue(source, name, {})
    if problems:
        raise UnreadStockError(problems, source)
    held = shared.materials
    return Stock(
        name=name,
        films=dict(held.films),
        boards=dict(held.boards),
        sheets=dict(held.sheets),
        coverings=dict(held.coverings),
        has_method=shared.method is not None,
    )
