"""What the guide says of a rule set of one's own is followed word for word."""

import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.process

PAGE = Path(__file__).parents[1] / "rules" / "own-rules.md"
BLOCK = re.compile(r"^(`{3,})(\w+)(?: (\S+))?\n(.*?)^\1$", re.MULTILINE | re.DOTALL)
INSTALL = "python -m pip install ."


def read_steps() -> list[tuple[str, str]]:
    """Return the blocks of the section in their order: a file's path, or '' for commands."""
    text = PAGE.read_text("utf-8")
    blocks = list(BLOCK.finditer(text, text.index("\n## A set of your own\n")))
    assert all((block[2] == "sh") == (block[3] is None) for block in blocks)
    return [(block[3] or "", block[4]) for block in blocks]


def build_wheel(project: Path, folder: Path) -> Path:
    """Build what pyproject.toml tells setuptools to, which is not there without a network."""
    told = tomllib.loads((project / "pyproject.toml").read_text("utf-8"))
    name, version = told["project"]["name"], told["project"]["version"]
    assert told["build-system"]["build-backend"] == "setuptools.build_meta"
    stem = f"{name.replace('-', '_')}-{version}"
    wheel = folder / f"{stem}-py3-none-any.whl"
    setup = told["tool"]["setuptools"]
    with zipfile.ZipFile(wheel, "w") as archive:
        for package in setup["packages"]:
            inside = project / package.replace(".", "/")
            for pattern in ("*.py", *setup["package-data"].get(package, ())):
                for file in sorted(inside.glob(pattern)):
                    archive.write(file, str(file.relative_to(project)))
        entries = [
            line
            for group, rows in told["project"]["entry-points"].items()
            for line in (f"[{group}]", *(f"{key} = {value}" for key, value in rows.items()))
        ]
        for file_name, text in {
            "METADATA": f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n",
            "WHEEL": "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
            "entry_points.txt": "\n".join(entries) + "\n",
            "RECORD": "",
        }.items():
            archive.writestr(f"{stem}.dist-info/{file_name}", text)
    return wheel


def run(command: str, folder: Path, site: Path) -> str:
    path = os.pathsep.join([str(site), os.environ.get("PYTHONPATH", "")])
    bin_path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    done = subprocess.run(
        ["sh", "-c", command],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": path, "PATH": bin_path, "NO_COLOR": "1"},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}{done.stderr}"
    return done.stdout


@pytest.mark.long
def test_a_package_of_ones_own_word_for_word(tmp_path: Path) -> None:
    work, site = tmp_path / "work", tmp_path / "site"
    work.mkdir()
    printed = {}
    for path, text in read_steps():
        if path:
            (work / path).parent.mkdir(parents=True, exist_ok=True)
            (work / path).write_text(text, "utf-8")
            continue
        for command in text.splitlines():
            asked = command
            if command == INSTALL:
                wheel = build_wheel(work, tmp_path)
                asked = (
                    "python -m pip install -q --no-index --no-deps --disable-pip-version-check "
                    f"--target {site} {wheel}"
                )
            printed[command] = run(asked, work, site)
    assert INSTALL in printed
    assert printed["python -m pytest -q tests"].splitlines()[-1].startswith("2 passed")
    shown = printed["python -m underfoot.testing house-drawn-by"]
    assert "items: [drawn_by], path: job}" in shown
    assert "could not be judged" not in shown
    assert "go to whoever drew" in printed["python -m underfoot why house-drawn-by"]
    checked = printed["python -m underfoot check plan.yaml"]
    assert "house-drawn-by" in checked
    assert "The plan does not say who drew it." in checked
    assert [name.name for name in (site / "house_rules").glob("*.md")] == ["house_drawn_by.md"]
