"""`underfoot check`, run through its own front door."""

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import (
    CRASHING,
    NOTED,
    RIGHT,
    UNDECIDED,
    UNREADABLE,
    WAIVED,
    WARNED,
    WRONG,
    data_of,
    plan,
    put,
)
from underfoot.__main__ import main
from underfoot.checking.caution import CAUTION
from underfoot.checking.check import examine
from underfoot.commands.options import REFUSE_AT
from underfoot.running import checking

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]


@pytest.mark.parametrize(
    ("text", "statuses"),
    [
        # At error, unjudged, warning, note, never.
        (RIGHT, (0, 0, 0, 0, 0)),
        (NOTED, (0, 0, 0, 1, 0)),
        (WARNED, (0, 0, 1, 1, 0)),
        (UNDECIDED, (0, 1, 1, 1, 0)),
        (WRONG, (1, 1, 1, 1, 0)),
        (UNREADABLE, (2, 2, 2, 2, 2)),
        (CRASHING, (2, 2, 2, 2, 2)),
        ("", (2, 2, 2, 2, 2)),
        ("- 1\n", (2, 2, 2, 2, 2)),
    ],
)
def test_exit_status_of_a_plan(text: str, statuses: tuple[int, ...]) -> None:
    put("a.yaml", text)
    for refuse_at, expected in zip(REFUSE_AT, statuses, strict=True):
        assert main(["check", "a.yaml", "--refuse-at", refuse_at]) == expected


def test_what_was_not_judged_before_is_known(capsys: Said) -> None:
    put("a.yaml", UNDECIDED)
    main(["check", "a.yaml", "--format", "json", "--output", "known.json"])
    refused = ["check", "a.yaml", "--refuse-at", "unjudged"]
    assert main(refused) == 1
    assert main([*refused, "--known", "known.json"]) == 0
    data = json.loads(Path("known.json").read_text("utf-8"))
    for row in data["plans"][0]["checks"]:
        del row["may_be_errors"]  # a report of before these were told
    Path("known.json").write_text(json.dumps(data), "utf-8")
    assert main([*refused, "--known", "known.json"]) == 1
    assert main(["check", "a.yaml", "--known", "known.json"]) == 0


def test_one_bad_plan_does_not_cost_the_others(ask: Ask) -> None:
    put("plans/a.yaml", WRONG)
    put("plans/b.yaml", UNREADABLE)
    put("plans/c.yaml", RIGHT)
    assert [
        (each["path"], each["verdict"])
        for each in ask("check plans --format json", status=2).data["plans"]
    ] == [
        ("plans/a.yaml", "revise and resubmit"),
        ("plans/b.yaml", "unreadable"),
        ("plans/c.yaml", "no objection"),
    ]


def test_a_finding_in_text(ask: Ask) -> None:
    put("a.yaml", WRONG)
    out = ask("check a.yaml", status=1)
    assert out.err == ""
    assert (
        "ROOM hall: 1 error\n"
        "\n"
        " 1  a.yaml:6:3  ERROR                                                room-height\n"
        "    6 |   hall:\n"
        "      |   ^^^^\n"
        "    Room hall is 1900 mm high, less than 2000 mm.\n"
        "    To do   Lower the floor of hall.\n"
    ) in out.out
    assert "\x1b" not in out.out


def test_a_finding_in_json(ask: Ask) -> None:
    put("a.yaml", WARNED)
    (each,) = ask("check a.yaml --format json").data["plans"]
    (finding,) = each["findings"]
    assert finding["measured"] == {"value": 2100.0, "unit": "mm"}
    assert finding["limit"] == {"least": 2200.0, "most": None, "unit": "mm"}
    assert (finding["line"], finding["column"]) == (6, 3)


def test_what_could_not_be_judged_is_said(ask: Ask) -> None:
    put("a.yaml", UNDECIDED)
    out = ask("check a.yaml").out
    assert "INSUFFICIENT INFORMATION – work must not start before what is missing" in out
    assert "NOT JUDGED, AND MAY BE AN ERROR: 1 point\n" in out
    assert " 1  no height is given – room-height\n    To do   Write its `height`.\n" in out


def test_a_crashed_rule_is_loud_and_alone(ask: Ask) -> None:
    put("a.yaml", plan(title="crash", height="1900"))
    out = ask("check a.yaml", status=2).out
    assert "!!! RULE CRASHED: job-title" in out
    assert "KeyError at commands/tiny_set.py:" in out
    assert "Room hall is 1900 mm high" in out


def test_a_crash_of_the_reader_costs_one_plan(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    def fall(source: bytes, *args: Any, **more: Any) -> Any:
        if b"fall" in source:
            raise RecursionError("too deep")
        return examine(source, *args, **more)

    monkeypatch.setattr(checking, "examine", fall)
    put("plans/a.yaml", plan(title="fall"))
    put("plans/b.yaml", RIGHT)
    fallen, right = ask("check plans --format json", status=2).data["plans"]
    assert fallen["verdict"] == "unreadable"
    assert fallen["problems"][0]["message"].startswith("a fault of the tool, not of the plan")
    assert right["verdict"] == "no objection"


@pytest.mark.parametrize(
    ("day", "waived"), [("2026-09-30", True), ("2026-10-01", True), ("2026-10-02", False)]
)
def test_today_decides_on_waivers(capsys: Said, day: str, waived: bool) -> None:
    put("a.yaml", WAIVED)
    status = main(["check", "a.yaml", "--today", day, "--format", "json"])
    (each,) = data_of(capsys)["plans"]
    assert status == (0 if waived else 1)
    assert each["today"] == day
    assert each["counts"]["waived"] == (1 if waived else 0)
    assert bool(each["findings"][0]["waiver"]) == waived


def test_no_waivers_lets_none_hold(ask: Ask) -> None:
    put("a.yaml", WAIVED)
    assert "1 error\n" in ask("check a.yaml --today 2026-09-30 --no-waivers", status=1).out


def test_a_waived_finding_stays_to_be_seen(ask: Ask) -> None:
    put("a.yaml", WAIVED)
    out = ask("check a.yaml --today 2026-09-30 --refuse-at note").out
    assert "a.yaml:6:3  waived error  " in out
    assert "old house (agreed by owner, until 2026-10-01)" in out


def test_standard_input_is_a_plan(ask: Ask) -> None:
    assert ask("check - --format json", stdin=WRONG.encode(), status=1).plans == ["-"]


def test_no_standard_input_is_one_line(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    assert "The file cannot be opened: standard input is closed." in ask("check -", status=2).out


def test_the_report_goes_to_a_file(ask: Ask) -> None:
    put("a.yaml", WRONG)
    said = ask("check a.yaml --output out.txt", status=1)
    assert (said.out, said.err) == ("", "")
    assert CAUTION.split()[0] in Path("out.txt").read_text("utf-8")


def test_a_file_gets_the_same_bytes_as_a_pipe(capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    put("a.yaml", WRONG)
    for form in ("text", "json"):
        main(["check", "a.yaml", "--format", form])
        main(["check", "a.yaml", "--format", form, "--output", "out"])
        assert Path("out").read_bytes() == capsysbinary.readouterr().out


@pytest.mark.parametrize(
    ("output", "says"),
    [
        ("gone/out.txt", "there is no folder"),
        (".", "this is a folder"),
        ("a.yaml", "this would overwrite a plan"),
        ("./a.yaml", "this would overwrite a plan"),
    ],
)
def test_an_output_that_cannot_be_is_one_line(ask: Ask, output: str, says: str) -> None:
    put("a.yaml", RIGHT)
    said = ask("check a.yaml --output", output, status=2)
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert says in said.err
    assert Path("a.yaml").read_text("utf-8") == RIGHT


def test_nothing_there_is_one_line(ask: Ask) -> None:
    said = ask("check gone.yaml", status=2)
    assert said.out == ""
    assert said.err == "underfoot: gone.yaml: there is no such file or folder\n"


def test_a_folder_without_plans_is_one_line(ask: Ask) -> None:
    put("plans/underfoot.yaml", "settings_format: 1\n")
    said = ask("check plans", status=2).err
    assert said == "underfoot: plans: no plan was found in this folder\n"


def test_what_is_not_there_does_not_cost_what_is(ask: Ask) -> None:
    put("a.yaml", RIGHT)
    out = ask("check a.yaml gone.yaml", status=2).out
    assert "NO OBJECTION" in out
    assert "gone.yaml: there is no such file or folder" in out


def test_a_report_for_programs_is_written_even_of_nothing(ask: Ask) -> None:
    said = ask("check gone.yaml --format json", status=2)
    data = json.loads(said.out)
    assert data["plans"] == []
    assert data["problems"][0]["file"] == "gone.yaml"
    assert said.err == "underfoot: gone.yaml: there is no such file or folder\n"


SETTINGS = (
    "settings_format: 1\n"
    "limits:\n"
    "  room-height: {minimum: 2500, planned: 2500, because: local code}\n"
)


@pytest.mark.parametrize("arguments", [[], ["--settings", "house.yaml"]])
def test_settings_change_a_limit_and_the_report_says_so(ask: Ask, arguments: list[str]) -> None:
    place = put(arguments[1] if arguments else "plans/underfoot.yaml", SETTINGS)
    put("plans/a.yaml", RIGHT)
    out = ask("check plans", *arguments, status=1).out
    assert "Room hall is 2400 mm high, less than 2500 mm." in out
    assert f"Basis   settings: local code ({place}:3)" in out
    assert "room-height: minimum 2500 mm, not 2000 mm" in out


def test_settings_that_cannot_be_read_stop_their_plans_alone(ask: Ask) -> None:
    put("plans/one/underfoot.yaml", "settings_format: 1\nlimits: 5\n")
    put("plans/one/a.yaml", RIGHT)
    put("plans/two/b.yaml", RIGHT)
    first, second = ask("check plans --format json", status=2).data["plans"]
    assert first["verdict"] == "unreadable"
    assert first["problems"][0]["file"] == "plans/one/underfoot.yaml"
    assert second["verdict"] == "no objection"


def test_named_settings_that_cannot_be_read_are_told_with_their_line(ask: Ask) -> None:
    put("a.yaml", RIGHT)
    put("house.yaml", "settings_format: 1\nlimits: 5\n")
    said = ask("check a.yaml --settings house.yaml", status=2)
    assert said.out == ""
    assert said.err.splitlines()[:4] == [
        "underfoot: house.yaml: unreadable: 1 problem",
        " 1  house.yaml:2:1",
        "    2 | limits: 5",
        "      | ^^^^^^",
    ]
    said = ask("check a.yaml --settings gone.yaml", status=2)
    assert said.err.startswith("underfoot: gone.yaml: the settings cannot be opened: No such file")
    assert said.err.count("\n") == 1


def test_no_rules_is_no_pass(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    put("a.yaml", RIGHT)
    monkeypatch.setattr(checking, "installed_rule_sets", lambda: ())
    assert "no rule set is installed" in ask("check a.yaml", status=2).err


@pytest.mark.parametrize("day", ["2026-13-01", "20260928", "tomorrow", "2026-09-28 ", ""])
def test_a_bad_day_is_one_line(ask: Ask, day: str) -> None:
    put("a.yaml", RIGHT)
    said = ask("check a.yaml --today", day, status=2)
    assert said.out == ""
    assert said.err.startswith("underfoot: Invalid value for '--today'")
    assert said.err.count("\n") == 1


def test_passed_over_is_counted(ask: Ask) -> None:
    put("plans/a.yaml", RIGHT)
    put("plans/catalogue.yaml", "catalogue_format: 1\n")
    assert ask("check plans --format json").data["passed_over"] == 1
    assert "1 passed over in the folders" in ask("check plans").out


def test_paths_are_the_same_from_any_spelling(capsys: Said) -> None:
    put("plans/a.yaml", WRONG)
    outs = []
    for spelling in ("plans", "./plans", "plans/", "plans//", "./plans/a.yaml"):
        main(["check", spelling])
        outs.append(capsys.readouterr().out)
    assert len(set(outs)) == 1
