"""Where the builders write down what is wrong, and how they read single values."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from underfoot.reading.paths import locate
from underfoot.reading.problem import Problem
from underfoot.reading.quantities import QuantityError, read
from underfoot.reading.wording import join_words, show, suggest

Data = Mapping[str, Any]
Point = tuple[float, float]
Corners = tuple[Point, ...]

# A plan reaches one kilometre to each side.
FARTHEST = 1_000_000.0
# More problems than a reader is shown.
MOST_HELD = 2000
_MOST_LISTED = 8


@dataclass(frozen=True, slots=True)
class ProblemLog:
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
        self.problems.append(Problem(message, path, line, column, self.file))

    def report_unknown(self, path: str, value: str, known: Collection[str], kind: str) -> None:
        """Write down that an id names no `kind`, and which one may be meant."""
        if not self.is_full and kind not in self.unsure:
            self.report(path, _word_unknown(value, known, kind))

    def line_of(self, path: str) -> int:
        """The line that a path stands in."""
        return locate(path, self.positions)[0]


def read_quantity(
    log: ProblemLog, data: Data, path: str, key: str, unit: str, *, above: float | None = 0.0
) -> float | None:
    """A quantity in `unit`, more than `above` (None for any); None where it is not to be had."""
    value = data.get(key)
    if value is None:
        return None
    place = f"{path}.{key}"
    try:
        number = read(value, unit)
    except QuantityError as error:
        log.report(place, f"`{key}`: {error}")
        return None
    if above is not None and number <= above:
        log.report(place, f"`{key}`: {show(value)} must be more than {above:g}")
        return None
    return number


def read_non_negative(log: ProblemLog, data: Data, path: str, key: str, unit: str) -> float | None:
    """A quantity in `unit` of nought or more."""
    value = read_quantity(log, data, path, key, unit, above=None)
    if value is not None and value < 0:
        log.report(f"{path}.{key}", f"`{key}`: {show(data[key])} must not be less than 0")
        return None
    return value


def read_length(log: ProblemLog, data: Data, path: str, key: str) -> float | None:
    """A length above nought, in mm."""
    value = data.get(key)
    if value is None:
        return None
    return read_length_value(log, value, f"{path}.{key}", key, from_zero=False)


def read_length_from_zero(log: ProblemLog, data: Data, path: str, key: str) -> float | None:
    """A length of nought or more, in mm."""
    value = data.get(key)
    if value is None:
        return None
    return read_length_value(log, value, f"{path}.{key}", key, from_zero=True)


def read_length_value(
    log: ProblemLog, value: Any, place: str, key: str, *, from_zero: bool
) -> float | None:
    """A length that stands at `place`, called `key` in messages."""
    if value.__class__ is int or value.__class__ is float:
        number = float(value)
    else:
        try:
            number = read(value, "mm")
        except QuantityError as error:
            log.report(place, f"`{key}`: {error}")
            return None
    if number <= 0 and not (from_zero and number == 0):
        least = "must not be less than 0" if from_zero else "must be more than 0"
        log.report(place, f"`{key}`: {show(value)} {least}")
        return None
    if number > FARTHEST:
        log.report(place, f"`{key}`: {show(value)} is longer than 1 km: check the unit")
        return None
    return number


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


def read_point(log: ProblemLog, data: Data, path: str, key: str) -> Point | None:
    """The point [x, y] at `key`."""
    return read_pair(log, data.get(key), f"{path}.{key}")


def read_size(log: ProblemLog, data: Data, path: str, key: str) -> Point | None:
    """Two lengths above nought."""
    value = data.get(key)
    if value is None or len(value) != 2 or None in value:
        return None
    place = f"{path}.{key}"
    first = read_length_value(log, value[0], f"{place}.0", key, from_zero=False)
    second = read_length_value(log, value[1], f"{place}.1", key, from_zero=False)
    return None if first is None or second is None else (first, second)


def read_direction(log: ProblemLog, data: Data, path: str) -> tuple[str, float] | None:
    """`along`: ("x", 0), ("y", 0) or ("angle", degrees)."""
    value = data.get("along")
    if value == "x" or value == "y":
        return value, 0.0
    angle_deg = read_quantity(log, data, path, "along", "deg", above=None)
    return None if angle_deg is None else ("angle", angle_deg)


def read_date(log: ProblemLog, data: Data, path: str, key: str) -> date | None:
    """A date of the calendar."""
    value = data.get(key)
    if value is None:
        return None
    try:
        return date.fromisoformat(value)
    except ValueError:
        log.report(f"{path}.{key}", f"`{key}`: there is no such day as {show(value)}")
        return None


def read_reference(
    log: ProblemLog, data: Data, path: str, key: str, known: Collection[str], kind: str
) -> str | None:
    """The id at `key`, reported where it names nothing that is `known`."""
    value: str | None = data.get(key)
    if value is not None and value not in known:
        log.report_unknown(f"{path}.{key}", value, known, kind)
    return value


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
