"""`underfoot lay`: strips, circuits, leads, box and sensor for the rooms that have none yet."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

import click

from underfoot.checking.caution import CAUTION
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.engine import RuleFinding
from underfoot.checking.report import PlanReport
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.on_terminal import ink_out
from underfoot.commands.options import flag, root_option, settings_option, takes, today_option
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.commands.rewriting import (
    find_plan,
    place_of,
    see_that_it_can_be_written,
    take_in_source,
    unless_changed,
)
from underfoot.commands.rules_and_room import see_that_there_is
from underfoot.laying.floors import LaidPlan, lay_rooms, rooms_to_lay
from underfoot.laying.frame import is_direction
from underfoot.laying.remarks import list_remarks, put_remarks
from underfoot.laying.telling import tell_room
from underfoot.laying.wishes import Wishes
from underfoot.mending.difference import write_difference
from underfoot.mending.offering import gather_menders, judge_source
from underfoot.mending.text_edits import edit_text
from underfoot.mending.trial import identity
from underfoot.reading.quantities import read as read_quantity
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.finding_settings import settings_of


@click.command(
    cls=LimitedCommand,
    advice="lay one room by --room, ",
    short_help="Lay the rooms of a plan that have no strips yet.",
)
@click.argument("plan_file", metavar="PLAN")
@takes("ROOM", "--room", "rooms", help="Lay this room alone.", multiple=True)
@takes("FILM", "--film", help="The film to lay; left out, the weakest that will do.")
@takes("WAY", "--along", help="The way strips run: x, y, or such as 30deg.")
@takes("X,Y", "--box", help="Where the junction box is, such as 0,1.5m.")
@flag("--keep", help="Complete rooms begun by hand; what is drawn stays.")
@flag("--demand", help="Lay no more than the room's heat loss needs.")
@flag("--write", help="Write what was laid into PLAN.")
@flag("--even-so", help="Write also what leaves errors or warnings.")
@settings_option
@root_option
@today_option
def lay(
    plan_file: str,
    rooms: tuple[str, ...],
    film: str | None,
    along: str | None,
    box: str | None,
    keep: bool,
    demand: bool,
    write: bool,
    even_so: bool,
    settings: str | None,
    root: str | None,
    today: date | None,
) -> int:
    """Lay rooms that have an outline and no strips: the most floor heated, then the least work.

    With --keep rooms that have strips are completed: the rest of the floor, circuits, leads, box,
    sensor, boards and sheets; what is drawn stays as it is.

    Shows what would be written into PLAN, line by line; --write writes it. What is laid passes
    the whole check, or what stands against it is told and nothing is written.

    \b
    Exit status 0: laid. 1: something stands against it. 2: the plan could not be read.
    """
    file = find_plan(plan_file, "laid")
    wishes = Wishes(film=film, along=_read_way(along), box=_read_point(box), demand=demand)
    if write:
        see_that_it_can_be_written(plan_file, root)
    source = take_in_source(file)
    sets = rule_sets_to_use()
    in_force = settings_of(file.lies, sets, settings, shown=file.path, named=file.named, root=root)
    place = place_of(file, root)
    checker = make_checker(sets, in_force, today or date.today())
    judged = judge_source(source, checker, place)
    if judged.state is None:
        if judged.examined.report.problems:
            raise UnreadError(judged.examined.report)
        for fault in judged.examined.report.faults:
            say(f"a fault of the tool: the rule {fault.rule} crashed: {fault.message}")
        return 2
    wanted = _rooms(judged.state.data, rooms, keep=keep)
    if not wanted:
        say(
            f"{file.path}: every room has strips already; nothing is to be laid; --keep completes "
            "what was begun by hand"
        )
        return 0
    laid = lay_rooms(judged.state, wanted, judged.trial, gather_menders(sets), wishes)
    stands = any(room.laying is None or room.left for room in laid.rooms)
    if not laid.edits:
        _tell_rooms(laid, judged.examined.report)
        return 1 if stands else 0
    text = source.decode("utf-8")
    edited = edit_text(text, laid.edits)
    if edited is None:
        _tell_rooms(laid, None)
        say(
            f"{file.path}: what was laid cannot be written into this file: it writes a room in a "
            "way that is not taken apart here; write the room's keys one below the other"
        )
        return 1
    put_in = put_remarks(edited.text, list_remarks(judged.state, laid.state))
    now = put_in.encode()
    _tell_rooms(
        laid, check_source(now, checker, path=place.path, folder=place.folder, root=place.root)
    )
    if write and (even_so or not stands):
        write_file(file.place, unless_changed(now, source, file.place))
    ink = ink_out()
    write_out(write_difference(text, put_in, file.path, ink))
    if not write:
        say("nothing is written: --write does it")
    elif stands and not even_so:
        say("nothing is written, for what stands above; --even-so writes it all the same")
    else:
        say(f"{file.path}: laid, and written")
    say(CAUTION)
    return 1 if stands else 0


def _tell_rooms(laid: LaidPlan, report: PlanReport | None) -> None:
    for room in laid.rooms:
        for line in tell_room(room):
            say(line)
        for line in () if report is None else _tell_left(report, room.left):
            say(line)


def _rooms(data: Any, asked: Sequence[str], *, keep: bool) -> list[str]:
    open_ones = list(data["rooms"]) if keep else rooms_to_lay(data)
    for name in asked:
        see_that_there_is(name, data["rooms"])
        if name not in open_ones:
            raise CommandError(
                f"--room {name}: it has strips already: --keep completes what was begun"
            )
    return list(asked) or open_ones


def _read_way(along: str | None) -> str | None:
    if along is None:
        return None
    way = along.strip()
    way = f"{way.removesuffix('deg').strip()} deg" if way.endswith("deg") else way
    if not is_direction(way):
        raise CommandError(f"--along {along}: write x, y, or an angle such as 30deg")
    return way


def _read_point(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    parts = text.split(",")
    try:
        x, y = (_read_mm(part.strip()) for part in parts)
    except ValueError as error:
        why = str(error) if len(parts) == 2 else "two lengths are needed"
        raise CommandError(f"--box {text}: {why}; such as 0,1500 or 0,1.5m") from None
    return (x, y)


def _read_mm(text: str) -> float:
    bare = text.removeprefix("-").replace(".", "", 1).isdecimal()
    return read_quantity(float(text) if bare else text, "mm")


def _tell_left(report: PlanReport, left: Sequence[RuleFinding]) -> Iterator[str]:
    """Tell what a laying leaves, as the report of the laid plan words it."""
    known = {identity(each) for each in left}
    for found in report.findings:
        if (found.rule, found.room, found.items) in known:
            yield f"  {found.severity} {found.rule}: {found.message} {found.remedy}"
