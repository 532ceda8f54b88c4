"""Several reports of one run, and the one line that is left for the log."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

import pytest
from junitparser import JUnitXml

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import RIGHT, UNREADABLE, WARNED, WRONG, put
from underfoot.__main__ import main
from underfoot.commands import check as check_command
from underfoot.commands.outputs import FORMATS
from underfoot.running.checking import Terms

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]


def reports(*forms: str) -> list[str]:
    return [part for form in forms for part in ("--report", f"{form}=out.{form}")]


def test_every_format_is_written_beside_the_text(ask: Ask) -> None:
    put("plans/a.yaml", WRONG)
    put("plans/b.yaml", RIGHT)
    said = ask("check plans", *reports(*FORMATS), status=1)
    assert "Room hall is 1900 mm high" in said.out
    assert said.err == (
        "underfoot: 2 plans: 1 revise and resubmit, 1 no objection; 1 error, 0 warnings, 0 notes, "
        "0 waived; 0 points not judged; exit status 1\n"
    )
    assert Path("out.text").read_text("utf-8") == said.out
    assert len(json.loads(Path("out.json").read_text("utf-8"))["plans"]) == 2
    assert json.loads(Path("out.sarif").read_text("utf-8"))["version"] == "2.1.0"
    assert JUnitXml.fromfile("out.junit").failures == 1
    assert Path("out.html").read_text("utf-8").casefold().startswith("<!doctype html>")


@pytest.mark.parametrize("form", FORMATS)
def test_a_report_has_the_bytes_of_the_format_alone(
    capsysbinary: pytest.CaptureFixture[bytes], form: str
) -> None:
    put("a.yaml", WRONG)
    main(["check", "a.yaml", "--format", form])
    alone = capsysbinary.readouterr().out
    main(["check", "a.yaml", *reports(form)])
    assert Path(f"out.{form}").read_bytes() == alone


def test_the_line_tells_all_that_went_wrong(ask: Ask) -> None:
    put("plans/a.yaml", UNREADABLE)
    put("plans/b.yaml", WARNED)
    put("plans/c.yaml", RIGHT.replace("title: Hall", "title: crash"))
    assert ask("check plans gone --format json", *reports("text"), status=2).err.splitlines()[
        -1
    ] == (
        "underfoot: 3 plans: 1 no objection with comments, 1 no objection, 1 unreadable; "
        "0 errors, 1 warning, 0 notes, 0 waived; 0 points not judged; 1 crash of rules; "
        "1 not checked as asked; exit status 2"
    )


def test_without_further_reports_there_is_no_line(ask: Ask) -> None:
    put("a.yaml", RIGHT)
    assert ask("check a.yaml").err == ""


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--report", "json"], "write FORMAT=FILE"),
        (["--report", "xml=out"], "FORMAT one of text, json, sarif, junit, html"),
        (["--report", "json="], "write FORMAT=FILE"),
        (["--report", "json=-"], "name a file"),
        (["--report", "json=gone/out"], "--report gone/out: there is no folder"),
        (["--report", "json=a.yaml"], "--report a.yaml: this would overwrite a plan"),
        (["--report", "json=out", "--report", "sarif=./out"], "two reports cannot be one file"),
        (["--output", "out", "--report", "sarif=out"], "two reports cannot be one file"),
    ],
)
def test_a_report_that_cannot_be_is_one_line_and_nothing_is_checked(
    ask: Ask, arguments: list[str], says: str
) -> None:
    put("a.yaml", RIGHT)
    said = ask("check a.yaml", *arguments, status=2)
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert says in said.err
    assert [path.name for path in Path().iterdir()] == ["a.yaml"]


def test_either_all_reports_are_written_or_none(
    capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fall(*arguments: object) -> str:
        raise ValueError("fell")

    put("a.yaml", WRONG)
    put("out.json", "old")
    monkeypatch.setattr("underfoot.reporting.sarif.describe_rules", fall)
    assert main(["check", "a.yaml", *reports("json", "sarif")]) == 2
    assert Path("out.json").read_text("utf-8") == "old"
    assert sorted(path.name for path in Path().iterdir()) == ["a.yaml", "out.json"]


def test_in_a_report_for_code_hosts_an_absolute_path_is_told_from_here(folder: Path) -> None:
    put("plans/a.yaml", WRONG)
    main(["check", str(folder / "plans" / "a.yaml"), *reports("sarif")])
    text = Path("out.sarif").read_text("utf-8")
    assert json.loads(text)["runs"][0]["artifacts"][0]["location"]["uri"] == "plans/a.yaml"
    assert str(folder) not in text


@pytest.mark.parametrize("form", ["text", "json", "sarif", "junit", "html", "code-quality"])
def test_what_cannot_run_at_all_leaves_no_half_report(ask: Ask, form: str) -> None:
    put("plans/a.yaml", RIGHT)
    put("bad.yaml", "settings_format: 2\n")
    said = ask(f"check plans --format {form} --settings bad.yaml", status=2)
    assert said.out == ""
    assert "bad.yaml" in said.err


@pytest.mark.parametrize(
    ("arguments", "in_brief"),
    [
        ("plans", True),
        ("plans --quiet", True),
        ("plans/a.yaml --quiet", True),
        ("plans/a.yaml --quiet --report text=out.txt", False),
        ("plans/a.yaml", False),
        ("plans --detail full", False),
        ("plans --mends", False),
        ("plans --known known.json", False),
        ("plans --report text=out.txt", True),
        ("plans --report known=out.known", False),
        *((f"plans --format {form}", False) for form in FORMATS if form != "text"),
    ],
)
def test_no_more_is_worked_out_than_the_reports_tell(
    arguments: str, in_brief: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    put("plans/a.yaml", WRONG)
    put("plans/b.yaml", RIGHT)
    main(["check", "plans", "--format", "known", "--output", "known.json"])
    asked = []

    def look(files: object, sets: object, terms: Terms, *more: object) -> Iterator[NoReturn]:
        asked.append(terms.in_brief)
        return iter(())

    monkeypatch.setattr(check_command, "run_over", look)
    main(["check", *arguments.split()])
    assert asked == [in_brief]
