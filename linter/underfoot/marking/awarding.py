"""What the rules and the brief's figures came to -> rows of marks, each with its reasoning."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from underfoot.checking.words import listed
from underfoot.marking.marks import NOTHING, round_marks, say_product
from underfoot.marking.scheme import RuleRow
from underfoot.reporting.layout import count_of

_MOST_NAMED = 8


class Shown(NamedTuple):
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


class Row(NamedTuple):
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

    @property
    def is_full(self) -> bool:
        """All marks were earned."""
        return self.earned == self.marks


def award_rule(topic: str, row: RuleRow, shown: Shown, round_to: Fraction) -> Row:
    """Give the marks of one rule.

    In proportion: as many of `of` as are right, less one for each wrong thing beyond `of`. All or
    nothing: only where at least `of` are right and none is wrong. What is missing and what could
    not be judged earns nothing.
    """
    right, wrong = shown.right, len(shown.wrong)
    counted = min(right, row.of)
    too_many = max(0, min(wrong, shown.checked - row.of))
    if row.award == "all":
        share = Fraction(int(right >= row.of and not wrong))
    else:
        share = Fraction(max(0, counted - too_many), row.of)
    earned = round_marks(row.marks * share, round_to, row.marks)
    if shown.crashed is not None:
        earned = NOTHING
    return Row(
        topic,
        row.rule,
        row.marks,
        earned,
        tuple(_explain(row, shown, counted, too_many, earned)),
        row.rule,
        row.of,
        right,
        tuple(number for _, number in shown.wrong),
    )


def _explain(
    row: RuleRow, shown: Shown, counted: int, too_many: int, earned: Fraction
) -> list[str]:
    if shown.crashed is not None:
        return [
            "The tool crashed on this rule and has not judged it, which is no fault of the plan: "
            f"mark it by hand ({shown.crashed})."
        ]
    said = []
    if counted == row.of and not shown.wrong:
        said.append("Right." if row.of == 1 else f"All {row.of} right.")
    else:
        said.append(f"{counted} of {row.of} right.")
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
    missing = row.of - shown.checked
    if missing > 0:
        if shown.lacks and not shown.undecided:
            said.append(f"{shown.lacks}: {row.rule} not shown.")
        elif missing == row.of:
            said.append("Nothing in the plan shows it.")
        else:
            said.append(f"{missing} of {row.of} missing from the plan.")
    if row.award == "all":
        if not earned:
            said.append("All or nothing.")
    elif 0 < earned < row.marks or too_many:
        share = f"{counted}/{row.of}"
        if too_many:
            share = f"({counted} – {too_many})/{row.of}"
            extra = count_of(too_many, "wrong thing")
            takes = "takes one right one back" if too_many == 1 else "take as many right ones back"
            said.append(f"{extra} beyond the {row.of} that the brief asks for {takes}.")
        exact = row.marks * Fraction(max(0, counted - too_many), row.of)
        said.append(say_product(share, row.marks, exact, earned))
    return said


def _name_wrong(wrong: Sequence[tuple[str, int]]) -> str:
    named = [f"{name} (finding {number})" for name, number in wrong[:_MOST_NAMED]]
    if len(wrong) > _MOST_NAMED:
        named.append(f"{len(wrong) - _MOST_NAMED} more")
    return listed(named)


def sum_by_topic(rows: Sequence[Row]) -> Mapping[str, tuple[Fraction, Fraction]]:
    """Add up what was earned and what could be, by topic, in order."""
    sums: dict[str, tuple[Fraction, Fraction]] = {}
    for row in rows:
        earned, marks = sums.get(row.topic, (NOTHING, NOTHING))
        sums[row.topic] = earned + row.earned, marks + row.marks
    return sums
