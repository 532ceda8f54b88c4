"""What markers make of the tool's mark: rows overruled, two marks settled, who needs a talk."""

from collections.abc import Callable, Sequence
from fractions import Fraction

from msgspec import Struct

from underfoot.checking.words import join_names
from underfoot.marking.awarding import Row
from underfoot.marking.comments import Agreed, Comment, Overruled
from underfoot.marking.marks import NOTHING, round_marks, written_marks
from underfoot.marking.scheme import Scheme

TO_AGREE = "to be agreed"


class Marked(Struct, frozen=True, kw_only=True):
    """What one marker makes of a sheet: the comment, and the mark with all that it changes."""

    marker: str
    comment: Comment
    mark: Fraction
    outcome: str

    @property
    def changes(self) -> bool:
        """Whether the marker changed anything of the tool's."""
        comment = self.comment
        return bool(comment.adjust or comment.overrule or comment.ruling)


class Settled(Struct, frozen=True, kw_only=True):
    """The final mark and outcome; `said` tells how they came about, where more than one marked."""

    mark: Fraction
    outcome: str
    said: str | None = None
    talk: str | None = None


def mark_by_hand(
    scheme: Scheme,
    marker: str,
    comment: Comment,
    mark: Fraction,
    rows: Sequence[Row],
    outcome_of: Callable[[Fraction], str],
) -> Marked:
    """Apply what a marker changes to the tool's mark."""
    changed = sum((one.marks - row.earned for row, one in find_overruled(rows, comment)), NOTHING)
    adjusted = min(scheme.marks, max(NOTHING, mark + changed + comment.by))
    outcome = comment.ruling.outcome if comment.ruling else outcome_of(adjusted)
    return Marked(marker=marker, comment=comment, mark=adjusted, outcome=outcome)


def find_overruled(rows: Sequence[Row], comment: Comment) -> list[tuple[Row, Overruled]]:
    """Find the rows that a comment overrules; of two entries about one row the last holds."""
    found = []
    for row in rows:
        entries = [one for one in comment.overrule if one.is_about(row.topic, row.what, row.label)]
        if entries:
            found.append((row, entries[-1]))
    return found


def settle(
    scheme: Scheme,
    own: tuple[Fraction, str],
    markers: Sequence[Marked],
    agreed: Sequence[Agreed],
    outcome_of: Callable[[Fraction], str],
) -> Settled:
    """Make one mark of the tool's `own` and the markers'.

    An agreed mark is final. Else, where the scheme says how far two may be apart, the middle of
    nearer ones is, and the others must talk; where it does not, the first marker's is. A marker
    who says nothing of this sheet has not marked it.
    """
    if agreed:
        one = agreed[-1]
        ruled = {marked.outcome for marked in markers if marked.comment.ruling}
        outcome = one.outcome or (ruled.pop() if len(ruled) == 1 else outcome_of(one.mark))
        said = f"Agreed: {written_marks(one.mark)}, because {one.because}"
        if len({(each.mark, each.outcome) for each in agreed}) > 1:
            each_said = join_names([written_marks(each.mark) for each in agreed])
            why = f"the comments files state different agreed marks, {each_said}"
            return Settled(mark=one.mark, outcome=TO_AGREE, said=None, talk=why)
        return Settled(mark=one.mark, outcome=outcome, said=said)
    if not markers:
        return Settled(mark=own[0], outcome=own[1])
    first = markers[0]
    given = [(one.mark, one.outcome) for one in markers]
    talk = _why_talk(scheme, given)
    if scheme.apart is None or len(given) < 2:
        return Settled(mark=first.mark, outcome=first.outcome, said=None, talk=talk)
    if talk is not None:
        return Settled(mark=first.mark, outcome=TO_AGREE, said=None, talk=talk)
    marks = [mark for mark, _ in given]
    middle = round_marks(sum(marks, NOTHING) / len(marks), scheme.round_to, scheme.marks)
    outcome = first.outcome if first.comment.ruling else outcome_of(middle)
    shown = join_names([written_marks(mark) for mark in marks])
    return Settled(
        mark=middle, outcome=outcome, said=f"The middle of {shown}" if len(set(marks)) > 1 else None
    )


def _why_talk(scheme: Scheme, given: Sequence[tuple[Fraction, str]]) -> str | None:
    """Say why the markers must talk; None where they need not."""
    outcomes = list(dict.fromkeys(outcome for _, outcome in given))
    shown = join_names([f"{written_marks(mark)} ({outcome})" for mark, outcome in given])
    if len(outcomes) > 1:
        return f"the markers come to different outcomes: {shown}"
    marks = [mark for mark, _ in given]
    apart = max(marks) - min(marks)
    if scheme.apart is not None and apart > scheme.apart:
        return (
            f"{shown} are {written_marks(apart)} marks apart, where the scheme allows "
            f"{written_marks(scheme.apart)}"
        )
    return None


def grade_of(scheme: Scheme, mark: Fraction, outcome: str, passed: str) -> str | None:
    """Return the grade that a mark earns: None where the scheme has none, or nobody passed."""
    if outcome != passed:
        return None
    return next((one.name for one in scheme.grades if mark >= one.least), None)


def say_changes(marked: Marked, rows: Sequence[Row]) -> list[str]:
    """Say what a marker overruled, in one sentence each."""
    said = [
        f"{row.topic} / {row.label}: {written_marks(one.marks)} of {written_marks(row.marks)}, "
        f"not {written_marks(row.earned)}, because {one.because}"
        for row, one in find_overruled(rows, marked.comment)
    ]
    ruling = marked.comment.ruling
    if ruling is not None:
        said.append(f"outcome: {ruling.outcome}, because {ruling.because}")
    return said
