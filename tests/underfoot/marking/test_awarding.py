"""Marks of a rule out of what is right, wrong, undecided and missing."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from underfoot.marking.awarding import Shown, award_rule, gate_row
from underfoot.marking.marks import read_marks, round_marks, written_marks
from underfoot.marking.scheme import RuleRow

CENT = Fraction(1, 100)


def shown(right: int, wrong: int = 0, undecided: int = 0) -> Shown:
    names = tuple((f"A{place}", place) for place in range(1, wrong + 1))
    return Shown(
        checked=right + wrong + undecided,
        wrong=names,
        undecided=undecided,
        reasons=(("no size is given", undecided),),
    )


def earned(row: RuleRow, found: Shown, step: Fraction = CENT) -> Fraction:
    return award_rule("strips", row, found, step).earned


SEVEN = RuleRow(rule="wall-clearance", marks=Fraction(7))
ALL = RuleRow(rule="element-overlap", marks=Fraction(3), award="all")


@pytest.mark.parametrize(
    ("found", "marks"),
    [
        (shown(7), 7),
        (shown(5), 7),  # fewer and longer strips, all right
        (shown(1), 7),  # whether one is enough is for the scheme's goals
        (shown(5, wrong=2), 5),
        (shown(5, undecided=2), 5),  # what could not be judged earns nothing
        (shown(0), 0),
        (shown(0, undecided=3), 0),
        (shown(9), 7),
        (shown(12, wrong=2), 6),  # 7 x 12/14
        (shown(2, wrong=12), 1),  # 7 x 2/14
    ],
)
def test_in_proportion_to_what_is_right_of_what_was_looked_at(found: Shown, marks: int) -> None:
    assert earned(SEVEN, found) == marks


@pytest.mark.parametrize(
    ("found", "marks"),
    [
        (shown(7), 3),
        (shown(0), 0),
        (shown(6, wrong=1), 0),
        (shown(6, undecided=1), 0),
        (shown(9), 3),
    ],
)
def test_all_or_nothing(found: Shown, marks: int) -> None:
    assert earned(ALL, found) == marks


def test_a_row_says_why() -> None:
    row = award_rule("strips", SEVEN, shown(4, wrong=1, undecided=1), CENT)
    assert row.reasons == (
        "4 of 6 right.",
        "Wrong: A1 (finding 1).",
        "1 could not be judged: no size is given.",
        "4/6 × 7 = 4.67.",
    )


def test_how_many_the_model_answer_shows_is_said_and_changes_no_mark() -> None:
    row = award_rule("strips", replace(SEVEN, of=7), shown(5), CENT)
    assert (row.earned, row.of, row.right) == (7, 5, 5)
    assert row.reasons == (
        "All 5 right.",
        "The model answer shows 7; that changes no mark.",
    )
    assert award_rule("strips", replace(SEVEN, of=5), shown(5), CENT).reasons == ("All 5 right.",)


def test_what_is_gated_counts_for_nothing_and_says_why() -> None:
    row = award_rule("strips", SEVEN, shown(5), CENT)
    assert gate_row(row, ()) == row
    shut = gate_row(row, ["Sensor: none."])
    assert (shut.earned, shut.marks, shut.right) == (0, 7, 5)
    assert shut.reasons[-1] == "Counts for nothing without this: Sensor: none."


def test_rounding_is_said() -> None:
    # 2.5 x 4/11 = 0.909, to the nearest half 1.
    row = RuleRow(rule="method-statement", marks=Fraction(5, 2))
    found = award_rule("method", row, shown(4, wrong=7), Fraction(1, 2))
    assert found.reasons[-1] == "4/11 × 2.5 = 0.91, rounded to 1."


def test_what_is_missing_altogether_is_said() -> None:
    row = award_rule("membrane", RuleRow(rule="membrane-cover", marks=Fraction(2)),
                     Shown(checked=0, lacks="No membrane"), CENT)  # fmt: skip
    assert row.reasons == ("No membrane: membrane-cover not shown.",)
    row = award_rule(
        "membrane", RuleRow(rule="membrane-cover", marks=Fraction(2)), Shown(checked=0), CENT
    )
    assert row.reasons == ("Nothing in the plan shows it.",)


def test_a_crashed_rule_earns_nothing_and_asks_for_a_person() -> None:
    row = award_rule("strips", SEVEN, Shown(checked=7, crashed="somewhere"), CENT)
    assert row.earned == 0
    assert "mark it by hand" in row.reasons[0]


def test_rounding_goes_to_the_nearest_step_halves_up_and_never_above_the_marks() -> None:
    # 2.5 x 4/11 = 0.909; to a half 1. 0.25 to a half is 0.5. 0.9 of 0.9 to whole marks stays 0.9.
    half = Fraction(1, 2)
    assert round_marks(Fraction(10, 11), half, Fraction(5)) == 1
    assert round_marks(Fraction(1, 4), half, Fraction(5)) == half
    assert round_marks(Fraction(9, 10), Fraction(1), Fraction(9, 10)) == Fraction(9, 10)
    assert read_marks(0.1) == Fraction(1, 10)
    assert [written_marks(Fraction(n, 7)) for n in (3, 7, 10)] == ["0.43", "1", "1.43"]


rows = st.builds(
    RuleRow,
    rule=st.just("wall-clearance"),
    marks=st.integers(1, 40).map(lambda n: Fraction(n, 4)),
    of=st.none(),
    award=st.sampled_from(["share", "all"]),
)
steps = st.sampled_from([CENT, Fraction(1, 10), Fraction(1, 4), Fraction(1, 2), Fraction(1)])
counts = st.integers(0, 15)


@given(rows, steps, counts, counts, counts)
def test_never_less_than_nothing_nor_more_than_the_row(
    row: RuleRow, step: Fraction, right: int, wrong: int, undecided: int
) -> None:
    assert 0 <= earned(row, shown(right, wrong, undecided), step) <= row.marks


@given(rows, steps, counts, st.integers(1, 15), counts)
def test_mending_a_fault_never_costs_marks(
    row: RuleRow, step: Fraction, right: int, wrong: int, undecided: int
) -> None:
    before = earned(row, shown(right, wrong, undecided), step)
    assert earned(row, shown(right + 1, wrong - 1, undecided), step) >= before


@given(rows, steps, st.integers(1, 15), counts, counts)
def test_leaving_out_what_is_right_never_earns_marks(
    row: RuleRow, step: Fraction, right: int, wrong: int, undecided: int
) -> None:
    before = earned(row, shown(right, wrong, undecided), step)
    assert earned(row, shown(right - 1, wrong, undecided), step) <= before


@given(rows, counts, counts)
def test_what_is_said_is_the_same_for_the_same(row: RuleRow, right: int, wrong: int) -> None:
    one = award_rule("strips", row, shown(right, wrong), CENT)
    assert one == award_rule("strips", row, replace(shown(right, wrong)), CENT)
    assert one.reasons
