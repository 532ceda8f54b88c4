"""What a class's marks come to: the middle, the spread, and how hard each row was."""

from collections.abc import Sequence
from fractions import Fraction
from statistics import fmean, quantiles

from msgspec import Struct

from underfoot.marking.marks import NOTHING, written_marks
from underfoot.marking.results import ClassMarks


class Spread(Struct, frozen=True, kw_only=True):
    """The marks of those who handed in something: the least, the quarters, the most, the mean."""

    number: int
    least: float
    lower: float
    middle: float
    upper: float
    most: float
    mean: float


class Hardness(Struct, frozen=True, kw_only=True):
    """How a row was earned by those whose submission could be read, in percent of its marks.

    `full` and `none` are how many earned all of it, and nothing.
    """

    topic: str
    row: str
    marks: Fraction
    percent: float
    full: int
    none: int
    of: int


def measure_spread(marks: ClassMarks) -> Spread | None:
    """Measure the final marks; None where nobody handed in anything."""
    finals = sorted(float(sheet.final) for sheet in marks.sheets if not sheet.is_absent)
    if not finals:
        return None
    lower, middle, upper = _quarters(finals)
    return Spread(
        number=len(finals),
        least=finals[0],
        lower=lower,
        middle=middle,
        upper=upper,
        most=finals[-1],
        mean=fmean(finals),
    )


def _quarters(finals: Sequence[float]) -> tuple[float, float, float]:
    if len(finals) == 1:
        return finals[0], finals[0], finals[0]
    lower, middle, upper = quantiles(finals, n=4, method="inclusive")
    return lower, middle, upper


def measure_rows(marks: ClassMarks) -> tuple[Hardness, ...]:
    """Measure every row of the scheme, in its order."""
    readable = [sheet.counted.rows for sheet in marks.sheets if sheet.counted.is_read]
    found = []
    for rows in zip(*readable, strict=True):
        first = rows[0]
        earned = sum((row.earned for row in rows), NOTHING)
        found.append(
            Hardness(
                topic=first.topic,
                row=first.label,
                marks=first.marks,
                percent=float(100 * earned / (first.marks * len(rows))),
                full=sum(row.is_full for row in rows),
                none=sum(not row.earned for row in rows),
                of=len(rows),
            )
        )
    return tuple(found)


def say_spread(spread: Spread) -> str:
    """Say the spread in one line, such as ``middle 62, half of them from 57 to 69``."""
    least, lower, middle, upper, most, mean = (
        written_marks(Fraction(value))
        for value in (
            spread.least,
            spread.lower,
            spread.middle,
            spread.upper,
            spread.most,
            spread.mean,
        )
    )
    return (
        f"middle mark {middle}, half of them from {lower} to {upper}, all from {least} to {most}; "
        f"mean {mean}"
    )
