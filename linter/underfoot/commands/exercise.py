"""`underfoot exercise`: a right plan in; a damaged one, its drawing and the answer key out."""

import os
import sys
from datetime import date
from pathlib import Path

import click

from underfoot.checking.check import make_checker, report_file
from underfoot.checking.settings import default_settings
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.options import Whole, takes, today_option
from underfoot.commands.output_files import say, write_file
from underfoot.marking.exercise import ExerciseError, make_exercise, read_data, write_plan
from underfoot.marking.handout import draw_exercise, write_answers, write_brief, write_key
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.taking_in import take_in


@click.command(
    cls=LimitedCommand,
    advice="ask for fewer --faults, ",
    short_help="Damage a right plan for others to find what is wrong.",
)
@click.argument("plan_file", metavar="PLAN")
@click.option(
    "--faults",
    type=Whole(1, 20),
    default=3,
    show_default=True,
    help="How many faults to put in.",
)
@click.option(
    "--seed",
    type=Whole(0),
    default=1,
    show_default=True,
    help="Another seed puts in other faults, the same seed the same ones.",
)
@takes("FOLDER", "--output", help="Write the exercise into FOLDER.", required=True)
@today_option
def exercise(plan_file: str, faults: int, seed: int, output: str, today: date | None) -> int:
    """Damage PLAN in ways that people really get wrong, for others to find.

    \b
    Writes exercise.yaml and brief.txt, drawings of each room without marks,
    answers.yaml to be filled in, and key.yaml, which you keep: 'mark --answers
    key.yaml' marks by it. What is in none of these files is never a fault.
    """
    if sys.flags.optimize > 1:
        raise CommandError("python -OO drops the words that tell a fault: run it without -OO")
    sets = rule_sets_to_use()
    rules = [rule for rule_set in sets for rule in rule_set.rules]
    today = today or date.today()
    bench = make_checker(sets, default_settings(rules), today)
    mutations = [mutation for rule_set in sets for mutation in rule_set.mutations]
    source = take_in(plan_file)
    try:
        data = read_data(source, Path(plan_file).parent)
        made = make_exercise(data, mutations, bench, faults=faults, seed=seed)
    except ExerciseError as error:
        if error.problems:
            raise UnreadError(report_file(plan_file, error.problems, source)) from None
        raise CommandError(f"{plan_file}: {error}") from None
    os.makedirs(output, exist_ok=True)
    files = {
        "exercise.yaml": write_plan(made.data),
        "brief.txt": write_brief(made, today),
        "answers.yaml": write_answers(made),
        "key.yaml": write_key(made, os.path.basename(plan_file), seed),
        **draw_exercise(made),
    }
    for name, content in files.items():
        place = os.path.join(output, name)
        if os.path.realpath(place) == os.path.realpath(plan_file):
            raise CommandError(f"--output {output}: this would overwrite the plan")
        write_file(place, [content])
    say(f"written: {', '.join(files)} in {output}; keep key.yaml to yourself")
    return 0
