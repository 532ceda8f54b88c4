"""`underfoot draw`: one sheet a room, findings marked by number."""

import os
from collections.abc import Sequence
from datetime import date

import click

from underfoot.checking.facts import RoomFacts
from underfoot.checking.report import PlanReport
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.made_files import (
    form_of,
    is_folder,
    see_ending,
    stem_of,
    write_made,
    write_made_out,
)
from underfoot.commands.one_plan import check_one_plan, make_bench, take_in_plan
from underfoot.commands.options import no_waivers_option, settings_option, takes, today_option
from underfoot.commands.output_files import say
from underfoot.commands.rules_and_room import see_that_there_is
from underfoot.drawing import (
    LAYERS,
    LINED,
    USUAL_LAYERS,
    SheetOptions,
    choose_layers,
    choose_options,
    draw_linings,
    draw_sheets,
)
from underfoot.plan import Plan
from underfoot.reading.wording import suggest
from underfoot.running.errors import CommandError
from underfoot.running.limits import TYPESETTER_MEMORY, make_room

ENDINGS = {"svg": ".svg", "pdf": ".pdf", "png": ".png", "dxf": ".dxf"}


@click.command(
    cls=LimitedCommand,
    advice="draw one room by --room, ",
    short_help="Draw a plan to scale as SVG, PDF, PNG or DXF, findings by number.",
)
@click.argument("plan_file", metavar="PLAN")
@takes("FILE|FOLDER", "--output", help="Write to FILE, or a file for each room into FOLDER.")
@takes("ROOM", "--room", help="Draw this room only.")
@click.option(
    "--sheet",
    "paper",
    type=click.Choice(["auto", "A4", "A3"]),
    default="auto",
    show_default=True,
    help="Size of the sheet; auto takes that with the larger scale.",
)
@takes("NAMES", "--layers", help="Layers to draw, with commas between: usual, all, or names.")
@click.option(
    "--only",
    type=click.Choice(["room", *LINED]),
    help="Draw the room's own sheet alone, or only those of its boards or membrane.",
)
@click.option(
    "--format",
    "format_",
    type=click.Choice(list(ENDINGS)),
    help="svg, pdf and png (extra 'print'), dxf (extra 'cad'); left out, by FILE's ending.",
)
@settings_option
@today_option
@no_waivers_option
def draw(
    plan_file: str,
    output: str | None,
    room: str | None,
    paper: str,
    layers: str | None,
    only: str | None,
    format_: str | None,
    settings: str | None,
    today: date | None,
    no_waivers: bool,
) -> int:
    """Draw each room of PLAN on a sheet of its own, as large as a standard scale allows.

    Findings and tables that have no room beside it come on further sheets. Boards and
    membrane follow on sheets of their own to cut and lay from, unless --layers or
    --only leaves them out. In SVG and PNG these are files by the name of the first
    with .part-2, .boards, .boards-2 (the second layer), .membrane and so on.

    \b
    Layers: boards, membrane, coverings, clearance, fixtures, openings, zones,
            strips, leads, sensor, controls, dimensions, findings. 'usual'
            leaves boards and membrane out: --layers usual,boards puts the
            boards in. If none are named, boards or membrane are drawn where a
            finding names one.
            In DXF all are there, and those that are not shown are turned off.
    Exit status 0: drawn. 2: the plan could not be read, or the command was misused.
    """
    chosen = _read_layers(layers)
    if only in LINED and layers is not None:
        raise CommandError(
            f"--only {only}: its sheets have no layers to choose; leave out --layers"
        )
    form = format_ or form_of(output, ENDINGS, "svg")
    bench = make_bench(plan_file, "draw", settings, today, with_waivers=not no_waivers)
    checked = check_one_plan(take_in_plan(plan_file), plan_file, bench)
    whole, report = checked.facts, checked.report
    assert whole is not None, "what cannot be read ends the command"
    plan = whole.plan
    rooms = list(plan.rooms)
    if room is not None:
        see_that_there_is(room, plan.rooms)
        rooms = [room]
    if form == "dxf" and only is not None:
        raise CommandError(
            "--only chooses sheets, and DXF has none: boards and membrane are layers"
        )
    wanted = (only,) if only is not None else ("room",) if chosen is not None else ("room", *LINED)
    sheets: dict[str, dict[str, str]] = {}
    for name, facts in ((name, whole.rooms[name]) for name in rooms):
        shown = choose_layers(facts, report) if chosen is None else chosen
        options = choose_options(bench.settings, shown, paper)  # type: ignore[arg-type]
        sheets[name] = (
            {"": _draw_dxf(facts, plan, report, options)}
            if form == "dxf"
            else _draw_sheets(facts, plan, report, options, wanted)
        )
    sheets = {name: drawn for name, drawn in sheets.items() if drawn}
    if not sheets:
        where = "the plan" if room is None else room
        raise CommandError(f"--only {only}: {where} does not say how {_LAID[only or 'boards']}")
    _write(sheets, form, output, plan_file)
    return 2 if report.faults else 0


_LAID = {"boards": "the boards lie", "membrane": "the membrane lies"}


def _draw_sheets(
    facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions, wanted: Sequence[str]
) -> dict[str, str]:
    """Draw the sheets that are wanted of a room, by what tells one's file from the others'."""
    drawn = {"": draw_sheets(facts, plan, report, options)} if "room" in wanted else {}
    drawn |= draw_linings(facts, plan, report, options, wanted)
    return {
        ".".join(each for each in (name, f"part-{part}" if part > 1 else "") if each): sheet
        for name, parts in drawn.items()
        for part, sheet in enumerate(parts, 1)
    }


def _draw_dxf(facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions) -> str:
    from underfoot.drawing.dxf import draw_dxf
    from underfoot.drawing.printing import CannotPrintError

    try:
        return draw_dxf(facts, plan, report, options)
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
            nearest = suggest(name, known) or f"; there are {', '.join(known)}"
            raise CommandError(f"--layers {names}: there is no layer {name!r}{nearest}")
    return tuple(layer for layer in LAYERS if layer in wanted)


def _write(
    sheets: dict[str, dict[str, str]], form: str, output: str | None, plan_file: str
) -> None:
    from underfoot.drawing.printing import CannotPrintError

    asked = output
    output, into_folder = _place_to_write(output, form, len(sheets))
    if len(sheets) > 1 and form != "pdf" and not into_folder:
        raise CommandError(
            f"the plan has {len(sheets)} rooms ({', '.join(sheets)}), a sheet each: "
            "choose one with --room, or name a folder with --output"
        )
    try:
        files = _files(sheets, form, stem_of(plan_file))
    except CannotPrintError as error:
        raise CommandError(str(error)) from None
    if output is None:
        write_made_out(next(iter(files.values())), form)
        if len(files) > 1:
            further = "a further sheet" if len(files) == 2 else f"{len(files) - 1} further sheets"
            (named,) = sheets.values()
            say(f"{_say_further(list(named)[1:])} on {further}: name a file or a folder with "
                "--output")  # fmt: skip
        return

    if into_folder:
        os.makedirs(output, exist_ok=True)
    # Without a folder the sheets are those of one room.
    suffixes = ["" if form == "pdf" else _suffix(name) for name in next(iter(sheets.values()))]
    for place_of, (name, content) in enumerate(files.items()):
        if into_folder:
            place = os.path.join(output, name)
        else:
            stem, ending = os.path.splitext(output)
            is_device = os.path.exists(output) and not os.path.isfile(output)
            # What was asked for alone has the name that was asked for.
            suffix = suffixes[place_of] if place_of else ""
            place = output if is_device else f"{stem}{suffix}{ending}"
        write_made(place, content, form, [plan_file])
        if place != asked:
            say(f"drawn: {place}")


def _place_to_write(output: str | None, form: str, sheets: int) -> tuple[str | None, bool]:
    """Find the file or folder that `--output` means, and whether it is a folder.

    A name without an ending means a folder where there are several sheets, else a file that gets
    its format's ending. CommandError for the ending of something else.
    """
    if output is None:
        return None, False
    if is_folder(output):
        return output, True
    see_ending(output, form, ENDINGS)
    if os.path.splitext(output)[1] or (os.path.exists(output) and not os.path.isfile(output)):
        return output, False
    if sheets > 1 and form != "pdf" and not os.path.exists(output):
        return output, True
    return f"{output}{ENDINGS[form]}", False


def _files(sheets: dict[str, dict[str, str]], form: str, stem: str) -> dict[str, str | bytes]:
    """Return what to write by file name; a PDF holds all sheets."""
    from underfoot.drawing.printing import print_pdf

    if form == "pdf":
        make_room(TYPESETTER_MEMORY)
        return {
            f"{stem}.pdf": print_pdf([one for drawn in sheets.values() for one in drawn.values()])
        }
    files: dict[str, str | bytes] = {
        f"{stem}-{room}{_suffix(name)}.{form}": sheet
        for room, drawn in sheets.items()
        for name, sheet in drawn.items()
    }
    if form == "png":
        from underfoot.running.pictures import print_pictures

        drawings = [sheet for sheet in files.values() if isinstance(sheet, str)]
        files = dict(zip(files, print_pictures(drawings), strict=True))
    return files


def _suffix(name: str) -> str:
    # No id of a room holds a dot, so no other room's file is named so.
    return f".{name}" if name else ""


def _say_further(names: Sequence[str]) -> str:
    """Say what is on the sheets after the first."""
    kinds = {
        "findings and tables": any(name.startswith("part-") for name in names),
        "boards": any(name.startswith("boards") for name in names),
        "membrane": any(name.startswith("membrane") for name in names),
    }
    told = [kind for kind, is_there in kinds.items() if is_there]
    return f"{', '.join(told[:-1])} and {told[-1]} are" if len(told) > 1 else (
        f"{told[0]} {'is' if told[0] == 'membrane' else 'are'}"
    )  # fmt: skip
