"""The engine: tallies, silences, crashes, order."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import date
from typing import Any

import pytest
from msgspec.structs import replace
from shapely import LineString, Point

from underfoot.checking.engine import Outcome, Tally, order_rules, run
from underfoot.checking.facts import Facts
from underfoot.checking.finding import Basis, CannotTell, Finding, Severity, Subject
from underfoot.checking.origin import Origin
from underfoot.checking.rule import Limits, Rule, RuleSet, Subjects, Suppression
from underfoot.checking.settings import Settings, default_settings
from underfoot.plan import Materials, Plan, Supply, Waiver

PLAN = Plan(
    status="for review",
    materials=Materials(films={}, boards={}, sheets={}, coverings={}),
    supply=Supply(path="supply", voltage_v=230.0),
    rooms={},
    circuits={},
)
DAY = date(2026, 1, 1)
BASIS = Basis(kind="own default", text="made for this test")
Verdict = Finding | CannotTell | None
ORIGIN = Origin(file="underfoot.yaml", line=3, because="agreed")


def rule(
    name: str,
    verdict: Callable[[Subject], Verdict],
    things: Iterable[str] = ("a", "b", "c"),
    *,
    total: int | None = None,
) -> Rule:
    def subjects(facts: Facts) -> Subjects | list[Subject]:
        near = [Subject(room=None, items=(thing,), path="supply") for thing in things]
        return near if total is None else Subjects(candidates=near, total=total)

    def check(subject: Subject, facts: Facts, limits: Limits) -> Verdict:
        return verdict(subject)

    return Rule(
        id=name,
        topic="test",
        severities=("error",),
        finds="a fault",
        why="It matters.",
        unit=None,
        basis=BASIS,
        subjects=subjects,
        check=check,
        module=__name__,
    )


def find(subject: Subject) -> Finding:
    return Finding(message="It is wrong.", remedy="Mend it.")


def only(thing: str) -> Callable[[Subject], Verdict]:
    return lambda subject: find(subject) if subject.items == (thing,) else None


def outcome(
    *rules: Rule,
    silences: tuple[Suppression, ...] = (),
    waivers: tuple[Waiver, ...] = (),
    counted: bool = True,
    **changes: Any,
) -> Outcome:
    settings = Settings(default_settings(rules).limits, **changes)
    program = order_rules([RuleSet(name="test", rules=rules, silences=silences)], settings.off)
    plan = replace(PLAN, waivers=waivers)
    return run(plan, program, settings, today=DAY, with_waivers=counted)


def by_items(subject: Subject, facts: Facts) -> tuple[object, ...]:
    return subject.items


def all_alike(subject: Subject, facts: Facts) -> tuple[object, ...]:
    return ("all",)


SPOKEN = "the cause has spoken"


def silence(
    cause: str = "cause", silenced: str = "after", keys: Any = by_items, **more: Any
) -> Suppression:
    return Suppression(
        cause=cause, silenced=(silenced,), cause_keys=keys, subject_keys=keys,
        **{"reason": SPOKEN, **more},
    )  # fmt: skip


def tally_of(name: str, result: Outcome) -> Tally:
    return next(tally for tally in result.tallies if tally.rule == name)


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
    assert "test_engine.py" in result.faults[0].message
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
    assert "ValueError" in result.faults[0].message
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


def silenced(*causes: Rule, withholds: object = None, **changes: object) -> list[tuple[str, str]]:
    """Run a rule that finds a and b behind a cause; give what it found, and why it did not."""

    def findings(subject: Subject) -> Verdict:
        measured = 1.0 if subject.items == ("a",) else None
        return Finding(message="It is wrong.", remedy="Mend it.", measured=measured)

    behind = silence(keys=all_alike, withholds=withholds)
    result = outcome(rule("after", findings, "ab"), *causes, silences=(behind,), **changes)
    found = [(each.subject.items[0], "") for each in result.raised if each.rule.id == "after"]
    undecided = tally_of("after", result).undecided
    return sorted([*found, *((each.subject.items[0], each.why) for each in undecided)])


BOTH_SPEAK = [("a", ""), ("b", "")]
BOTH_SILENT = [("a", SPOKEN), ("b", SPOKEN)]


@pytest.mark.parametrize("severity", ["error", "warning", "note"])
def test_a_cause_silences_only_while_it_is_an_error(severity: Severity) -> None:
    expected = BOTH_SILENT if severity == "error" else BOTH_SPEAK
    cause = rule("cause", find, "x")
    assert silenced(cause, severities={"cause": (severity, ORIGIN)}) == expected
    finding = Finding(message="It is wrong.", remedy="Mend it.", severity=severity)
    assert silenced(rule("cause", lambda subject: finding, "x")) == expected


def test_what_could_not_be_judged_is_no_cause_even_where_it_counts_as_an_error() -> None:
    cause = rule("cause", lambda subject: CannotTell(why="no figure is given"), "x")
    assert silenced(cause, undecided={"cause": ("error", ORIGIN)}) == BOTH_SPEAK


def waived(**changes: object) -> Waiver:
    waiver = Waiver(
        path="waivers.0", rule="cause", item=None, reason="narrow", agreed_by="lead", until=None
    )
    return replace(waiver, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("waiver", "counted", "speaks"),
    [
        (waived(), True, True),
        (waived(item="x"), True, True),
        (waived(item="y"), True, False),
        (waived(reason=""), True, False),
        (waived(until=date(2025, 12, 31)), True, False),
        (waived(until=DAY), True, True),
        (waived(), False, False),
    ],
)
def test_a_cause_that_is_waived_silences_nothing(
    waiver: Waiver, counted: bool, speaks: bool
) -> None:
    rules = rule("after", find, "a"), rule("cause", find, "x")
    silences = (silence(keys=all_alike),)
    result = outcome(*rules, silences=silences, waivers=(waiver,), counted=counted)
    assert ("after" in {each.rule.id for each in result.raised}) == speaks


def test_what_has_nothing_to_do_with_the_cause_is_told_all_the_same() -> None:
    def measures(subject: Subject, finding: Finding) -> bool:
        return finding.measured is not None

    cause = rule("cause", find, "x")
    assert silenced(cause, withholds=measures) == [("a", SPOKEN), ("b", "")]
    assert silenced(cause, withholds=lambda subject, finding: True) == BOTH_SILENT
    assert silenced(cause, withholds=lambda subject, finding: False) == BOTH_SPEAK


def test_what_is_in_order_or_not_known_behind_a_cause_is_not_judged() -> None:
    def verdict(subject: Subject) -> Verdict:
        return None if subject.items == ("a",) else CannotTell(why="no figure is given")

    behind = silence(keys=all_alike, withholds=lambda s, f: False)
    result = outcome(rule("after", verdict, "ab"), rule("cause", find, "x"), silences=(behind,))
    assert [each.why for each in tally_of("after", result).undecided] == [SPOKEN, SPOKEN]


@pytest.mark.parametrize(
    ("worst", "changes", "expected"),
    [
        (None, {}, "error"),
        ("warning", {}, "warning"),
        (None, {"severities": {"one": ("note", ORIGIN)}}, "note"),
        ("warning", {"severities": {"one": ("error", ORIGIN)}}, "error"),
    ],
)
def test_the_gravest_that_could_come_of_it_is_that_in_force(
    worst: Severity | None, changes: dict[str, object], expected: Severity
) -> None:
    verdict = CannotTell(why="no figure is given", write="Write it.", worst=worst)
    (tally,) = outcome(rule("one", lambda subject: verdict, "a"), **changes).tallies
    assert [(each.write, each.worst) for each in tally.undecided] == [("Write it.", expected)]


def test_what_protects_life_is_waived_by_leave_alone() -> None:
    saving = replace(rule("saves", find, "a"), protects_life=True)

    def lapsed(**changes: object) -> str | None:
        (state,) = outcome(saving, waivers=(waived(rule="saves"),), **changes).waivers
        return state.lapsed

    assert "saves protects life, and no plan may waive it unless" in (lapsed() or "")
    assert lapsed(may_waive={"saves": ORIGIN}) is None
    assert "do not let saves be waived" in (
        lapsed(may_waive={"saves": ORIGIN}, never_waive=frozenset({"saves"})) or ""
    )
