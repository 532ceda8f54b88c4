"""`underfoot mark --answers`: lists of faults found, marked against an exercise's key."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from underfoot.marking.answers import AnswerKey, AnswerMarks


def mark_answers(folder: str, key_file: str, output: str | None) -> int:
    """Mark every list of answers in a folder; 2 where the key cannot be read."""
    from underfoot.commands.taking_in import take_in
    from underfoot.commands.writing import say, write_file, write_out
    from underfoot.marking.answers import as_data, read_key
    from underfoot.reporting.json import encode
    from underfoot.reporting.layout import count_of
    from underfoot.reporting.text import say_problem

    key, problems = read_key(take_in(key_file), key_file)
    if key is None:
        for problem in problems:
            say(say_problem(problem))
        return 2
    marked = list(_mark_folder(Path(folder), key, key_file))
    if not marked:
        say(f"{folder}: nothing was handed in")
        return 2
    write_out(f"{line}\n" for one in marked for line in _lines(one, key))
    if output is not None:
        os.makedirs(os.path.join(output, "pages"), exist_ok=True)
        rows = ",\n".join(encode(as_data(one, key)) for one in marked)
        place = os.path.join(output, "answers.json")
        write_file(place, [f'{{\n"answer_marks_format": 1,\n"lists": [\n{rows}\n]\n}}\n'])
        for name, page in _pages(marked, key, Path(key_file).with_name("exercise.yaml")):
            write_file(os.path.join(output, "pages", name), [page])
        say(f"written: {place} and {count_of(len(marked), 'page')}")
    return 0


def _pages(marked: list[AnswerMarks], key: AnswerKey, exercise: Path) -> Iterator[tuple[str, str]]:
    """Write a page for each list, with the faults drawn where the exercise lies beside its key."""
    from underfoot.commands.reviewing import rule_sets_to_use
    from underfoot.commands.taking_in import take_in
    from underfoot.marking.answer_pages import draw_faults, write_answer_page
    from underfoot.marking.pages import name_pages
    from underfoot.reading import read_plan

    rules = {rule.id: rule for rule_set in rule_sets_to_use() for rule in rule_set.rules}
    plan = None
    if exercise.is_file():
        plan = read_plan(take_in(str(exercise)), path=str(exercise), folder=exercise.parent).plan
    drawings = () if plan is None else draw_faults(plan, key)
    names = name_pages([one.name for one in marked])
    for one in marked:
        yield names[one.name], write_answer_page(one, key, rules, drawings)


def _mark_folder(folder: Path, key: AnswerKey, key_file: str) -> Iterator[AnswerMarks]:
    from underfoot.marking.answers import AnswerMarks, mark_list, read_answers
    from underfoot.marking.marks import NOTHING
    from underfoot.marking.submissions import Handed, clean_name, read_handed
    from underfoot.reading.problem import Problem

    for entry in sorted(os.scandir(folder), key=lambda one: one.name):
        name = clean_name(entry.name)
        if name.startswith(".") or not name.lower().endswith((".yaml", ".yml", ".json")):
            continue
        if os.path.realpath(entry.path) == os.path.realpath(key_file):
            continue
        try:
            source = read_handed(Handed(name, 1, name, Path(entry.path)))
            answers, problems = read_answers(source, name)
        except OSError as error:
            why = error.strerror or str(error)
            answers, problems = None, (Problem(f"the file cannot be read: {why}", file=name),)
        stem = name.rpartition(".")[0]
        if answers is None:
            yield AnswerMarks(stem, (), key.faults, NOTHING, problems)
        else:
            yield mark_list(stem, answers, key)


def _lines(marked: AnswerMarks, key: AnswerKey) -> Iterator[str]:
    from underfoot.marking.answers import FOUND, WRONG
    from underfoot.marking.marks import written_marks
    from underfoot.reporting.layout import WIDTH, count_of, hang, reveal
    from underfoot.reporting.text import say_problem

    yield (
        f"{reveal(marked.name)}: {written_marks(marked.earned)} of {written_marks(key.marks)} "
        f"({marked.count(FOUND)} of {len(key.faults)} faults found, "
        f"{count_of(marked.count(WRONG), 'wrong accusation')})"
    )
    for problem in marked.problems:
        yield from hang("  ", say_problem(problem), WIDTH)
    for one in marked.judged:
        where = " · ".join(part for part in (one.answer.room, one.answer.item) if part)
        sign = "+" if one.worth > 0 else ""
        said = f"{reveal(one.answer.kind)}, {reveal(where) or 'no place'}: {one.verdict}"
        if one.worth:
            said += f", {sign}{written_marks(one.worth)}"
        yield from hang("  - ", said, WIDTH)
    for fault in marked.missed:
        where = " · ".join(part for part in (fault.room, ", ".join(fault.items)) if part)
        said = f"{fault.rule}, {reveal(where) or 'the whole plan'}: {fault.message or fault.says}"
        yield from hang("  missed  ", said, WIDTH)
    yield ""
