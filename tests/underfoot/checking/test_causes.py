"""When a cause silences what comes of it, and when it does not."""

from datetime import date

import pytest
from msgspec.structs import replace

from tests.underfoot.checking.made_rules import (
    DAY,
    ORIGIN,
    SPOKEN,
    Verdict,
    all_alike,
    find,
    outcome,
    rule,
    silence,
    silenced,
    tally_of,
)
from underfoot.checking.finding import CannotTell, Finding, Severity, Subject
from underfoot.plan import Waiver

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
