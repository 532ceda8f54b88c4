"""`underfoot mark --answers`: lists of faults found, marked against an exercise's key."""

import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import click
from click.core import ParameterSource

from underfoot.checking.check import report_file
from underfoot.checking.rule import AnyRule
from underfoot.commands.class_names import name_answers, read_key_file, read_roster_file
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.marking.answer_judging import FOUND, PARTLY, WRONG, AnswerMarks, as_data
from underfoot.marking.answer_pages import draw_faults, write_answer_page, write_answers_class
from underfoot.marking.answer_results import write_csv, write_xlsx
from underfoot.marking.answers import AnswerKey, read_key
from underfoot.marking.isolation import mark_lists_apart
from underfoot.marking.marks import written_marks
from underfoot.marking.pages import name_pages
from underfoot.marking.results import ABSENT
from underfoot.marking.submissions import Handed, clean_name
from underfoot.reading import read_plan
from underfoot.reporting.json import encode
from underfoot.reporting.layout import WIDTH, count_of, escape_invisible, hanging_indent
from underfoot.reporting.text import say_problem
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.taking_in import take_in


def refuse_other_options(context: click.Context) -> None:
    """Refuse what says how plans are marked, where lists of answers are to be."""
    given = [
        option.opts[0]
        for option in context.command.params
        if option.name not in ("folder", "answers", "output", "roster", "anonymous")
        and context.get_parameter_source(option.name or "") is ParameterSource.COMMANDLINE
    ]
    if given:
        raise CommandError(
            f"{' and '.join(given)}: this is for marking plans, and does nothing with --answers, "
            "which marks lists of faults by the key alone: leave it out"
        )


def mark_answers(
    folder: str,
    key_file: str,
    output: str | None,
    roster: str | None = None,
    anonymous: str | None = None,
) -> int:
    """Mark every list of answers in a folder; 2 where the key cannot be read."""
    written = take_in(key_file)
    key, problems = read_key(written, key_file)
    if key is None:
        raise UnreadError(report_file(key_file, problems, written))
    expected = None if roster is None else read_roster_file(roster)
    numbers = None if anonymous is None else (anonymous, read_key_file(anonymous))
    rules = {rule.id: rule for rule_set in rule_sets_to_use() for rule in rule_set.rules}
    kinds = {*rules, *(one.rule for one in (*key.faults, *key.follows))}
    lists = list(mark_lists_apart(list(_list_answers(Path(folder), key_file)), key, kinds))
    if not lists:
        say(f"{folder}: nothing was handed in")
        return 2
    marked = name_answers(lists, key, expected, numbers)
    write_out(f"{line}\n" for one in marked for line in _lines(one, key))
    if output is not None:
        _write(marked, key, rules, output, Path(key_file))
    return 0


def _write(
    marked: Sequence[AnswerMarks],
    key: AnswerKey,
    rules: Mapping[str, AnyRule],
    output: str,
    key_file: Path,
) -> None:
    os.makedirs(os.path.join(output, "pages"), exist_ok=True)
    rows = ",\n".join(encode(as_data(one, key)) for one in marked)
    names = name_pages([one.name for one in marked if not one.is_absent])
    title = f"{key.title or key.plan or key_file.name}"
    files: dict[str, str | bytes] = {
        "answers.csv": write_csv(marked, key),
        "answers.xlsx": write_xlsx(marked, key),
        "answers.json": f'{{\n"answer_marks_format": 1,\n"lists": [\n{rows}\n]\n}}\n',
        "class.html": write_answers_class(marked, key, rules, names, title),
    }
    for name, content in files.items():
        write_file(os.path.join(output, name), [content])
    for name, page in _pages(marked, key, rules, key_file.with_name("exercise.yaml"), names):
        write_file(os.path.join(output, "pages", name), [page])
    place = os.path.join(output, "class.html")
    say(f"written: {place}, answers.csv, answers.xlsx, answers.json and "
        f"{count_of(len(names), 'page')}")  # fmt: skip


def _pages(
    marked: Sequence[AnswerMarks],
    key: AnswerKey,
    rules: Mapping[str, AnyRule],
    exercise: Path,
    names: Mapping[str, str],
) -> Iterator[tuple[str, str]]:
    """Write a page for each list, with the faults drawn where the exercise lies beside its key."""
    plan = None
    if exercise.is_file():
        plan = read_plan(take_in(str(exercise)), path=str(exercise), folder=exercise.parent).plan
    drawings = () if plan is None else draw_faults(plan, key)
    for one in (each for each in marked if not each.is_absent):
        yield names[one.name], write_answer_page(one, key, rules, drawings)


def _list_answers(folder: Path, key_file: str) -> Iterator[Handed]:
    # The exercise itself may lie there too, and is nobody's answer.
    own = {
        os.path.realpath(place) for place in (key_file, Path(key_file).with_name("exercise.yaml"))
    }
    for entry in sorted(os.scandir(folder), key=lambda one: one.name):
        name = clean_name(entry.name)
        if name.startswith(".") or os.path.realpath(entry.path) in own:
            continue
        if not name.lower().endswith((".yaml", ".yml", ".json")):
            say(f"{name} was passed over: answers are .yaml, .yml or .json files")
            continue
        stem = name.rpartition(".")[0]
        yield Handed(name=stem, attempt=1, shown=name, place=Path(entry.path))


def _lines(marked: AnswerMarks, key: AnswerKey) -> Iterator[str]:
    if marked.is_absent:
        yield f"{escape_invisible(marked.name)}: {ABSENT}"
        yield ""
        return
    which = ""
    if marked.attempts > 1:
        which = f"; attempt {marked.attempt} of {marked.attempts}, the {key.attempt}"
    partly = f"{marked.count(*PARTLY)} in part, " if marked.count(*PARTLY) else ""
    yield (
        f"{escape_invisible(marked.name)}: {written_marks(marked.earned)} of "
        f"{written_marks(key.marks)} "
        f"({marked.count(FOUND)} of {len(key.faults)} faults found, {partly}"
        f"{count_of(marked.count(WRONG), 'wrong accusation')}{which})"
    )
    for problem in marked.problems:
        yield from hanging_indent("  ", say_problem(problem), WIDTH)
    for one in marked.judged:
        where = " · ".join(part for part in (one.answer.room, one.answer.item) if part)
        sign = "+" if one.worth > 0 else ""
        said = (
            f"{escape_invisible(one.answer.kind)}, {escape_invisible(where) or 'no place'}: "
            f"{one.verdict}"
        )
        if one.asked:
            said += f" – {one.asked}"
        if one.worth:
            said += f", {sign}{written_marks(one.worth)}"
        yield from hanging_indent("  - ", said, WIDTH)
    for fault in marked.missed:
        where = " · ".join(part for part in (fault.room, ", ".join(fault.items)) if part)
        said = (
            f"{fault.rule}, {escape_invisible(where) or 'the whole plan'}: "
            f"{fault.message or fault.says}"
        )
        yield from hanging_indent(
            "  in part " if marked.state_of(fault) else "  missed  ", said, WIDTH
        )
    yield ""
