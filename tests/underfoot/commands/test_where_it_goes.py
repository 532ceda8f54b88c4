"""A text on a terminal has its width and colour; one that goes into a file has neither."""

from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import WRONG, plan, put

pytestmark = pytest.mark.usefixtures("folder", "tiny")
WIDE = 150


@pytest.mark.parametrize("detail", ["full", "brief"])
def test_a_file_is_plain_and_80_wide_whatever_the_terminal_is(
    ask: Ask, monkeypatch: pytest.MonkeyPatch, detail: str
) -> None:
    put("a.yaml", WRONG)
    monkeypatch.setenv("COLUMNS", str(WIDE))
    monkeypatch.setenv("FORCE_COLOR", "1")
    shown = ask(f"check a.yaml --detail {detail}", status=1).out
    ask(f"check a.yaml --detail {detail} --output a.txt", status=1)
    written = Path("a.txt").read_text("utf-8")
    assert "\x1b[" in shown
    assert "\x1b" not in written
    assert max(map(len, written.splitlines())) <= 80


def test_a_crashed_rule_ends_laying_with_2_and_its_name(ask: Ask) -> None:
    put("a.yaml", plan(title="crash"))
    before = Path("a.yaml").read_bytes()
    assert (
        "a fault of the tool: the rule job-title crashed" in ask("lay a.yaml --write", status=2).err
    )
    assert Path("a.yaml").read_bytes() == before
