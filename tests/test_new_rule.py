"""What the kit writes for a new rule runs at once, and nothing that is there is overwritten."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from underfoot.testing import NewRuleError, PageError, check_example, examples_of, show, write_rule
from underfoot.testing.__main__ import main
from underfoot_rules import BASE_PLAN, STANDARD

pytestmark = pytest.mark.process

HERE = Path(__file__).parent
RULES = HERE.parent / "rules" / "underfoot_rules"

LONGEST = "house-" + "-".join(["abcdefgh"] * 3) + "-abcdefg"  # forty characters

TRY = """
import random, sys
from datetime import date
import yaml
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.settings import default_settings
from underfoot.testing import check_example, examples_of
from importlib import import_module

package, name, rule = sys.argv[1:]
rule_set = getattr(import_module(package), name)
assert rule in [each.id for each in rule_set.rules]
mine = [each for each in examples_of(rule_set) if each.rule == rule]
assert [each.kind for each in mine] == ["right", "wrong"]
for each in mine:
    check_example(each, rule_set)
(mutation,) = [each for each in rule_set.mutations if each.rule == rule]
damaged = mutation.apply(yaml.safe_load(rule_set.base_plan), random.Random(1))
bench = make_checker([rule_set], default_settings(rule_set.rules), date(2026, 10, 1))
report = check_source(yaml.safe_dump(damaged.data).encode(), bench, path="plan.yaml")
found = [(each.rule, each.room, each.items, each.severity) for each in report.findings]
assert found == [(*each.identity, each.severity) for each in damaged.expected] and found, found
print("runs")
"""


def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    path = os.pathsep.join([str(folder), os.environ.get("PYTHONPATH", "")])
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=folder, env={**os.environ, "PYTHONPATH": path}, capture_output=True, text=True,
    )  # fmt: skip


def files_of(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


@pytest.mark.parametrize("more", [("records",), ("papers", "--new-topic")], ids=["known", "new"])
def test_a_rule_of_the_standard_set(tmp_path: Path, more: tuple[str, ...]) -> None:
    shutil.copytree(RULES, tmp_path / "underfoot_rules")
    before = files_of(tmp_path)
    done = run(tmp_path, "-m", "underfoot.testing", "new", "title-length", "--topic", *more)
    assert done.returncode == 0, done.stderr
    assert "rules/index.md" in done.stdout
    after = files_of(tmp_path)
    topic = more[0]
    made = {f"{topic}/title_length.py", f"{topic}/title_length.md", "mutations/title_length.py"}
    lists = {"mutations/__init__.py"}
    if topic == "papers":
        made.add("papers/__init__.py")
        lists.add("standard.py")
    assert set(after) - set(before) == {f"underfoot_rules/{name}" for name in made}
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {f"underfoot_rules/{name}" for name in lists}
    for name in made:
        assert str(tmp_path / "underfoot_rules" / name) in done.stdout
    tried = run(tmp_path, "-c", TRY, "underfoot_rules", "STANDARD", "title-length")
    assert tried.stdout == "runs\n", tried.stderr
    again = run(tmp_path, "-m", "underfoot.testing", "new", "title-length", "--topic", topic)
    assert again.returncode == 1
    assert again.stderr == "the rule set standard has a rule title-length already\n"
    assert files_of(tmp_path) == after


@pytest.mark.parametrize("name", ["house-title", LONGEST], ids=["short", "longest"])
def test_a_package_of_ones_own_from_nothing(tmp_path: Path, name: str) -> None:
    written = write_rule(name, [STANDARD], into=tmp_path / "house_rules")
    assert set(files_of(tmp_path)) == {str(path.relative_to(tmp_path)) for path in written.made}
    assert not written.extended
    assert 'house = "house_rules:RULE_SET"' in " ".join(written.left)
    tried = run(tmp_path, "-c", TRY, "house_rules", "RULE_SET", name)
    assert tried.stdout == "runs\n", tried.stderr


@pytest.mark.parametrize("name", ["a", "house-title", LONGEST])
def test_the_linter_is_content_with_what_is_written(tmp_path: Path, name: str) -> None:
    pytest.importorskip("ruff", reason="belongs to the extra `lint`")
    write_rule(name, [STANDARD], into=tmp_path / "house_rules")
    settings = str(HERE.parent / "pyproject.toml")
    for command in (["check"], ["format", "--check"]):
        done = run(tmp_path, "-m", "ruff", *command, "--no-cache", "--config", settings, ".")
        assert done.returncode == 0, done.stdout


def test_a_package_that_is_there_is_told_what_to_add(tmp_path: Path) -> None:
    into = tmp_path / "acme_rules"
    shutil.copytree(HERE / "second_set" / "acme_rules", into)
    before = files_of(into)
    written = write_rule("acme-title", [STANDARD], into=into)
    assert {name: files_of(into)[name] for name in before} == before
    left = " ".join(written.left)
    assert "from acme_rules.acme_title import RULE" in left
    assert "acme_rules.mutations.gather()" in left
    assert "pyproject.toml" not in left


@pytest.mark.parametrize(
    ("name", "more", "says"),
    [
        ("Title", {}, "no name for a rule"),
        ("title_length", {}, "no name for a rule"),
        ("title-", {}, "no name for a rule"),
        ("a" * 41, {}, "at most 40 characters"),
        ("new", {}, "means something else"),
        ("import", {}, "means something else"),
        ("wall-clearance", {}, "standard has a rule wall-clearance already"),
        ("title-length", {}, "--topic: build_up, circuits"),
        ("title-length", {"topic": "figurs"}, "did you mean figures?"),
        ("title-length", {"topic": "mutations", "new_topic": True}, "cannot be a topic"),
        ("title-length", {"topic": "No Such", "new_topic": True}, "cannot be a topic"),
        ("leads", {"topic": "records"}, "leads.py is there already"),
        ("title-length", {"rule_set": "standart"}, "did you mean standard?"),
        ("title-length", {"into": "house-rules"}, "no name for a package"),
        ("title-length", {"into": "house_rules", "topic": "A b"}, "no name for a topic"),
    ],
)
def test_what_cannot_be_started_is_refused(
    tmp_path: Path, name: str, more: dict[str, str | bool], says: str
) -> None:
    before = files_of(RULES)
    if "into" in more:
        more = {**more, "into": tmp_path / str(more["into"])}  # type: ignore[dict-item]
    with pytest.raises(NewRuleError, match=says.replace("?", r"\?")):
        write_rule(name, [STANDARD], **more)  # type: ignore[arg-type]
    assert files_of(RULES) == before
    assert not list(tmp_path.iterdir())


def test_no_file_is_overwritten(tmp_path: Path) -> None:
    into = tmp_path / "house_rules"
    into.mkdir()
    (into / "house_title.md").write_text("mine", "utf-8")
    with pytest.raises(NewRuleError, match="is there already; nothing was written"):
        write_rule("house-title", [STANDARD], into=into)
    assert files_of(into) == {"house_title.md": b"mine"}


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "write: python -m underfoot.testing RULE"),
        (["--no-such"], "write: python -m underfoot.testing RULE"),
        (["wall-clearence"], "did you mean wall-clearance?"),
        (["house-title"], "found once it is installed: python -m pip install -e ."),
        (["new", "Title"], "no name for a rule"),
        (["wall-clearance", "no-such-plan.yaml"], "no-such-plan.yaml"),
    ],
)
def test_the_command_line_says_what_is_wrong(arguments: list[str], says: str) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert says in str(ended.value)


def test_help_is_no_mistake() -> None:
    assert main(["--help"]).startswith("write: python -m underfoot.testing RULE")


def test_nobody_who_reads_on_is_no_crash() -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)
    told = subprocess.run(
        [sys.executable, "-m", "underfoot.testing", "test-date"],
        stdout=write_end, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    os.close(write_end)
    assert (told.returncode, told.stderr) == (141, "")


def test_a_rule_that_a_set_has_not_is_no_empty_answer() -> None:
    with pytest.raises(ValueError, match=r"did you mean wall-clearance\?"):
        show(STANDARD, "wall-clearence")
    assert "wall-clearance-wrong-1" in show(STANDARD, "wall-clearance")


@pytest.mark.parametrize(
    ("row", "says"),
    [("path: job, line: 3", "unknown key 'line'"), ("items: [title]", "without 'path'")],
)
def test_an_expected_finding_has_the_keys_of_one(row: str, says: str) -> None:
    example = next(each for each in examples_of(STANDARD) if each.kind == "wrong")
    text = f"expect:\n  - {{rule: {example.rule}, severity: error, {row}}}\nchange: {{}}\n"
    with pytest.raises(PageError, match=says):
        check_example(replace(example, text=text), STANDARD)


def test_the_base_plan_is_the_one_of_the_examples() -> None:
    assert STANDARD.base_plan == BASE_PLAN
    assert (RULES / "base_plan.yaml").read_text("utf-8") == BASE_PLAN
