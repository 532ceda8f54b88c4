"""One line of an order: what, how much of it, for which rooms, and how that was reckoned."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct


class Item(Struct, frozen=True, kw_only=True):
    """So much of a thing for a room; `unit` is ``pieces``, ``m`` or ``m²``.

    `reckoned` says how the amount came about; None in `amount` is what the plan does not tell.
    """

    group: str
    what: str
    amount: float | None
    unit: str
    reckoned: str
    rooms: tuple[str, ...] = ()


def add_up(items: Iterable[Item]) -> tuple[Item, ...]:
    """Add up what is the same in several rooms; what came first, and its group, stays first."""
    found: dict[tuple[str, str, str, str, bool], Item] = {}
    for item in items:
        key = (item.group, item.what, item.unit, item.reckoned, item.amount is None)
        if key in found:
            before = found[key]
            amount = None if item.amount is None else (before.amount or 0.0) + item.amount
            rooms = tuple(dict.fromkeys((*before.rooms, *item.rooms)))
            item = Item(
                group=item.group,
                what=item.what,
                amount=amount,
                unit=item.unit,
                reckoned=item.reckoned,
                rooms=rooms,
            )
        found[key] = item
    groups = list(dict.fromkeys(item.group for item in found.values()))
    return tuple(sorted(found.values(), key=lambda item: groups.index(item.group)))
