"""Lists of plans on standard input, what plans stand on, and checking only what changed."""

import json
import sys
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.git_house import CATALOGUE, SHARING
from tests.underfoot.commands.tiny_plans import RIGHT, WRONG, put

pytestmark = pytest.mark.usefixtures("folder", "tiny")

SETTINGS = "settings_format: 1\n"


@pytest.fixture
def house(folder: Path) -> None:
    """A repository: two floors, a catalogue for one plan of each, settings at two levels."""
    (folder / ".git").mkdir()
    put("underfoot.yaml", SETTINGS)
    put("shared/catalogue.yaml", CATALOGUE)
    put("ground/a.yaml", SHARING)
    put("ground/b.yaml", RIGHT)
    put("upper/underfoot.yaml", SETTINGS)
    put("upper/c.yaml", SHARING)
    put("upper/d.yaml", RIGHT)


@pytest.mark.parametrize(
    "source",
    [
        b"ground/b.yaml\nupper/d.yaml\n",
        b"ground/b.yaml\r\nupper/d.yaml",
        b"\nground/b.yaml\n\nupper/d.yaml\n\n",
        b"ground/b.yaml\0upper/d.yaml\0",
    ],
)
def test_the_plans_that_a_list_names(house: None, ask: Ask, source: bytes) -> None:
    said = ask("check --files-from - --format json", stdin=source)
    assert said.plans == ["ground/b.yaml", "upper/d.yaml"]


def test_a_list_in_a_file_beside_paths(house: None, ask: Ask) -> None:
    put("list.txt", "upper\nground/b.yaml\n")
    arguments = ["check", "ground/b.yaml", "--files-from", "list.txt", "--format", "json"]
    assert ask(*arguments).plans == ["ground/b.yaml", "upper/c.yaml", "upper/d.yaml"]


def test_a_name_with_a_line_end_survives_a_list_with_nuls(ask: Ask) -> None:
    put("odd\nname.yaml", RIGHT)
    said = ask("check --files-from - --format json", stdin=b"odd\nname.yaml\0")
    assert said.plans == ["odd\nname.yaml"]


def test_what_a_list_names_and_is_not_there_is_no_pass(house: None, ask: Ask) -> None:
    said = ask("check --files-from -", stdin=b"ground/b.yaml\ngone.yaml\n", status=2)
    assert "gone.yaml: there is no such file" in said.out


@pytest.mark.parametrize("source", [b"", b"\n", b"\r\n", b"\0"])
def test_an_empty_list_is_no_pass(ask: Ask, source: bytes) -> None:
    said = ask("check --files-from -", stdin=source, status=2)
    assert said.err == "underfoot: no plan was found: the list from standard input is empty\n"
    assert said.out == ""


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "PATH... is missing: name plans"),
        (["-", "--files-from", "-"], "- is given twice"),
        (["plans", "--files-from", "-", "--changed", "-"], "- is given twice"),
        (["--files-from", "gone.txt"], "--files-from gone.txt: No such file"),
        (["--files-from", "."], "--files-from .: Is a directory"),
        (["a.yaml", "--changed", "gone.txt"], "--changed gone.txt: No such file"),
    ],
)
def test_a_list_that_cannot_be_is_one_line(ask: Ask, arguments: list[str], says: str) -> None:
    put("a.yaml", RIGHT)
    said = ask("check", *arguments, status=2)
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert says in said.err


def test_standard_input_that_is_closed(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    said = ask("check --files-from -", status=2).err
    assert said == "underfoot: --files-from -: standard input is closed\n"


def test_what_each_plan_stands_on(house: None, ask: Ask) -> None:
    assert ask("check . --depends").out == (
        "ground/a.yaml\tshared/catalogue.yaml\n"
        "ground/a.yaml\tunderfoot.yaml\n"
        "ground/b.yaml\tunderfoot.yaml\n"
        "upper/c.yaml\tshared/catalogue.yaml\n"
        "upper/c.yaml\tunderfoot.yaml\n"
        "upper/c.yaml\tupper/underfoot.yaml\n"
        "upper/d.yaml\tunderfoot.yaml\n"
        "upper/d.yaml\tupper/underfoot.yaml\n"
    )
    assert ask("check ground --depends --format json").data == {
        "depends": [
            {"plan": "ground/a.yaml", "on": ["shared/catalogue.yaml", "underfoot.yaml"]},
            {"plan": "ground/b.yaml", "on": ["underfoot.yaml"]},
        ]
    }


def test_lists_in_a_log_hold_no_command_and_no_hidden_mark(ask: Ask) -> None:
    for name in ("a\r::error::b", "a\n::error::b", "a\x1b[31mb", "a\x0b::warning::b", "\u202eb"):
        put(f"plans/{name}.yaml", RIGHT)
        put(f"plans/{name}-catalogue.yaml", CATALOGUE)
    for asked in ("--depends", "--list-passed-over"):
        said = ask(f"check plans {asked}").out
        assert said.count("\n") == 5
        assert all(line.startswith("plans/") and line.isprintable()
                   for line in said.replace("\t", " ").split("\n")[:-1])  # fmt: skip
        assert "\\u000b" in ask(f"check plans {asked} --format json").out


def test_a_plan_that_stands_on_nothing_is_listed_alone(ask: Ask) -> None:
    put(".git/HEAD", "")
    put("a.yaml", RIGHT)
    put("b.yaml", "catalogue: [\x07")
    assert ask("check a.yaml b.yaml --depends").out == "a.yaml\nb.yaml\n"


def test_a_plan_stands_on_its_review(ask: Ask) -> None:
    put(".git/HEAD", "")
    put("a.yaml", RIGHT)
    put("b.yaml", RIGHT)
    put("a.review.yaml", "review_format: 1\n")
    assert ask("check a.yaml b.yaml --depends").out == "a.yaml\ta.review.yaml\nb.yaml\n"
    # Taken away: the report of its plan changes too.
    said = ask("check a.yaml b.yaml --changed - --format json", stdin=b"b.review.yaml\n")
    assert said.plans == ["b.yaml"]


def test_named_settings_are_what_every_plan_stands_on(house: None, ask: Ask) -> None:
    put("own.yaml", SETTINGS)
    assert ask("check upper/d.yaml --depends --settings own.yaml").out == "upper/d.yaml\town.yaml\n"


def test_dependencies_of_what_is_not_there_are_no_pass(house: None, ask: Ask) -> None:
    said = ask("check ground/b.yaml gone --depends", status=2)
    assert said.out == "ground/b.yaml\tunderfoot.yaml\n"
    assert "gone: there is no such file" in said.err


def test_dependencies_go_to_a_file_and_not_into_a_report(house: None, ask: Ask) -> None:
    ask("check ground/b.yaml --depends --output list.txt")
    assert Path("list.txt").read_text("utf-8") == "ground/b.yaml\tunderfoot.yaml\n"
    assert "text or json" in ask("check ground --depends --format sarif", status=2).err


ALL = ["ground/a.yaml", "ground/b.yaml", "upper/c.yaml", "upper/d.yaml"]


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        (["ground/b.yaml"], ["ground/b.yaml"]),
        (["./ground/../ground/b.yaml", "README.md"], ["ground/b.yaml"]),
        (["shared/catalogue.yaml"], ["ground/a.yaml", "upper/c.yaml"]),
        (["underfoot.yaml"], ALL),
        (["upper/underfoot.yaml"], ["upper/c.yaml", "upper/d.yaml"]),
        (["upper/underfoot.yaml", "ground/a.yaml"], ["ground/a.yaml", "upper/c.yaml",
                                                     "upper/d.yaml"]),
    ],
)  # fmt: skip
def test_a_plan_is_checked_again_when_it_or_what_it_stands_on_changed(
    house: None, ask: Ask, changed: list[str], expected: list[str]
) -> None:
    put("changed.txt", "\n".join(changed))
    assert ask("check . --changed changed.txt --format json").plans == expected


@pytest.mark.parametrize(
    ("gone", "expected"),
    [
        ("shared/catalogue.yaml", ["ground/a.yaml", "upper/c.yaml"]),
        ("upper/underfoot.yaml", ["upper/c.yaml", "upper/d.yaml"]),
        ("underfoot.yaml", ALL),
    ],
)
def test_what_was_deleted_changed_too(
    house: None, ask: Ask, gone: str, expected: list[str]
) -> None:
    Path(gone).unlink()
    put("changed.txt", gone)
    assert ask("check . --changed changed.txt --format json", status=None).plans == expected


def test_nothing_changed_is_a_pass_that_says_so_and_writes_its_reports(
    house: None, ask: Ask
) -> None:
    put("ground/b.yaml", WRONG)
    command = ["check", ".", "--changed", "-", "--report", "sarif=out.sarif"]
    said = ask(*command, "--nothing-is-fine", stdin=b"README.md\n")
    assert said.out == ""
    assert "nothing to check: no plan has changed, nor anything that one stands on" in said.err
    assert json.loads(Path("out.sarif").read_text("utf-8"))["runs"][0]["results"] == []
    ask(*command, stdin=b"README.md\n", status=2)
    assert "othing is left to check" in Path("out.sarif").read_text("utf-8")


def test_nothing_changed_hides_no_problem(house: None, ask: Ask) -> None:
    ask("check . gone --changed -", stdin=b"README.md\n", status=2)
    ask("check shared --changed -", stdin=b"README.md\n", status=2)
