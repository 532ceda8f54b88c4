"""One line of an order: what, how much of it, for which rooms, and how that was reckoned."""

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts import Facts
from underfoot.plan import Packs

_NOT_SAID = Packs(path="packs")


class Item(Struct, frozen=True, kw_only=True):
    """So much of a thing for a room; `unit` is ``pieces``, ``m`` or ``m²``.

    `reckoned` says how the amount came about; None in `amount` is what the plan does not tell.
    `pack` is what a pack, a roll or a reel holds of it; `whole` are the lengths that must each be
    cut in one piece, which make up the amount.
    """

    group: str
    what: str
    amount: float | None
    unit: str
    reckoned: str
    rooms: tuple[str, ...] = ()
    pack: float | None = None
    whole: tuple[float, ...] = ()


def add_up(items: Iterable[Item]) -> tuple[Item, ...]:
    """Add up what is the same in several rooms; what came first, and its group, stays first."""
    found: dict[tuple[str, str, str, str, bool], Item] = {}
    for item in items:
        key = (item.group, item.what, item.unit, item.reckoned, item.amount is None)
        if key in found:
            before = found[key]
            item = replace(
                item,
                amount=None if item.amount is None else (before.amount or 0.0) + item.amount,
                rooms=tuple(dict.fromkeys((*before.rooms, *item.rooms))),
                whole=(*before.whole, *item.whole),
            )
        found[key] = item
    groups = list(dict.fromkeys(item.group for item in found.values()))
    return tuple(sorted(found.values(), key=lambda item: groups.index(item.group)))


def packs_of(facts: Facts) -> Packs:
    """Find what packs hold, by the plan or its catalogue."""
    return facts.plan.packs or _NOT_SAID


def metres(length: float | None) -> float | None:
    """Return millimetres as metres."""
    return None if length is None else length / 1000
