"""The order list: all that a plan asks for, by piece, metre and square metre."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from underfoot.checking.facts import Facts
from underfoot.schedule.cuts import FilmCuts
from underfoot.schedule.document import Column, Part, Table
from underfoot.schedule.items import Item, add_up
from underfoot.schedule.order_floor import list_floor_items
from underfoot.schedule.order_wiring import list_wiring_items
from underfoot.schedule.stock import Stock
from underfoot.schedule.strips import word


def schedule_order(facts: Facts, stock: Stock, cuts: Sequence[FilmCuts]) -> Part:
    """Count what is to be bought for a plan."""
    items = add_up((*_list_film(stock, cuts), *list_floor_items(facts), *list_wiring_items(facts)))
    return Part(
        key="order",
        title="Order list",
        says=(
            "Amounts are what the plan takes, without any spare. The catalogue names no packs: "
            "round up to what a pack holds, and add what is usually spoilt.",
        ),
        tables=(
            Table(
                key="order",
                named_by=("what",),
                title="What to order",
                columns=(word("group"), word("what"),
                         Column(key="amount", title="amount", decimals=2, trims=True),
                         word("unit"), word("rooms"), word("reckoned", "how it is reckoned")),
                rows=tuple(
                    (item.group, item.what, item.amount, item.unit,
                     ", ".join(item.rooms) or None,
                     item.reckoned if item.amount is not None else "the plan does not tell")
                    for item in items
                ),
                says=_say_colours(facts),
            ),
        ),
    )  # fmt: skip


def _say_colours(facts: Facts) -> tuple[str, ...]:
    if facts.plan.supply.is_extra_low:
        return ()
    return (
        "Colours are those of IEC 60445, from memory: line brown (L2 black, L3 grey), neutral "
        "blue, protective conductor green and yellow. The local wiring regulations decide.",
    )


def _list_film(stock: Stock, cuts: Sequence[FilmCuts]) -> Iterator[Item]:
    for found in cuts:
        film = found.film
        wide = f"{film.id}, {film.width:g} mm wide"
        wanted = found.wanted + sum(mm for _, _, mm in found.missing)
        yield Item(
            group="film",
            what=wide,
            amount=wanted / 1000,
            unit="m",
            reckoned="all strips, each to its cut line",
        )
        roll = stock.roll_of(film.id)
        if roll is not None:
            yield Item(
                group="film",
                what=f"new rolls of {wide}, {roll / 1000:g} m",
                amount=sum(source.is_new for source in found.sources),
                unit="pieces",
                reckoned="by the cut list, offcuts first",
            )
