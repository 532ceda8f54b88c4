"""What was asked of `underfoot new` -> a plan's text: the rooms, the materials, the voltage."""

import os
import re
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from underfoot.beginning.begin import (
    FORMATS,
    FromDrawing,
    choose_rooms,
    read_outlines,
    room_of_size,
)
from underfoot.beginning.curves import CHORD_ERROR
from underfoot.beginning.found import CannotBeginError
from underfoot.beginning.lines import shown
from underfoot.beginning.naming import make_id
from underfoot.beginning.new_plan import Choices, write_plan
from underfoot.beginning.new_room import NewRoom
from underfoot.beginning.stock import Stock, UnreadStockError, read_stock
from underfoot.checking.check import report_file
from underfoot.reading.plan_file import read_plan
from underfoot.reading.quantities import QuantityError, read_typed
from underfoot.reading.wording import suggest
from underfoot.reporting.layout import count_of
from underfoot.reporting.text import say_problem
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.taking_in import take_in_option

CATALOGUE = "catalogue.yaml"
MOST_DRAWING_BYTES = 30_000_000
_USUAL_VOLTAGE = "230 V"
_ID = re.compile(r"[A-Za-z0-9_-]+")
_MOST_REMARKS = 8


class Wishes(Struct, frozen=True, kw_only=True):
    """What was asked for, as the command line or the answers at a terminal have it."""

    sizes: tuple[str, ...] = ()
    outline: str | None = None
    rooms: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()
    catalogue: str | None = None
    film: str | None = None
    covering: str | None = None
    voltage: str | None = None
    unit: str | None = None
    layers: tuple[str, ...] = ()
    chord_error: float = CHORD_ERROR


def begin(plan_file: str, wishes: Wishes, today: date) -> tuple[str, list[NewRoom], list[str]]:
    """Return a plan's text, its rooms, and what is to be said; CannotBeginError, CommandError."""
    remarks: list[str] = []
    stock = find_stock(plan_file, wishes.catalogue)
    if stock is not None and wishes.catalogue is None:
        remarks.append(f"materials are taken from {stock.name}, which stands beside the plan")
    _check_known("--film", wishes.film, None if stock is None else stock.films)
    _check_known("--covering", wishes.covering, None if stock is None else stock.coverings)
    rooms, found = _find_rooms(plan_file, wishes)
    remarks += found
    voltage = _voltage(wishes, stock)
    choices = Choices(
        name=os.path.basename(plan_file),
        begun_from=(
            f"the size {shown(' and '.join(wishes.sizes))}"
            if wishes.outline is None
            else f"the drawing {shown(os.path.basename(wishes.outline))}"
        ),
        has_drawing=wishes.outline is not None,
        today=today,
        voltage=voltage or _USUAL_VOLTAGE,
        voltage_is_given=wishes.voltage is not None,
        rooms=tuple(_with_uses(rooms, wishes.uses)),
        stock=stock,
        film=wishes.film,
        covering=wishes.covering,
        remarks=tuple(found),
    )
    if wishes.voltage is None:
        by = f", that of {wishes.film}" if voltage else ""
        remarks.append(
            f"the supply is taken to be {choices.voltage}{by}: change `voltage` where it is not"
        )
    text = write_plan(choices)
    reading = read_plan(text.encode(), path=plan_file, folder=Path(plan_file).parent)
    if reading.problems:
        problem = reading.problems[0]
        raise CannotBeginError(
            "the plan is not written, as it could not be read: "
            f"{say_problem(replace(problem, file=problem.file or plan_file))}"
        )
    return text, rooms, remarks


def find_stock(plan_file: str, catalogue: str | None) -> Stock | None:
    """Read the catalogue that is named, or stands beside the plan; None where there is none."""
    folder = Path(plan_file).parent
    if catalogue is None:
        if not (folder / CATALOGUE).is_file():
            return None
        name = CATALOGUE
    else:
        if not os.path.isfile(catalogue):
            raise CommandError(f"--catalogue {catalogue}: there is no such file")
        name = Path(os.path.relpath(catalogue, folder)).as_posix()
    try:
        return read_stock(name, folder)
    except UnreadStockError as error:
        raise UnreadError(report_file(name, error.problems, error.source)) from None


def _check_known(option: str, name: str | None, known: Mapping[str, object] | None) -> None:
    if name is None:
        return
    if not _ID.fullmatch(name):
        raise CommandError(f"{option} {name}: an id is made of letters, digits, - and _")
    if known is not None and name not in known:
        there = f"; there are {', '.join(known)}" if known else "; it has none"
        raise CommandError(
            f"{option} {name}: the catalogue has none of that name{suggest(name, known) or there}"
        )


def _find_rooms(plan_file: str, wishes: Wishes) -> tuple[list[NewRoom], list[str]]:
    if wishes.outline is not None:
        if wishes.sizes:
            raise CommandError("a room has a --size or an --outline, not both")
        how = FromDrawing(
            unit=wishes.unit,
            layers=wishes.layers,
            rooms=wishes.rooms,
            chord_error=wishes.chord_error,
        )
        source = take_in_option(wishes.outline, "--outline", MOST_DRAWING_BYTES)
        try:
            found = read_outlines(wishes.outline, source, how)
            return choose_rooms(found, how), _shorten(found.remarks)
        except CannotBeginError as error:
            raise CannotBeginError(f"{wishes.outline}: {error}") from None
    if not wishes.sizes:
        raise CommandError(
            "say how large the room is, such as --size 4.2mx3.1m, or where its drawing is, with "
            f"--outline FILE ({', '.join(FORMATS)})"
        )
    of_drawings = {
        "--unit": wishes.unit is not None,
        "--layer": bool(wishes.layers),
        "--chord-error": wishes.chord_error != CHORD_ERROR,
    }
    for option, is_given in of_drawings.items():
        if is_given:
            raise CommandError(f"{option} is about a drawing: a room with a --size has none")
    names = wishes.rooms
    if not names:
        stem = os.path.splitext(os.path.basename(plan_file))[0]
        names = (stem,) if len(wishes.sizes) == 1 else tuple(
            f"room-{place}" for place in range(1, len(wishes.sizes) + 1)
        )  # fmt: skip
    if len(names) != len(wishes.sizes):
        raise CommandError(
            f"{count_of(len(names), 'room')} and {count_of(len(wishes.sizes), 'size')} do not "
            "match: give each --room its --size, in the same order"
        )
    rooms: list[NewRoom] = []
    for place, (name, size) in enumerate(zip(names, wishes.sizes, strict=True), start=1):
        otherwise = "room" if len(names) == 1 else f"room-{place}"
        held = [room.id for room in rooms]
        try:
            rooms.append(room_of_size(size, make_id(name, otherwise, held)))
        except CannotBeginError as error:
            raise CannotBeginError(f"--size {error}") from None
    return rooms, []


def _shorten(remarks: Sequence[str]) -> list[str]:
    more = len(remarks) - _MOST_REMARKS
    few = [shown(remark) for remark in remarks[:_MOST_REMARKS]]
    return [*few, f"and {more} more of the kind"] if more > 0 else few


def _with_uses(rooms: Sequence[NewRoom], uses: Sequence[str]) -> list[NewRoom]:
    if len(uses) not in (0, 1, len(rooms)):
        raise CommandError(
            f"{count_of(len(rooms), 'room')} and {count_of(len(uses), 'use')} do not match: give "
            "one --use for all, or one for each, in the same order"
        )
    each = tuple(uses) * len(rooms) if len(uses) == 1 else tuple(uses) or (None,) * len(rooms)
    return [replace(room, use=use) for room, use in zip(rooms, each, strict=True)]


def _voltage(wishes: Wishes, stock: Stock | None) -> str | None:
    if wishes.voltage is not None:
        try:
            return read_voltage(wishes.voltage)
        except CannotBeginError as error:
            raise CommandError(f"--voltage {error}") from None
    if stock is None or wishes.film is None:
        return None
    return f"{stock.films[wishes.film].voltage_v:g} V"


def read_voltage(text: str) -> str:
    """Read a voltage, and write it as a plan does; CannotBeginError says how to write one."""
    try:
        volts = read_typed(text, "V")
    except QuantityError as error:
        raise CannotBeginError(str(error).replace("`", "")) from None
    if volts <= 0:
        raise CannotBeginError(f"{text}: it must be more than 0 V")
    return f"{volts:g} V"
