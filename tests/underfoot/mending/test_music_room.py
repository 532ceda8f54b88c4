"""A plan with six faults of six kinds is brought to "no objection" by mends alone."""

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.demo_plans import PLANS
from underfoot.commands.check import check
from underfoot.commands.mend import mend

# Every line that changes, and what a person would write there.
CHANGED = {
    "      A: {film: film-85, at: [40, 65], along: y, circuit: C1,":
        "      A: {film: film-85, at: [58, 65], along: y, circuit: C1,",
    "          lengths: [2660, 2660, 2660, 2660, 2660, 2560, 2660, 2660]}   # the sixth is off a "
    "cut line":
        "          lengths: [2660, 2660, 2660, 2660, 2660, 2660, 2660, 2660]}   # the sixth is off "
        "a cut line",
    "      perimeter_taped: false   # to be done":
        "      perimeter_taped: true   # to be done",
    "      floor_limit: 35 degC     # warmer than the laminate may get":
        "      floor_limit: 28 degC     # warmer than the laminate may get",
    "        recessed: false": "        recessed: true",
    "    rcd: 300 mA                # what was left in the van":
        "    rcd: 30 mA                # what was left in the van",
}  # fmt: skip


def test_mends_alone_bring_it_in_order_as_a_person_would(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("music-room.yaml", "catalogue.yaml"):
        shutil.copy(PLANS / name, tmp_path)
    before = (PLANS / "music-room.yaml").read_text("utf-8").splitlines()
    done = CliRunner().invoke(mend, ["music-room.yaml", "--all", "--write"], standalone_mode=False)
    assert done.return_value == 0, done.output
    after = (tmp_path / "music-room.yaml").read_text("utf-8").splitlines()
    assert after == [CHANGED.get(line, line) for line in before]
    assert sum(one != other for one, other in zip(before, after, strict=True)) == len(CHANGED)
    report = CliRunner().invoke(
        check, ["music-room.yaml", "--refuse-at", "note"], standalone_mode=False
    )
    assert report.return_value == 0
    assert "NO OBJECTION" in report.stdout
