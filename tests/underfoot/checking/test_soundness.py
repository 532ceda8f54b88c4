"""No mistake in a rule, in any field of what it hands over, loses another rule's finding."""

import copy
import math
import pickle
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from shapely import Point

from tests.underfoot.asking import Ask
from underfoot.api import API_VERSION
from underfoot.api.facts import Facts
from underfoot.api.rules import (
    Basis,
    CannotTell,
    Finding,
    Limit,
    Limits,
    Rule,
    RuleSet,
    Subject,
    Subjects,
    Suppression,
)
from underfoot.checking import rule_sets
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.report import PlanReport
from underfoot.checking.rule_sets import RuleSetError, installed_rule_sets, replace_mistaken
from underfoot.checking.settings import default_settings
from underfoot.plan.read_only import ReadOnly
from underfoot.running import checking
from underfoot.running.signals import EndedError
from underfoot.running.time_limit import OutOfTimeError
from underfoot.testing import show_all

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


def test_a_sound_rule_is_no_mistake() -> None:
    report = report_of(make_rule(SOUND))
    assert (len(report.findings), report.faults) == (2, ())
    report = report_of(
        make_rule(CannotTell(why="it is not said", write="Write it.", worst="warning"))
    )
    assert (report.counts.undecided, report.faults) == (1, ())


@pytest.mark.parametrize("field", Finding.__struct_fields__)
@pytest.mark.parametrize("value", ODD, ids=lambda value: type(value).__name__)
def test_no_mistake_in_a_finding_loses_another(field: str, value: Any) -> None:
    report = report_of(make_rule(replace(SOUND, **{field: value})))
    if not report.faults:  # a number may be whole, and true is 1; that is shown as it is
        assert field in ("measured", "least", "most") or (field == "is_cold" and value is True)
        assert len(report.findings) == 2
        return
    assert_only_the_bad_one_is_lost(report, f"what {__name__} gives cannot be used: ")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"severity": "note"}, "the severity of title is 'note', none of error, warning"),
        ({"path": "rooms.attic"}, "the path 'rooms.attic' of title leads nowhere in the plan"),
        ({"related": ("rooms.den", "rooms.loft")}, "'rooms.loft' of title leads nowhere"),
        ({"measured": None}, "{measured} in the words about title cannot be filled in"),
        ({"most": None}, "{limit} in the words about title cannot be filled in"),
        ({"details": (("name", "text", "more"),)}, "no pair of name and text"),
        ({"details": (("name", 5),)}, "a part of a row of `details` of title is no text"),
        ({"measured": math.inf}, "`measured` of title is inf, which is no number"),
        ({"measured": 10**400}, "which is no number"),
        ({"measured": Decimal("1.5")}, "is Decimal('1.5'), which is no number"),
        ({"most": Fraction(3, 2)}, "which is no number"),
        ({"shape": Point(math.nan, 0)}, "has a place that is no number"),
        ({"offer": Point(0, math.inf)}, "has a place that is no number"),
        ({"is_cold": 1}, "`is_cold` of title is no true or false, but of the kind int"),
        ({"basis": Basis(kind="kind", text=None)}, "the text of the basis of title is no text"),
        ({"message": None}, "the message of title is no text, but of the kind NoneType"),
    ],
)
def test_what_is_wrong_is_said(change: dict[str, Any], says: str) -> None:
    assert_only_the_bad_one_is_lost(report_of(make_rule(replace(SOUND, **change))), says)


@pytest.mark.parametrize(
    "verdict",
    [
        True,
        "text",
        5,
        Subject(room=None, items=(), path="job"),
        CannotTell(why=None),  # type: ignore[arg-type]
        CannotTell(why="why", write=5),  # type: ignore[arg-type]
        CannotTell(why="why", write=None, worst="grave"),  # type: ignore[arg-type]
    ],
)
def test_a_verdict_of_another_kind(verdict: object) -> None:
    assert_only_the_bad_one_is_lost(report_of(make_rule(verdict)))


@pytest.mark.parametrize(
    "subject",
    [
        5,
        ("a", "b"),
        Subject(room=5, items=(), path="job"),  # type: ignore[arg-type]
        Subject(room=None, items="title", path="job"),  # type: ignore[arg-type]
        Subject(room=None, items=(5,), path="job"),  # type: ignore[arg-type]
        Subject(room=None, items=(), path=None),  # type: ignore[arg-type]
        Subject(room=None, items=(), path="nowhere"),
    ],
    ids=repr,
)
def test_a_subject_of_another_kind(subject: object) -> None:
    assert_only_the_bad_one_is_lost(report_of(make_rule(SOUND, subject=subject)))


@pytest.mark.parametrize("field", RULE_FIELDS)
@pytest.mark.parametrize("value", [None, 5, b"bytes", (5,), ["error"], {"a": 1}], ids=repr)
def test_no_mistake_in_a_rule_itself_loses_a_finding(field: str, value: Any) -> None:
    if (field, value) in (("unit", None), ("serves", None)):
        value = 3
    assert_only_the_bad_one_is_lost(report_of(make_rule(SOUND, **{field: value})))


class OwnError(BaseException):
    """Somebody's own, which is no Exception."""


def recurse(*given: object) -> None:
    recurse(*given)


@pytest.mark.parametrize(
    "error", [SystemExit(0), GeneratorExit(), OwnError(), MemoryError(), StopIteration(), "deep"],
    ids=repr,
)  # fmt: skip
@pytest.mark.parametrize("where", ["check", "subjects"])
def test_whatever_a_rule_raises_costs_no_other_s_finding(
    where: str, error: BaseException | str
) -> None:
    def crash(*given: object) -> None:
        recurse() if isinstance(error, str) else raise_it(error)

    assert_only_the_bad_one_is_lost(report_of(make_rule(SOUND, **{where: crash})), " at ")


def raise_it(error: BaseException) -> None:
    raise error


@pytest.mark.parametrize("error", [KeyboardInterrupt, OutOfTimeError, EndedError])
def test_what_is_about_the_run_passes_through_a_rule(error: type[BaseException]) -> None:
    def stop(*given: object) -> None:
        raise error(2)

    with pytest.raises(error):
        report_of(make_rule(SOUND, check=stop))


def test_where_two_rules_lack_memory_the_plan_is_the_cause() -> None:
    def lack(*given: object) -> None:
        raise MemoryError

    with pytest.raises(MemoryError):
        report_of(make_rule(SOUND, check=lack), make_rule(SOUND, "worse", check=lack))


@pytest.mark.parametrize("total", [None, "many", -1, math.nan, 1.5])
def test_a_number_of_subjects_that_counts_none(total: Any) -> None:
    rule = make_rule(SOUND, subjects=lambda facts: Subjects(candidates=(), total=total))
    assert_only_the_bad_one_is_lost(report_of(rule), "which is no count")


@pytest.mark.parametrize(
    "change",
    [
        lambda facts: facts.rooms.clear(),
        lambda facts: facts.rooms.pop("den"),
        lambda facts: facts.circuits.update(C2=None),
        lambda facts: facts.plan.rooms.popitem(),
        lambda facts: facts.plan.circuits.__delitem__("C1"),
        lambda facts: facts.plan.materials.films.__setitem__("f", None),
        lambda facts: facts.plan.rooms["den"].openings.setdefault("door", None),
    ],
)
def test_no_rule_takes_from_another_what_it_judges_by(change: Any) -> None:
    def spoil(subject: Subject, facts: Facts, limits: Limits) -> None:
        change(facts)

    report = report_of(make_rule(SOUND, check=spoil))
    assert_only_the_bad_one_is_lost(report, "nothing of a plan or its facts can be changed")


def test_what_can_be_read_alone_is_copied_as_it_is() -> None:
    kept = ReadOnly({"a": 1})
    with pytest.raises(TypeError):
        kept |= {"b": 2}
    for copied in (copy.copy(kept), copy.deepcopy(kept), pickle.loads(pickle.dumps(kept))):
        assert (copied, type(copied)) == ({"a": 1}, ReadOnly)
    assert type(dict(kept)) is dict


def test_what_a_rule_prints_goes_beside_the_report(capsys: pytest.CaptureFixture[str]) -> None:
    def say(subject: Subject, facts: Facts, limits: Limits) -> None:
        print("here")

    assert report_of(make_rule(None, check=say)).faults == ()
    assert capsys.readouterr() == ("", "here\n")


def crash_here(*given: object) -> Any:
    raise KeyError("here")


SILENCE = Suppression(
    cause="bad", silenced=("good",), cause_keys=lambda subject, facts: ("job",), reason="bad spoke"
)


def test_a_suppression_silences() -> None:
    report = report_of(make_rule(SOUND), silences=(SILENCE,))
    assert ([each.rule for each in report.findings], report.faults) == (["bad"], ())


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("cause_keys", crash_here, "behind bad crashed and was left out: KeyError at"),
        ("cause_keys", lambda subject, facts: ([],), "left out: TypeError at"),
        ("subject_keys", crash_here, "behind bad crashed and was left out: KeyError at"),
        ("when", crash_here, "behind bad crashed and was left out: KeyError at"),
        ("withholds", crash_here, "behind bad crashed and was left out: KeyError at"),
        ("cause", None, "`cause` of the suppression is no text"),
        ("silenced", ["good"], "`silenced` of the suppression is no tuple"),
        ("reason", 5, "in the rule set test: `reason` of the suppression is no text"),
        ("cause_keys", None, "`cause_keys` of the suppression is no function"),
        ("when", 5, "`when` of the suppression is no function"),
        (None, 5, "it is no Suppression, but of the kind int"),
    ],
)
def test_a_mistake_in_a_suppression_loses_no_finding(
    field: str | None, value: Any, says: str
) -> None:
    silence = value if field is None else replace(SILENCE, **{field: value})
    report = report_of(make_rule(SOUND), silences=(silence,))
    assert [each.rule for each in report.findings] == ["bad", "good"]
    (fault,) = report.faults
    assert says in fault.message


@pytest.mark.parametrize("rules", [None, 5, "text", {"a": 1}])
def test_a_set_whose_rules_are_no_list_says_so(rules: Any) -> None:
    (rule,) = replace_mistaken(RuleSet(name="test", rules=rules)).rules
    assert rule.finds.startswith("nothing: it is no Rule, but of the kind")


def test_what_is_no_rule_is_said() -> None:
    assert_only_the_bad_one_is_lost(report_of("text"), "it is no Rule, but of the kind str")


def test_a_crash_names_the_rules_own_line() -> None:
    def crash(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
        return facts.rooms["attic"]  # type: ignore[return-value]

    report = report_of(make_rule(None, check=crash))
    assert_only_the_bad_one_is_lost(report, "test_soundness.py:")


class Entry:
    """An installed set, as the machine's list of entry points gives it."""

    def __init__(self, rule_set: RuleSet) -> None:
        self.name, self.value, self.load = rule_set.name, "here", lambda: rule_set
        self.module = __name__


def test_a_set_for_another_version_is_refused_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    def install(api: int) -> None:
        found = RuleSet(name="later", rules=(make_rule(None),), api=api)
        monkeypatch.setattr(rule_sets, "entry_points", lambda group: [Entry(found)])

    install(API_VERSION)
    assert [one.name for one in installed_rule_sets()] == ["later"]
    install(1)
    with pytest.raises(
        RuleSetError, match=r"later is written for version 1 of underfoot\.api; this"
    ):
        installed_rule_sets()


def test_a_rule_whose_id_another_has_is_told_by_its_set(monkeypatch: pytest.MonkeyPatch) -> None:
    rules = (make_rule(SOUND, "good"), make_rule(SOUND, "good"), make_rule(SOUND, "makers-figures"))
    later = RuleSet(name="later", rules=rules, api=API_VERSION)
    standard = RuleSet(name="standard", rules=rules[:1], api=API_VERSION)
    monkeypatch.setattr(rule_sets, "entry_points", lambda group: [Entry(standard), Entry(later)])
    parted, kept = installed_rule_sets()
    assert (kept.name, [each.id for each in kept.rules]) == ("standard", ["good"])
    assert [each.id for each in parted.rules] == [f"later, rule {number}" for number in (1, 2, 3)]
    whose = ["the rule set standard", "the rule set standard", "the program itself"]
    for rule, owner in zip(parted.rules, whose, strict=True):
        assert f"{owner} has a rule" in rule.finds


@pytest.mark.parametrize("error", [SystemExit(3), ValueError("half written")], ids=repr)
def test_a_set_that_cannot_be_loaded_is_refused_in_words(
    error: BaseException, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def load() -> None:
        print("loading")
        raise error

    entry = Entry(RuleSet(name="broken", rules=()))
    entry.load = load  # type: ignore[assignment]
    monkeypatch.setattr(rule_sets, "entry_points", lambda group: [entry])
    with pytest.raises(RuleSetError, match=r"set broken cannot be loaded: .* at checking"):
        installed_rule_sets()
    assert capsys.readouterr() == ("", "loading\n")


@pytest.mark.parametrize("format_", FORMATS)
def test_every_format_shows_what_the_sound_rule_found(
    format_: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    ask: Ask,
) -> None:
    bad = [
        make_rule(replace(SOUND, **{field: value}), f"bad-{number}-{field}")
        for field in Finding.__struct_fields__
        for number, value in enumerate(ODD)
        if field not in ("measured", "least", "most")
    ]
    bad.append(make_rule(SOUND, "bad-basis", basis=None))
    found = replace_mistaken(RuleSet(name="test", rules=(*bad, make_rule(SOUND, "good"))))
    monkeypatch.setattr(checking, "installed_rule_sets", lambda: (found,))
    monkeypatch.chdir(tmp_path)
    Path("plan.yaml").write_bytes(PLAN)
    said = " ".join(unescape(ask("check plan.yaml --format", format_, status=2).out).split())
    assert "It is 1 mm, not 2 mm." in said
    assert "bad-1-message" in said
    assert "bad-basis" in said


def test_the_kit_shows_all_that_led_to_a_crash(tmp_path: Path) -> None:
    def crash(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
        return facts.rooms["attic"]  # type: ignore[return-value]

    place = tmp_path / "plan.yaml"
    place.write_bytes(PLAN)
    sets = [RuleSet(name="test", rules=(make_rule(None, check=crash), make_rule(SOUND, "good")))]
    said = show_all(sets, "bad", [place])
    assert "Traceback" in said
    assert 'return facts.rooms["attic"]' in said
    assert "It is 1 mm, not 2 mm." in show_all(sets, "good", [place])
    with pytest.raises(ValueError, match=r"has a rule goood; did you mean good\?"):
        show_all(sets, "goood")
