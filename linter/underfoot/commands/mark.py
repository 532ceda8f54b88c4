"""`underfoot mark`: a folder of submissions in; marks, sheets and the class out."""

import os
from collections.abc import Sequence
from datetime import date
from importlib.util import find_spec
from pathlib import Path

import click
from msgspec import Struct
from msgspec.structs import replace

from underfoot import __version__
from underfoot.checking.check import report_file
from underfoot.checking.rule import RuleSet
from underfoot.commands.class_names import (
    Named,
    name_by_lot,
    name_by_roster,
    read_key_file,
    read_roster_file,
)
from underfoot.commands.marking_answers import mark_answers, refuse_other_options
from underfoot.commands.marking_desk import read_file, set_up_desk
from underfoot.commands.options import jobs_option, read_seconds, takes, today_option
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.marking.class_text import write_class_text
from underfoot.marking.comments import Comments, read_comments
from underfoot.marking.isolation import judge_apart
from underfoot.marking.mark_sheet import write_csv, write_xlsx
from underfoot.marking.marks_json import EarlierError, Moved, compare_marks, write_marks
from underfoot.marking.pages import page_names, write_class, write_sheet
from underfoot.marking.results import ClassMarks, gather_class
from underfoot.marking.scheme import Scheme
from underfoot.marking.submissions import list_submissions
from underfoot.marking.traits import list_traits
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.pool import cores
from underfoot.running.progress import show_progress, wants_progress
from underfoot.running.taking_in import take_in_option

# The marks of a class, with room.
_LONGEST_MARKS = 50_000_000
_EXTRA = "needs the extra `mark`: pip install 'underfoot[mark]'"


@click.command(short_help="Mark a folder of submissions against a scheme.")
@click.argument("folder", metavar="FOLDER")
@takes("FILE", "--scheme", help="The marking scheme; left out, scheme.yaml beside FOLDER.")
@takes(
    "FILE",
    "--comments",
    help="A marker's comments and adjustments; of two, both are laid side by side.",
    multiple=True,
)
@takes(
    "FOLDER",
    "--output",
    help="Write marks.csv, .xlsx and .json, class.html and a page each into FOLDER.",
)
@takes(
    "KEY",
    "--anonymous",
    help="Put numbers in place of names; KEY is the file that leads back, made if it is not there.",
)
@takes(
    "FILE",
    "--roster",
    help="A CSV with the columns file, name, number: who handed in nothing appears too.",
)
@takes("FILE", "--known", help="Say whose mark changed since an earlier marks.json.")
@takes("KEY", "--answers", help="FOLDER holds answers to an exercise: mark them by KEY.")
@jobs_option("Judge N attempts at a time; by default one a core.")
@click.option(
    "--plan-seconds",
    "--time-limit",
    "plan_seconds",
    callback=read_seconds,
    metavar="SECONDS",
    help="Stop the judging of an attempt that takes more processor time; left out, 10 s for each "
    "300 kB of it.",
)
@today_option
def mark(
    folder: str,
    scheme: str | None,
    comments: tuple[str, ...],
    output: str | None,
    anonymous: str | None,
    roster: str | None,
    known: str | None,
    answers: str | None,
    jobs: int | None,
    plan_seconds: float | None,
    today: date | None,
) -> int:
    """Mark the submissions in FOLDER: plans, or folders of plans, one an apprentice.

    \b
    NAME-2.yaml is the second attempt of NAME.yaml. Waivers and settings that
    are handed in do not count; nothing outside a submission's folder is read.
    Exit status 0: marked. 2: the scheme or the folder could not be read.
    """
    if not os.path.isdir(folder):
        raise CommandError(f"{folder}: there is no such folder")
    if answers is not None:
        refuse_other_options(click.get_current_context())
    if output is not None:
        _need_extra()
        _keep_apart(output, folder, anonymous)
    if roster is not None and anonymous is not None:
        raise CommandError(
            "--roster and --anonymous both say what stands for a name: give the roster a column "
            "`number`, or leave one of them out"
        )
    if answers is not None:
        return mark_answers(folder, answers, output, roster, anonymous)
    run = _Run(
        folder=folder,
        scheme=scheme or _find_scheme(folder),
        comments=comments,
        anonymous=anonymous,
        roster=roster,
        known=known,
    )
    return _mark(run, output, Pace(jobs=jobs, seconds=plan_seconds), today or date.today())


def _need_extra() -> None:
    for module in ("openpyxl", "jinja2"):
        if find_spec(module) is None:
            raise CommandError(f"--output {_EXTRA}")


class _Run(Struct, frozen=True, kw_only=True):
    """What a command line asks for."""

    folder: str
    scheme: str
    comments: tuple[str, ...]
    anonymous: str | None
    roster: str | None
    known: str | None


class Pace(Struct, frozen=True, kw_only=True):
    """How many attempts are judged at a time, and what each may take."""

    jobs: int | None
    seconds: float | None


def _find_scheme(folder: str) -> str:
    place = os.path.join(os.path.dirname(os.path.abspath(folder)), "scheme.yaml")
    if not os.path.isfile(place):
        raise CommandError(f"no scheme.yaml stands beside {folder}: name one with --scheme")
    return os.path.relpath(place)


def _keep_apart(output: str, folder: str, key: str | None) -> None:
    """See that nothing is written among the submissions, nor the key among the results."""
    out, handed_in = Path(output).resolve(), Path(folder).resolve()
    if out == handed_in or out.is_relative_to(handed_in):
        raise CommandError(f"--output {output}: this lies among the submissions")
    if key is not None and Path(key).resolve().is_relative_to(out):
        raise CommandError(f"--anonymous {key}: keep the key apart from the results in {output}")


def _mark(run: _Run, output: str | None, pace: Pace, today: date) -> int:
    # What cannot be used is told before a class is judged, not afterwards.
    key = None if run.anonymous is None else read_key_file(run.anonymous)
    earlier = None if run.known is None else _read_earlier(run.known)
    roster = None if run.roster is None else read_roster_file(run.roster)
    sets = rule_sets_to_use()
    desk = set_up_desk(run.scheme, sets, today, draws=output is not None)
    comments = [_read_comments(place, desk.scheme) for place in run.comments]
    handed_in = list_submissions(Path(run.folder))
    if not handed_in.attempts:
        say(f"{run.folder}: nothing was handed in")
        return 2
    shown = show_progress(handed_in.attempts, shown=wants_progress(os.environ))
    jobs = min(pace.jobs or cores(), len(handed_in.attempts))
    attempts = list(judge_apart(shown, desk, pace.seconds, jobs=jobs))
    named = Named(attempts=attempts, comments=[one for one in comments if one is not None])
    if roster is not None:
        named = name_by_roster(roster, named.attempts, named.comments)
    elif run.anonymous is not None and key is not None:
        named = name_by_lot(run.anonymous, key, named.attempts, named.comments)
    is_anonymous = run.anonymous is not None or (roster is not None and roster.hides_names)
    marks = gather_class(
        desk.scheme,
        named.attempts,
        named.comments,
        brief=list_traits(desk.brief),
        passed_over=() if is_anonymous else handed_in.passed_over,
        expected=named.expected,
    )
    if is_anonymous:
        # A name from whom nothing came has no number, and belongs in no result.
        for name in marks.strangers:
            say(f"a comments file names {name}, from whom nothing was handed in")
        marks = replace(marks, strangers=())
    if output is not None:
        _look_for_others(marks, output, is_anonymous=is_anonymous)
    text = write_marks(marks, __version__)
    moved = None if run.known is None or earlier is None else _compare(run.known, earlier, text)
    if output is not None:
        _write(marks, text, sets, output, moved)
    write_out(f"{line}\n" for line in write_class_text(marks, moved))
    if output is not None:
        say(f"written: {os.path.join(output, 'class.html')}, marks.csv, marks.xlsx, marks.json "
            f"and {len(marks.sheets)} pages")  # fmt: skip
    return 0


def _read_comments(place: str, scheme: Scheme) -> Comments:
    source = read_file(place)
    reading = read_comments(source, place, scheme)
    if reading.comments is None:
        raise UnreadError(report_file(place, reading.problems, source))
    return reading.comments


def _read_earlier(place: str) -> str:
    try:
        return take_in_option(place, "--known", _LONGEST_MARKS).decode()
    except UnicodeDecodeError as error:
        raise CommandError(f"--known {place}: {error}") from None


def _compare(place: str, earlier: str, text: str) -> tuple[Moved, ...]:
    try:
        return compare_marks(earlier, text)
    except EarlierError as error:
        raise CommandError(f"--known {place}: {error}") from None


def _look_for_others(marks: ClassMarks, output: str, *, is_anonymous: bool) -> None:
    """See that no page of another marking lies among the results, where it would tell a name."""
    folder = os.path.join(output, "pages")
    if not os.path.isdir(folder):
        return
    others = sorted(set(os.listdir(folder)) - set(page_names(marks).values()))
    if others and is_anonymous:
        raise CommandError(
            f"--output {output}: pages of another marking lie there ({others[0]}), which would "
            "tell names: choose an empty folder"
        )
    for name in others:
        say(f"{os.path.join(folder, name)} is of an earlier marking, and was left")


def _write(
    marks: ClassMarks,
    text: str,
    sets: Sequence[RuleSet],
    output: str,
    moved: tuple[Moved, ...] | None,
) -> None:
    rules = {rule.id: rule for rule_set in sets for rule in rule_set.rules}
    pages = page_names(marks)
    os.makedirs(os.path.join(output, "pages"), exist_ok=True)
    files: dict[str, str | bytes] = {
        "marks.csv": write_csv(marks),
        "marks.xlsx": write_xlsx(marks),
        "marks.json": text,
        "class.html": write_class(marks, rules, pages, moved),
    }
    for name, content in files.items():
        write_file(os.path.join(output, name), [content])
    for sheet in marks.sheets:
        place = os.path.join(output, "pages", pages[sheet.name])
        write_file(place, [write_sheet(marks, sheet, rules)])
