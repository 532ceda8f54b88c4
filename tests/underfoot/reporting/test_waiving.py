"""What protects life is told wherever rules and settings are listed."""

import dataclasses

from underfoot.checking.origin import Origin
from underfoot.checking.page import page_of
from underfoot.checking.report_builder import changes
from underfoot.checking.settings import Settings, default_settings
from underfoot.reporting.phrases import say_change
from underfoot.reporting.rule_page import write_page
from underfoot.reporting.rules_list import write_json_list, write_markdown_list, write_text_list
from underfoot.reporting.settings_list import SettingsAt, write_settings, write_settings_json
from underfoot_rules import STANDARD

RULES = {rule.id: rule for rule in STANDARD.rules}
DEFAULT = default_settings(STANDARD.rules)
LEAVE = {"rcd": Origin(file="underfoot.yaml", line=4, because="one RCD for the house")}
PROTECTING = [rule.id for rule in STANDARD.rules if rule.protects_life]
ONLY = "a plan may waive it only where the settings allow that"


def flat(text: str) -> str:
    return " ".join(text.split())


def test_a_rule_that_protects_life_says_so_on_its_page() -> None:
    assert ONLY in flat("".join(write_page(RULES["rcd"], page_of(RULES["rcd"]))))
    gap = RULES["strip-gap"]
    assert "Protects life" not in "".join(write_page(gap, page_of(gap)))


def test_the_list_says_it_and_who_gave_leave() -> None:
    text = flat("".join(write_text_list([STANDARD], DEFAULT)))
    assert text.count(ONLY) == len(PROTECTING) > 20
    allowed = dataclasses.replace(DEFAULT, may_waive=LEAVE)
    text = flat("".join(write_text_list([STANDARD], allowed)))
    assert text.count(ONLY) == len(PROTECTING) - 1
    assert "and yet a plan may waive it: one RCD for the house (underfoot.yaml:4)." in text
    assert '"rule": "rcd", ' in "".join(write_json_list([STANDARD], DEFAULT))
    assert "; protects life |" in "".join(write_markdown_list([STANDARD], DEFAULT))


def test_never_waive_goes_first() -> None:
    both = dataclasses.replace(DEFAULT, may_waive=LEAVE, never_waive=frozenset({"rcd"}))
    assert "and yet a plan may waive it" not in "".join(write_text_list([STANDARD], both))
    assert changes(both) == ()


def shown(settings: Settings) -> tuple[str, str]:
    at = SettingsAt(path="plans", found=(), settings=settings, protecting=PROTECTING)
    return flat("".join(write_settings(at))), "".join(write_settings_json(at))


def test_settings_list_what_cannot_be_waived_and_what_may() -> None:
    text, data = shown(DEFAULT)
    assert "rcd, rcd-trip" in text
    assert '"rcd"' in data.partition('"rule_sets"')[0]
    text, data = shown(dataclasses.replace(DEFAULT, may_waive=LEAVE))
    assert "rcd, rcd-trip" not in text
    assert "rcd: protects life, and yet a plan may waive it" in text
    assert '{"rule": "rcd", "what": "may_waive", "value": true' in data
    assert '"rcd"' not in data.partition('"rule_sets"')[0]


def test_leave_to_waive_is_told_in_every_report() -> None:
    (change,) = changes(dataclasses.replace(DEFAULT, may_waive=LEAVE))
    assert (change.rule, change.what, change.origin) == ("rcd", "may_waive", LEAVE["rcd"])
    assert say_change(change) == "protects life, and yet a plan may waive it"
