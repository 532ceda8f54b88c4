"""The engine: tallies, silences, crashes, order."""

import math
from collections.abc import Callable

import pytest
from shapely import LineString, Point

from tests.underfoot.checking.made_rules import (
    ORIGIN,
    Verdict,
    all_alike,
    find,
    outcome,
    rule,
    silence,
    tally_of,
)
from underfoot.checking.finding import Basis, CannotTell, Finding, Subject
from underfoot.checking.origin import Origin
from underfoot.checking.rule import RuleSet
from underfoot.checking.rule_order import order_rules


def only(thing: str) -> Callable[[Subject], Verdict]:
    return lambda subject: find(subject) if subject.items == (thing,) else None


def test_counts_checked_found_and_undecided() -> None:
    def verdict(subject: Subject) -> Verdict:
        return {"a": find(subject), "b": CannotTell(why="no figure is given"), "c": None}[
            subject.items[0]
        ]

    (tally,) = outcome(rule("one", verdict)).tallies
    assert (tally.checked, tally.found, len(tally.undecided)) == (3, 1, 1)
    assert tally.reasons == ("no figure is given",)


def test_pairs_that_an_index_settled_are_counted() -> None:
    (tally,) = outcome(rule("pairs", lambda subject: None, ("a",), total=45)).tallies
    assert tally.checked == 45


def test_reasons_are_told_once_in_the_order_met() -> None:
    reasons = {"a": "second", "b": "first", "c": "second"}
    (tally,) = outcome(rule("one", lambda s: CannotTell(why=reasons[s.items[0]]))).tallies
    assert tally.reasons == ("second", "first")


def test_a_cause_silences_the_same_thing_and_no_other() -> None:
    result = outcome(rule("after", find), rule("cause", only("b")), silences=(silence(),))
    after = tally_of("after", result)
    assert (after.checked, after.found) == (3, 2)
    assert [(each.subject.items, each.why, each.write) for each in after.undecided] == [
        (("b",), "the cause has spoken", "Put right what cause found.")
    ]


def test_a_cause_that_is_off_silences_nothing() -> None:
    result = outcome(
        rule("after", find),
        rule("cause", find),
        silences=(silence(),),
        off={"cause": ORIGIN},
    )
    assert [(tally.rule, tally.found) for tally in result.tallies] == [("after", 3)]


def test_a_rule_may_silence_its_own_later_subjects() -> None:
    own = silence("one", "one", all_alike, reason="said of the first")
    (tally,) = outcome(rule("one", find), silences=(own,)).tallies
    assert (tally.found, len(tally.undecided)) == (1, 2)


def test_silence_narrowed_to_some_findings() -> None:
    narrow = silence(when=lambda subject, finding: subject.items == ("a",))
    result = outcome(rule("after", find), rule("cause", find), silences=(narrow,))
    assert [each.subject.items for each in tally_of("after", result).undecided] == [("a",)]


def test_silences_in_a_ring_are_refused() -> None:
    ring = (silence("one", "two"), silence("two", "one"))
    with pytest.raises(ValueError, match="ring"):
        outcome(rule("one", find), rule("two", find), silences=ring)


def test_two_rules_of_one_name_are_refused() -> None:
    sets = [RuleSet(name=name, rules=(rule("one", find),)) for name in ("left", "right")]
    with pytest.raises(ValueError, match="two rules are called one"):
        order_rules(sets)


def test_a_crashed_rule_is_loud_and_costs_only_itself() -> None:
    def crash(subject: Subject) -> Verdict:
        if subject.items == ("b",):
            raise ZeroDivisionError("division by zero")
        return find(subject)

    result = outcome(rule("bad", crash), rule("good", find))
    assert [fault.rule for fault in result.faults] == ["bad"]
    assert "ZeroDivisionError" in result.faults[0].message
    assert "made_rules.py" in result.faults[0].message
    assert [each.rule.id for each in result.raised] == ["good"] * 3
    assert [tally.rule for tally in result.tallies] == ["good"]


@pytest.mark.parametrize(
    "numbers",
    [
        {"measured": math.nan},
        {"measured": math.inf, "most": 10.0},
        {"measured": 1.0, "least": math.nan},
        {"measured": 1.0, "most": -math.inf},
        {"shape": Point(math.nan, 0.0)},
        {"shape": LineString([(0.0, 0.0), (1.0, math.inf)])},
    ],
)
def test_a_measure_that_is_no_number_is_the_fault_of_its_rule(numbers: dict[str, object]) -> None:
    def verdict(subject: Subject) -> Verdict:
        if subject.items == ("b",):
            return Finding(message="It is wrong.", remedy="Mend it.", **numbers)  # type: ignore[arg-type]
        return find(subject)

    result = outcome(rule("bad", verdict), rule("good", find))
    assert [fault.rule for fault in result.faults] == ["bad"]
    assert "no number" in result.faults[0].message
    assert "of b" in result.faults[0].message
    assert [each.rule.id for each in result.raised] == ["good"] * 3
    assert [tally.rule for tally in result.tallies] == ["good"]


def test_a_measure_that_is_a_number_is_no_fault() -> None:
    shape = LineString([(0.0, 0.0), (1.0, 2.0)])
    found = Finding(message="Wrong.", remedy="Mend it.", measured=1.0, least=2.0, shape=shape)
    assert outcome(rule("one", lambda subject: found)).faults == ()


def test_settings_change_a_severity() -> None:
    result = outcome(rule("one", find), severities={"one": ("note", ORIGIN)})
    assert {each.severity for each in result.raised} == {"note"}


def test_a_changed_severity_leaves_that_of_what_is_undecided() -> None:
    # Else a nearer file could make less of what a locked one asks to be judged.
    found = Finding(message="is wrong", remedy="mend it")
    result = outcome(
        rule(
            "one", lambda subject: found if subject.items == ("a",) else CannotTell(why="no figure")
        ),
        severities={"one": ("note", ORIGIN)},
        undecided={"one": ("error", ORIGIN)},
    )
    assert [(each.subject.items[0], each.severity) for each in result.raised] == [
        ("a", "note"),
        ("b", "error"),
        ("c", "error"),
    ]


def test_undecided_as_a_severity_makes_findings_of_the_silenced_too() -> None:
    origin = Origin(file="underfoot.yaml", line=3, because="every plan must show it")
    result = outcome(
        rule("one", lambda subject: CannotTell(why="no figure is given")),
        rule("cause", only("a")),
        silences=(silence(silenced="one"),),
        undecided={"one": ("error", origin)},
    )
    own = [each for each in result.raised if each.rule.id == "one"]
    assert [each.subject.items for each in own] == [("a",), ("b",), ("c",)]
    assert "the cause has spoken" in own[0].finding.message
    assert all("no figure is given" in each.finding.message for each in own[1:])
    basis = Basis(kind="settings", text="every plan must show it (underfoot.yaml:3)")
    assert all(each.finding.basis == basis for each in own)
    tally = tally_of("one", result)
    assert (tally.checked, tally.found, len(tally.undecided)) == (3, 3, 0)
