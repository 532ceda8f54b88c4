"""What a shell is offered for the word that is being written."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.shell_completion import ShellComplete

from underfoot.commands.group import underfoot

ROOT = Path(__file__).parents[3]
PLAN = 'plan_format: 1\nrooms: {hall: {}, loft: {}, "a\\tb": {}}\n'


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for place in ("plans/hall.yaml", "plans/new/a.yml", "plans/new/b.yaml", "plans/notes.txt",
                  "plans/.hidden.yaml", "plans/odd\x1b.yaml", "other.yaml"):  # fmt: skip
        Path(place).parent.mkdir(parents=True, exist_ok=True)
        Path(place).write_text(PLAN, "utf-8")


def offered(*words: str) -> list[str]:
    *before, last = words
    shell = ShellComplete(underfoot, {}, "underfoot", "_UNDERFOOT_COMPLETE")
    return [
        f"{item.type}: {item.value}" if item.type != "plain" else item.value
        for item in shell.get_completions(list(before), last)
    ]


def test_plans_and_folders_are_offered() -> None:
    assert offered("check", "") == ["other.yaml", "plans/"]
    # One folder alone: what is in it, or the shell would put a blank behind it.
    assert offered("check", "pl") == ["plans/hall.yaml", "plans/new/"]
    assert offered("check", "other.yaml", "plans/new/") == ["plans/new/a.yml", "plans/new/b.yaml"]
    assert offered("draw", "plans/h") == ["plans/hall.yaml"]
    assert offered("check", "plans/.") == ["plans/.hidden.yaml"]
    assert offered("check", "gone/") == offered("check", "a\0b") == []
    assert offered("compare", "other.yaml", "plans/h") == ["plans/hall.yaml"]
    Path("empty").mkdir()
    assert offered("check", "emp") == ["empty/"]


def test_rules_and_topics_are_offered() -> None:
    assert offered("why", "wall-c") == ["wall-clearance"]
    assert offered("why", "makers-f") == ["makers-figures"]
    assert len(offered("check", "--rule", "")) > 90
    assert "membrane" in offered("check", "--topic", "mem")


def test_the_rooms_of_the_plan_in_the_line_are_offered() -> None:
    plan = "plans/hall.yaml"
    assert offered("draw", plan, "--room", "") == ["hall", "loft"]
    assert offered("lay", plan, "--room", "hall", "--room", "l") == ["loft"]
    assert offered("draw", "--room", "") == []
    assert offered("new", plan, "--room", "") == []
    Path("broken.yaml").write_text("rooms: [", "utf-8")
    Path("long.yaml").write_text(PLAN + "#" * 1_000_000, "utf-8")
    os.mkfifo("pipe.yaml")
    for name in ("broken.yaml", "long.yaml", "pipe.yaml", "gone.yaml"):
        assert offered("draw", name, "--room", "") == [], name


def test_files_and_folders_are_left_to_the_shell() -> None:
    assert offered("check", "--known", "x") == ["file: x"]
    assert offered("mark", "x") == ["dir: x"]


@pytest.mark.process
@pytest.mark.parametrize(
    ("shell", "sign"),
    [("bash", "complete -o"), ("zsh", "compdef"), ("fish", "complete --no-files")],
)
def test_the_line_of_the_guide_sets_a_shell_up(shell: str, sign: str) -> None:
    guide = (ROOT / "linter" / "editor.md").read_text("utf-8")
    (line,) = re.findall(rf"^.*_UNDERFOOT_COMPLETE={shell}_source.*$", guide, re.MULTILINE)
    assert f"env _UNDERFOOT_COMPLETE={shell}_source underfoot" in line or shell != "fish"
    done = subprocess.run(
        [sys.executable, "-m", "underfoot"], capture_output=True, text=True, check=False,
        env={**os.environ, "_UNDERFOOT_COMPLETE": f"{shell}_source"}, timeout=60,
    )  # fmt: skip
    assert done.returncode == 0
    assert sign in done.stdout
    assert shutil.which(shell) is None or shell != "bash" or _completes(line)


def _completes(line: str) -> bool:
    """Set bash up as the guide says, with a stand-in for its line editor."""
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    asks = (
        f"{line}\nCOMP_WORDS=(underfoot check plans/h) COMP_CWORD=2\n"
        '_underfoot_completion underfoot\necho "${COMPREPLY[@]}"'
    )
    done = subprocess.run(
        ["bash", "-c", asks], capture_output=True, text=True, check=False, timeout=60,
        env={**os.environ, "PATH": path},
    )  # fmt: skip
    return done.stdout == "plans/hall.yaml\n"
