"""Formats of a line each: what they hold, what hosts ask, and what no plan may smuggle in."""

import json
import re

import jsonschema
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
    put,
)
from underfoot.__main__ import main

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]
LINE = re.compile(r"([^:]+):(\d+):(\d+): (error|unjudged|warning|note): (.+) \[([a-z-]+)\]")
ROWS = [
    # Of each plan: name, text, and the severity, rule and line told.
    ("a.yaml", RIGHT, None),
    ("b.yaml", WARNED, ("warning", "room-height", 6)),
    ("c.yaml", WRONG, ("error", "room-height", 6)),
    ("d.yaml", NOTED, ("note", "job-date", 2)),
    ("e.yaml", UNDECIDED, ("unjudged", "room-height", 1)),
    ("f.yaml", UNREADABLE, ("error", "unreadable", 8)),
    ("g.yaml", CRASHING, ("error", "job-title", 1)),
    ("h.yaml", WAIVED, None),
]


@pytest.fixture
def plans() -> None:
    for name, text, _ in ROWS:
        put(f"plans/{name}", text)


def written(capsys: Said, form: str, *more: str) -> str:
    main(["check", "plans", "--format", form, "--today", "2026-09-28", *more])
    return capsys.readouterr().out


def test_a_line_each_and_nothing_else(plans: None, capsys: Said) -> None:
    lines = written(capsys, "lines").splitlines()
    rows = []
    for line in lines:
        match = LINE.fullmatch(line)
        assert match, line
        path, number, _, severity, _, rule = match.groups()
        rows.append((path, (severity, rule, int(number))))
    assert rows == [(f"plans/{name}", row) for name, _, row in ROWS if row is not None]


def test_nothing_wrong_is_nothing_written(capsys: Said) -> None:
    put("plans/a.yaml", RIGHT)
    assert written(capsys, "lines") == written(capsys, "annotations") == ""
    assert json.loads(written(capsys, "code-quality")) == []


def test_what_was_known_is_left_out(plans: None, capsys: Said) -> None:
    known = written(capsys, "json")
    put("known.json", known)
    lines = written(capsys, "lines", "--known", "known.json").splitlines()
    assert [line.partition(":")[0] for line in lines if "[room-height]" in line] == ["plans/e.yaml"]


def test_annotations_in_their_host_s_form(plans: None, capsys: Said) -> None:
    lines = written(capsys, "annotations").splitlines()
    levels = {"error": "error", "unjudged": "warning", "warning": "warning", "note": "notice"}
    form = re.compile(
        r"::(error|warning|notice) file=([^,:]+),line=(\d+),col=\d+,title=([^,:]+)::.+"
    )
    found = []
    for line in lines:
        match = form.fullmatch(line)
        assert match, line
        found.append((match[2], match[1], match[4], int(match[3])))
    assert found == [
        (f"plans/{name}", levels[row[0]], f"underfoot {row[1]}", row[2])
        for name, _, row in ROWS
        if row is not None
    ]


def test_annotations_above_what_a_step_shows_are_counted_first(ask: Ask) -> None:
    # The code host shows ten annotations of each level a step, as it publishes.
    for number in range(10):
        put(f"plans/{number}.yaml", WRONG)
    lines = ask("check plans --format annotations", status=1).out.splitlines()
    assert not [line for line in lines if "a step shows" in line]
    put("plans/unread.yaml", UNREADABLE)
    counted, *rest = ask("check plans --format annotations", status=2).out.splitlines()
    assert counted.startswith("::notice title=underfoot::11 errors, 0 warnings and 0 notices are")
    assert len(rest) == 11
    assert set(lines) < set(rest)


def test_code_quality_in_its_host_s_form(plans: None, capsys: Said) -> None:
    issues = json.loads(written(capsys, "code-quality"))
    assert len(issues) == sum(row is not None for _, _, row in ROWS)
    for issue in issues:
        assert issue["description"]
        assert issue["check_name"]
        assert issue["severity"] in ("info", "minor", "major", "critical", "blocker")
        assert issue["location"]["lines"]["begin"] >= 1
        assert not issue["location"]["path"].startswith(("/", "./"))
    prints = [issue["fingerprint"] for issue in issues]
    assert len(set(prints)) == len(prints)


# Written out from what the host says of its reports: these keys are needed, lines count from 1, and
# a path is told from the top of the repository.
CODE_QUALITY = {
    "type": "array",
    "items": {
        "type": "object",
        "required": ["description", "check_name", "fingerprint", "severity", "location"],
        "additionalProperties": False,
        "properties": {
            "description": {"type": "string", "minLength": 1, "pattern": r"^[^\n\r]+$"},
            "check_name": {"type": "string", "pattern": "^[a-z][a-z-]*$"},
            "fingerprint": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
            "severity": {"enum": ["info", "minor", "major", "critical", "blocker"]},
            "location": {
                "type": "object",
                "required": ["path", "lines"],
                "additionalProperties": False,
                "properties": {
                    "path": {"type": "string", "minLength": 1, "pattern": r"^(?!\./|/)"},
                    "lines": {
                        "type": "object",
                        "required": ["begin"],
                        "additionalProperties": False,
                        "properties": {"begin": {"type": "integer", "minimum": 1}},
                    },
                },
            },
        },
    },
}
# A command of the host's log: its parameters are told apart by commas and end at `::`.
ANNOTATION = re.compile(
    r"::(error|warning|notice) file=(?!/|\./)[^,:]+,line=[1-9]\d*,col=[1-9]\d*,title=[^,:]+"
    r"::[^\r\n]+"
)


def test_both_forms_hold_for_names_and_words_of_all_sorts(plans: None, capsys: Said) -> None:
    put("plans/odd, name: 100%25.yaml", WRONG)
    put("plans/süd/\U0001f525.yaml", UNREADABLE)
    put("plans/underfoot.yaml", "settings_format: 2\n")
    issues = json.loads(written(capsys, "code-quality"))
    jsonschema.validate(issues, CODE_QUALITY, cls=jsonschema.Draft7Validator)
    lines = written(capsys, "annotations").splitlines()
    assert len(lines) == len(issues) > 6
    assert not [line for line in lines if not ANNOTATION.fullmatch(line)]
    # What the host reads back from the command is the path itself.
    told = {re.sub(r".* file=([^,]+),.*", r"\1", line) for line in lines}
    signs = (("%3A", ":"), ("%2C", ","), ("%0A", "\n"), ("%25", "%"))
    for written_so, sign in signs:
        told = {path.replace(written_so, sign) for path in told}
    assert told == {issue["location"]["path"] for issue in issues}


def test_the_shape_would_tell_what_is_wrong(plans: None, capsys: Said) -> None:
    issues = json.loads(written(capsys, "code-quality"))
    issues[0]["location"]["lines"]["begin"] = 0
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(issues, CODE_QUALITY, cls=jsonschema.Draft7Validator)
    assert not ANNOTATION.fullmatch("::error file=/a.yaml,line=1,col=1,title=x::y")


def test_a_fingerprint_holds_the_plan_and_no_line(capsys: Said) -> None:
    def prints() -> list[str]:
        return [issue["fingerprint"] for issue in json.loads(written(capsys, "code-quality"))]

    put("plans/a.yaml", WRONG)
    before = prints()
    put("plans/a.yaml", "# a remark\n" + WRONG)
    assert prints() == before
    put("plans/b.yaml", WRONG)
    assert len(set(prints())) == 2


@pytest.mark.parametrize("name", ["::error::x.yaml", "##[error]x.yaml", ":x.yaml"])
def test_no_file_s_name_is_a_command(capsys: Said, ask: Ask, name: str) -> None:
    put(name, WRONG)
    main(["check", name, "--format", "lines"])
    # What some services obey anywhere in a line is broken up, too.
    shown = name.replace("##[", "#\\#[")
    assert capsys.readouterr().out.startswith(f"./{shown}:6:")
    (line,) = ask("check", name, "--format", "annotations", status=1).out.splitlines()
    assert line.startswith("::error file=")
    assert line.count("::") == 2


@pytest.mark.parametrize("form", ["lines", "annotations"])
def test_no_line_end_and_no_control_gets_out_of_a_name(ask: Ask, form: str) -> None:
    put("odd\n::error::\x1b[2J\u202ename.yaml", WRONG)
    (line,) = ask("check . --format", form, status=1).out.splitlines()
    assert line.isprintable()


def test_as_one_report_of_several(plans: None, capsys: Said) -> None:
    written(capsys, "text", "--report", "lines=out.txt", "--report", "code-quality=out.json")
    with open("out.txt", encoding="utf-8") as stream:
        assert len(stream.readlines()) == 6
    with open("out.json", encoding="utf-8") as stream:
        assert len(json.load(stream)) == 6
