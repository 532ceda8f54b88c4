"""`underfoot term`: the marks of several briefs joined, for the class and for each apprentice."""

import os
from importlib.util import find_spec

import click

from underfoot.commands.options import takes
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.marking.pages import name_pages
from underfoot.marking.term import Term, TermError, join_term, read_marking
from underfoot.marking.term_pages import write_course, write_term
from underfoot.marking.term_sheet import write_term_csv, write_term_text
from underfoot.reporting.layout import count_of
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError
from underfoot.running.taking_in import take_in_option

_MOST_BYTES = 50_000_000


@click.command(short_help="Join several marks.json of a term, and show what is still got wrong.")
@click.argument("marks", nargs=-1, required=True, metavar="MARKS.json...")
@takes("FOLDER", "--output", help="Write term.html, term.csv and a page each into FOLDER.")
def term(marks: tuple[str, ...], output: str | None) -> int:
    """Join the marks of several briefs, in the order in which they were set.

    \b
    Apprentices go by the names that the files give them: mark each class with
    the same roster. A rule is still wrong that was broken when last shown.
    Exit status 0: joined. 2: a file holds no marks.
    """
    if output is not None and find_spec("jinja2") is None:
        raise CommandError("--output needs the extra `mark`: pip install 'underfoot[mark]'")
    read = []
    for place in marks:
        try:
            read.append(read_marking(take_in_option(place, "MARKS", _MOST_BYTES).decode("utf-8")))
        except (TermError, UnicodeDecodeError) as error:
            raise CommandError(f"{place}: {error}") from None
    try:
        joined = join_term(read)
    except TermError as error:
        raise CommandError(str(error)) from None
    if output is not None:
        _write(joined, output)
    write_out(f"{line}\n" for line in write_term_text(joined))
    return 0


def _write(joined: Term, output: str) -> None:
    rules = {rule.id: rule for rule_set in rule_sets_to_use() for rule in rule_set.rules}
    pages = name_pages([course.name for course in joined.courses])
    os.makedirs(os.path.join(output, "pages"), exist_ok=True)
    write_file(os.path.join(output, "term.html"), [write_term(joined, pages)])
    write_file(os.path.join(output, "term.csv"), [write_term_csv(joined)])
    for course in joined.courses:
        place = os.path.join(output, "pages", pages[course.name])
        write_file(place, [write_course(joined, course, rules)])
    say(
        f"written: {os.path.join(output, 'term.html')}, term.csv and "
        f"{count_of(len(joined.courses), 'page')}"
    )
