"""`underfoot draw`: one sheet a room, findings marked by number."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import click
from msgspec.structs import replace

from underfoot.checking.check import examine, make_checker
from underfoot.checking.facts import Facts, RoomFacts
from underfoot.checking.report import PlanReport
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.options import settings_option, today_option
from underfoot.commands.output_files import check_output, disarmed, say, write_file, write_out
from underfoot.drawing import LAYERS, USUAL_LAYERS, SheetOptions, choose_layers, draw_room
from underfoot.plan import Plan
from underfoot.reading.problem import Problem
from underfoot.reading.wording import suggest
from underfoot.reporting.text import say_problem
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.finding_settings import SettingsError, settings_finder
from underfoot.running.plan_files import STANDARD_INPUT, display_path
from underfoot.running.taking_in import take_in

FORMATS = ("svg", "pdf", "png", "dxf")


@click.command(
    cls=LimitedCommand,
    short_help="Draw a plan to scale as SVG, PDF, PNG or DXF, findings by number.",
)
@click.argument("plan_file", metavar="PLAN")
@click.option(
    "--output",
    metavar="FILE|FOLDER",
    help="Write to FILE, or a file for each room into FOLDER.",
)
@click.option("--room", metavar="ROOM", help="Draw this room only.")
@click.option(
    "--sheet",
    "paper",
    type=click.Choice(["auto", "A4", "A3"]),
    default="auto",
    show_default=True,
    help="Size of the sheet; auto takes A3 where A4 would be too small.",
)
@click.option(
    "--layers",
    metavar="NAMES",
    help="Layers to draw, with commas between: usual, all, or names.",
)
@click.option(
    "--format",
    "format_",
    type=click.Choice(FORMATS),
    help="svg, pdf and png (extra 'print'), dxf (extra 'cad'); left out, by FILE's ending.",
)
@settings_option
@today_option
@click.option("--no-waivers", is_flag=True, help="Let no waiver hold.")
def draw(
    plan_file: str,
    output: str | None,
    room: str | None,
    paper: str,
    layers: str | None,
    format_: str | None,
    settings: str | None,
    today: date | None,
    no_waivers: bool,
) -> int:
    """Draw each room of PLAN on a sheet of its own, to a standard scale.

    \b
    Layers: boards, membrane, coverings, clearance, fixtures, strips, leads,
            sensor, controls, dimensions, findings. 'usual' leaves boards and
            membrane out: --layers usual,boards puts the boards in. If none are
            named, boards or membrane are drawn where a finding names one.
            In DXF all are there, and those that are not shown are turned off.
    Exit status 0: drawn. 2: the plan could not be read, or the command was misused.
    """
    chosen = _read_layers(layers)
    form = format_ or _format_of(output)
    found = _read_and_check(plan_file, settings, today, with_waivers=not no_waivers)
    if found is None:
        return 2
    whole, report, clearance = found
    plan = whole.plan
    rooms = list(plan.rooms)
    if room is not None:
        if room not in plan.rooms:
            raise CommandError(f"--room {room}: the plan has no such room{suggest(room, rooms)}")
        rooms = [room]
    sheets = {}
    for name, facts in ((name, whole.rooms[name]) for name in rooms):
        shown = choose_layers(facts, report) if chosen is None else chosen
        options = SheetOptions(
            paper=paper,  # type: ignore[arg-type]
            layers=shown,
            planned_clearance=clearance,
        )
        sheets[name] = (
            _draw_dxf(facts, plan, report, options)
            if form == "dxf"
            else draw_room(facts, plan, report, options)
        )
    _write(sheets, form, output, plan_file)
    return 2 if report.faults else 0


def _draw_dxf(facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions) -> str:
    from underfoot.drawing.dxf import draw_dxf
    from underfoot.drawing.printing import CannotPrintError

    try:
        return draw_dxf(facts, plan, report, options.layers, options.planned_clearance)
    except CannotPrintError as error:
        raise CommandError(str(error)) from None


def _read_layers(names: str | None) -> tuple[str, ...] | None:

    if names is None:
        return None
    sets = {"usual": USUAL_LAYERS, "all": LAYERS}
    wanted: set[str] = set()
    for name in (part.strip() for part in names.split(",")):
        if name in sets:
            wanted.update(sets[name])
        elif name in LAYERS:
            wanted.add(name)
        else:
            known = (*LAYERS, *sets)
            nearest = suggest(name, known)
            raise CommandError(f"--layers {names}: there is no layer {name!r}{nearest}")
    return tuple(layer for layer in LAYERS if layer in wanted)


def _format_of(output: str | None) -> str:
    ending = os.path.splitext(output or "")[1].lower().removeprefix(".")
    return ending if ending in FORMATS else "svg"


def _read_and_check(
    place: str, settings: str | None, today: date | None, *, with_waivers: bool
) -> tuple[Facts, PlanReport, float | None] | None:
    """Read and check a plan; None where it cannot be read, which is then said."""
    if os.path.isdir(place):
        raise CommandError(f"{display_path(place)}: this is a folder; draw takes one plan")
    sets = rule_sets_to_use()
    try:
        in_force = settings_finder(sets, settings)(place)
    except SettingsError as error:
        _say_problems(error.problems, place)
        return None
    try:
        bench = make_checker(sets, in_force, today or date.today(), with_waivers=with_waivers)
    except ValueError as error:
        raise CommandError(f"the rule sets do not go together: {error}") from None
    folder = Path.cwd() if place == STANDARD_INPUT else Path(place).parent
    examined = examine(take_in(place), bench, path=display_path(place), folder=folder)
    if examined.facts is None:
        _say_problems(examined.report.problems, place)
        return None
    for fault in examined.report.faults:
        say(f"a fault of the tool: the rule {fault.rule} crashed: {fault.message}")
    planned = in_force.served("planned wall clearance")
    return examined.facts, examined.report, None if planned is None else planned.value


def _say_problems(problems: Sequence[Problem], place: str) -> None:

    for problem in problems:
        say(say_problem(replace(problem, file=problem.file or display_path(place))))


def _write(sheets: dict[str, str], form: str, output: str | None, plan_file: str) -> None:
    from underfoot.drawing.printing import CannotPrintError

    asked = output
    output, into_folder = _place_to_write(output, form, len(sheets))
    if len(sheets) > 1 and form != "pdf" and not into_folder:
        raise CommandError(
            f"the plan has {len(sheets)} rooms ({', '.join(sheets)}), a sheet each: "
            "choose one with --room, or name a folder with --output"
        )
    try:
        files = _files(sheets, form, os.path.splitext(os.path.basename(plan_file))[0])
    except CannotPrintError as error:
        raise CommandError(str(error)) from None
    if output is None:
        _to_standard_output(next(iter(files.values())), form)
        return

    if into_folder:
        os.makedirs(output, exist_ok=True)
    for name, content in files.items():
        place = os.path.join(output, name) if into_folder else output
        check_output(place, [plan_file])
        write_file(place, [content] if isinstance(content, bytes) else disarmed([content], form))
        if place != asked:
            say(f"drawn: {place}")


def _place_to_write(output: str | None, form: str, sheets: int) -> tuple[str | None, bool]:
    """Find the file or folder that `--output` means, and whether it is a folder.

    A name without an ending means a folder where there are several sheets, else a file that gets
    its format's ending. CommandError for the ending of something else.
    """
    if output is None:
        return None, False
    if os.path.isdir(output) or output.endswith(("/", os.sep)):
        return output, True
    if os.path.exists(output) and not os.path.isfile(output):
        return output, False
    stem, ending = os.path.splitext(output)
    if not ending:
        if sheets > 1 and form != "pdf" and not os.path.exists(output):
            return output, True
        return f"{output}.{form}", False
    if ending.lower() != f".{form}":
        raise CommandError(
            f"--output {output}: what is written is {form}, so name it {stem}.{form}; "
            f"--format can be {', '.join(FORMATS)}"
        )
    return output, False


def _files(sheets: dict[str, str], form: str, stem: str) -> dict[str, str | bytes]:
    """Give what to write by file name; a PDF holds all sheets."""
    from underfoot.drawing.printing import print_pdf, print_png

    stem = stem.strip("-.") or "plan"
    if form == "pdf":
        return {f"{stem}.pdf": print_pdf(list(sheets.values()))}
    return {
        f"{stem}-{room}.{form}": print_png(sheet) if form == "png" else sheet
        for room, sheet in sheets.items()
    }


def _to_standard_output(content: str | bytes, form: str) -> None:

    if isinstance(content, str):
        write_out([content], form)
        return
    if sys.stdout.isatty():
        raise CommandError(f"a terminal cannot show {form}: name a file with --output")
    sys.stdout.buffer.write(content)
    sys.stdout.buffer.flush()
