"""The guide from an empty room to a plan that passes is followed word for word."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.demo_plans import TODAY
from tests.guides import GUIDE_PICTURE, ROOT, draw_guide, read_guide_steps, write_lines
from underfoot.commands.group import underfoot

pytestmark = pytest.mark.process


def test_the_guide_leads_to_a_plan_that_passes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / "plans" / "catalogue.yaml", tmp_path)
    told: dict[str, str] = {}
    verdicts = []
    for name, text in read_guide_steps():
        if name:
            write_lines(Path(name), text)
            continue
        for line in text.splitlines():
            program, *arguments = shlex.split(line)
            assert program == "underfoot"
            done = CliRunner().invoke(underfoot, arguments, standalone_mode=False)
            assert done.return_value == 0, (line, done.output, done.exception)
            told[arguments[0]] = done.output
            if arguments[0] in ("check", "lay", "mend"):
                report = CliRunner().invoke(
                    underfoot, ["check", "den.yaml", "--refuse-at", "warning"],
                    standalone_mode=False,
                )  # fmt: skip
                verdicts.append(report.return_value)
    assert verdicts == [0, 0, 0]
    assert "NO OBJECTION" in told["check"]
    assert "size: [2300, 600]" in Path("den.yaml").read_text("utf-8")
    assert "A1" in Path("den.html").read_text("utf-8")
    assert Path("den.svg").stat().st_size > 10_000


def test_what_changes_is_found_before_it_is_mended(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / "plans" / "catalogue.yaml", tmp_path)
    for name, text in read_guide_steps():
        if name:
            write_lines(Path(name), text)
        elif " mend " in text:
            break
        else:
            CliRunner().invoke(underfoot, shlex.split(text)[1:], standalone_mode=False)
    done = CliRunner().invoke(underfoot, ["check", "den.yaml"], standalone_mode=False)
    assert done.return_value == 1
    assert re.search(r"ERROR +A\d, wardrobe +fixture-clearance", done.output)


def test_its_picture_is_fresh() -> None:
    assert GUIDE_PICTURE.read_text("utf-8") == draw_guide(TODAY), (
        "python -m tests.guides draws it anew"
    )
