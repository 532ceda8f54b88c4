"""A change that would quieten a locked rule, played through: every way of it is refused.

The house locks its settings at the root. A plan has a strip 42 mm from the wall, where 50 mm is the
least (common practice), and a circuit without a residual current device. What a change can bring in
is files beside and in the plan; what it may not reach is exit status 0.
"""

from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.underfoot.asking import Ask
from underfoot.__main__ import main
from underfoot_rules import STANDARD

pytestmark = pytest.mark.usefixtures("house")

LOCKED = """\
settings_format: 1
locked: true
limits:
  wall-clearance: {minimum: 50, planned: 58, because: the house's manual}
never_waive: [rcd]
"""
HONEST = {("rcd", "error"), ("wall-clearance", "error")}


def plan(**more: Any) -> str:
    data = yaml.safe_load(STANDARD.base_plan)
    data["rooms"]["room"]["rows"]["A"]["at"] = [42, 60]
    del data["circuits"]["C1"]["rcd"]
    return str(yaml.safe_dump({**data, **more}, sort_keys=False))


@pytest.fixture
def house(folder: Path) -> None:
    """A repository with locked settings and one faulty plan."""
    (folder / ".git").mkdir()
    (folder / "plans").mkdir()
    Path("underfoot.yaml").write_text(LOCKED)
    Path("plans/hall.yaml").write_text(plan())


def checked(ask: Ask, status: int, *arguments: str) -> Any:
    command = "check plans --format json --today 2026-10-01"
    return ask(command, *arguments, status=status).data


def standing(data: Any) -> set[tuple[str, str]]:
    (each,) = data["plans"]
    return {
        (finding["rule"], finding["severity"])
        for finding in each["findings"]
        if finding["waiver"] is None
    }


def test_without_an_attack_both_faults_are_found(ask: Ask) -> None:
    data = checked(ask, 1)
    assert standing(data) == HONEST


@pytest.mark.parametrize(
    "nearer",
    [
        "limits: {wall-clearance: {minimum: 40, because: small room}}",
        "limits: {wall-clearance: {minimum: 60, planned: 40, because: small room}}",
        "rules: {rcd: {off: true, because: old house}}",
        "rules: {rcd: {severity: note, because: old house}}",
        "rules: {wall-clearance: {severity: warning, because: small room}}",
        "locked: true\nlimits: {wall-clearance: {minimum: 40, because: small room}}",
        "locked: true\nrules: {rcd: {off: true, because: old house}}",
    ],
)
def test_a_nearer_file_that_loosens_is_refused_by_name(ask: Ask, nearer: str) -> None:
    Path("plans/underfoot.yaml").write_text(f"settings_format: 1\n{nearer}\n")
    data = checked(ask, 2)
    (each,) = data["plans"]
    assert each["verdict"] == "unreadable"
    assert each["problems"][0]["file"] == "plans/underfoot.yaml"
    assert (
        "underfoot.yaml is locked: a nearer file may only tighten"
        in (each["problems"][0]["message"])
    )


@pytest.mark.parametrize(
    "nearer",
    [
        "locked: false",
        "rule_sets: []",
        "never_waive: []",
        "rules: {rcd: {off: false, because: x}}",
        "limits: {wall-clearance: {minimum: 60, because: tighter}}",
    ],
)
def test_a_nearer_file_that_may_stand_quietens_nothing(ask: Ask, nearer: str) -> None:
    Path("plans/underfoot.yaml").write_text(f"settings_format: 1\n{nearer}\n")
    data = checked(ask, 1)
    assert standing(data) >= HONEST


def test_a_file_between_does_not_shield_a_nearer_one(ask: Ask) -> None:
    Path("plans/wing").mkdir()
    Path("plans/hall.yaml").rename("plans/wing/hall.yaml")
    Path("plans/underfoot.yaml").write_text("settings_format: 1\nlocked: false\n")
    Path("plans/wing/underfoot.yaml").write_text(
        "settings_format: 1\nrules: {rcd: {off: true, because: x}}\n"
    )
    checked(ask, 2)


@pytest.mark.parametrize("item", ["C1", "room", None])
def test_a_waiver_of_what_is_never_waived_does_not_hold_and_is_told(
    ask: Ask, item: str | None
) -> None:
    waiver = {"rule": "rcd", "reason": "old house", "agreed_by": "owner"}
    named = {"item": item} if item else {}
    Path("plans/hall.yaml").write_text(plan(waivers=[waiver | named]))
    data = checked(ask, 1)
    assert standing(data) == HONEST | {("waiver-lapsed", "warning")}
    said = [f["message"] for f in data["plans"][0]["findings"] if f["rule"] == "waiver-lapsed"]
    assert "the settings in force do not let rcd be waived" in said[0]


def test_a_waiver_of_what_the_locked_file_sets_does_not_hold(ask: Ask) -> None:
    waivers = [
        {"rule": "wall-clearance", "item": "A1", "reason": "narrow", "agreed_by": "owner"},
        {"rule": "rcd", "item": "C1", "reason": "old house", "agreed_by": "owner"},
    ]
    Path("plans/hall.yaml").write_text(plan(waivers=waivers))
    data = checked(ask, 1)
    assert standing(data) >= HONEST


def test_the_warning_of_a_lapsed_waiver_cannot_be_waived(ask: Ask) -> None:
    waivers = [
        {"rule": "rcd", "item": "C1", "reason": "old house", "agreed_by": "owner"},
        {"rule": "waiver-lapsed", "reason": "no matter", "agreed_by": "owner"},
    ]
    Path("plans/hall.yaml").write_text(plan(waivers=waivers))
    data = checked(ask, 1, "--refuse-at", "warning")
    assert ("waiver-lapsed", "warning") in standing(data)


@pytest.mark.parametrize("nearer", ["limits: [", "settings_format: 2", "&a [*a]", "\x00"])
def test_a_nearer_file_that_cannot_be_read_is_no_way_past_the_lock(ask: Ask, nearer: str) -> None:
    Path("plans/underfoot.yaml").write_text(nearer)
    checked(ask, 2)


def test_a_plan_made_out_to_be_settings_ends_the_run(ask: Ask) -> None:
    Path("plans/hall.yaml").write_text("settings_format: 1\n" + plan())
    checked(ask, 2)


def test_a_plan_made_out_to_be_something_else_is_missed(ask: Ask) -> None:
    Path("plans/second.yaml").write_text(STANDARD.base_plan)
    main(["check", "plans", "--format", "json", "--output", "old.json"])
    Path("plans/hall.yaml").write_text("catalogue_format: 1\n" + plan())
    checked(ask, 2)
    Path("plans/hall.yaml").write_text(plan().replace("plan_format", "catalogue_format"))
    data = checked(ask, 0, "--known", "old.json")
    assert data["passed_over"] == 1
    assert data["earlier"]["left_out"] == ["plans/hall.yaml"]
    # Named, it is a plan, and cannot be read as one.
    assert main(["check", "plans/hall.yaml"]) == 2


def test_the_settings_in_force_show_the_lock(ask: Ask) -> None:
    Path("plans/underfoot.yaml").write_text(
        "settings_format: 1\nlimits: {wall-clearance: {minimum: 60, because: tighter}}\n"
    )
    out = ask("settings plans/hall.yaml").out
    assert "  underfoot.yaml – locked: nearer ones, and plans, may only tighten\n" in out
    assert "  rcd, wall-clearance (underfoot.yaml)\n" in out
    assert (
        "  wall-clearance: minimum 60 mm, not 50 mm\n      plans/underfoot.yaml:2: tighter\n" in out
    )
    assert (
        "  wall-clearance: planned 58 mm, not 58 mm\n      underfoot.yaml:4: the house's manual"
        in out
    )
