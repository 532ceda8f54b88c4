"""Single values that cannot be read: the rest is judged, and what hangs on them is not earned.

In place of each a value is tried that could stand there, from far too little to far too much. The
rest is judged with the one that is best for it. What any other, or leaving it out, would make wrong
hangs on the value: it counts as looked at, and not as right.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.engine import Outcome, Undecided
from underfoot.checking.finding import SEVERITIES, Severity
from underfoot.marking.awarding import Row
from underfoot.reading import Reading
from underfoot.reading.salvage import Blank, Salvage

if TYPE_CHECKING:
    from underfoot.marking.judging import Attempt

# So many values are tried in all: what is left then is judged as if it had been left out.
_MOST_TRIES = 100
_LEFT_OUT = object()
# Rules of this topic ask whether a figure is a slip of the pen: what stands in for one is no slip.
_OF_SLIPS = "figures"

# A rule, and what of the plan it looked at.
Point = tuple[str, str | None, tuple[str, ...]]


class Hanging(Struct, frozen=True, kw_only=True):
    """What hangs on values that cannot be read: points by rule, and rows.

    `most` are the marks that a row earns at most, by its place, and why.
    """

    points: Mapping[Point, Undecided] = {}
    most: Mapping[int, tuple[Fraction, str]] = {}

    def add_to(self, outcome: Outcome) -> Outcome:
        """Leave open what hangs on them, whether it is right or wrong with the values taken."""
        if not self.points:
            return outcome
        raised = tuple(
            each for each in outcome.raised if _key(each.rule.id, each.subject) not in self.points
        )
        more: dict[str, list[Undecided]] = {}
        for (rule, _, _), undecided in self.points.items():
            if undecided.worst != "note":
                more.setdefault(rule, []).append(undecided)
        found = Counter(each.rule.id for each in raised)
        return replace(
            outcome,
            raised=raised,
            tallies=tuple(
                replace(
                    one,
                    found=found[one.rule],
                    undecided=(
                        *(
                            each
                            for each in one.undecided
                            if _key(one.rule, each.subject) not in self.points
                        ),
                        *more.get(one.rule, ()),
                    ),
                )
                for one in outcome.tallies
            ),
        )

    def hold_down(self, rows: Sequence[Row]) -> tuple[Row, ...]:
        """Let each row earn no more than with any value, or with none."""
        return tuple(self._hold(at, row) for at, row in enumerate(rows))

    def _hold(self, at: int, row: Row) -> Row:
        most, why = self.most.get(at, (row.earned, ""))
        if row.earned <= most:
            return row
        return replace(row, earned=most, reasons=(*row.reasons, f"Not judged: {why}."))


class Tried(Struct, frozen=True, kw_only=True):
    """A reading judged: the attempt, what the rules said, and the rows before any gate is shut."""

    attempt: Attempt
    outcome: Outcome
    rows: tuple[Row, ...]


class _Try(Struct, frozen=True, kw_only=True):
    value: Any
    tried: Tried


def _key(rule: str, subject: Any) -> Point:
    return rule, subject.room, tuple(subject.items)


def settle(
    salvage: Salvage, judge: Callable[[Reading], Tried], counts: Collection[Severity]
) -> tuple[Reading | None, Hanging, tuple[str, ...]]:
    """Settle with which values the rest is judged, and what hangs on those that cannot be read.

    Gives a remark for each value taken, too. `counts` are the severities that count as wrong.
    """
    values: dict[str, Any] = {}
    points: dict[Point, Undecided] = {}
    most: dict[int, tuple[Fraction, str]] = {}
    remarks = []
    left = _MOST_TRIES
    for blank in _list_in_turn(salvage, values):
        tries = list(_try_all(salvage, blank, values, judge))
        left -= len(tries)
        if left < 0:
            break
        if not tries:
            continue
        best = max(tries, key=_rank)
        why = f"`{blank.path}` cannot be read"
        if best.value is not _LEFT_OUT:
            values[blank.path] = best.value
            remarks.append(
                f"{why}: the rest was judged as if it were {best.value}, and what hangs on it "
                "earns nothing."
            )
        for point, undecided in _list_hanging([one.tried.outcome for one in tries], counts, why):
            known = points.get(point)
            if known is None or _gravity(undecided) < _gravity(known):
                points[point] = undecided
        for at, rows in enumerate(zip(*(one.tried.rows for one in tries), strict=True)):
            least = min(row.earned for row in rows)
            if least < max(row.earned for row in rows) and least < most.get(at, (least + 1, ""))[0]:
                most[at] = least, why
    reading, _ = salvage.read_with(values)
    return reading, Hanging(points=points, most=most), tuple(remarks)


def _list_in_turn(salvage: Salvage, values: Mapping[str, Any]) -> Iterator[Blank]:
    """List each value that cannot be read once those before it have been settled.

    What only names a thing that could not be read is readable then.
    """
    done: set[str] = set()
    while True:
        left = [one for one in salvage.list_blanks(values) if one.path not in done]
        if not left:
            return
        done.add(left[0].path)
        yield left[0]


def _try_all(
    salvage: Salvage, blank: Blank, values: Mapping[str, Any], judge: Callable[[Reading], Tried]
) -> Iterator[_Try]:
    stood = 0
    for value in blank.stand_ins:
        reading, gone = salvage.read_with({**values, blank.path: value})
        if reading is not None and not _touches(gone, blank.path):
            stood += 1
            yield _Try(value=value, tried=judge(reading))
    reading, gone = salvage.read_with(values)
    # Without a value that its thing needs the thing is gone, and more than hangs on the value.
    if reading is not None and (not stood or not _takes_more(gone, blank.path)):
        yield _Try(value=_LEFT_OUT, tried=judge(reading))


def _touches(gone: Collection[str], path: str) -> bool:
    return any(path == one or path.startswith(f"{one}.") for one in gone)


def _takes_more(gone: Collection[str], path: str) -> bool:
    return any(path.startswith(f"{one}.") for one in gone)


def _rank(one: _Try) -> tuple[bool, Fraction, int, bool]:
    """Rank a value by how the rest is judged with it; of equals one that stands is better."""
    attempt = one.tried.attempt
    return (
        not attempt.failed_by,
        attempt.earned,
        -len(attempt.changes),
        one.value is not _LEFT_OUT,
    )


def _list_hanging(
    outcomes: Sequence[Outcome], counts: Collection[Severity], why: str
) -> Iterator[tuple[Point, Undecided]]:
    """List what is wrong or open with some values and not with all."""
    found = [dict(_list_wrong(one, counts, why)) for one in outcomes]
    for point in dict.fromkeys(point for each in found for point in each):
        told = [each[point] for each in found if point in each]
        if len(told) < len(found):
            yield point, min(told, key=_gravity)


def _list_wrong(
    outcome: Outcome, counts: Collection[Severity], why: str
) -> Iterator[tuple[Point, Undecided]]:
    write = "Write it so that it can be read."
    for each in outcome.raised:
        if each.rule.topic != _OF_SLIPS:
            worst = each.severity if each.severity in counts else "note"
            told = Undecided(subject=each.subject, why=why, write=write, worst=worst)
            yield _key(each.rule.id, each.subject), told
    for tally in outcome.tallies:
        for one in tally.undecided:
            yield (
                _key(tally.rule, one.subject),
                Undecided(subject=one.subject, why=why, write=write, worst=one.worst),
            )


def _gravity(undecided: Undecided) -> int:
    return SEVERITIES.index(undecided.worst)
