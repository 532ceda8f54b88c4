"""What the rules and the brief's figures came to -> rows of marks, each with its reasoning."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.words import join_names
from underfoot.marking.marks import NOTHING, round_marks, say_product
from underfoot.marking.scheme import RuleRow

_MOST_NAMED = 8


class Shown(Struct, frozen=True, kw_only=True):
    """What a submission shows a rule.

    `wrong` are the names of what is wrong, with the numbers of their findings; `reasons` say why
    so many could not be judged; `lacks` says what is missing altogether, where that is known.
    """

    checked: int
    wrong: tuple[tuple[str, int], ...] = ()
    undecided: int = 0
    reasons: tuple[tuple[str, int], ...] = ()
    lacks: str | None = None
    crashed: str | None = None

    @property
    def right(self) -> int:
        """How many things are right."""
        return max(0, self.checked - len(self.wrong) - self.undecided)


class Row(Struct, frozen=True, kw_only=True):
    """One row of a mark sheet: what was earned, and why, in sentences."""

    topic: str
    what: str
    marks: Fraction
    earned: Fraction
    reasons: tuple[str, ...]
    rule: str | None = None
    of: int | None = None
    right: int | None = None
    numbers: tuple[int, ...] = ()
    room: str | None = None

    @property
    def label(self) -> str:
        """How the row is called among others: with its room, where it is about one."""
        return self.what if self.room is None else f"{self.what}, {self.room}"

    @property
    def is_full(self) -> bool:
        """All marks were earned."""
        return self.earned == self.marks


def award_rule(topic: str, row: RuleRow, shown: Shown, round_to: Fraction) -> Row:
    """Return the marks of one rule.

    In proportion to what is right of what the rule looked at; all or nothing: only where all of it
    is right. Where it looked at nothing, and where it could not judge, nothing is earned.
    """
    right, checked = shown.right, shown.checked
    share = Fraction(right, checked) if checked else NOTHING
    if row.award == "all":
        share = Fraction(int(share == 1))
    earned = round_marks(row.marks * share, round_to, row.marks)
    if shown.crashed is not None:
        earned = NOTHING
    return Row(
        topic=topic,
        what=row.rule,
        marks=row.marks,
        earned=earned,
        reasons=tuple(_explain(row, shown, earned)),
        rule=row.rule,
        of=checked,
        right=right,
        numbers=tuple(number for _, number in shown.wrong),
    )


def _explain(row: RuleRow, shown: Shown, earned: Fraction) -> list[str]:
    if shown.crashed is not None:
        return [
            "The tool crashed on this rule and has not judged it, which is no fault of the plan: "
            f"mark it by hand ({shown.crashed})."
        ]
    right, checked = shown.right, shown.checked
    if not checked:
        return [
            f"{shown.lacks}: {row.rule} not shown."
            if shown.lacks
            else "Nothing in the plan shows it."
        ]
    said = []
    if right == checked:
        said.append("Right." if checked == 1 else f"All {checked} right.")
    else:
        said.append(f"{right} of {checked} right.")
    if shown.wrong:
        said.append(f"Wrong: {_name_wrong(shown.wrong)}.")
    silent = shown.lacks is not None and all("-missing" in why for why, _ in shown.reasons)
    if shown.undecided and silent:
        said.append(f"{shown.lacks}: {row.rule} not shown.")
    elif shown.undecided:
        why = "; ".join(
            reason if number == shown.undecided else f"{reason} ({number})"
            for reason, number in shown.reasons[:3]
        )
        said.append(f"{shown.undecided} could not be judged: {why}.")
    if row.award == "all":
        if not earned:
            said.append("All or nothing.")
    elif 0 < right < checked:
        exact = row.marks * Fraction(right, checked)
        said.append(say_product(f"{right}/{checked}", row.marks, exact, earned))
    if row.of is not None and row.of != checked:
        said.append(f"The model answer shows {row.of}; that changes no mark.")
    return said


def gate_row(row: Row, missed: Sequence[str]) -> Row:
    """Let a row count for nothing, as what the brief demands of the whole is missed."""
    if not missed:
        return row
    reasons = (*row.reasons, *(f"Counts for nothing without this: {said}" for said in missed))
    return replace(row, earned=NOTHING, reasons=reasons)


def _name_wrong(wrong: Sequence[tuple[str, int]]) -> str:
    named = [f"{name} (finding {number})" for name, number in wrong[:_MOST_NAMED]]
    if len(wrong) > _MOST_NAMED:
        named.append(f"{len(wrong) - _MOST_NAMED} more")
    return join_names(named)


def sum_by_topic(rows: Sequence[Row]) -> Mapping[str, tuple[Fraction, Fraction]]:
    """Add up what was earned and what could be, by topic, in order."""
    sums: dict[str, tuple[Fraction, Fraction]] = {}
    for row in rows:
        earned, marks = sums.get(row.topic, (NOTHING, NOTHING))
        sums[row.topic] = earned + row.earned, marks + row.marks
    return sums
