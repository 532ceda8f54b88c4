"""How much `underfoot check` tells: all of one plan, a line a finding of several, or less."""

from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import NOTED, RIGHT, UNDECIDED, UNREADABLE, WRONG, put
from underfoot.__main__ import main
from underfoot.checking.caution import CAUTION, CAUTION_IN_BRIEF
from underfoot.commands import on_terminal

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]
HEAD = "=" * 80


@pytest.fixture
def two() -> None:
    put("plans/a.yaml", WRONG)
    put("plans/b.yaml", RIGHT)


def written(capsys: Said, *arguments: str) -> str:
    main(["check", "--today", "2026-09-28", *arguments])
    return capsys.readouterr().out


def flat(text: str) -> str:
    return " ".join(text.split())


def test_several_plans_are_told_in_brief_and_one_in_full(two: None, capsys: Said) -> None:
    several = written(capsys, "plans")
    assert several.startswith(
        "plans/a.yaml  revise and resubmit: 1 error\n"
        "  1  6:3  error  room-height  Room hall is 1900 mm high, less than 2000 mm.\n"
        "1 plan with nothing to tell: plans/b.yaml\n"
    )
    assert flat(several).endswith(CAUTION_IN_BRIEF)
    one = written(capsys, "plans/a.yaml")
    assert one.startswith(HEAD)
    assert flat(one).endswith(CAUTION)


def test_the_detail_can_be_chosen(two: None, capsys: Said, ask: Ask) -> None:
    full = written(capsys, "plans", "--detail", "full")
    assert full.count(HEAD) == 3
    assert "2 PLANS\n" in full
    assert written(capsys, "plans", "--detail", "brief") == written(capsys, "plans")
    brief = written(capsys, "plans/a.yaml", "--detail", "brief")
    assert brief.startswith("plans/a.yaml  revise")
    main(["check", "plans", "--format", "json", "--report", "text=out.txt", "--detail", "full"])
    assert Path("out.txt").read_text("utf-8").count(HEAD) == 3
    said = ask("check plans --format json --detail full", status=2).err
    assert "--detail is about the text" in said


def test_quiet_is_silent_where_nothing_is_refused(capsys: Said, ask: Ask) -> None:
    put("plans/a.yaml", NOTED)
    put("plans/b.yaml", UNDECIDED)
    for form in ("text", "lines"):
        assert main(["check", "plans", "--quiet", "--format", form]) == 0
        assert main(["check", "plans/a.yaml", "-q", "--report", "sarif=a.sarif"]) == 0
        said = capsys.readouterr()
        assert (said.out, said.err) == ("", "")
    told = ask("check plans -q --refuse-at unjudged", status=1).out
    assert "not judged: 1 may be an error (room-height)" in told


def test_quiet_tells_what_is_refused_and_no_more(two: None, capsys: Said, ask: Ask) -> None:
    put("plans/c.yaml", UNREADABLE)
    said = ask("check plans gone.yaml --quiet", status=2)
    assert said.err == "underfoot: gone.yaml: there is no such file or folder\n"
    assert "1  6:3  error  room-height" in said.out
    assert "1  8:5  error  unreadable" in said.out
    assert "b.yaml" not in said.out
    assert "PLANS" not in said.out
    assert flat(said.out).endswith(CAUTION_IN_BRIEF)
    rows = written(capsys, "plans", "--quiet", "--format", "lines").splitlines()
    assert [row.partition(": ")[0] for row in rows] == ["plans/a.yaml:6:3", "plans/c.yaml:8:5"]


def test_quiet_in_full_does_not_count_what_it_leaves_out(two: None, capsys: Said) -> None:
    whole = written(capsys, "plans/a.yaml", "--report", "text=whole.txt")
    quiet = written(capsys, "plans/a.yaml", "-q", "--detail", "full", "--report", "text=beside.txt")
    assert quiet.startswith(HEAD)
    assert "CHECKED  " in whole
    assert "CHECKED  " not in quiet
    # What is written beside it is as whole as ever, and as full.
    written(capsys, "plans/a.yaml", "-q", "--report", "text=beside.txt")
    beside = Path("beside.txt").read_text("utf-8")
    assert beside == Path("whole.txt").read_text("utf-8") == whole


def test_quiet_keeps_to_the_width_of_a_terminal(
    two: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(on_terminal, "width_out", lambda widest=100: min(widest, 40))
    said = written(capsys, "plans/a.yaml", "-q", "--rule", "room-height")
    not_all, _, caution = said.partition("CAUTION  ")
    assert flat(not_all).endswith("was asked: room-height. No whole check.")
    assert "ONLY" not in written(capsys, "plans/a.yaml", "-q")
    assert flat(caution) == CAUTION_IN_BRIEF
    assert max(map(len, caution.splitlines())) <= 40


def test_quiet_is_for_what_is_read_line_by_line(two: None, ask: Ask) -> None:
    said = ask("check plans --quiet --format json", status=2).err
    assert "--quiet is for text and lines, not for json" in said
