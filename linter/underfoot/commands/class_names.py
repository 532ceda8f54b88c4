"""Under which names a class's results go: those of a roster, or numbers drawn by lot."""

import os
from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from underfoot.commands.output_files import check_output, say, write_file
from underfoot.marking.anonymity import (
    KeyFileError,
    extend_key,
    hide_attempt,
    hide_comments,
    read_key,
    write_key,
)
from underfoot.marking.answer_judging import AnswerMarks
from underfoot.marking.answer_naming import (
    choose_counted,
    number_attempts,
    number_by_lot,
    place_by_roster,
)
from underfoot.marking.answers import AnswerKey
from underfoot.marking.comments import Comments
from underfoot.marking.judging import Attempt
from underfoot.marking.roster import Placed, Roster, RosterError, place_names, read_roster
from underfoot.running.errors import CommandError
from underfoot.running.taking_in import take_in_option


class Named(Struct, frozen=True, kw_only=True):
    """Attempts and comments under the names that the results use; `expected` are the roster's."""

    attempts: Sequence[Attempt]
    comments: Sequence[Comments]
    expected: tuple[str, ...] = ()


def read_roster_file(place: str) -> Roster:
    """Read a roster; CommandError says what is wrong with it."""
    source = take_in_option(place, "--roster")
    try:
        return read_roster(source.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise CommandError(f"--roster {place}: it is not UTF-8: save it as CSV UTF-8") from None
    except RosterError as error:
        raise CommandError(f"--roster {place}: {error}") from None


def name_by_roster(
    roster: Roster, attempts: Sequence[Attempt], comments: Sequence[Comments]
) -> Named:
    """Name everything as the roster does, and say which submissions it does not expect."""
    placed = _place(roster, [one.name for one in attempts])
    persons = {entry.shown: entry.name for entry in roster.entries}
    renamed = []
    for one in attempts:
        place = placed[one.name]
        number = one.number if place.attempt is None else place.attempt + one.number - 1
        if roster.hides_names:
            key = {one.name: place.shown}
            one = hide_attempt(replace(one, number=number), key, [persons.get(place.shown, "")])
        renamed.append(replace(one, name=place.shown, number=number))
    names = {**{name: one.shown for name, one in placed.items()}, **roster.names()}
    for told in comments:
        _see_that_each_is_meant_once(told, names)
    if roster.hides_names:
        comments = [hide_comments(one, names) for one in comments]
    else:
        comments = [
            replace(one, submissions={names.get(k, k): v for k, v in one.submissions.items()})
            for one in comments
        ]
    return Named(
        attempts=renamed, comments=comments, expected=tuple(entry.shown for entry in roster.entries)
    )


def _place(roster: Roster, names: Sequence[str]) -> dict[str, Placed]:
    """Say how each is shown, and tell who is not on the roster."""
    placed = place_names(roster, list(dict.fromkeys(names)))
    for name, place in placed.items():
        if not place.is_expected:
            said = "" if place.shown == name else f"; the results call it {place.shown}"
            say(f"{name} was handed in, but is not on the roster{said}")
    return placed


def read_key_file(place: str) -> dict[str, str]:
    """Read the numbers by name; none where the key is yet to be made. CommandError."""
    if not place:
        raise CommandError("--anonymous: name the file that leads back from numbers to names")
    if not os.path.exists(place):
        check_output(place, (), "--anonymous")
        return {}
    try:
        return read_key(take_in_option(place, "--anonymous").decode("utf-8-sig"))
    except (KeyFileError, UnicodeDecodeError) as error:
        raise CommandError(f"--anonymous {place}: {error}") from None


def _see_that_each_is_meant_once(comments: Comments, names: Mapping[str, str]) -> None:
    met: dict[str, str] = {}
    for name in comments.submissions:
        other = met.setdefault(names.get(name, name), name)
        if other != name:
            raise CommandError(
                f"the comments of {comments.marker} name one submission twice, as {other} and as "
                f"{name}: put them together"
            )


def name_by_lot(
    place: str, known: dict[str, str], attempts: Sequence[Attempt], comments: Sequence[Comments]
) -> Named:
    """Put numbers for names; `known` is what the key file at `place` held, which is added to."""
    key = _draw_lots(place, known, [attempt.name for attempt in attempts])
    return Named(
        attempts=[hide_attempt(attempt, key) for attempt in attempts],
        comments=[hide_comments(one, key) for one in comments],
    )


def _draw_lots(place: str, known: dict[str, str], names: Sequence[str]) -> dict[str, str]:
    key = extend_key(known, sorted(set(names)))
    if key != known:
        write_file(place, [write_key(key)])
    return key


def name_answers(
    lists: Sequence[AnswerMarks],
    key: AnswerKey,
    roster: Roster | None,
    numbers: tuple[str, dict[str, str]] | None,
) -> tuple[AnswerMarks, ...]:
    """Return the list of answers that counts for each, under the names that the results use.

    `numbers` are the place of the file that leads back from numbers to names, and what it held.
    """
    named = number_attempts(lists)
    if roster is not None:
        placed = _place(roster, [one.name for one in named])
        named = place_by_roster(named, roster, placed, key)
    elif numbers is not None:
        named = number_by_lot(named, _draw_lots(*numbers, [one.name for one in named]))
    return choose_counted(named, key.attempt)
