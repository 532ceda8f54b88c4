"""A hostile list of answers costs nobody else a mark."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.underfoot.marking.test_answer_class import KEY
from underfoot.marking import isolation
from underfoot.marking.answer_judging import AnswerMarks
from underfoot.marking.isolation import mark_lists_apart
from underfoot.marking.submissions import Handed
from underfoot.running import limits

LIST = "answers_format: 1\nfaults: [{kind: rcd, item: C1}]\n"
NAMES = ("ada", "odd", "zoe")


def marked(folder: Path, text: str = LIST) -> dict[str, AnswerMarks]:
    lists = []
    for name in NAMES:
        place = folder / f"{name}.yaml"
        place.write_text(text if name == "odd" else LIST, "utf-8")
        lists.append(Handed(name=name, attempt=1, shown=place.name, place=place))
    made = list(mark_lists_apart(lists, KEY, {"rcd"}))
    assert [one.name for one in made] == list(NAMES)
    return {one.name: one for one in made}


def why(marks: dict[str, AnswerMarks]) -> str:
    """What is said of the odd list; the others have their marks."""
    for name in ("ada", "zoe"):
        assert marks[name].is_read
        assert marks[name].earned == 2
        assert marks[name].state_of(KEY.faults[1]) is not None
    assert not marks["odd"].is_read
    assert marks["odd"].earned == 0
    (problem,) = marks["odd"].problems
    assert problem.file == "odd.yaml"
    return problem.message


@pytest.fixture
def let_odd(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[[], Any]], None]:
    """Let something happen while the odd list is read."""
    real = isolation.read_handed

    def put(deed: Callable[[], Any]) -> None:
        def read(handed: Handed) -> bytes:
            if handed.name == "odd":
                deed()
            return real(handed)

        monkeypatch.setattr(isolation, "read_handed", read)

    return put


def test_lists_are_marked_in_order(tmp_path: Path) -> None:
    assert all(one.is_read and one.earned == 2 for one in marked(tmp_path).values())


def test_one_that_cannot_be_read(tmp_path: Path) -> None:
    assert "faults" in why(marked(tmp_path, "answers_format: 1\nfaults: 5\n"))


def test_one_that_takes_too_long(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, let_odd: Any
) -> None:
    def loop() -> None:
        while True:
            pass

    monkeypatch.setattr(limits, "PART_SECONDS", 1.0)
    let_odd(loop)
    assert "took more than 1 s of processor time" in why(marked(tmp_path))


def test_one_that_takes_too_much_memory(tmp_path: Path, let_odd: Any) -> None:
    let_odd(lambda: len(b"x" * 8_000_000_000))
    assert why(marked(tmp_path)) == (
        "marking it took more memory than a list of answers needs: it was stopped"
    )


def test_one_that_ends_its_process(tmp_path: Path, let_odd: Any) -> None:
    let_odd(lambda: os._exit(9))
    assert why(marked(tmp_path)).startswith(
        "the process that judged it ended with status 9, twice: it takes more memory than it may,"
    )


def test_a_fault_of_the_tool(tmp_path: Path, let_odd: Any) -> None:
    let_odd(lambda: [][0])
    said = why(marked(tmp_path))
    assert "a fault of the tool, not of what was handed in" in said
    assert "IndexError" in said


def test_one_that_is_gone(tmp_path: Path, let_odd: Any) -> None:
    let_odd((tmp_path / "odd.yaml").unlink)
    (tmp_path / "odd.yaml").touch()
    assert why(marked(tmp_path)) == "the file cannot be read: No such file or directory"
