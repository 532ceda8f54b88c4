"""Two revisions of a demo plan with four errors: what is only renamed stays what it was."""

import json
from pathlib import Path
from typing import Any

import pytest

from underfoot.__main__ import main

Said = pytest.CaptureFixture[str]

STUDY = (Path(__file__).parents[1] / "plans" / "study.yaml").read_text("utf-8")  # four errors


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def compared(capsys: Said, *arguments: str) -> tuple[int, dict[str, Any]]:
    status = main(["compare", *arguments, "--format", "json"])
    return status, json.loads(capsys.readouterr().out)


def put_study(place: str, *changes: tuple[str, str]) -> str:
    text = STUDY
    for was, is_now in changes:
        assert was in text
        text = text.replace(was, is_now)
    Path(place).write_text(text, "utf-8")
    return place


@pytest.mark.parametrize(
    "changes",
    [
        [("  study:\n", "  den:\n"), ("thermostat: study", "thermostat: den")],
        [("X1", "Z1")],
        [("A: {film", "B: {film"), ("[30, 30], A]", "[30, 30], B]"), ("A5", "B5")],
        [("W2:", "W9:")],
    ],
    ids=["room", "strip", "row", "lead"],
)
def test_what_is_only_renamed_brings_nothing_in(
    changes: list[tuple[str, str]], capsys: Said
) -> None:
    status, said = compared(capsys, put_study("old.yaml"), put_study("new.yaml", *changes))
    (pair,) = said["pairs"]
    assert (status, pair["cleared"], pair["brought_in"]) == (0, [], [])
    assert [one["step"] for one in pair["left"]] == ["same"] * 4


def test_what_is_renamed_and_moved_is_another_thing(capsys: Said) -> None:
    old = put_study("old.yaml")
    new = put_study("new.yaml", ("X1", "Z1"), ("[2540, 60]", "[2545, 60]"))
    status, said = compared(capsys, old, new)
    (pair,) = said["pairs"]
    assert status == 1
    # Of the four errors one is about lead W2 and strip A5 alone.
    assert [len(pair[key]) for key in ("cleared", "left", "brought_in")] == [3, 1, 3]
