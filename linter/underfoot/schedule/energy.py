"""Energy: how long a floor runs on the coldest day, and what a day and a season take and cost.

An estimate: the room's heat loss over the share of the film's heat that goes up into it.
"""

import math
import re
from collections.abc import Iterator

from msgspec import Struct

from underfoot.checking.assuming import NothingTakenError, gather_assumptions
from underfoot.checking.facts import Facts, RoomFacts, element_current_a
from underfoot.checking.facts.heat_loss import find_heat_loss
from underfoot.checking.facts.heated_parts import find_heated_parts
from underfoot.checking.facts.stack import Assumptions, build_stacks, film_output
from underfoot.checking.finding import CannotTell
from underfoot.checking.settings import Settings
from underfoot.schedule.document import Cell, Column, Part, Table
from underfoot.schedule.strips import word
from underfoot.schedule.table_rows import TableError

_DAY_H = 24.0
_YEAR_H = 8784.0
_TARIFF = re.compile(r"([0-9]+(?:\.[0-9]+)?) ?([^\W\d_]{1,8}|[$€£¥¤]) ?/ ?kWh")


class Tariff(Struct, frozen=True, kw_only=True):
    """What a kilowatt-hour costs, in which money."""

    price: float
    money: str


class Season(Struct, frozen=True, kw_only=True):
    """What the costs are reckoned with; None is not said.

    `hours` are the season's hours at full loss: its heat over the loss of the coldest day.
    """

    tariff: Tariff | None = None
    hours: float | None = None


def read_tariff(text: str) -> Tariff:
    """Read ``0.30 EUR/kWh``; TableError says how to write it."""
    found = _TARIFF.fullmatch(text.strip())
    if found is None or len(text) > 30:
        raise TableError("write a price of a kilowatt-hour, such as `0.30 EUR/kWh`")
    return Tariff(price=float(found[1]), money=found[2])


class RoomEnergy(Struct, frozen=True, kw_only=True):
    """A room's power, the share that goes up, what is asked of it; `lacking` says what is not told.

    All in W but the share; `asked_w` is the loss less what other heaters give.
    """

    room: str
    power_w: float
    up_share: float | None
    loss_w: float | None
    other_w: float
    lacking: tuple[str, ...]

    @property
    def asked_w(self) -> float | None:
        """What the floor has to give."""
        return None if self.loss_w is None else max(0.0, self.loss_w - self.other_w)

    @property
    def hours(self) -> float | None:
        """Hours of the coldest day at full power; 24 at the most."""
        if self.asked_w is None or self.up_share is None:
            return None
        up_w = self.power_w * self.up_share
        return min(_DAY_H, _DAY_H * self.asked_w / up_w) if up_w > 0 else _DAY_H

    @property
    def falls_short(self) -> bool:
        """Whether the floor does not give all that is asked."""
        if self.asked_w is None or self.up_share is None:
            return False
        return self.asked_w > self.power_w * self.up_share * (1 + 1e-9)

    @property
    def day_kwh(self) -> float | None:
        """What it takes on the coldest day."""
        return None if self.hours is None else self.power_w * self.hours / 1000


def schedule_energy(facts: Facts, settings: Settings | None, season: Season) -> Part:
    """Estimate what each heated room takes on the coldest day, and in a season."""
    assumed = _assume(settings)
    rooms = [weigh_room(facts, room, assumed) for room in facts.heated_rooms]
    return Part(
        key="energy",
        title="Energy: an estimate",
        says=(
            "On the coldest day a floor runs for 24 h × (heat loss − other heaters) / (power × "
            "share that goes up), 24 h at the most; it takes its power for so long. Where the "
            "room is kept cooler, or the sun shines in, it takes less.",
            *_say_season(season),
        ),
        tables=(
            Table(
                key="energy",
                named_by=("room",),
                title="Power, hours and cost",
                columns=_columns(season),
                rows=(*(_row(room, season) for room in rooms), *_add_up(rooms, season)),
                says=tuple(_say_rooms(rooms, season)),
                if_empty="No strips are drawn.",
            ),
        ),
    )


def _assume(settings: Settings | None) -> Assumptions | None:
    try:
        return None if settings is None else gather_assumptions(settings)
    except NothingTakenError:
        return None


def weigh_room(facts: Facts, room: RoomFacts, assumed: Assumptions | None) -> RoomEnergy:
    """Work out what a room's floor gives, and what is asked of it."""
    supply_v = facts.plan.supply.voltage_v
    lacking: list[str] = []
    loss_w = up_share = None
    if assumed is None:
        lacking.append("no rule set that is used says what to take where the plan says nothing")
    else:
        loss = find_heat_loss(room, assumed)
        if isinstance(loss, CannotTell):
            lacking.append(loss.why)
        else:
            loss_w = loss.loss_w
        share = _share_up(facts, room, assumed)
        if isinstance(share, CannotTell):
            lacking.append(share.why)
        else:
            up_share = share
    return RoomEnergy(
        room=room.id,
        power_w=math.fsum(element_current_a(each, supply_v) for each in room.elements) * supply_v,
        up_share=up_share,
        loss_w=loss_w,
        other_w=room.drawn.other_heat_w or 0.0,
        lacking=tuple(lacking),
    )


def _share_up(facts: Facts, room: RoomFacts, assumed: Assumptions) -> float | CannotTell:
    """Return the share of the films' output that goes up at full power."""
    up = output = 0.0
    for part, stack in zip(find_heated_parts(room), build_stacks(room, assumed), strict=True):
        if isinstance(stack, CannotTell):
            return stack
        output_w_m2 = film_output(part.film, facts.plan.supply.voltage_v)
        up += stack.settle(output_w_m2).split.up_w_m2 * part.area_m2
        output += output_w_m2 * part.area_m2
    return up / output if output else 0.0


def _columns(season: Season) -> tuple[Column, ...]:
    columns = [
        word("room"),
        Column(key="power_w", title="power", unit="W", decimals=1),
        Column(key="up_percent", title="goes up", unit="%", decimals=1),
        Column(key="loss_w", title="heat loss", unit="W", decimals=0),
        Column(key="other_w", title="other heaters", unit="W", decimals=0),
        Column(key="day_h", title="coldest day", unit="h", decimals=1),
        Column(key="day_kwh", title="coldest day", unit="kWh", decimals=2),
    ]
    tariff = season.tariff
    if tariff is not None:
        columns.append(Column(key="day_cost", title="coldest day", unit=tariff.money, decimals=2))
    if season.hours is not None:
        columns.append(Column(key="season_kwh", title="season", unit="kWh", decimals=0))
        if tariff is not None:
            columns.append(Column(key="season_cost", title="season", unit=tariff.money, decimals=2))
    return tuple(columns)


def _row(room: RoomEnergy, season: Season) -> tuple[Cell, ...]:
    share = None if room.up_share is None else 100 * room.up_share
    return (room.room, room.power_w, share, room.loss_w, room.other_w or None, room.hours,
            *_costs(room.day_kwh, season))  # fmt: skip


def _costs(day_kwh: float | None, season: Season) -> tuple[Cell, ...]:
    price = None if season.tariff is None else season.tariff.price
    cells: list[Cell] = [day_kwh]
    if price is not None:
        cells.append(None if day_kwh is None else day_kwh * price)
    if season.hours is not None:
        season_kwh = None if day_kwh is None else day_kwh / _DAY_H * season.hours
        cells.append(season_kwh)
        if price is not None:
            cells.append(None if season_kwh is None else season_kwh * price)
    return tuple(cells)


def _add_up(rooms: list[RoomEnergy], season: Season) -> Iterator[tuple[Cell, ...]]:
    days = [room.day_kwh for room in rooms]
    if len(rooms) < 2:
        return
    known = [day for day in days if day is not None]
    total = math.fsum(known) if len(known) == len(days) else None
    power_w = math.fsum(room.power_w for room in rooms)
    yield ("all", power_w, None, None, None, None, *_costs(total, season))


def _say_season(season: Season) -> Iterator[str]:
    tariff = season.tariff
    if tariff is not None:
        yield f"A kilowatt-hour is reckoned at {_plain(tariff.price)} {tariff.money}."
    else:
        yield "What it costs is left out: say what a kilowatt-hour costs (--tariff '0.30 EUR/kWh')."
    if season.hours is not None:
        yield (
            f"The season has {season.hours:g} hours at full loss: it takes {season.hours:g} / 24 "
            "of the coldest day."
        )
    else:
        yield (
            "The season is left out: say how many hours at full loss it has, its heat over the "
            "loss of the coldest day (--hours 1800)."
        )


def _say_rooms(rooms: list[RoomEnergy], season: Season) -> Iterator[str]:
    for room in rooms:
        yield from _show_reckoning(room, season)
        for why in room.lacking:
            yield f"{room.room}: not told: {why}."
        if room.falls_short:
            yield (
                f"{room.room}: the floor gives less than is asked even all day; the rest must come "
                "from elsewhere."
            )


def _show_reckoning(room: RoomEnergy, season: Season) -> Iterator[str]:
    """Write out how a room's hours, energy and costs come about, with its own figures."""
    hours, day_kwh = room.hours, room.day_kwh
    if hours is None or day_kwh is None or room.up_share is None or room.loss_w is None:
        return
    asked = f"{room.loss_w:g} W"
    if room.other_w:
        asked = f"({room.loss_w:g} − {room.other_w:g}) W"
    power = f"{room.power_w:.1f} W"
    price = season.tariff
    said = (
        f"{room.room}: 24 h × {asked} / ({power} × {100 * room.up_share:.2f} %)"
        f"{_say_hours(room, hours)}; {power} × {hours:.2f} h = {day_kwh:.2f} kWh a day"
        f"{_say_cost(day_kwh, price)}"
    )
    if season.hours is not None:
        season_kwh = day_kwh / _DAY_H * season.hours
        said += (
            f"; {day_kwh:.2f} kWh / 24 h × {season.hours:g} h = {season_kwh:.0f} kWh a season"
            f"{_say_cost(season_kwh, price)}"
        )
    yield f"{said}."


def _say_hours(room: RoomEnergy, hours: float) -> str:
    if room.falls_short:
        return " is more than a day has: 24 h"
    if room.asked_w == 0 and room.other_w:
        return ", other heaters give all of it: 0 h"
    return f" = {hours:.2f} h"


def _say_cost(kwh: float, tariff: Tariff | None) -> str:
    if tariff is None:
        return ""
    cost = f"{kwh * tariff.price:.2f} {tariff.money}"
    return f", × {_plain(tariff.price)} {tariff.money}/kWh = {cost}"


def _plain(price: float) -> str:
    """Write a price with the decimals that it has, two at the least."""
    text = f"{price:.6f}".rstrip("0")
    return text + "0" * (2 - len(text.partition(".")[2]))


def read_hours(text: str) -> float:
    """Read the hours of a season; TableError says how to write them."""
    hours = text.strip().removesuffix("h").strip()
    if not re.fullmatch(r"[0-9]{1,4}(\.[0-9]+)?", hours) or not 0 < float(hours) <= _YEAR_H:
        raise TableError("write hours of a season at full loss, such as `1800`; a year has 8784")
    return float(hours)
