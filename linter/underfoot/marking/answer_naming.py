"""Which list of answers counts for whom, and under which name: as plans have it."""

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from underfoot.marking.anonymity import hide_names
from underfoot.marking.answer_judging import AnswerMarks
from underfoot.marking.answers import AnswerKey
from underfoot.marking.marks import NOTHING
from underfoot.marking.roster import Placed, Roster
from underfoot.marking.submissions import find_base
from underfoot.reading.problem import Problem


def number_attempts(marked: Sequence[AnswerMarks]) -> tuple[AnswerMarks, ...]:
    """Take `NAME-2` for the second attempt of NAME, where NAME is there too.

    Two files of one name with other endings are two attempts, one after the other.
    """
    names = {one.name for one in marked}
    numbered: list[AnswerMarks] = []
    taken: set[tuple[str, int]] = set()
    for one in marked:
        name, attempt = find_base(one.name, names)
        while (name, attempt) in taken:
            attempt += 1
        taken.add((name, attempt))
        numbered.append(replace(one, name=name, attempt=attempt))
    return tuple(numbered)


def place_by_roster(
    marked: Sequence[AnswerMarks], roster: Roster, placed: Mapping[str, Placed], key: AnswerKey
) -> tuple[AnswerMarks, ...]:
    """Name every list as the roster does; add a list of nothing for each from whom none came."""
    persons = {entry.shown: entry.name for entry in roster.entries}
    named = []
    for one in marked:
        place = placed[one.name]
        also = [one.name, persons.get(place.shown, "")]
        one = _hide(one, also, place.shown) if roster.hides_names else one
        attempt = one.attempt if place.attempt is None else place.attempt + one.attempt - 1
        named.append(replace(one, name=place.shown, attempt=attempt))
    met = {one.name for one in named}
    absent = [entry.shown for entry in roster.entries if entry.shown not in met]
    return (*named, *(_nothing(name, key) for name in absent))


def number_by_lot(
    marked: Sequence[AnswerMarks], numbers: Mapping[str, str]
) -> tuple[AnswerMarks, ...]:
    """Put numbers for names."""
    return tuple(_hide(one, [one.name], numbers[one.name]) for one in marked)


def choose_counted(marked: Sequence[AnswerMarks], attempt: str) -> tuple[AnswerMarks, ...]:
    """Return one list an apprentice, by name: of several the last, or the best."""
    by_name: dict[str, list[AnswerMarks]] = {}
    for one in sorted(marked, key=lambda each: (each.name, each.attempt)):
        by_name.setdefault(one.name, []).append(one)
    chosen = []
    for lists in by_name.values():
        counted = lists[-1]
        if attempt == "best":
            counted = max(lists, key=lambda one: (one.is_read, one.earned, one.attempt))
        number = 0 if counted.is_absent else len(lists)
        chosen.append(replace(counted, attempts=number))
    return tuple(chosen)


def _nothing(name: str, key: AnswerKey) -> AnswerMarks:
    return AnswerMarks(
        name=name,
        judged=(),
        missed=key.faults,
        earned=NOTHING,
        is_read=False,
        attempt=0,
        attempts=0,
    )


def _hide(marked: AnswerMarks, names: Sequence[str], number: str) -> AnswerMarks:
    """Return a list under its number, with the names taken out of whatever is said in it."""
    own = {name: number for name in names if name}

    def hide(text: str) -> str:
        return hide_names(text, own)

    def hide_problem(one: Problem) -> Problem:
        return replace(one, message=hide(one.message), path=hide(one.path), file=number)

    judged = tuple(
        replace(
            one,
            answer=replace(
                one.answer,
                kind=hide(one.answer.kind),
                room=None if one.answer.room is None else hide(one.answer.room),
                item=None if one.answer.item is None else hide(one.answer.item),
            ),
        )
        for one in marked.judged
    )
    problems = tuple(map(hide_problem, marked.problems))
    return replace(marked, name=number, judged=judged, problems=problems)
