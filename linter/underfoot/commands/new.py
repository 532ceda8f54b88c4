"""`underfoot new`: a room's size or its drawing in, a commented plan with blanks out."""

from __future__ import annotations

import os
import re
import shlex
import sys
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

import click
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
from underfoot.beginning.found import MM_PER_UNIT, CannotBeginError, area_of
from underfoot.beginning.lines import shown
from underfoot.beginning.naming import make_id
from underfoot.beginning.new_plan import Choices, write_plan
from underfoot.beginning.new_room import USES, NewRoom
from underfoot.beginning.stock import Stock, read_stock
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.options import read_day
from underfoot.commands.output_files import say, write_new_file
from underfoot.reading.plan_file import read_plan
from underfoot.reading.quantities import QuantityError, read
from underfoot.reading.wording import suggest
from underfoot.reporting.text import say_problem
from underfoot.running.errors import CommandError
from underfoot.running.taking_in import take_in_option

CATALOGUE = "catalogue.yaml"
MOST_DRAWING_BYTES = 30_000_000
_USUAL_VOLTAGE = "230 V"
_ID = re.compile(r"[A-Za-z0-9_-]+")
_MOST_REMARKS = 8
_LEAST_ERROR, _MOST_ERROR = 0.5, 20.0


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


def read_chord_error(ctx: click.Context, param: click.Parameter, text: str | None) -> float:
    """Read how far a corner may lie from the arc it stands for; click.BadParameter."""
    if text is None:
        return CHORD_ERROR
    try:
        error = float(text) if re.fullmatch(r"[0-9]+(\.[0-9]+)?", text) else read(text, "mm")
    except QuantityError as wrong:
        raise click.BadParameter(str(wrong)) from None
    if not _LEAST_ERROR <= error <= _MOST_ERROR:
        raise click.BadParameter(
            f"{text} is {error:g} mm: from {_LEAST_ERROR:g} to {_MOST_ERROR:g} mm"
        )
    return error


@click.command(
    cls=LimitedCommand,
    short_help="Begin a plan: a room by its size or out of a drawing, with blanks.",
)
@click.argument("plan_file", metavar="PLAN")
@click.option(
    "--size",
    "sizes",
    multiple=True,
    metavar="SIZE",
    help="A rectangular room, width by depth: 4.2mx3.1m. Several: one for each --room.",
)
@click.option("--outline", metavar="FILE", help="Take the rooms' outlines out of a drawing.")
@click.option("--room", "rooms", multiple=True, metavar="NAME", help="What a room is called.")
@click.option(
    "--use",
    "uses",
    multiple=True,
    type=click.Choice(USES),
    help="What the rooms are used for: one for all, or one for each.",
)
@click.option(
    "--catalogue",
    metavar="FILE",
    help=f"Take materials from FILE; left out, from {CATALOGUE} beside PLAN.",
)
@click.option("--film", metavar="ID", help="The heating film, as the catalogue calls it.")
@click.option("--covering", metavar="ID", help="The floor covering, as the catalogue calls it.")
@click.option("--voltage", metavar="VOLTAGE", help="Voltage of the supply, such as 230V.")
@click.option(
    "--unit",
    type=click.Choice(list(MM_PER_UNIT)),
    help="The drawing's unit, where it does not say, or says it wrongly.",
)
@click.option(
    "--layer", "layers", multiple=True, metavar="NAME", help="Take outlines from this layer."
)
@click.option(
    "--chord-error",
    metavar="LENGTH",
    callback=read_chord_error,
    help=f"How far sides may lie from the arc they stand for [{CHORD_ERROR:g} mm].",
)
@click.option(
    "--today", callback=read_day, metavar="DATE", help="The plan's date; left out, today's."
)
def new(
    plan_file: str,
    sizes: tuple[str, ...],
    outline: str | None,
    rooms: tuple[str, ...],
    uses: tuple[str, ...],
    catalogue: str | None,
    film: str | None,
    covering: str | None,
    voltage: str | None,
    unit: str | None,
    layers: tuple[str, ...],
    chord_error: float,
    today: date | None,
) -> int:
    """Begin a plan and write it to PLAN, which must not be there yet.

    \b
    What is known is written; all else is a blank with a word on what belongs
    there: 'check' says what is missing. Without options you are asked.
    An outline comes from a file that ends in .dxf (closed polylines; extra
    'cad'), .ifc (spaces; extra 'bim'), .geojson or .wkt. What stands in a room
    as a closed line is put down as structure. Of a drawing with several rooms
    --room chooses by name.
    Exit status 0: written. 2: not written.
    """
    _check_place(plan_file)
    wishes = Wishes(
        sizes=sizes, outline=outline, rooms=rooms, uses=uses, catalogue=catalogue, film=film,
        covering=covering, voltage=voltage, unit=unit, layers=layers, chord_error=chord_error,
    )  # fmt: skip
    if wishes == Wishes(chord_error=chord_error) and sys.stdin.isatty() and sys.stderr.isatty():
        from underfoot.commands.questions import ask_wishes

        wishes = ask_wishes(plan_file)
    try:
        text, begun, remarks = begin(plan_file, wishes, today or date.today())
    except CannotBeginError as error:
        raise CommandError(str(error)) from None
    write_new_file(plan_file, text)
    for line in remarks:
        say(line)
    say(f"written: {plan_file}, {_say_rooms(begun)}")
    say(f"now fill in its blanks, and run: underfoot check {shlex.quote(plan_file)}")
    return 0


def _check_place(place: str) -> None:
    folder = os.path.dirname(os.path.abspath(place))
    if os.path.splitext(place)[1].lower() not in (".yaml", ".yml"):
        raise CommandError(f"{place}: a plan's name ends in .yaml, such as hall.yaml")
    if os.path.lexists(place):
        raise CommandError(
            f"{place}: there is a file of this name already, which stays as it is; choose another "
            "name"
        )
    if not os.path.isdir(folder):
        raise CommandError(f"{place}: there is no folder {folder}")


def begin(plan_file: str, wishes: Wishes, today: date) -> tuple[str, list[NewRoom], list[str]]:
    """Give a plan's text, its rooms, and what is to be said; CannotBeginError, CommandError."""
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
    return read_stock(name, folder)


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
    names = wishes.rooms
    if not names:
        stem = os.path.splitext(os.path.basename(plan_file))[0]
        names = (stem,) if len(wishes.sizes) == 1 else tuple(
            f"room-{place}" for place in range(1, len(wishes.sizes) + 1)
        )  # fmt: skip
    if len(names) != len(wishes.sizes):
        raise CommandError(
            f"there are {len(names)} rooms and {len(wishes.sizes)} sizes: give each --room its "
            "--size, in the same order"
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
            f"there are {len(rooms)} rooms and {len(uses)} uses: give one --use for all, or one "
            "for each, in the same order"
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
        volts = read(text, "V")
    except QuantityError as error:
        raise CannotBeginError(str(error).replace("`", "")) from None
    if volts <= 0:
        raise CannotBeginError(f"{text}: it must be more than 0 V")
    return f"{volts:g} V"


def _say_rooms(rooms: Sequence[NewRoom]) -> str:
    said = [f"{room.id} ({area_of(room.corners) / 1e6:.1f} m2)" for room in rooms[:6]]
    more = f" and {len(rooms) - 6} more" if len(rooms) > 6 else ""
    return f"with {', '.join(said)}{more}"
