"""No mistake in a rule, in any field of what it hands over, loses another rule's finding."""

import copy
import math
import pickle
from decimal import Decimal
from fractions import Fraction
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from shapely import Point

from tests.underfoot.asking import Ask
from tests.underfoot.checking.mistaken import (
    FORMATS,
    ODD,
    PLAN,
    RULE_FIELDS,
    SOUND,
    assert_only_the_bad_one_is_lost,
    make_rule,
    report_of,
)
from underfoot.api.facts import Facts
from underfoot.api.rules import Basis, CannotTell, Finding, Limits, RuleSet, Subject, Subjects
from underfoot.checking.rule_sets import replace_mistaken
from underfoot.plan.read_only import ReadOnly
from underfoot.running import checking
from underfoot.running.signals import EndedError
from underfoot.running.time_limit import OutOfTimeError
from underfoot.testing import show_all


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
    assert_only_the_bad_one_is_lost(report, f"what {make_rule.__module__} gives cannot be used: ")


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
        lambda facts: setattr(facts, "rooms", {}),
        lambda facts: setattr(facts, "plan", None),
        lambda facts: setattr(facts.rooms["den"], "drawn", None),
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


def test_what_is_no_rule_is_said() -> None:
    assert_only_the_bad_one_is_lost(report_of("text"), "it is no Rule, but of the kind str")


def test_a_crash_names_the_rules_own_line() -> None:
    def crash(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
        return facts.rooms["attic"]  # type: ignore[return-value]

    report = report_of(make_rule(None, check=crash, module=__name__))
    assert_only_the_bad_one_is_lost(report, "test_soundness.py:")


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
