"""`underfoot settings`: what is in force for a place, and where each came from."""

from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import RIGHT, put

pytestmark = pytest.mark.usefixtures("folder", "tiny")

OUTER = """\
settings_format: 1
limits:
  room-height: {minimum: 2300, because: local code}
never_waive: [job-date]
"""
NEARER = """\
settings_format: 1
limits:
  room-height: {planned: 2500, because: the client}
rules:
  job-date: {severity: error, because: every plan is dated}
  job-title: {off: true, because: titles are free}
"""


@pytest.fixture
def house(folder: Path) -> None:
    """Settings at two levels of a repository."""
    (folder / ".git").mkdir()
    put("underfoot.yaml", OUTER)
    put("plans/underfoot.yaml", NEARER)
    put("plans/a.yaml", RIGHT)


TEXT = """\
SETTINGS FOR plans/a.yaml

FILES
  underfoot.yaml – not used: a nearer one counts
  plans/underfoot.yaml

NOT THE DEFAULTS
  job-date: counts as an error
      plans/underfoot.yaml:5: every plan is dated
  job-title: switched off, so that nothing was checked by it
      plans/underfoot.yaml:6: titles are free
  room-height: planned 2500 mm, not 2200 mm
      plans/underfoot.yaml:3: the client

CANNOT BE WAIVED
  none

ALL LIMITS IN FORCE
  room-height  minimum  2000 mm  default
               planned  2500 mm  plans/underfoot.yaml:3
"""


def test_the_nearest_file_counts_whole(house: None, ask: Ask) -> None:
    assert ask("settings plans/a.yaml").out == TEXT


def test_a_folder_has_the_settings_of_its_plans(house: None, ask: Ask) -> None:
    assert ask("settings plans").out == TEXT.replace("plans/a.yaml", "plans")


def test_as_json(house: None, ask: Ask) -> None:
    assert ask("settings plans/a.yaml --format json").data == {
        "path": "plans/a.yaml",
        "files": [
            {"file": "underfoot.yaml", "used": False, "locked": False},
            {"file": "plans/underfoot.yaml", "used": True, "locked": False},
        ],
        "never_waive": [],
        "never_waive_all": None,
        "protects_life": [],
        "ignore": [],
        "rule_sets": None,
        "rules": [
            {"rule": "job-date", "what": "severity", "value": "error",
             "file": "plans/underfoot.yaml", "line": 5, "because": "every plan is dated"},
            {"rule": "job-title", "what": "off", "value": True,
             "file": "plans/underfoot.yaml", "line": 6, "because": "titles are free"},
        ],
        "limits": [
            {"rule": "room-height", "key": "minimum", "value": 2000.0, "default": 2000.0,
             "unit": "mm", "file": None, "line": None, "because": None},
            {"rule": "room-height", "key": "planned", "value": 2500.0, "default": 2200.0,
             "unit": "mm", "file": "plans/underfoot.yaml", "line": 3, "because": "the client"},
        ],
    }  # fmt: skip


def test_a_locked_file_and_what_it_forbids_are_named(house: None, ask: Ask) -> None:
    put("underfoot.yaml", f"{OUTER}locked: true\nrule_sets: [tiny]\n")
    put("plans/underfoot.yaml", "settings_format: 1\nnever_waive: [job-title]\n")
    out = ask("settings plans/a.yaml").out
    assert (
        "FILES\n  underfoot.yaml – locked: nearer ones, and plans, may only tighten\n"
        "  plans/underfoot.yaml\n"
    ) in out
    assert (
        "CANNOT BE WAIVED\n  job-date, room-height (underfoot.yaml)\n"
        "  job-title (plans/underfoot.yaml)\n"
    ) in out
    assert "RULE SETS\n  beside the standard one: tiny (underfoot.yaml)\n" in out
    data = ask("settings plans --format json").data
    assert data["files"][0]["locked"] is True
    assert data["never_waive"] == [
        {"rule": "job-date", "file": "underfoot.yaml"},
        {"rule": "job-title", "file": "plans/underfoot.yaml"},
        {"rule": "room-height", "file": "underfoot.yaml"},
    ]


def test_without_files_all_is_default(folder: Path, ask: Ask) -> None:
    (folder / ".git").mkdir()
    put("a.yaml", RIGHT)
    out = ask("settings a.yaml").out
    assert "FILES\n  none\n\nNOT THE DEFAULTS\n  none\n" in out
    assert "plans" not in out


def test_what_cannot_be_read_is_told_with_its_place(house: None, ask: Ask) -> None:
    put("plans/underfoot.yaml", "settings_format: 1\nlimits: 5\n")
    said = ask("settings plans/a.yaml", status=2)
    assert said.out == ""
    assert said.err.startswith(
        "underfoot: plans/underfoot.yaml: unreadable: 1 problem\n 1  plans/underfoot.yaml:2:1\n"
    )


def test_what_is_not_there_is_one_line(ask: Ask) -> None:
    said = ask("settings gone.yaml", status=2).err
    assert said == "underfoot: gone.yaml: there is no such file or folder\n"


def test_what_holds_for_every_rule_is_listed_once(house: None, ask: Ask) -> None:
    put("underfoot.yaml", "settings_format: 1\nnever_waive: all\nlocked: true\nignore: [old]\n"
        "undecided: {severity: warning, because: nobody looks}\n")  # fmt: skip
    put("plans/underfoot.yaml", "settings_format: 1\nnever_waive: [job-title]\n")
    out = ask("settings plans/a.yaml").out
    assert (
        "NOT THE DEFAULTS\n  every rule: what it cannot judge counts as at least a warning\n"
        "      underfoot.yaml:5: nobody looks\n\n"
        "CANNOT BE WAIVED\n  every rule (underfoot.yaml)\n\n"
        "NOT CHECKED\n  old (underfoot.yaml)\n"
    ) in out
    data = ask("settings plans/a.yaml --format json").data
    assert data["never_waive_all"] == "underfoot.yaml"
    assert data["ignore"] == [{"pattern": "old", "file": "underfoot.yaml"}]
    assert data["rules"][0] == {
        "rule": "every rule", "what": "undecided", "value": "warning",
        "file": "underfoot.yaml", "line": 5, "because": "nobody looks",
    }  # fmt: skip
