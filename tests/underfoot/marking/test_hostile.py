"""What hostile submissions can do: nothing to anybody else's mark, nor outside their folder."""

import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.underfoot.marking.demo import FOLDER, demo_desk
from underfoot.marking import isolation
from underfoot.marking.isolation import judge_apart
from underfoot.marking.judging import Attempt, Desk
from underfoot.marking.submissions import Handed, list_submissions
from underfoot.running import limits, pool

pytestmark = pytest.mark.process

First = Callable[[Callable[[str], object]], None]
PERFECT = FOLDER / "submissions" / "apprentice-01.yaml"


@pytest.fixture
def handed_in(tmp_path: Path) -> Path:
    folder = tmp_path / "class" / "submissions"
    folder.mkdir(parents=True)
    for name in ("aaa", "zzz"):
        shutil.copy(PERFECT, folder / f"{name}.yaml")
    return folder


def judged(folder: Path, seconds: float | None = None, jobs: int = 1) -> dict[str, Attempt]:
    handed_in = list_submissions(folder).attempts
    attempts = judge_apart(handed_in, demo_desk(), seconds, jobs=jobs)
    return {one.name: one for one in attempts}


@pytest.fixture
def first(monkeypatch: pytest.MonkeyPatch) -> First:
    """Have something done, told the name of the attempt, before each attempt is judged."""
    real = isolation.judge_attempt

    def do_first(do: Callable[[str], object]) -> None:
        def judge(handed: Handed, desk: Desk) -> Attempt:
            do(handed.name)
            return real(handed, desk)

        monkeypatch.setattr(isolation, "judge_attempt", judge)

    return do_first


def hold_others(marks: dict[str, Attempt]) -> None:
    assert float(marks["aaa"].earned) == float(marks["zzz"].earned) == 70


def why(attempt: Attempt) -> str:
    assert not attempt.is_read
    assert float(attempt.earned) == 2
    return attempt.report.problems[0].message


def test_a_file_of_50_mib_is_not_read(handed_in: Path) -> None:
    with open(handed_in / "long.yaml", "wb") as stream:
        stream.write(b"plan_format: 1\n")
        stream.truncate(50 * 2**20)
    begun = time.monotonic()
    marks = judged(handed_in)
    hold_others(marks)
    assert "52.4 MB" in why(marks["long"])
    assert time.monotonic() - begun < 30


def test_bombs(handed_in: Path) -> None:
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    for before, name in zip("abcdef", "bcdefg", strict=True):
        lines.append(f"{name}: &{name} [{', '.join(['*' + before] * 9)}]")
    (handed_in / "aliases.yaml").write_text("\n".join(lines), "utf-8")
    (handed_in / "deep.yaml").write_text("[" * 100_000, "utf-8")
    (handed_in / "wide.yaml").write_text("plan_format: 1\nx: [" + "1," * 400_000 + "]", "utf-8")
    (handed_in / "bytes.yaml").write_bytes(bytes(range(256)) * 10)
    marks = judged(handed_in)
    hold_others(marks)
    for name in ("aliases", "deep", "wide", "bytes"):
        assert why(marks[name])


@pytest.mark.parametrize("jobs", [1, 3])
def test_one_that_takes_too_long_is_stopped(handed_in: Path, first: First, jobs: int) -> None:
    def work(name: str) -> None:
        while name == "slow":
            pass

    first(work)
    shutil.copy(PERFECT, handed_in / "slow.yaml")
    marks = judged(handed_in, 2, jobs)
    assert list(marks) == ["aaa", "slow", "zzz"]
    hold_others(marks)
    assert "took more than 2 s of processor time" in why(marks["slow"])


def test_one_that_waits_for_ever_is_stopped_by_the_clock(
    handed_in: Path, first: First, monkeypatch: pytest.MonkeyPatch
) -> None:
    first(lambda name: time.sleep(600 if name == "asleep" else 0))
    monkeypatch.setattr(limits, "PATIENCE", 2)
    monkeypatch.setattr(pool, "_GRACE_SECONDS", 0.3)
    shutil.copy(PERFECT, handed_in / "asleep.yaml")
    begun = time.monotonic()
    marks = judged(handed_in, 3, 2)
    hold_others(marks)
    assert "was stopped" in why(marks["asleep"])
    assert 6 <= time.monotonic() - begun < 60


def test_time_spent_waiting_is_no_processor_time(handed_in: Path, first: First) -> None:
    first(lambda name: time.sleep(4 if name == "aaa" else 0))
    hold_others(judged(handed_in, 3, 2))


def test_one_that_takes_too_much_memory_or_kills_its_process_is_stopped(
    handed_in: Path, first: First
) -> None:
    def take(name: str) -> object:
        if name == "dying":
            os._exit(9)
        return name == "greedy" and b"x" * 8_000_000_000

    first(take)
    for name in ("greedy", "dying"):
        shutil.copy(PERFECT, handed_in / f"{name}.yaml")
    marks = judged(handed_in)
    hold_others(marks)
    assert why(marks["greedy"]) == (
        "judging it took more memory than a plan for this brief needs: it was stopped"
    )
    assert why(marks["dying"]).startswith(
        "the process that judged it ended with status 9, twice: it takes more memory than it may,"
    )


def test_links_are_not_followed(handed_in: Path) -> None:
    secret = handed_in.parent.parent / "secret.yaml"
    secret.write_text("secret: 1\n", "utf-8")
    (handed_in / "link.yaml").symlink_to(secret)
    (handed_in / "to-a-friend.yaml").symlink_to(handed_in / "aaa.yaml")
    (handed_in / "folder").symlink_to(handed_in.parent.parent)
    inside = handed_in / "inside"
    inside.mkdir()
    (inside / "plan.yaml").symlink_to(secret)
    marks = judged(handed_in)
    hold_others(marks)
    for name in ("link", "to-a-friend", "folder", "inside"):
        said = why(marks[name])
        assert "links are not followed" in said
        assert "secret" not in said


def test_a_pipe_is_not_waited_for(handed_in: Path) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("no pipes here")
    os.mkfifo(handed_in / "pipe.yaml")
    marks = judged(handed_in)
    hold_others(marks)
    assert "no file that can be read" in why(marks["pipe"])


@pytest.mark.parametrize(
    "catalogue", ["../../../secret.yaml", "../aaa.yaml", "link.yaml", "/etc/hostname"]
)
def test_no_catalogue_outside_the_folder_is_read(handed_in: Path, catalogue: str) -> None:
    secret = handed_in.parent.parent / "secret.yaml"
    secret.write_text("catalogue_format: 1\nthe_word: swordfish\n", "utf-8")
    text = PERFECT.read_text("utf-8")
    text = text.replace("materials:\n", f"catalogue: {catalogue}\nmaterials:\n")
    own = handed_in / "own"
    own.mkdir()
    (own / "plan.yaml").write_text(text, "utf-8")
    (own / "link.yaml").symlink_to(secret)
    (handed_in / "alone.yaml").write_text(text, "utf-8")
    attempts = [one for one in list_submissions(handed_in).attempts if one.name != "own"]
    plan = Handed(name="own", attempt=1, shown="own/plan.yaml", place=own / "plan.yaml", folder=own)
    marks = {one.name: one for one in judge_apart([*attempts, plan], demo_desk())}
    hold_others(marks)
    # Its own materials stand in the plan as well, so that it can be judged without the catalogue.
    for name, said in (("own", "lies outside"), ("alone", "hand in a folder")):
        assert said in marks[name].report.problems[0].message
        assert marks[name].is_read
    assert "swordfish" not in str(marks)


def test_a_catalogue_in_ones_own_folder_is_read(handed_in: Path) -> None:
    text = PERFECT.read_text("utf-8")
    begin, end = text.index("materials:\n"), text.index("supply:\n")
    own = handed_in / "own"
    own.mkdir()
    (own / "catalogue.yaml").write_text("catalogue_format: 1\n" + text[begin:end], "utf-8")
    (own / "plan.yaml").write_text(
        text[:begin] + "catalogue: catalogue.yaml\nmaterials: {}\n" + text[end:], "utf-8"
    )
    assert float(judged(handed_in)["own"].earned) == 70
