"""The ids of a plan: which there are, and that none is given twice."""

from collections.abc import Iterator, Mapping
from typing import Any

from msgspec import Struct

from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import Data, ProblemLog
from underfoot.reading.paths import locate
from underfoot.reading.wording import show


class Claim(Struct, frozen=True, kw_only=True):
    """An id, what it is given to ("row", "strip of row `A`"), and where."""

    id: str
    kind: str
    path: str


def list_claims(data: Data) -> Iterator[Claim]:
    """Each id that must be unique in the plan: rooms, circuits, leads, rows, elements."""
    for room, entry in entries_of(data, "rooms"):
        path = f"rooms.{room}"
        yield Claim(id=room, kind="a room", path=path)
        for name, _ in entries_of(entry, "elements"):
            yield Claim(id=name, kind="an element", path=f"{path}.elements.{name}")
        for name, row in entries_of(entry, "rows"):
            place = f"{path}.rows.{name}"
            yield Claim(id=name, kind="a row", path=place)
            yield from _list_strips(name, row, place)
        for name, _ in entries_of(entry, "leads"):
            yield Claim(id=name, kind="a lead", path=f"{path}.leads.{name}")
    for name, _ in entries_of(data, "circuits"):
        yield Claim(id=name, kind="a circuit", path=f"circuits.{name}")


def _list_strips(name: str, row: Data, path: str) -> Iterator[Claim]:
    lengths = row.get("lengths")
    kind = f"a strip of row {show(name)}"
    if lengths is None:
        for number in range(int(row.get("count", 0))):
            yield Claim(id=f"{name}{number + 1}", kind=kind, path=path)
    else:
        for number, length in enumerate(lengths):
            if length is not None:
                yield Claim(id=f"{name}{number + 1}", kind=kind, path=f"{path}.lengths.{number}")


def check_claims(log: ProblemLog, claims: list[Claim]) -> None:
    """Report each id that is given a second time, at the later place."""
    if len({claim.id for claim in claims}) == len(claims):
        return
    taken: dict[str, Claim] = {}
    in_order = sorted(claims, key=lambda claim: locate(claim.path, log.positions))
    for claim in in_order:
        first = taken.setdefault(claim.id, claim)
        if first is not claim:
            log.report(
                claim.path,
                f"{show(claim.id)} is {claim.kind} here and {first.kind} in line "
                f"{log.line_of(first.path)}: rooms, circuits, leads, rows and strips each have "
                "an id of their own in the whole plan; rename one",
            )


def list_ids(data: Any, *keys: str) -> dict[str, Any]:
    """The ids in the mapping under `keys` as the file has it, however faulty what they name."""
    for key in keys:
        data = data.get(key) if isinstance(data, Mapping) else None
    return {name: None for name in data if name != "note"} if isinstance(data, Mapping) else {}
