"""Where the builders write down what is wrong, and how they read single values."""

from collections.abc import Collection, Mapping
from datetime import date
from typing import Any

from msgspec import Struct, field

from underfoot.plan_format.declaration import Bound
from underfoot.plan_format.kinds import FARTHEST
from underfoot.reading.paths import locate
from underfoot.reading.problem import Problem
from underfoot.reading.quantities import QuantityError, read, read_conductor_size, read_one_of
from underfoot.reading.wording import join_words, show, suggest

Data = Mapping[str, Any]
Point = tuple[float, float]
Corners = tuple[Point, ...]

# More problems than a reader is shown.
MOST_HELD = 2000
_MOST_LISTED = 8


class ProblemLog(Struct, frozen=True, kw_only=True):
    """The problems of one file while it is built.

    `positions` are the file's. `prefix` stands before the paths of things that come from another
    file than the plan, whose name is `file`. `unsure` are the kinds of which not all are known,
    since a catalogue could not be read: an id of theirs that names nothing is not told.
    """

    positions: Mapping[str, tuple[int, int]]
    prefix: str = ""
    file: str | None = None
    problems: list[Problem] = field(default_factory=list)
    unsure: frozenset[str] = frozenset()

    @property
    def is_full(self) -> bool:
        """Whether there are so many problems that no more are written down."""
        return len(self.problems) >= MOST_HELD

    def report(self, path: str, message: str) -> None:
        """Write a problem down at the path's place."""
        if self.is_full:
            return
        line, column = locate(path, self.positions)
        self.problems.append(
            Problem(message=message, path=path, line=line, column=column, file=self.file)
        )

    def report_unknown(self, path: str, value: str, known: Collection[str], kind: str) -> None:
        """Write down that an id names no `kind`, and which one may be meant."""
        if not self.is_full and kind not in self.unsure:
            self.report(path, _word_unknown(value, known, kind))

    def line_of(self, path: str) -> int:
        """The line that a path stands in."""
        return locate(path, self.positions)[0]


def read_number(
    log: ProblemLog, value: Any, place: str, key: str, unit: str, bound: Bound
) -> float | None:
    """A quantity in `unit` that stands at `place`, called `key` in messages; None where faulty."""
    try:
        number = read(value, unit)
    except QuantityError as error:
        log.report(place, f"`{key}`: {error}")
        return None
    if number > 0 or _is_within(log, number, value, place, key, bound):
        return number
    return None


def read_number_in(
    log: ProblemLog, value: Any, place: str, key: str, units: tuple[str, ...], bound: Bound
) -> tuple[float, str] | None:
    """A quantity and that of the `units` that it is in."""
    try:
        number, unit = read_one_of(value, units)
    except QuantityError as error:
        log.report(place, f"`{key}`: {error}")
        return None
    return (number, unit) if _is_within(log, number, value, place, key, bound) else None


def read_conductor(log: ProblemLog, value: Any, place: str, key: str) -> float | None:
    """A conductor's cross-section in mm2."""
    try:
        size_mm2 = read_conductor_size(value)
    except QuantityError as error:
        log.report(place, f"`{key}`: {error}")
        return None
    return size_mm2 if _is_within(log, size_mm2, value, place, key, "more than 0") else None


def read_length(log: ProblemLog, value: Any, place: str, key: str, bound: Bound) -> float | None:
    """A length in mm, no longer than 1 km."""
    if value.__class__ is int or value.__class__ is float:
        number = float(value)
        if 0 < number <= FARTHEST:
            return number
    else:
        try:
            number = read(value, "mm")
        except QuantityError as error:
            log.report(place, f"`{key}`: {error}")
            return None
    if not _is_within(log, number, value, place, key, bound):
        return None
    if number > FARTHEST:
        log.report(place, f"`{key}`: {show(value)} is longer than 1 km: check the unit")
        return None
    return number


def _is_within(
    log: ProblemLog, number: float, value: Any, place: str, key: str, bound: Bound
) -> bool:
    if bound == "more than 0" and number <= 0:
        log.report(place, f"`{key}`: {show(value)} must be more than 0")
        return False
    if bound == "0 or more" and number < 0:
        log.report(place, f"`{key}`: {show(value)} must not be less than 0")
        return False
    return True


def read_coordinate(log: ProblemLog, value: Any, place: str) -> float | None:
    """One coordinate in mm, within 1 km of the origin."""
    if value.__class__ is int or value.__class__ is float:
        number = float(value)
    else:
        try:
            number = read(value, "mm")
        except QuantityError as error:
            log.report(place, str(error))
            return None
    if not -FARTHEST <= number <= FARTHEST:
        log.report(
            place, f"{show(value)} lies more than 1 km from the room's origin: check the unit"
        )
        return None
    return number


def read_pair(log: ProblemLog, value: Any, place: str) -> Point | None:
    """A point [x, y]; None where it is not whole."""
    if value is None or len(value) != 2:
        return None
    first, second = value
    if first is None or second is None:
        return None
    x = read_coordinate(log, first, f"{place}.0")
    y = read_coordinate(log, second, f"{place}.1")
    return None if x is None or y is None else (x, y)


def read_date(log: ProblemLog, value: Any, place: str, key: str) -> date | None:
    """A date of the calendar."""
    try:
        return date.fromisoformat(value)
    except ValueError:
        log.report(place, f"`{key}`: there is no such day as {show(value)}")
        return None


def _word_unknown(value: str, known: Collection[str], kind: str) -> str:
    message = f"{show(value)} names no {kind}"
    meant = suggest(value, known)
    if meant:
        return message + meant
    if not known:
        return f"{message}: the plan has none"
    listed = list(known)[:_MOST_LISTED]
    more = ", ..." if len(known) > _MOST_LISTED else ""
    return (
        f"{message}; there {'is' if len(known) == 1 else 'are'} {join_words(listed, 'and')}{more}"
    )
