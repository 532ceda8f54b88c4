"""A plan with a dozen faults is brought to "no objection" by mends alone, line by line."""

import difflib
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from underfoot.mending import trial

BEDROOM = Path(__file__).parents[3] / "plans/bedroom.yaml"
# What was right, what is wrong, and what a mend makes of it where that is not as it was.
FAULTS = [
    ("joints_taped: true", "joints_taped: false", None),
    ("at: [60, 60], along: y", "at: [30, 60], along: y", "at: [58, 60], along: y"),
    ("lengths: [2250, 2250", "lengths: [2300, 2250", None),
    ("overlaps_taped: true", "overlaps_taped: false", None),
    ("floor_limit: 27 degC", "floor_limit: 35 degC", None),
    ("cable: 3 m", "cable: 1 m", "cable: 2.5 m"),
    ("rcd: 30 mA", "rcd: 100 mA", None),
    ("busbars: down\n  elements", "busbars: up\n  elements", None),
    ("elements_taped: true", "elements_taped: false", None),
    ("conduit_closed: true", "conduit_closed: false", None),
]


def _write_faulty() -> tuple[str, str]:
    """Write the faulty plan; give it, and what it is when mended."""
    faulty = mended = BEDROOM.read_text("utf-8")
    for right, wrong, becomes in FAULTS:
        assert faulty.count(right) == 1
        faulty = faulty.replace(right, wrong)
        mended = mended.replace(right, becomes or right)
    Path("bedroom.yaml").write_text(faulty, "utf-8")
    return faulty, mended


@pytest.mark.slow
def test_it_is_brought_to_no_objection(folder: Path, ask: Ask) -> None:
    faulty, mended = _write_faulty()
    ask("check bedroom.yaml --today 2026-10-01", status=1)
    said = ask("mend bedroom.yaml --all --write --today 2026-10-01").out
    assert "LEFT" not in said
    assert Path("bedroom.yaml").read_text("utf-8") == mended
    lines = difflib.ndiff(faulty.splitlines(), mended.splitlines())
    assert len([line for line in lines if line.startswith("+ ")]) == len(FAULTS)
    assert "NO OBJECTION –" in ask("check bedroom.yaml --today 2026-10-01").out


def test_few_plans_are_tried_for_ten_findings(
    folder: Path, monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    # What answers in 300 ms: a trial takes about as long as a check does, some 10 ms.
    tried = Path("tried")
    real = trial.run

    def count(*args: object, **named: object) -> object:
        with tried.open("a") as stream:
            stream.write("x")
        return real(*args, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(trial, "run", count)
    _write_faulty()
    said = ask("check bedroom.yaml --mends --format json --today 2026-10-01", status=1).out
    assert said.count('"says"') >= 10
    assert 10 <= len(tried.read_text()) <= 20
