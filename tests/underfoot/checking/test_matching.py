"""The same finding in two reports, and which way its measure went."""

import pytest

from underfoot.checking.earlier import EarlierFinding
from underfoot.checking.finding import Severity
from underfoot.checking.matching import (
    Step,
    compare_measures,
    identity_of,
    is_worse,
    match_findings,
)
from underfoot.checking.report import LimitUsed, Measure


def finding(
    value: float | None = None,
    *,
    rule: str = "wall-clearance",
    room: str | None = "hall",
    items: tuple[str, ...] = ("A1",),
    severity: Severity = "error",
    least: float | None = None,
    most: float | None = None,
    unit: str = "mm",
) -> EarlierFinding:
    limited = least is not None or most is not None
    return EarlierFinding(
        rule=rule,
        room=room,
        items=items,
        severity=severity,
        measured=None if value is None else Measure(value=value, unit=unit),
        limit=LimitUsed(least=least, most=most, unit=unit) if limited else None,
        waived=False,
    )


def test_identity_is_rule_room_and_items() -> None:
    assert identity_of(finding(42.0)) == ("wall-clearance", "hall", ("A1",))
    assert identity_of(finding(42.0)) == identity_of(finding(1.0, severity="note", least=50.0))


@pytest.mark.parametrize(
    "other",
    [
        finding(rule="strip-gap"),
        finding(room="bath"),
        finding(room=None),
        finding(items=("A2",)),
        finding(items=("A1", "A2")),
        finding(items=()),
    ],
)
def test_another_rule_room_or_item_is_another_finding(other: EarlierFinding) -> None:
    matched = match_findings([finding()], [other])
    assert matched.left == ()
    assert matched.cleared == (finding(),)
    assert matched.brought_in == (other,)


def test_what_is_left_cleared_and_brought_in() -> None:
    a, b, c = (finding(items=(name,)) for name in ("A1", "A2", "A3"))
    matched = match_findings([a, b], [c, b])
    assert matched.left == ((b, b),)
    assert matched.cleared == (a,)
    assert matched.brought_in == (c,)


def test_findings_that_share_an_identity_are_paired_in_order_each_once() -> None:
    first, second, third = (finding(value) for value in (1.0, 2.0, 3.0))
    fewer = match_findings([first, second, third], [second, third])
    assert [(old.measured, new.measured) for old, new in fewer.left] == [
        (first.measured, second.measured),
        (second.measured, third.measured),
    ]
    assert fewer.cleared == (third,)
    assert match_findings([first], [second, third]).brought_in == (third,)


def test_equal_findings_are_counted_and_not_merged() -> None:
    matched = match_findings([finding(), finding()], [finding()])
    assert len(matched.left) == 1
    assert len(matched.cleared) == 1


@pytest.mark.parametrize(
    ("before", "now", "least", "most", "expected"),
    [
        (42.0, 42.0, 50.0, None, "same"),
        (42.0, 42.0 + 5e-7, 50.0, None, "same"),  # below 1e-6, the noise of two machines
        (42.0, 41.0, 50.0, None, "worse"),  # 8 mm short, then 9 mm
        (42.0, 43.0, 50.0, None, "better"),
        (10.5, 10.6, None, 10.0, "worse"),  # 0.5 A too much, then 0.6 A
        (10.6, 10.5, None, 10.0, "better"),
        (9.0, 12.0, 10.0, 11.0, "other"),  # 1 below the band, then 1 above it
        (9.0, 12.5, 10.0, 11.0, "worse"),  # 1 below, then 1.5 above
        (8.0, 12.0, 10.0, 11.0, "better"),  # 2 below, then 1 above
        (42.0, 43.0, None, None, "other"),
    ],
)
def test_the_way_a_measure_went(
    before: float, now: float, least: float | None, most: float | None, expected: Step
) -> None:
    old = finding(before, least=least, most=most)
    assert compare_measures(old, finding(now, least=least, most=most)) == expected


def test_the_limit_in_force_now_decides() -> None:
    # 60 of at least 50 is no finding; under a new limit of 100, 60 after 70 is 10 worse.
    assert compare_measures(finding(70.0, least=80.0), finding(60.0, least=100.0)) == "worse"


def test_what_cannot_be_compared() -> None:
    assert compare_measures(finding(), finding()) == "same"
    assert compare_measures(finding(), finding(1.0, least=2.0)) == "other"
    assert compare_measures(finding(1.0, least=2.0), finding()) == "other"
    assert compare_measures(finding(1.0, unit="m"), finding(1.0, unit="mm")) == "other"


@pytest.mark.parametrize(
    ("old", "new", "worse"),
    [
        (finding(42.0, least=50.0), finding(41.0, least=50.0), True),
        (finding(42.0, least=50.0), finding(43.0, least=50.0), False),
        (finding(42.0, least=50.0), finding(42.0, least=50.0), False),
        (finding(42.0), finding(43.0), True),
        (finding(severity="warning"), finding(severity="error"), True),
        (finding(severity="error"), finding(severity="warning"), False),
        (finding(severity="note"), finding(severity="note"), False),
    ],
)
def test_worse_is_never_taken_for_known(
    old: EarlierFinding, new: EarlierFinding, worse: bool
) -> None:
    assert is_worse(old, new) is worse
