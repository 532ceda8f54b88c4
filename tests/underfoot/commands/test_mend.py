"""`underfoot mend`, run through its own front door."""

import os
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.underfoot.asking import Ask
from tests.underfoot.mending.test_offering import PLAN
from tests.underfoot.mending.tiny_menders import MENDING
from underfoot.__main__ import main
from underfoot.api.rules import Mender, Proposal, ToMend
from underfoot.checking.mend import Propose
from underfoot.commands import mend as mend_command
from underfoot.running import checking

pytestmark = pytest.mark.usefixtures("folder", "mending")


def endless(found: ToMend) -> Iterator[Proposal]:
    """Never come to an end."""
    while True:
        pass
    yield


def greedy(found: ToMend) -> Iterator[Proposal]:
    """Ask for more memory than there may be, at once: no slow machine runs out of time first."""
    bytearray(2_000_000_000)
    yield


Said = pytest.CaptureFixture[str]
WRITTEN = PLAN.replace("1950", "2200").replace("2100", "2200").replace(
    "title: hall", 'title: hall, date: "2026-09-14"'
)  # fmt: skip


@pytest.fixture
def mending(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the commands find the tiny rule set with its menders."""
    monkeypatch.setattr(checking, "installed_rule_sets", lambda: (MENDING,))
    put_plan()


def put_plan(text: str = PLAN) -> None:
    Path("hall.yaml").write_bytes(text.encode())


def now() -> str:
    return Path("hall.yaml").read_bytes().decode()


def test_a_difference_is_shown_and_nothing_written(ask: Ask) -> None:
    said = ask("mend hall.yaml")
    assert now() == PLAN
    assert said.out.startswith(
        """\
 1  ERROR  hall                                                      room-height
    Room hall is 1950 mm high, less than 2000 mm.
    Mend    Build it 2200.0 high.

 2  WARNING  attic                                                   room-height
    Room attic is 2100 mm high, less than 2200 mm.
    Mend    Build it 2200.0 high.

 3  NOTE  date                                                          job-date
    The plan has no date.
    Mend    Date it.

--- hall.yaml
+++ hall.yaml
@@ -1,7 +1,7 @@
 plan_format: 1
-job: {title: hall}
+job: {title: hall, date: "2026-09-14"}
 materials: {}
 supply: {voltage: 230 V}
 rooms:
-  hall: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 1950}  # as built
-  attic: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 2100}
+  hall: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 2200}  # as built
+  attic: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 2200}

AS MENDED
NO OBJECTION"""
    )
    assert "certifies nothing" in said.out
    assert said.err == "underfoot: nothing is written: --write does it\n"


@pytest.mark.process
def test_the_difference_can_be_applied(ask: Ask) -> None:
    shown = ask("mend hall.yaml").out
    try:
        subprocess.run(["patch", "-p0"], input=shown, text=True, check=True, capture_output=True)
    except FileNotFoundError:
        pytest.skip("the program patch is not here")
    assert now() == WRITTEN


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_it_is_written_whole(ends: str, capsys: Said, ask: Ask) -> None:
    put_plan("\ufeff" + PLAN.replace("\n", ends))
    os.chmod("hall.yaml", 0o640)
    assert main(["mend", "hall.yaml", "--write"]) == 0
    assert now() == "\ufeff" + WRITTEN.replace("\n", ends)
    assert os.stat("hall.yaml").st_mode & 0o777 == 0o640
    assert os.listdir() == ["hall.yaml"]
    assert capsys.readouterr().err == "underfoot: hall.yaml: 3 findings mended, and written\n"
    said = ask("mend hall.yaml --write")
    assert said.out.startswith("NO OBJECTION")
    assert said.err == ""


def test_numbers_choose(capsys: Said) -> None:
    assert main(["mend", "hall.yaml", "3", "--write"]) == 0
    assert now() == PLAN.replace("title: hall", 'title: hall, date: "2026-09-14"')
    assert "LEFT" not in capsys.readouterr().out


def test_what_is_left_is_told_with_why(ask: Ask) -> None:
    put_plan(PLAN.replace("title: hall", "title: hall, reference: left alone"))
    said = ask("mend hall.yaml --all --write").out
    assert "LEFT  1 finding\n\n 3  NOTE  date  " in said
    assert "Mend    None: what was tried brings another finding (room-height).\n" in said
    assert "To do   Date it." in said
    assert now().count("2200") == 2


def test_the_status_says_what_is_left(capsys: Said) -> None:
    put_plan(PLAN.replace("title: hall", "title: hall, reference: left alone"))
    assert main(["mend", "hall.yaml", "--refuse-at", "note"]) == 1
    assert main(["mend", "hall.yaml", "--refuse-at", "warning"]) == 0
    assert main(["mend", "hall.yaml", "1", "2"]) == 0
    assert main(["mend", "hall.yaml", "1", "3"]) == 1


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["hall.yaml", "4"], "there is no finding 4; the plan has 3"),
        (["hall.yaml", "1", "--all"], "leave the numbers out"),
        (["-"], "a plan is mended in its file"),
        (["."], "this is a folder"),
        (["gone.yaml"], "gone.yaml"),
        (["underfoot.yaml"], "this is no plan: settings"),
    ],
)
def test_misuse(arguments: list[str], said: str, ask: Ask) -> None:
    Path("underfoot.yaml").write_text("settings_format: 1\n")
    assert said in ask("mend", *arguments, status=2).err
    assert now() == PLAN


def test_what_is_waived_stays(ask: Ask) -> None:
    waiver = "waivers:\n  - {rule: room-height, item: hall, reason: x, agreed_by: owner}\n"
    put_plan(PLAN + waiver)
    ask("mend hall.yaml --write")
    assert "height: 1950" in now()
    assert "finding 1 is waived" in ask("mend hall.yaml 1", status=2).err


def test_what_is_not_read_is_told(ask: Ask) -> None:
    put_plan(PLAN.replace("height: 1950", "hieght: 1950"))
    assert "hall.yaml:6:" in ask("mend hall.yaml --write", status=2).err
    put_plan(PLAN.replace("title: hall", "title: crash"))
    assert "the rule job-title crashed" in ask("mend hall.yaml --write", status=2).err
    Path("underfoot.yaml").write_text("settings_format: 2\n")
    put_plan()
    assert "underfoot.yaml:1" in ask("mend hall.yaml", status=2).err


def test_the_settings_count(capsys: Said) -> None:
    Path("house.yaml").write_text(
        "settings_format: 1\nlimits:\n  room-height: {planned: 2400, because: the house}\n"
    )
    assert main(["mend", "hall.yaml", "1", "--settings", "house.yaml", "--write"]) == 0
    assert "height: 2500" in now()


def test_a_plan_that_changed_meanwhile_is_not_written(
    monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    real = mend_command.mend_in_turn

    def save_meanwhile(*args: object, **named: object) -> object:
        put_plan(PLAN + "# saved meanwhile\n")
        return real(*args, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(mend_command, "mend_in_turn", save_meanwhile)
    assert "has changed meanwhile" in ask("mend hall.yaml --write", status=2).err
    assert now() == PLAN + "# saved meanwhile\n"
    assert os.listdir() == ["hall.yaml"]


def test_what_must_not_be_written_is_not(tmp_path: Path, ask: Ask) -> None:
    os.chmod("hall.yaml", 0o444)
    assert "hall.yaml is read-only" in ask("mend hall.yaml --write", status=2).err
    os.chmod("hall.yaml", 0o644)
    Path("work").mkdir()
    os.symlink("../hall.yaml", "work/link.yaml")
    assert "is a link that leads out of" in ask("mend work/link.yaml --write", status=2).err
    assert now() == PLAN
    ask("mend work/link.yaml --root . --write")
    assert now() == WRITTEN
    assert os.path.islink("work/link.yaml")
    os.mkfifo("pipe.yaml")
    assert "no file that could be written" in ask("mend pipe.yaml --write", status=2).err


def test_nothing_in_a_plan_is_a_command_or_hidden(ask: Ask) -> None:
    put_plan(PLAN.replace("# as built", "# ::error:: \u202e ##[x]") + "  # ::stop-commands::x\n")
    said = ask("mend hall.yaml").out
    assert "\u202e" not in said
    assert "\\u202e" in said
    assert "##[" not in said
    assert not [line for line in said.splitlines() if line.lstrip(" +-").startswith("::")] or (
        "\\::" in said
    )


def test_check_offers_them_where_it_is_asked(ask: Ask) -> None:
    assert '"mends"' not in ask("check hall.yaml --format json", status=1).out
    (plan,) = ask("check hall.yaml --format json --mends", status=1).data["plans"]
    assert [len(each["mends"]) for each in plan["findings"]] == [1, 1, 1]
    (plan,) = ask("check hall.yaml --format json --mends --rule job-date", status=None).data[
        "plans"
    ]
    assert [len(each["mends"]) for each in plan["findings"]] == [1]


@pytest.mark.process
@pytest.mark.parametrize("propose", [endless, greedy], ids=lambda each: each.__name__)
def test_what_looks_for_mends_costs_no_more_than_a_plan_may(
    propose: Propose, monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    mender = Mender(rule="job-date", propose=propose)
    sets = (replace(MENDING, gather_menders=lambda: (mender,)),)
    monkeypatch.setattr(checking, "installed_rule_sets", lambda: sets)
    said = " ".join(ask("check hall.yaml --mends --plan-seconds 1", status=2).out.split())
    if propose is endless:
        assert "took longer than 1 s and was given up: divide the plan, leave --mends out" in said
    else:
        assert "needed more memory than" in said
