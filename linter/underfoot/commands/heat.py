"""`underfoot heat`: where a heated floor is warm, and where it stays cold."""

from importlib.util import find_spec
from pathlib import Path

import click

from underfoot.checking.assuming import NothingTakenError, gather_assumptions
from underfoot.checking.check import report_unread
from underfoot.checking.facts import Facts
from underfoot.checking.facts.stack import Assumptions
from underfoot.checking.finding import CannotTell
from underfoot.checking.settings import Settings
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.options import settings_option, takes
from underfoot.commands.output_files import check_output, disarmed, write_file, write_out
from underfoot.commands.rules_and_room import see_that_there_is
from underfoot.heat.figures import write_heat_json, write_heat_text
from underfoot.heat.picture import HeatPicture, picture_heat
from underfoot.reading import read_plan
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.finding_settings import settings_of
from underfoot.running.links import where_it_lies
from underfoot.running.plan_files import STANDARD_INPUT, display_path
from underfoot.running.taking_in import take_in


@click.command(
    cls=LimitedCommand,
    advice="picture one room by --room, ",
    short_help="Picture where a heated floor is warm and where it stays cold.",
)
@click.argument("plan_file", metavar="PLAN")
@takes("ROOM", "--room", help="Picture this room only.")
@click.option(
    "--format",
    "format_",
    type=click.Choice(["svg", "text", "json"]),
    help="A map (one room), or the figures; left out, by FILE's ending, else text.",
)
@takes("FILE", "--output", help="Write to FILE, whole or not at all.")
@settings_option
def heat(
    plan_file: str,
    room: str | None,
    format_: str | None,
    output: str | None,
    settings: str | None,
) -> int:
    """Solve the heat in the floor's plane at full output, and picture its surface.

    \b
    Needs the extra `heat`: pip install 'underfoot[heat]'.
    Exit status 0: pictured. 1: a room could not be. 2: the plan could not be read.
    """
    if find_spec("scipy") is None:
        raise CommandError("heat needs the extra `heat`: pip install 'underfoot[heat]'")

    if plan_file == STANDARD_INPUT:
        raise CommandError("heat reads a plan from a file")
    if output is not None:
        check_output(output, (plan_file,))
    if format_ is None:
        ending = Path(output or "").suffix.lower().removeprefix(".")
        format_ = ending if ending in ("svg", "json") else "text"
    try:
        source = take_in(plan_file)
    except OSError as error:
        raise CommandError(f"{display_path(plan_file)}: {error.strerror}") from None
    folder = Path(where_it_lies(plan_file)).parent
    reading = read_plan(source, path=display_path(plan_file), folder=folder)
    in_force = settings_of(plan_file, rule_sets_to_use(), settings, shown=display_path(plan_file))
    if reading.plan is None:
        raise UnreadError(report_unread(reading, source))
    assumed = _gather_assumptions(in_force)
    facts = Facts(reading.plan, {})
    if room is not None:
        see_that_there_is(room, facts.rooms)
    rooms = [each for each in facts.heated_rooms if room in (None, each.id)]
    found: dict[str, HeatPicture] = {}
    undecided: list[tuple[str, str]] = []
    for each in rooms:
        picture = picture_heat(each, assumed)
        if isinstance(picture, CannotTell):
            undecided.append((each.id, picture.why))
        else:
            found[each.id] = picture
    if format_ == "svg":
        from underfoot.heat.map import draw_heat_map

        if len(rooms) != 1:
            raise CommandError(
                f"a map shows one room: add --room with one of {', '.join(r.id for r in rooms)}"
            )
        if undecided:
            raise CommandError(f"room {undecided[0][0]} could not be pictured: {undecided[0][1]}")
        job, called = reading.plan.job, rooms[0].drawn.called
        title = (job.title if job else None) or ""
        # A title that ends with the room's name says it already.
        is_said = title.casefold().endswith(called.replace("-", " ").casefold())
        name = title if is_said else " · ".join(part for part in (title, called) if part)
        text = draw_heat_map(found[rooms[0].id], rooms[0], name)
    elif format_ == "json":
        text = write_heat_json(list(found.values()), undecided)
    else:
        text = write_heat_text(list(found.values()), undecided)
    if output is None:
        write_out([text], format_)
    else:
        write_file(output, disarmed([text], format_))
    return 1 if undecided else 0


def _gather_assumptions(settings: Settings) -> Assumptions:
    try:
        return gather_assumptions(settings)
    except NothingTakenError as error:
        raise CommandError(
            f"no rule set that is used says what to take for {', '.join(error.missing)}: "
            "use the standard set, too"
        ) from None
