"""README and guides quote real output, and their settings, programs and links are right."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from tests.demo_plans import SHEET, draw_study
from tests.guides import GUIDES, README, ROOT, with_quotes
from underfoot.checking.merging_settings import Placed, merge_settings
from underfoot.reading.settings_file import read_settings
from underfoot_rules import STANDARD

TEXT = README.read_text("utf-8")
OWN_RULES = ROOT / "rules" / "own-rules.md"
FROM_PYTHON = ROOT / "linter" / "from-python.md"
LONGEST_README = 150


def test_quotes_are_fresh(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    for guide in GUIDES:
        text = guide.read_text("utf-8")
        assert with_quotes(text) == text, f"{guide.name}: python -m tests.guides writes them anew"


def test_the_readme_is_short_and_leads_to_every_guide() -> None:
    assert len(TEXT.splitlines()) <= LONGEST_README
    for guide in GUIDES[1:]:
        assert f"({guide.relative_to(ROOT).as_posix()})" in TEXT


def test_its_picture_is_fresh(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    assert SHEET.read_text("utf-8") == draw_study(), "python -m tests.demo_plans draws it anew"


def test_the_number_of_rules_is_right() -> None:
    assert f"judges it by {len(STANDARD.rules)} rules" in TEXT


def test_its_settings_can_be_used() -> None:
    (block,) = (
        found
        for found in re.findall(r"```yaml\n(.*?)```", OWN_RULES.read_text("utf-8"), re.DOTALL)
        if found.startswith("settings_format")
    )
    reading = read_settings(block.encode(), "underfoot.yaml")
    assert reading.settings is not None
    placed = Placed(name="underfoot.yaml", stated=reading.settings, positions=reading.positions)
    assert merge_settings([placed], [STANDARD])[1] == ()


def test_its_program_runs() -> None:
    (program,) = re.findall(r"```python\n(.*?)```", FROM_PYTHON.read_text("utf-8"), re.DOTALL)
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
    assert "plans/study.yaml revise and resubmit" in done.stdout
    assert "new.yaml unreadable" in done.stdout


def test_links_lead_somewhere() -> None:
    for guide in (*GUIDES, ROOT / "DEVELOPERS.md"):
        for target in re.findall(r"\]\(([^)#]+)\)", guide.read_text("utf-8")):
            assert (guide.parent / target).exists(), (guide.name, target)


def test_the_test_command_is_the_one_that_ci_runs() -> None:
    (command,) = re.findall(r"&& (\.venv/bin/pytest[^\n]*)\n", TEXT)
    ci = Path(ROOT, ".ci", "run").read_text("utf-8").replace('"', "")
    assert command.removeprefix(".venv/bin/") in ci


def test_the_rules_index_names_every_rule() -> None:
    index = (ROOT / "rules" / "index.md").read_text("utf-8")
    assert set(re.findall(r"^\| `([a-z-]+)` \|", index, re.MULTILINE)) == {
        rule.id for rule in STANDARD.rules
    }


def test_demo_plans_are_yaml() -> None:
    for plan in (ROOT / "plans").rglob("*.yaml"):
        assert isinstance(yaml.safe_load(plan.read_text("utf-8")), dict)
