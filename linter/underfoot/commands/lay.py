"""`underfoot lay`: strips, circuits, leads, box and sensor for the rooms that have none yet."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click

from underfoot.checking.check import check_source, make_checker
from underfoot.checking.engine import RuleFinding
from underfoot.checking.numbers import format_quantity
from underfoot.checking.report import CAUTION, PlanReport
from underfoot.checking.report_builder import say_message
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.options import root_option, settings_option, today_option
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.commands.rewriting import find_plan, see_that_it_can_be_written, unless_changed
from underfoot.commands.stderr import say_problems
from underfoot.laying.demand import Demand
from underfoot.laying.floors import LaidPlan, LaidRoom, lay_rooms, rooms_to_lay
from underfoot.laying.frame import is_direction
from underfoot.laying.remarks import list_remarks, put_remarks
from underfoot.laying.wishes import Wishes
from underfoot.laying.writing import CABLE, Laying
from underfoot.mending.difference import write_difference
from underfoot.mending.offering import Place, gather_menders, judge_source
from underfoot.mending.text_edits import edit_text
from underfoot.mending.trial import identity
from underfoot.reading.quantities import read as read_quantity
from underfoot.reading.wording import suggest
from underfoot.reporting.ink import ink_for
from underfoot.reporting.layout import count_of
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.finding_settings import SettingsError, settings_finder
from underfoot.running.taking_in import take_in


@click.command(cls=LimitedCommand, short_help="Lay the rooms of a plan that have no strips yet.")
@click.argument("plan_file", metavar="PLAN")
@click.option("--room", "rooms", multiple=True, metavar="ROOM", help="Lay this room alone.")
@click.option("--film", metavar="FILM", help="The film to lay; left out, the weakest that will do.")
@click.option("--along", metavar="WAY", help="The way strips run: x, y, or such as 30deg.")
@click.option("--box", metavar="X,Y", help="Where the junction box is, such as 0,1.5m.")
@click.option("--demand", is_flag=True, help="Lay no more than the room's heat loss needs.")
@click.option("--write", is_flag=True, help="Write what was laid into PLAN.")
@click.option("--even-so", is_flag=True, help="Write also what leaves errors or warnings.")
@settings_option
@root_option
@today_option
def lay(
    plan_file: str,
    rooms: tuple[str, ...],
    film: str | None,
    along: str | None,
    box: str | None,
    demand: bool,
    write: bool,
    even_so: bool,
    settings: str | None,
    root: str | None,
    today: date | None,
) -> int:
    """Lay rooms that have an outline and no strips: the most floor heated, then the least work.

    Shows what would be written into PLAN, line by line; --write writes it. What is laid passes
    the whole check, or what stands against it is told and nothing is written.

    \b
    Exit status 0: laid. 1: something stands against it. 2: the plan could not be read.
    """
    file = find_plan(plan_file, "laid")
    wishes = Wishes(film=film, along=_read_way(along), box=_read_point(box), demand=demand)
    if write:
        see_that_it_can_be_written(plan_file, root)
    try:
        source = take_in(file.place)
    except OSError as error:
        raise CommandError(f"{file.path}: it cannot be opened: {error.strerror}") from None
    sets = rule_sets_to_use()
    try:
        in_force = settings_finder(sets, settings, root=root)(file.lies, file.named)
    except SettingsError as error:
        say_problems(error.problems, file.path)
        return 2
    place = Place(
        path=file.path, folder=Path(file.folder), root=None if root is None else Path(root)
    )
    checker = make_checker(sets, in_force, today or date.today())
    judged = judge_source(source, checker, place)
    if judged.state is None:
        say_problems(judged.reading.problems, file.path)
        for fault in judged.examined.report.faults:
            say(f"a fault of the tool: the rule {fault.rule} crashed: {fault.message}")
        return 2
    wanted = _rooms(judged.state.data, rooms)
    if not wanted:
        say(f"{file.path}: every room has strips already; nothing is to be laid")
        return 0
    laid = lay_rooms(judged.state, wanted, judged.trial, gather_menders(sets), wishes)
    stands = any(room.laying is None or room.left for room in laid.rooms)
    if not laid.edits:
        _tell_rooms(laid, None)
        return 1
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
    ink = ink_for(sys.stdout.isatty(), os.environ)
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
        for line in _tell(room):
            say(line)
        for line in () if report is None else _tell_left(report, room.left):
            say(line)


def _rooms(data: Any, asked: Sequence[str]) -> list[str]:
    open_ones = rooms_to_lay(data)
    for name in asked:
        if name not in data["rooms"]:
            near = suggest(name, list(data["rooms"]))
            raise CommandError(f"--room {name}: the plan has no such room{near}")
        if name not in open_ones:
            raise CommandError(f"--room {name}: it has strips already")
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


def _tell_demand(laying: Laying, demand: Demand) -> Iterator[str]:
    if demand.unknown:
        yield f"  All that fits is laid: how much the room needs is not known: {demand.unknown}."
        return
    yield (
        f"  The room needs {format_quantity(demand.needed_w, 'W')} of its floor, its heat loss "
        f"less what other heaters give: {laying.heated_m2:.2f} m2 are laid of the "
        f"{demand.most_m2:.2f} m2 that fit."
    )
    for found in demand.against:
        rule = f"{found.severity} {found.rule.id}"
        yield f"  Less is not laid, for then: {rule}: {say_message(found)}"


def _tell(room: LaidRoom) -> Iterator[str]:
    laying = room.laying
    if laying is None:
        yield f"{room.room}: cannot be laid: {room.why}."
        return
    share = 100 * laying.heated_m2 / laying.open_m2 if laying.open_m2 else 0.0
    yield (
        f"{room.room}: {count_of(laying.strips, 'strip')} of {laying.film} in "
        f"{count_of(laying.rows, 'row')} on {count_of(len(laying.circuits), 'circuit')}, "
        f"{laying.heated_m2:.2f} m2: {share:.0f} % of the {laying.open_m2:.2f} m2 that strips may "
        f"reach."
    )
    of_bound = 100 * laying.heated_m2 / laying.bound_m2
    yield (
        f"  No strips of {laying.film} side by side heat more than {laying.bound_m2:.2f} m2 here, "
        f"in any direction tried; this is {of_bound:.0f} % of that."
    )
    for why in laying.less:
        yield f"  It is not more because {why}."
    if laying.cables_taken:
        yield (
            f"  The cable to the board is taken as {CABLE['length']} of {CABLE['size']}: measure "
            "it, and write what it is."
        )
    if room.demand is not None:
        yield from _tell_demand(laying, room.demand)
    for says in room.mended:
        yield f"  Also: {says}"
