"""No mistake in a rule set or a suppression loses another rule's finding."""

from typing import Any

import pytest
from msgspec.structs import replace

from tests.underfoot.checking.mistaken import SOUND, make_rule, report_of
from underfoot.api import API_VERSION
from underfoot.api.rules import RuleSet, Suppression
from underfoot.checking import rule_sets
from underfoot.checking.rule_sets import RuleSetError, installed_rule_sets, replace_mistaken


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
