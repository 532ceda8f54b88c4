"""Rules with mistakes in what they hand over, beside a sound one."""

import math
from collections.abc import Iterator
from datetime import date
from typing import Any

from underfoot.api.facts import Facts
from underfoot.api.rules import Basis, Finding, Limit, Limits, Rule, RuleSet, Subject
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.report import PlanReport
from underfoot.checking.rule_sets import replace_mistaken
from underfoot.checking.settings import default_settings

PLAN = b"""plan_format: 1
job: {title: Teasel Court}
materials: {films: {f: {width: 500, output: 80 W/m2, voltage: 230 V}}}
supply: {voltage: 230 V}
rooms: {den: {outline: [[0, 0], [900, 0], [900, 900], [0, 900]]}}
circuits: {C1: {}}
"""
BASIS = Basis(kind="own default", text="made for this test")
SOUND = Finding(message="It is {measured}, not {limit}.", remedy="Mend it.", measured=1.0, most=2.0)
FORMATS = ("text", "json", "sarif", "junit", "html", "lines", "annotations", "code-quality")
ODD: tuple[Any, ...] = (
    5,
    1.5,
    b"bytes",
    object(),
    ["list"],
    {"a": 1},
    {1},
    math.nan,
    True,
    ("nowhere", 1),
    [3],
)
RULE_FIELDS = [
    name for name in Rule.__struct_fields__ if name not in ("electrical", "last", "protects_life")
]


def the_job(facts: Facts) -> Iterator[Subject]:
    yield Subject(room=None, items=("title",), path="job")


def make_rule(verdict: object, name: str = "bad", subject: object = None, **fields: Any) -> Rule:
    def subjects(facts: Facts) -> Iterator[Any]:
        yield Subject(room=None, items=("title",), path="job") if subject is None else subject

    def check(subject: Subject, facts: Facts, limits: Limits) -> Any:
        return verdict

    whole: dict[str, Any] = dict(  # noqa: C408
        id=name, topic="test", severities=("error", "warning"), finds="a fault", why="It matters.",
        unit="mm", basis=BASIS, subjects=subjects, check=check, module=__name__,
        limits=(Limit(key="most", default=2.0, unit="mm", means="the most", stricter="lower"),),
    )  # fmt: skip
    return Rule(**(whole | fields))


def report_of(*bad: Any, silences: tuple[Any, ...] = ()) -> PlanReport:
    rules = (*bad, make_rule(SOUND, "good"))
    sets = [replace_mistaken(RuleSet(name="test", rules=rules, silences=silences))]
    settings = default_settings(rule for one in sets for rule in one.rules)
    return check_source(PLAN, make_checker(sets, settings, date(2026, 10, 1)), path="plan.yaml")


def assert_only_the_bad_one_is_lost(report: PlanReport, says: str = "") -> None:
    assert [finding.rule for finding in report.findings] == ["good"]
    (fault,) = report.faults
    assert says in fault.message
    assert report.findings[0].message == "It is 1 mm, not 2 mm."
