"""The order list: all that a plan asks for, by piece, metre and square metre, and in packs."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from underfoot.checking.facts import Facts
from underfoot.schedule.cuts import FilmCuts
from underfoot.schedule.document import Cell, Column, Part, Table
from underfoot.schedule.items import Item, add_up
from underfoot.schedule.order_floor import list_floor_items
from underfoot.schedule.order_wiring import list_wiring_items
from underfoot.schedule.packs import Bought, count_packs
from underfoot.schedule.stock import Stock
from underfoot.schedule.strips import word


class _Line(Struct, frozen=True, kw_only=True):
    """An item with what is bought of it."""

    item: Item
    bought: Bought | None


def schedule_order(facts: Facts, stock: Stock, cuts: Sequence[FilmCuts]) -> Part:
    """Count what is to be bought for a plan."""
    items = add_up((*list_floor_items(facts), *list_wiring_items(facts)))
    lines = (
        *_list_film(stock, cuts),
        *(_Line(item=item, bought=count_packs(item)) for item in items),
    )
    return Part(
        key="order",
        title="Order list",
        says=(_say_amounts(lines),),
        tables=(
            Table(
                key="order",
                named_by=("what",),
                title="What to order",
                columns=(word("group"), word("what"),
                         Column(key="amount", title="needed", decimals=2, trims=True),
                         word("unit"),
                         Column(key="packs", title="packs to buy", decimals=0),
                         Column(key="pack", title="a pack holds", decimals=2, trims=True),
                         Column(key="left", title="left over", decimals=2, trims=True),
                         word("rooms"), word("reckoned", "how it is reckoned")),
                rows=tuple(map(_row, lines)),
                says=tuple(_say_below(facts, lines)),
            ),
        ),
    )  # fmt: skip


def _row(line: _Line) -> tuple[Cell, ...]:
    item, bought = line.item, line.bought
    packs = (None, None, None) if bought is None else (bought.packs, bought.pack, bought.left)
    return (item.group, item.what, item.amount, item.unit, *packs, ", ".join(item.rooms) or None,
            item.reckoned if item.amount is not None else "the plan does not tell")  # fmt: skip


def _say_amounts(lines: Sequence[_Line]) -> str:
    needed = "What is needed is what the plan takes, without any spare."
    if all(line.bought is None for line in lines):
        return (
            f"{needed} Neither the plan nor its catalogue says what packs hold (`packs`; a film's "
            "and a sheet's `roll`, a board's and a covering's `pack`): round up to what a pack "
            "holds, and add what is usually spoilt."
        )
    return (
        f"{needed} Packs are as many as hold it. What is left over is all that there is for what "
        "is spoilt: where that is little, buy one more. Where no packs stand, it was not said what "
        "a pack holds."
    )


def _say_below(facts: Facts, lines: Sequence[_Line]) -> Iterator[str]:
    if any(line.bought is not None and line.item.whole for line in lines):
        yield "Sheets, conductors, cables and conduit: each is cut in one piece, without a joint."
    joined = [line.item.what for line in lines if line.bought is not None and line.bought.joined]
    if joined:
        yield (
            f"Longer than a pack holds: {', '.join(joined)}. It is reckoned as joined from "
            "several; longer ones save the joint."
        )
    if not facts.plan.supply.is_extra_low:
        yield (
            "Colours are those of IEC 60445, from memory: line brown (L2 black, L3 grey), neutral "
            "blue, protective conductor green and yellow. The local wiring regulations decide."
        )


def _list_film(stock: Stock, cuts: Sequence[FilmCuts]) -> Iterator[_Line]:
    for found in cuts:
        film, roll = found.film, stock.roll_of(found.film)
        bought = None
        if roll is not None and found.cutting is not None and not found.missing:
            bought = Bought(
                packs=found.rolls_begun, pack=roll / 1000, left=found.left_of_rolls / 1000
            )
        item = Item(
            group="film",
            what=f"{film.id}, {film.width:g} mm wide",
            amount=(found.wanted + sum(mm for _, _, mm in found.missing)) / 1000,
            unit="m",
            reckoned="all strips, each to its cut line"
            + ("" if bought is None else "; rolls by the cut list, offcuts first"),
        )
        yield _Line(item=item, bought=bought)
