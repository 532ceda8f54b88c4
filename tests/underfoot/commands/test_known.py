"""`check --known`: only what is new or worse than an earlier report counts."""

import json
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import CRASHING, RIGHT, WRONG, plan, put
from underfoot.__main__ import main

pytestmark = pytest.mark.usefixtures("folder", "tiny")

HELD = "check plans --known old.json"


def before(*arguments: str) -> None:
    main(["check", "plans", "--format", "json", "--output", "old.json", *arguments])


def test_what_was_there_before_passes_and_is_shown(ask: Ask) -> None:
    put("plans/a.yaml", WRONG)
    before()
    out = ask(HELD).out
    assert "a.yaml:6:3  known error  " in out
    assert "REVISE AND RESUBMIT" in out
    assert "0 new, 0 worse, 1 known, 0 cleared" in out


def test_moved_lines_are_no_change(ask: Ask) -> None:
    put("plans/a.yaml", WRONG)
    before()
    put("plans/a.yaml", "# drawn anew\n\n\n" + WRONG)
    ask(HELD)


def test_worse_refuses_and_better_does_not(ask: Ask) -> None:
    put("plans/a.yaml", WRONG)  # 1900 mm, of 2000
    before()
    put("plans/a.yaml", plan(height="1890"))
    assert "Earlier worse: it was 1900 mm" in ask(HELD, status=1).out
    put("plans/a.yaml", plan(height="1910"))
    ask(HELD)
    put("plans/a.yaml", plan(height="2100"))  # now a warning
    ask(HELD, "--refuse-at", "warning")


def test_new_refuses(ask: Ask) -> None:
    put("plans/a.yaml", WRONG)
    before()
    put("plans/b.yaml", WRONG)
    assert "1 new, 0 worse, 1 known" in ask(HELD, status=1).out


def test_plans_gone_and_plans_left_out_are_said(ask: Ask) -> None:
    for name in "abc":
        put(f"plans/{name}.yaml", RIGHT)
    before()
    Path("plans/b.yaml").unlink()
    arguments = ["check", "plans/a.yaml", "--known", "old.json"]
    said = ask(*arguments, "--report", "json=new.json")
    assert "  1 plan no longer there:\n    plans/b.yaml\n" in said.out
    assert "  1 plan not checked this time:\n    plans/c.yaml\n" in said.out
    assert "against old.json: 0 new, 0 worse, 0 known, 0 cleared, 1 plan gone" in said.err
    earlier = json.loads(Path("new.json").read_text("utf-8"))["earlier"]
    assert (earlier["gone"], earlier["left_out"]) == (["plans/b.yaml"], ["plans/c.yaml"])


def test_what_cannot_be_checked_is_never_known(ask: Ask) -> None:
    put("plans/a.yaml", CRASHING)
    before()
    ask(HELD, status=2)


def test_the_earlier_report_may_be_replaced_by_the_new_one(ask: Ask) -> None:
    put("plans/a.yaml", WRONG)
    before()
    put("plans/b.yaml", WRONG)
    ask(HELD, "--report", "json=old.json", status=1)
    ask(HELD)


def test_paths_that_do_not_meet_are_pointed_out(ask: Ask, folder: Path) -> None:
    put("plans/a.yaml", WRONG)
    before()
    said = ask("check", str(folder / "plans"), "--known", "old.json", status=1).err
    assert "none of its plans is checked here" in said


@pytest.mark.parametrize(
    ("text", "says"),
    [(None, "No such file"), ("{", "it is not JSON"), ("{}", "it is no report")],
)
def test_what_is_no_report_is_one_line(ask: Ask, text: str | None, says: str) -> None:
    put("plans/a.yaml", RIGHT)
    if text is not None:
        put("old.json", text)
    said = ask(HELD, status=2)
    assert said.out == ""
    assert said.err.startswith("underfoot: --known old.json: ")
    assert said.err.count("\n") == 1
    assert says in said.err
