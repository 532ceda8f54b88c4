"""`underfoot lay`: strips, circuits, leads, box and sensor for the rooms that have none yet."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click

from underfoot.checking.check import check_source, make_checker
from underfoot.checking.engine import RuleFinding
from underfoot.checking.report import CAUTION, PlanReport
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.options import settings_option
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.laying.floors import LaidRoom, lay_rooms, rooms_to_lay
from underfoot.laying.frame import is_direction
from underfoot.laying.lay import CABLE, Wishes
from underfoot.mending.search import by_rule
from underfoot.mending.text_edits import edit_text
from underfoot.mending.trial import Trial, identity
from underfoot.reading.plan_file import read_parsed, read_plan
from underfoot.reading.quantities import read as read_quantity
from underfoot.reading.syntax import Parsed, parse
from underfoot.reading.wording import suggest
from underfoot.reporting.text import say_problem
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.finding_settings import SettingsError, settings_finder
from underfoot.running.plan_files import STANDARD_INPUT, display_path
from underfoot.running.taking_in import take_in


@click.command(cls=LimitedCommand, short_help="Lay the rooms of a plan that have no strips yet.")
@click.argument("plan_file", metavar="PLAN")
@click.option("--room", "rooms", multiple=True, metavar="ROOM", help="Lay this room alone.")
@click.option("--film", metavar="FILM", help="The film to lay; left out, the weakest that will do.")
@click.option("--along", metavar="WAY", help="The way strips run: x, y, or such as 30deg.")
@click.option("--box", metavar="X,Y", help="Where the junction box is, such as 0,1.5m.")
@click.option("--write", is_flag=True, help="Write what was laid into PLAN.")
@click.option("--even-so", is_flag=True, help="Write also what leaves errors or warnings.")
@settings_option
def lay(
    plan_file: str,
    rooms: tuple[str, ...],
    film: str | None,
    along: str | None,
    box: str | None,
    write: bool,
    even_so: bool,
    settings: str | None,
) -> int:
    """Lay rooms that have an outline and no strips: the most floor heated, then the least work.

    Shows what would be written into PLAN, line by line; --write writes it. What is laid passes
    the whole check, or what stands against it is told and nothing is written.

    \b
    Exit status 0: laid. 1: something stands against it. 2: the plan could not be read.
    """
    if plan_file == STANDARD_INPUT:
        raise CommandError("lay reads a plan from a file")
    wishes = Wishes(film=film, along=_read_way(along), box=_read_point(box))
    try:
        source = take_in(plan_file)
    except OSError as error:
        raise CommandError(f"{display_path(plan_file)}: {error.strerror or error}") from None
    sets = rule_sets_to_use()
    try:
        in_force = settings_finder(sets, settings)(plan_file)
    except SettingsError as error:
        for problem in error.problems:
            say(say_problem(problem))
        return 2
    place = display_path(plan_file)
    folder = Path(plan_file).parent
    reading = read_plan(source, path=place, folder=folder)
    if reading.plan is None:
        for problem in reading.problems:
            say(f"{problem.file or place}:{problem.line}:{problem.column}: {problem.message}")
        return 2
    parsed = parse(source)

    def read(each: Parsed) -> Any:
        return read_parsed(each, path=place, folder=folder)

    trial = Trial(
        read=read,
        checker=make_checker(sets, in_force, date.today()),
        positions=parsed.positions,
    )
    start = trial.judge(parsed.data)
    if start is None:
        raise CommandError(f"{place}: a rule fails on this plan; `underfoot check` says which")
    wanted = _rooms(parsed.data, rooms)
    if not wanted:
        say(f"{place}: every room has strips already; nothing is to be laid")
        return 0
    menders = by_rule([mender for each in sets for mender in each.gather_menders()])
    laid = lay_rooms(start, wanted, trial, menders, wishes)
    text = source.decode("utf-8")
    edited = edit_text(text, laid.edits) if laid.edits else None
    report = None
    if edited is not None:
        report = check_source(edited.text.encode(), trial.checker, path=place, folder=folder)
    for room in laid.rooms:
        for line in _tell(room):
            say(line)
        if report is not None and room.left:
            for line in _tell_left(report, room.left):
                say(line)
    stands = any(room.laying is None or room.left for room in laid.rooms)
    if edited is None:
        if laid.edits:
            say(f"{place}: what was laid cannot be written into this file: its YAML is too unusual")
        return 1
    write_out([_show(text, edited.text, place)])
    if write and stands and not even_so:
        say("Nothing was written, because of what stands above; --even-so writes it all the same.")
    elif write:
        if take_in(plan_file) != source:
            raise CommandError(f"{place}: the file has changed meanwhile; nothing was written")
        write_file(plan_file, [edited.text])
        say(f"Written into {place}.")
    say(CAUTION)
    return 1 if stands else 0


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


def _tell(room: LaidRoom) -> Iterator[str]:
    laying = room.laying
    if laying is None:
        yield f"{room.room}: cannot be laid: {room.why}."
        return
    share = 100 * laying.heated_m2 / laying.open_m2 if laying.open_m2 else 0.0
    yield (
        f"{room.room}: {_count(laying.strips, 'strip')} of {laying.film} in "
        f"{_count(laying.rows, 'row')} on {_count(len(laying.circuits), 'circuit')}, "
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
    for says in room.mended:
        yield f"  Also: {says}"


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _show(before: str, after: str, place: str) -> str:
    lines = difflib.unified_diff(
        before.splitlines(keepends=True), after.splitlines(keepends=True), place, place
    )
    return "".join(lines)
