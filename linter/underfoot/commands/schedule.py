"""`underfoot schedule`: the job's papers, worked out of a plan."""

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date

import click
from msgspec.structs import replace

from underfoot import __version__
from underfoot.checking.check import CheckedPlan, Checker
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
from underfoot.commands.options import flag, no_waivers_option, settings_option, takes, today_option
from underfoot.commands.output_files import check_output, say
from underfoot.commands.taking_readings import take_readings
from underfoot.reading.syntax import parse
from underfoot.reading.wording import suggest
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.limits import TYPESETTER_MEMORY, make_room
from underfoot.running.taking_in import take_in_option
from underfoot.schedule.document import Papers, Table
from underfoot.schedule.energy import Season, read_hours, read_tariff
from underfoot.schedule.files import write_csv, write_json, write_xlsx
from underfoot.schedule.gathering import Wishes, gather_papers
from underfoot.schedule.sheets import RoomSheet, draw_sheets
from underfoot.schedule.stock import Offcut, Stock, read_length, read_roll, read_stock
from underfoot.schedule.table_rows import TableError
from underfoot.schedule.text import write_text
from underfoot.schedule.what_if import Change, change_plan, compare_papers

ENDINGS = {
    "text": ".txt", "csv": ".csv", "xlsx": ".xlsx", "json": ".json", "html": ".html", "pdf": ".pdf",
}  # fmt: skip
PAPERS = ("A4", "A3", "A5")


@click.command(
    cls=LimitedCommand,
    advice="choose papers by --part, ",
    short_help="Work out the job's papers: strips, cuts, orders, tests, hand-over.",
)
@click.argument("plan_file", metavar="PLAN")
@takes(
    "NAMES",
    "--part",
    "names",
    help="Parts or single tables to write, with commas between; left out, all parts.",
)
@click.option(
    "--format",
    "format_",
    type=click.Choice(list(ENDINGS)),
    help="csv is one table; xlsx needs the extra 'schedule', pdf the extra 'print'; left out, by "
    "FILE's ending, else text.",
)
@takes("FILE|FOLDER", "--output", help="Write to FILE, or every table as CSV into FOLDER.")
@takes(
    "LENGTH",
    "--roll",
    "rolls",
    help="How long a new roll is, such as 50m; film-80=25m for one film alone; left out, "
    "as the film's `roll` says.",
    multiple=True,
)
@takes("FILE", "--stock", help="Offcuts at hand: CSV, XLSX or YAML with film, length, count, name.")
@click.option(
    "--keep",
    metavar="LENGTH",
    default="1m",
    show_default=True,
    help="How long an offcut must be to be worth keeping.",
)
@takes("ID", "--covering", help="Show what would change with this covering.")
@takes("VOLTS", "--voltage", help="Show what would change at this voltage.")
@takes("PRICE", "--tariff", help="What energy costs, such as '0.30 EUR/kWh'.")
@takes(
    "HOURS",
    "--hours",
    help="Full-load hours of a season: its heat divided by the loss on the coldest day.",
)
@takes(
    "FILE",
    "--readings",
    help="A test sheet filled in, CSV or XLSX: show and check the plan with its readings.",
)
@flag("--write", help="With --readings: write them into the plan.")
@click.option(
    "--paper",
    type=click.Choice(PAPERS),
    default="A4",
    show_default=True,
    help="Size of the PDF's pages.",
)
@settings_option
@today_option
@no_waivers_option
def schedule(
    plan_file: str,
    names: str | None,
    format_: str | None,
    output: str | None,
    rolls: tuple[str, ...],
    stock: str | None,
    keep: str,
    covering: str | None,
    voltage: str | None,
    tariff: str | None,
    hours: str | None,
    readings: str | None,
    write: bool,
    paper: str,
    settings: str | None,
    today: date | None,
    no_waivers: bool,
) -> int:
    """Work out what PLAN asks for: what to cut and order, what meters read.

    \b
    Parts: strips, cuts, order, tests, handover, energy.
    Exit status 0: written. 2: the plan could not be read, or the command was misused.
    With --readings 1: an error stands in the plan with its readings.
    The papers of a plan that is not in order say so at their head.
    """
    form = format_ or form_of(output, ENDINGS, "text")
    if write and readings is None:
        raise click.UsageError("--write writes readings into the plan: name them by --readings")
    if readings is not None and (names or format_ or output):
        raise click.UsageError("--readings writes no papers: leave --part, --format, --output out")
    if output is not None and not is_folder(output):
        check_output(output, [plan_file])
        see_ending(output, form, ENDINGS)
    wishes = Wishes(stock=_read_stock(rolls, stock, keep), season=_read_season(tariff, hours))
    bench = make_bench(plan_file, "schedule", settings, today, with_waivers=not no_waivers)
    source = take_in_plan(plan_file)
    checked = check_one_plan(source, plan_file, bench)
    assert checked.facts is not None, "what cannot be read ends the command"
    if readings is not None:
        return take_readings(plan_file, source, checked.facts, readings, bench, write=write)
    papers = gather_papers(checked, wishes)
    sheets: tuple[RoomSheet, ...] = ()
    if covering is not None or voltage is not None:
        change = Change(covering=covering, voltage=voltage)
        changed = _check_changed(source, checked, change, plan_file, bench)
        both = (papers, checked.report), (gather_papers(changed, wishes), changed.report)
        part = compare_papers(change, *both)
        papers = replace(papers, parts=(*papers.parts, part) if names else (part,))
    elif form in ("pdf", "html") and _wants_sheets(names):
        sheets = draw_sheets(checked)
    _write(_choose(papers, names), form, output, paper, plan_file, sheets)
    return 2 if checked.report.faults else 0


@contextmanager
def _about(said: str) -> Iterator[None]:
    """Let what is wrong with an option, or a change, be said with its name."""
    try:
        yield
    except TableError as error:
        raise CommandError(f"{said}: {error}") from None


def _read_stock(rolls: Sequence[str], listed: str | None, keep: str) -> Stock:
    lengths: dict[str, float] = {}
    for text in rolls:
        with _about(f"--roll {text}"):
            film, length = read_roll(text)
        lengths[film] = length
    with _about(f"--keep {keep}"):
        kept = read_length(keep, "what is kept")
    offcuts: tuple[Offcut, ...] = ()
    if listed is not None:
        source = take_in_option(listed, "--stock")
        with _about(f"--stock {listed}"):
            offcuts = read_stock(source, os.path.splitext(listed)[1].lower().removeprefix("."))
    return Stock(rolls=lengths, offcuts=offcuts, keep=kept)


def _read_season(tariff: str | None, hours: str | None) -> Season:
    with _about(f"--tariff {tariff}"):
        price = None if tariff is None else read_tariff(tariff)
    with _about(f"--hours {hours}"):
        length = None if hours is None else read_hours(hours)
    return Season(tariff=price, hours=length)


def _check_changed(
    source: bytes, checked: CheckedPlan, change: Change, place: str, bench: Checker
) -> CheckedPlan:
    """Check the plan with a change made; CommandError where it cannot be."""
    assert checked.plan is not None, "only what could be read is changed"
    with _about(change.said):
        text = change_plan(parse(source).data, checked.plan, change)
    try:
        return check_one_plan(text, place, bench)
    except UnreadError as error:  # its lines are of a text that nobody has written
        why = "; ".join(f"`{one.path}`: {one.message}" for one in error.report.problems)
        raise CommandError(f"{change.said}: the plan cannot be read with it: {why}") from None


def _wants_sheets(names: str | None) -> bool:
    return names is None or "handover" in (name.strip() for name in names.split(","))


def _choose(papers: Papers, names: str | None) -> Papers:
    """Keep the parts and tables that are named."""
    if names is None:
        return papers
    keys = [part.key for part in papers.parts]
    tables = [table.key for part in papers.parts for table in part.tables]
    wanted = [name.strip() for name in names.split(",")]
    for name in wanted:
        if name not in keys and name not in tables:
            known = dict.fromkeys((*keys, *tables))
            near = suggest(name, known) or f"; there are {', '.join(known)}"
            raise CommandError(f"--part {names}: there is no part or table {name!r}{near}")
    parts = []
    for part in papers.parts:
        if part.key in wanted:
            parts.append(part)
        elif kept := tuple(table for table in part.tables if table.key in wanted):
            parts.append(replace(part, tables=kept))
    return replace(papers, parts=tuple(parts))


def _write(
    papers: Papers,
    form: str,
    output: str | None,
    paper: str,
    plan_file: str,
    sheets: Sequence[RoomSheet],
) -> None:
    if form == "csv":
        _write_tables(papers, output, plan_file)
        return
    _write_one(_make(papers, form, paper, sheets), form, output, plan_file)


def _write_one(content: str | bytes, form: str, output: str | None, plan_file: str) -> None:
    if output is None:
        write_made_out(content, form)
    else:
        write_made(output, content, form, [plan_file])


def _make(papers: Papers, form: str, paper: str, sheets: Sequence[RoomSheet]) -> str | bytes:
    if form == "json":
        return write_json(papers, __version__)
    if form == "html":
        from underfoot.schedule.page import write_page

        return write_page(papers, __version__, sheets)
    if form == "xlsx":
        try:
            return write_xlsx(papers)
        except ImportError:
            raise CommandError(
                "XLSX needs the extra 'schedule': pip install 'underfoot[schedule]'"
            ) from None
    if form == "pdf":
        from underfoot.drawing.printing import CannotPrintError
        from underfoot.schedule.print import print_papers

        make_room(TYPESETTER_MEMORY)
        try:
            return print_papers(papers, paper, [sheet.svg for sheet in sheets])
        except CannotPrintError as error:
            raise CommandError(str(error)) from None
    return "".join(write_text(papers))


def _write_tables(papers: Papers, output: str | None, plan_file: str) -> None:
    tables = [table for part in papers.parts for table in part.tables]
    if output is None or not is_folder(output):
        _write_one(write_csv(_only_one(tables)), "csv", output, plan_file)
        return
    os.makedirs(output, exist_ok=True)
    for table in tables:
        place = os.path.join(output, f"{stem_of(plan_file)}-{table.key}.csv")
        write_made(place, write_csv(table), "csv", [plan_file])
        say(f"written: {place}")


def _only_one(tables: Sequence[Table]) -> Table:
    if len(tables) != 1:
        named = ", ".join(table.key for table in tables)
        raise CommandError(
            f"a CSV file holds one table: choose one with --part ({named}), or name a folder with "
            "--output, its name ending in /"
        )
    return tables[0]
