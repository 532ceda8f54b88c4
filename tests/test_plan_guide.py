"""The guide from an empty room to a plan that passes is followed word for word."""

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.demo_plans import TODAY
from tests.guides import GUIDE, ROOT, draw_guide, read_guide_steps, write_into
from underfoot.commands.group import underfoot

pytestmark = pytest.mark.process


def test_the_guide_leads_to_a_plan_that_passes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / "plans" / "catalogue.yaml", tmp_path)
    told: dict[str, str] = {}
    verdicts = []
    for step in read_guide_steps():
        if step.file:
            write_into(Path(step.file), step.text)
        for line in () if step.file else step.text.splitlines():
            program, *arguments = shlex.split(line)
            assert program == "underfoot"
            done = CliRunner().invoke(underfoot, arguments, standalone_mode=False)
            assert done.return_value == 0, (line, done.output, done.exception)
            told[arguments[0]] = done.output
            if arguments[0] in ("check", "lay", "mend") or "--readings" in arguments:
                report = CliRunner().invoke(
                    underfoot, ["check", "den.yaml", "--refuse-at", "warning"],
                    standalone_mode=False,
                )  # fmt: skip
                verdicts.append(report.return_value)
    assert verdicts == [0, 0, 0, 0]
    assert "NO OBJECTION" in told["check"]
    assert "size: [2300, 600]" in Path("den.yaml").read_text("utf-8")
    assert "A1" in Path("den.html").read_text("utf-8")
    assert "strips: {A1: 573 ohm, A2: 574 ohm," in Path("den.yaml").read_text("utf-8")
    assert "certif" in told["schedule"]
    assert Path("den.svg").stat().st_size > 10_000


def test_what_changes_is_found_before_it_is_mended(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / "plans" / "catalogue.yaml", tmp_path)
    for step in read_guide_steps():
        if step.file:
            write_into(Path(step.file), step.text)
        elif " mend " in step.text:
            break
        elif step.text:
            CliRunner().invoke(underfoot, shlex.split(step.text)[1:], standalone_mode=False)
    done = CliRunner().invoke(underfoot, ["check", "den.yaml"], standalone_mode=False)
    assert done.return_value == 1
    assert re.search(r"ERROR +A\d, wardrobe +fixture-clearance", done.output)


def test_its_pictures_are_fresh() -> None:
    drawn = draw_guide(TODAY)
    assert len(drawn) == 4
    for name, picture in drawn.items():
        kept = (GUIDE.parent / name).read_text("utf-8")
        assert kept == picture, "python -m tests.guides draws it anew"
