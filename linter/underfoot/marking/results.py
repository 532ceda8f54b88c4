"""A class's marks as values: a sheet an apprentice, and what the class shows as a whole."""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from itertools import combinations

from msgspec import Struct
from msgspec.structs import replace

from underfoot.marking.comments import Comments
from underfoot.marking.copies import Likeness, find_copies
from underfoot.marking.judging import Attempt, refuse
from underfoot.marking.marks import NOTHING, written_marks
from underfoot.marking.moderation import TO_AGREE, Marked, Settled, grade_of, mark_by_hand, settle
from underfoot.marking.scheme import Scheme
from underfoot.marking.submissions import Handed
from underfoot.marking.traits import Traits
from underfoot.reading.problem import Problem
from underfoot.reporting.layout import count_of

PASSED, NOT_PASSED, FAILED, UNREAD = "passed", "not passed", "failed outright", "not readable"
ABSENT = "nothing handed in"


class ApprenticeMarks(Struct, frozen=True, kw_only=True):
    """One apprentice: every attempt, the one that counts, the tool's mark, the markers'."""

    name: str
    attempts: tuple[Attempt, ...]
    counted: Attempt
    late: Fraction
    late_said: str | None
    mark: Fraction
    outcome: str
    markers: tuple[Marked, ...] = ()
    settled: Settled | None = None
    grade: str | None = None

    @property
    def final(self) -> Fraction:
        """The mark with what the markers changed; the tool's where nobody did."""
        return self.settled.mark if self.settled else self.mark

    @property
    def final_outcome(self) -> str:
        """The outcome that goes with the final mark."""
        return self.settled.outcome if self.settled else self.outcome

    @property
    def is_absent(self) -> bool:
        """Whether nothing was handed in."""
        return not self.attempts

    @property
    def is_decided(self) -> bool:
        """Whether there is a mark to give: something was handed in, and no markers must talk."""
        return not self.is_absent and self.final_outcome != TO_AGREE

    @property
    def which(self) -> str:
        """Which attempt counts: ``attempt 2 of 3``."""
        return f"attempt {self.counted.number} of {len(self.attempts)}"


class ClassMarks(Struct, frozen=True, kw_only=True):
    """All sheets by name, likenesses, and what the markers' files name that nobody handed in."""

    scheme: Scheme
    sheets: tuple[ApprenticeMarks, ...]
    copies: tuple[Likeness, ...]
    markers: tuple[str, ...]
    strangers: tuple[str, ...] = ()
    passed_over: tuple[str, ...] = ()


def gather_class(
    scheme: Scheme,
    attempts: Sequence[Attempt],
    comments: Sequence[Comments],
    *,
    brief: Traits | None = None,
    passed_over: tuple[str, ...] = (),
    expected: Sequence[str] = (),
) -> ClassMarks:
    """Put the attempts together, one sheet an apprentice.

    `expected` are the names on the roster, in its order: who handed in nothing has a sheet too.
    """
    by_name: dict[str, list[Attempt]] = {name: [] for name in expected}
    for attempt in sorted(attempts, key=lambda one: (one.name, one.number)):
        by_name.setdefault(attempt.name, []).append(attempt)
    sheets = tuple(_gather_sheet(scheme, name, own, comments) for name, own in by_name.items())
    traits = [(one.name, one.traits) for sheet in sheets for one in (sheet.counted,) if one.traits]
    files = [(sheet.name, one.digest) for sheet in sheets for one in (sheet.counted,) if one.digest]
    return ClassMarks(
        scheme=scheme,
        sheets=sheets,
        copies=find_copies(traits, brief, files),
        markers=tuple(one.marker for one in comments if one.is_marking),
        strangers=tuple(
            sorted({name for one in comments for name in one.submissions if name not in by_name})
        ),
        passed_over=passed_over,
    )


def _gather_sheet(
    scheme: Scheme, name: str, attempts: list[Attempt], comments: Sequence[Comments]
) -> ApprenticeMarks:
    if not attempts:
        nothing = refuse(
            Handed(name=name, attempt=0, shown="", place=None), scheme, [Problem(message=ABSENT)]
        )
        counted = replace(nothing, earned=NOTHING)
    elif scheme.attempt == "last":
        counted = attempts[-1]
    else:
        counted = max(attempts, key=lambda one: (not one.failed_by, one.earned, one.number))
    days = [
        one.submissions[name].handed_in
        for one in comments
        if name in one.submissions and one.submissions[name].handed_in is not None
    ]
    late, said = _take_off(scheme, days[0] if days else None)
    mark = max(NOTHING, counted.earned - late)
    told = [one for one in comments if name in one.submissions]

    def outcome_of(earned: Fraction) -> str:
        return tell_outcome(scheme, counted, earned) if attempts else ABSENT

    markers = tuple(
        mark_by_hand(scheme, one.marker, one.submissions[name], mark, counted.rows, outcome_of)
        for one in told
        if one.is_marking and one.submissions[name].marks
    )
    outcome = outcome_of(mark)
    agreed = [entry for one in told if (entry := one.submissions[name].agreed)]
    settled = settle(scheme, (mark, outcome), markers, agreed, outcome_of)
    return ApprenticeMarks(
        name=name,
        attempts=tuple(attempts),
        counted=counted,
        late=counted.earned - mark,
        late_said=said if attempts else None,
        mark=mark,
        outcome=outcome,
        markers=markers,
        settled=settled,
        grade=grade_of(scheme, settled.mark, settled.outcome, PASSED),
    )


def _take_off(scheme: Scheme, handed_in: date | None) -> tuple[Fraction, str | None]:
    late = scheme.late
    if late is None:
        return NOTHING, None
    if handed_in is None:
        return NOTHING, f"No hand-in date is given: taken as in time (due {late.due})."
    days = (handed_in - late.due).days
    if days <= 0:
        return NOTHING, f"Handed in {handed_in}, in time (due {late.due})."
    off = min(late.most, late.per_day * days)
    return off, (
        f"Handed in {handed_in}, {count_of(days, 'day')} late (due {late.due}): "
        f"{written_marks(off)} off."
    )


def tell_outcome(scheme: Scheme, counted: Attempt, mark: Fraction) -> str:
    """Tell the outcome of an attempt with a mark."""
    if not counted.is_read:
        return UNREAD
    if counted.failed_by:
        return FAILED
    return PASSED if mark >= scheme.pass_mark else NOT_PASSED


class Broken(Struct, frozen=True, kw_only=True):
    """A rule that several broke: by whom, and how many marks it cost the class."""

    rule: str
    names: tuple[str, ...]
    lost: Fraction


def list_broken(marks: ClassMarks) -> tuple[Broken, ...]:
    """List the rules by how many broke them, then by the marks that were lost."""
    names: dict[str, list[str]] = {}
    lost: Counter[str] = Counter()
    for sheet in marks.sheets:
        for rule in broken_by(sheet, marks.scheme.counts):
            names.setdefault(rule, []).append(sheet.name)
        if sheet.counted.is_read:
            for row in sheet.counted.rows:
                # What a missed goal takes is not lost by breaking the rule.
                if row.rule is not None and sheet.name in names.get(row.rule, ()):
                    lost[row.rule] += row.marks - row.earned  # type: ignore[assignment]
    found = [
        Broken(rule=rule, names=tuple(who), lost=Fraction(lost[rule]))
        for rule, who in names.items()
    ]
    return tuple(sorted(found, key=lambda one: (-len(one.names), -one.lost, one.rule)))


def broken_by(sheet: ApprenticeMarks, counts: Sequence[str]) -> tuple[str, ...]:
    """List the rules that an apprentice's counted attempt breaks, each once."""
    return tuple(
        sorted({one.rule for one in sheet.counted.report.findings if one.severity in counts})
    )


def list_pairs(marks: ClassMarks) -> tuple[tuple[str, str, int], ...]:
    """List pairs of rules that more than one apprentice broke together, and how many did."""
    pairs: Counter[tuple[str, str]] = Counter()
    for sheet in marks.sheets:
        pairs.update(combinations(broken_by(sheet, marks.scheme.counts), 2))
    ordered = sorted(pairs.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple((one, other, number) for (one, other), number in ordered if number > 1)


def list_lost(marks: ClassMarks) -> tuple[tuple[str, str, Fraction, int], ...]:
    """List the rows that cost most: topic, row, marks lost by all, and by how many."""
    lost: dict[tuple[str, str], Fraction] = {}
    number: Counter[tuple[str, str]] = Counter()
    for sheet in marks.sheets:
        if not sheet.counted.is_read:
            continue
        for row in sheet.counted.rows:
            if row.earned < row.marks:
                key = (row.topic, row.label)
                lost[key] = lost.get(key, NOTHING) + row.marks - row.earned
                number[key] += 1
    ordered = sorted(lost.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple((*key, marks_lost, number[key]) for key, marks_lost in ordered)


def spread(marks: ClassMarks, steps: int = 10) -> tuple[tuple[int, int, tuple[str, ...]], ...]:
    """Sort the final marks into tenths of all marks: from, to (percent), names."""
    total = marks.scheme.marks
    bands: list[list[str]] = [[] for _ in range(steps)]
    for sheet in marks.sheets:
        if sheet.is_absent:
            continue
        bands[min(steps - 1, int(sheet.final * steps / total))].append(sheet.name)
    width = 100 // steps
    return tuple((at * width, (at + 1) * width, tuple(who)) for at, who in enumerate(bands))


def by_name(marks: ClassMarks) -> Mapping[str, ApprenticeMarks]:
    """Return the sheets by name."""
    return {sheet.name: sheet for sheet in marks.sheets}
