"""`underfoot new`: a room's size or its drawing in, a commented plan with blanks out."""

import os
import shlex
import sys
from collections.abc import Sequence
from datetime import date

import click

from underfoot.beginning.curves import CHORD_ERROR
from underfoot.beginning.found import MM_PER_UNIT, CannotBeginError, area_of
from underfoot.beginning.new_room import USES, NewRoom
from underfoot.commands.begun_plan import CATALOGUE, Wishes, begin
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.options import read_day, takes
from underfoot.commands.output_files import say, write_new_file
from underfoot.reading.quantities import QuantityError, read_typed
from underfoot.running.errors import CommandError
from underfoot.running.limits import MOST_MEMORY

_LEAST_ERROR, _MOST_ERROR = 0.5, 20.0


def read_chord_error(ctx: click.Context, param: click.Parameter, text: str | None) -> float:
    """Read how far a corner may lie from the arc it stands for; click.BadParameter."""
    if text is None:
        return CHORD_ERROR
    try:
        error = read_typed(text, "mm")
    except QuantityError as wrong:
        raise click.BadParameter(str(wrong)) from None
    if not _LEAST_ERROR <= error <= _MOST_ERROR:
        raise click.BadParameter(
            f"{text} is {error:g} mm: from {_LEAST_ERROR:g} to {_MOST_ERROR:g} mm"
        )
    return error


@click.command(
    cls=LimitedCommand,
    reads=("outline",),
    advice="choose rooms by --room, ",
    memory_bytes=MOST_MEMORY,  # what reads building models is large by itself
    short_help="Begin a plan: a room by its size or out of a drawing, with blanks.",
)
@click.argument("plan_file", metavar="PLAN")
@takes(
    "SIZE",
    "--size",
    "sizes",
    help="A rectangular room, width by depth: 4.2mx3.1m. Several: one for each --room.",
    multiple=True,
)
@takes("FILE", "--outline", help="Take the rooms' outlines out of a drawing.")
@takes("NAME", "--room", "rooms", help="What a room is called.", multiple=True)
@click.option(
    "--use",
    "uses",
    multiple=True,
    type=click.Choice(USES),
    help="What the rooms are used for: one for all, or one for each.",
)
@takes(
    "FILE", "--catalogue", help=f"Take materials from FILE; left out, from {CATALOGUE} beside PLAN."
)
@takes("ID", "--film", help="The heating film, as the catalogue calls it.")
@takes("ID", "--covering", help="The floor covering, as the catalogue calls it.")
@takes("VOLTAGE", "--voltage", help="Voltage of the supply, such as 230V.")
@click.option(
    "--unit",
    type=click.Choice(list(MM_PER_UNIT)),
    help="The drawing's unit, where it does not say, or says it wrongly.",
)
@takes("NAME", "--layer", "layers", help="Take outlines from this layer.", multiple=True)
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
    if wishes == Wishes() and sys.stdin.isatty() and sys.stderr.isatty():
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


def _say_rooms(rooms: Sequence[NewRoom]) -> str:
    said = [f"{room.id} ({area_of(room.corners) / 1e6:.1f} m2)" for room in rooms[:6]]
    more = f" and {len(rooms) - 6} more" if len(rooms) > 6 else ""
    return f"with {', '.join(said)}{more}"
