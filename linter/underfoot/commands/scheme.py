"""`underfoot scheme`: model answers in; a scheme to be edited out, or one tried on them."""

import os
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import click

from underfoot.checking.check import report_unread
from underfoot.checking.mutation import Data
from underfoot.commands.marking_desk import read_file, set_up_desk, set_up_for
from underfoot.commands.options import Whole, takes, today_option
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.marking.exercise import ExerciseError, read_data
from underfoot.marking.modelling import look_at_model
from underfoot.marking.proposing import GIVEN, Wish, propose_scheme
from underfoot.marking.trial import try_scheme, write_table, write_trial
from underfoot.reading import read_plan
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError, UnreadError


@click.command(short_help="Propose a marking scheme from model answers, or try one on them.")
@click.argument("models", nargs=-1, required=True, metavar="MODEL...")
@takes(
    "FILE",
    "--brief",
    help="The plan that is handed out; left out, brief.yaml beside the first MODEL.",
)
@click.option(
    "--marks",
    type=Whole(10, 1000),
    default=100,
    show_default=True,
    help="How many marks to share out.",
)
@click.option(
    "--pass",
    "passing",
    type=Whole(1, 100),
    default=70,
    show_default=True,
    metavar="PERCENT",
    help="The share of the marks that passes.",
)
@takes("FILE", "--output", help="Write the scheme, or the table, to FILE.")
@takes(
    "SCHEME",
    "--try",
    "tried",
    help="Propose nothing: say what MODEL earns by SCHEME, and what each fault costs.",
)
@today_option
def scheme(
    models: tuple[str, ...],
    brief: str | None,
    marks: int,
    passing: int,
    output: str | None,
    tried: str | None,
    today: date | None,
) -> int:
    """Propose a marking scheme from model answers, to be edited.

    \b
    With --try, an edited one is tried: what the model answers earn (of
    several the best fit counts), the rows that nobody could earn, and what
    each fault that people make would cost; --output writes those as CSV.
    Exit status 0: proposed or tried. 2: something could not be read.
    """
    if tried is not None:
        return _try(models, tried, output, today or date.today())
    return _propose(models, brief, (marks, passing), output, today or date.today())


def _read_models(models: Sequence[str]) -> list[tuple[str, Data]]:
    """Read plans as data; CommandError where one cannot be read."""
    return [(place, _read_data(place)) for place in models]


def _read_data(place: str) -> Data:
    source, folder = read_file(place), Path(place).parent
    reading = read_plan(source, path=place, folder=folder)
    if reading.problems:
        raise UnreadError(report_unread(reading, source))
    try:
        return read_data(source, folder)
    except ExerciseError as error:
        raise CommandError(f"{place}: {error}") from None


def _propose(
    models: Sequence[str],
    brief: str | None,
    shares: tuple[int, int],
    output: str | None,
    today: date,
) -> int:
    sets = rule_sets_to_use()
    beside = Path(models[0]).with_name("brief.yaml")
    if (
        brief is None
        and beside.is_file()
        and os.path.realpath(beside) != os.path.realpath(models[0])
    ):
        brief = str(beside)
    named = brief or models[0]
    fixed = None if brief else GIVEN
    desk = set_up_for(_read_data(named), named, fixed, sets, today)
    looked = [
        look_at_model(data, os.path.basename(place), desk) for place, data in _read_models(models)
    ]
    bare = look_at_model(_read_data(brief), "the brief", desk) if brief else None
    for model in looked:
        for said in model.brief_changes:
            say(f"{model.name} changes what the brief gives, which was put back: {said}")
        if model.open:
            broken = ", ".join(sorted(model.open))
            say(f"{model.name} does not keep, or does not show, {broken}: no marks were proposed")
    title = desk.brief.job.title if desk.brief.job and desk.brief.job.title else "The brief"
    folder = os.path.dirname(output) if output else ""
    wish = Wish(
        title=title,
        brief=os.path.relpath(named, folder or os.curdir),
        brief_plan=desk.brief,
        marks=shares[0],
        pass_percent=shares[1],
        has_own_brief=brief is not None,
    )
    rules = [rule for rule_set in sets for rule in rule_set.rules]
    text = propose_scheme(looked, frozenset(bare.right if bare else ()), rules, wish)
    if output is None:
        write_out([text])
        return 0
    if os.path.exists(output):
        raise CommandError(f"--output {output}: this is there already; it was not written over")
    write_file(output, [text])
    say(f"written: {output}; edit it, then: underfoot scheme {' '.join(models)} --try {output}")
    return 0


def _try(models: Sequence[str], place: str, output: str | None, today: date) -> int:
    sets = rule_sets_to_use()
    desk = set_up_desk(place, sets, today, draws=False)
    brief = _read_data(str(Path(place).parent / desk.scheme.brief))
    mutations = [mutation for rule_set in sets for mutation in rule_set.mutations]
    named = [(os.path.basename(one), data) for one, data in _read_models(models)]
    trial = try_scheme(named, brief, desk, mutations)
    write_out(f"{line}\n" for line in write_trial(trial))
    if output is not None:
        write_file(output, [write_table(trial)])
        say(f"written: {output}")
    return 0
