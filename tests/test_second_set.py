"""The door for other rule sets: one is installed for real, found and run, and tests its pages."""

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.process

HERE = Path(__file__).parent
PLAN = HERE.parent / "rules" / "underfoot_rules" / "base_plan.yaml"
WHEEL = "acme_rules-1.0-py3-none-any.whl"

EXAMPLES = """
import pytest
from acme_rules import ACME
from underfoot.testing import check_example, examples_of

@pytest.mark.parametrize("example", examples_of(ACME), ids=str)
def test_example(example):
    check_example(example, ACME)
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Install the set by pip into a folder, and give an environment in which Python sees it."""
    folder = tmp_path_factory.mktemp("second_set")
    wheel = folder / WHEEL
    with zipfile.ZipFile(wheel, "w") as archive:
        for file in sorted((HERE / "second_set" / "acme_rules").iterdir()):
            if file.is_file():
                archive.write(file, f"acme_rules/{file.name}")
        info = "acme_rules-1.0.dist-info"
        archive.writestr(
            f"{info}/METADATA", "Metadata-Version: 2.1\nName: acme-rules\nVersion: 1.0\n"
        )
        archive.writestr(
            f"{info}/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
        )
        archive.writestr(
            f"{info}/entry_points.txt", "[underfoot.rule_sets]\nacme = acme_rules:ACME\n"
        )
        archive.writestr(f"{info}/RECORD", "")
    site = folder / "site"
    subprocess.run(
        [sys.executable, "-m", "pip", "install", "-q", "--no-index", "--no-deps",
         "--disable-pip-version-check", "--target", str(site), str(wheel)],
        check=True,
    )  # fmt: skip
    return {**os.environ, "PYTHONPATH": str(site), "NO_COLOR": "1"}


def run(env: dict[str, str], *arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", *arguments], env=env, cwd=cwd, capture_output=True, text=True
    )


def test_the_set_is_found_and_run(installed: dict[str, str], tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_bytes(PLAN.read_bytes())
    done = run(installed, "underfoot", "check", "plan.yaml", "--format", "json", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (plan,) = json.loads(done.stdout)["plans"]
    assert [finding["rule"] for finding in plan["findings"]] == ["acme-drawn-by"]
    rules = [row["rule"] for row in plan["checks"]]
    assert "acme-drawn-by" in rules
    assert "wall-clearance" in rules


def test_settings_choose_the_set(installed: dict[str, str], tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_bytes(PLAN.read_bytes())
    settings = tmp_path / "underfoot.yaml"
    for wanted, expected in (("[acme_rules]", True), ("[acme]", True), ("[]", False)):
        settings.write_text(f"settings_format: 1\nrule_sets: {wanted}\n")
        done = run(installed, "underfoot", "check", "plan.yaml", "--format", "json", cwd=tmp_path)
        (plan,) = json.loads(done.stdout)["plans"]
        assert ("acme-drawn-by" in {row["rule"] for row in plan["checks"]}) is expected


def test_rules_and_why_know_it(installed: dict[str, str], tmp_path: Path) -> None:
    listed = run(installed, "underfoot", "rules", cwd=tmp_path)
    assert "acme-drawn-by" in listed.stdout
    why = run(installed, "underfoot", "why", "acme-drawn-by", cwd=tmp_path)
    assert "Questions on site" in why.stdout


def test_its_own_examples_run_with_the_kit(installed: dict[str, str], tmp_path: Path) -> None:
    (tmp_path / "test_acme.py").write_text(EXAMPLES)
    done = run(installed, "pytest", "-q", "-p", "no:cacheprovider", "test_acme.py", cwd=tmp_path)
    assert done.returncode == 0, done.stdout
    assert "2 passed" in done.stdout


def test_a_set_that_cannot_be_loaded_is_told(tmp_path: Path) -> None:
    info = tmp_path / "broken_rules-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: broken-rules\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text("[underfoot.rule_sets]\nbroken = broken_rules:SET\n")
    env = {**os.environ, "PYTHONPATH": str(tmp_path)}
    done = run(env, "underfoot", "check", str(PLAN), cwd=tmp_path)
    assert done.returncode == 2
    assert "broken" in done.stderr
    assert "Traceback" not in done.stderr
