"""What a rule does with the payload of its subjects is seen by mypy, before any plan is checked."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

# The strict reading of the whole engine: too long for the everyday run.
pytestmark = pytest.mark.long
ROOT = Path(__file__).parents[3]

RULE = """
from collections.abc import Iterator
from underfoot.api.facts import CircuitFacts, Facts, RoomFacts
from underfoot.api.rules import Basis, Finding, Limits, Rule, Subject, Subjects


def rooms(facts: Facts) -> Iterator[Subject[RoomFacts]]:
    for room in facts.heated_rooms:
        yield Subject(room=room.id, items=(), path=room.path, payload=room)


def indexed(facts: Facts) -> Subjects[RoomFacts]:
    return Subjects(candidates=facts.room_subjects, total=1)


{more}


RULE = Rule(
    id="house", topic="house", severities=("note",), finds="a", why="b", unit=None,
    basis=Basis(kind="own default", text="ours"), subjects={subjects}, check=check, module=__name__,
)
"""
CHECK = """
def check(subject: Subject[{payload}], facts: Facts, limits: Limits) -> Finding | None:
    return Finding(message="a", remedy=str({use})) if facts.elements else None
"""
# Name, source of subjects, payload that `check` takes, what it does with it, what mypy says.
CASES = [
    ("right", "rooms", "RoomFacts", "subject.payload.id", ""),
    ("right_indexed", "indexed", "RoomFacts", "subject.payload.sheets", ""),
    ("right_wider", "rooms", "RoomFacts | None", "subject.payload", ""),
    ("right_shared", "lambda facts: facts.room_subjects", "RoomFacts", "subject.payload.id", ""),
    ("unknown", "rooms", "RoomFacts", "subject.payload.heigth", '"RoomFacts" has no attribute'),
    ("maybe_none", "rooms", "RoomFacts", "subject.payload.drawn.sensor.at", 'Item "None" of'),
    ("other", "rooms", "CircuitFacts", "subject.payload.id", "Cannot infer value of type param"),
    ("other_indexed", "indexed", "str", "subject.payload", "Cannot infer value of type param"),
    ("other_shared", "lambda facts: facts.lead_subjects", "RoomFacts", "subject.payload.id",
     "Cannot infer value of type param"),
    ("narrower", "lambda facts: [Subject(room=None, items=(), path='rooms', payload=None)]",
     "RoomFacts",
     "subject.payload.id", "Cannot infer value of type param"),
    ("left_out", "lambda facts: [Subject(room=None, items=(), path='rooms')]", "RoomFacts",
     "subject.payload.id", "Cannot infer value of type param"),
    ("bare", "rooms", "", "subject.payload", "Missing type arguments"),
]  # fmt: skip


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """What mypy says of each, by its name: all are read in one run."""
    pytest.importorskip("mypy", reason="belongs to the extra `lint`")
    folder = tmp_path_factory.mktemp("typed")
    for name, subjects, payload, use, _ in CASES:
        check = CHECK.format(payload=payload, use=use).replace("Subject[]", "Subject")
        (folder / f"{name}.py").write_text(RULE.format(more=check, subjects=subjects))
    ran = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--no-error-summary", "--hide-error-context",
         f"--cache-dir={folder / 'cache'}", "--ignore-missing-imports", "."],
        cwd=folder, capture_output=True, text=True, timeout=600,
        env={**os.environ, "MYPYPATH": f"{ROOT / 'linter'}{os.pathsep}{ROOT / 'rules'}"},
    )  # fmt: skip
    assert ran.returncode in (0, 1), ran.stderr
    found: dict[str, list[str]] = {name: [] for name, *_ in CASES}
    for line in ran.stdout.splitlines():
        match = re.match(r"(\w+)\.py:\d+: error: (.*)", line)
        if match:
            found[match[1]].append(match[2])
    return found


@pytest.mark.parametrize(("name", "expected"), [(case[0], case[4]) for case in CASES])
def test_a_payload_used_wrongly_is_refused(
    name: str, expected: str, said: dict[str, list[str]]
) -> None:
    if not expected:
        assert said[name] == []
    else:
        assert any(expected in each for each in said[name]), said[name]


def test_no_subject_of_the_standard_set_is_bare() -> None:
    bare = [
        f"{path.name}: {line.strip()}"
        for path in (ROOT / "rules" / "underfoot_rules").rglob("*.py")
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r"(-> |: |\[)(Subjects?|Rule)(?=[],: ]|$)", line) and "import" not in line
    ]
    assert bare == []
