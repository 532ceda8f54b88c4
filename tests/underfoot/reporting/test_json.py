"""The report for programs."""

import json
import math
from importlib.resources import files
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import replace

from tests.underfoot.reporting.reports import ALL, ATTIC, CURRENT, KITCHEN, SENSOR, VERSION, WAIVED
from tests.underfoot.reporting.whole import write_json
from tests.written_out import ways_in
from underfoot.checking.caution import CAUTION
from underfoot.checking.mend import Edit, Mend
from underfoot.checking.report import LimitUsed, Measure, PlanReport, Report


def schema() -> dict[str, Any]:
    text = files("underfoot.reporting").joinpath("report.schema.json").read_text("utf-8")
    loaded = json.loads(text)
    assert isinstance(loaded, dict)
    return loaded


def closed(part: Any) -> Any:
    """The schema with no key allowed that it does not name."""
    if isinstance(part, list):
        return [closed(each) for each in part]
    if not isinstance(part, dict):
        return part
    copied = {key: closed(value) for key, value in part.items()}
    if "properties" in copied and "allOf" not in copied and "type" in copied:
        copied["additionalProperties"] = False
    return copied


def written(*plans: PlanReport) -> Any:
    return json.loads("".join(write_json(Report(version=VERSION, plans=plans))))


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize(
    "report", [ALL, Report(version=VERSION, plans=()), Report(version=VERSION, plans=(ATTIC,))]
)
def test_a_report_is_valid_by_the_schema(report: Report) -> None:
    data = json.loads("".join(write_json(report)))
    errors = [
        f"{list(error.absolute_path)}: {error.message}"
        for error in Draft202012Validator(closed(schema())).iter_errors(data)
    ]
    assert errors == []


def test_mends_are_told_where_they_were_looked_for() -> None:
    patch = (
        Edit(op="replace", path=("rooms", "a/b", "at"), value=[60, 60]),
        Edit(op="remove", path=("x", 0)),
    )
    mend = Mend(says="Move \u202e.", patch=patch)
    plan = replace(KITCHEN, findings=(replace(CURRENT, mends=(mend,)), replace(SENSOR, mends=())))
    data = written(plan)
    first, second = data["plans"][0]["findings"]
    assert first["mends"] == [
        {
            "says": "Move \u202e.",
            "patch": [
                {"op": "replace", "path": "/rooms/a~1b/at", "value": [60, 60]},
                {"op": "remove", "path": "/x/0"},
            ],
        }
    ]
    assert second["mends"] == []
    assert not list(Draft202012Validator(closed(schema())).iter_errors(data))
    assert "\u202e" not in "".join(write_json(Report(version=VERSION, plans=(plan,))))


def test_no_mends_no_word_of_them() -> None:
    assert "mends" not in "".join(write_json(ALL))


@pytest.mark.slow
def test_the_schema_misses_every_key_that_is_left_out() -> None:
    text = "".join(write_json(ALL))
    validator = Draft202012Validator(schema())
    free = {"coordinates", "geometries"}
    unmissed = []
    for path in ways_in(json.loads(text)):
        if isinstance(path[-1], int):
            continue
        data = json.loads(text)
        inner = data
        for step in path[:-1]:
            inner = inner[step]
        del inner[path[-1]]
        if validator.is_valid(data) and path[-1] not in free:
            unmissed.append(path)
    # A problem names a file only where it is not the plan's own.
    assert [path for path in unmissed if path[-1] != "file"] == []


def test_the_contract_to_the_letter() -> None:
    data = json.loads("".join(write_json(ALL)))
    assert data["report_format"] == 1
    assert data["tool"] == {"name": "underfoot", "version": VERSION}
    assert data["caution"] == CAUTION
    kitchen = data["plans"][1]
    assert kitchen["path"] == "plans/kitchen.yaml"
    assert kitchen["title"] == "Teasel Court, plot 2, kitchen"
    assert kitchen["reference"] == "TC2-FH-01"
    assert kitchen["revision"] == "P1"
    assert kitchen["verdict"] == "revise and resubmit"
    assert kitchen["means"] == "work must not start as drawn."
    assert kitchen["counts"] == {
        "error": 3,
        "warning": 1,
        "note": 0,
        "waived": 1,
        "undecided": 3,
        "may_be_errors": 2,
    }
    assert kitchen["problems"] == []
    row = kitchen["checks"][0]
    assert (row["rule"], row["checked"], row["found"], row["undecided"]) == (
        "cable-capacity",
        2,
        0,
        2,
    )
    assert row["may_be_errors"] == 2
    assert row["why"] == "no length of the cable is given; lead W1 has no size"
    first = kitchen["findings"][0]
    assert first == {
        "number": 1,
        "rule": "wall-clearance",
        "severity": "error",
        "message": "Strip A1 lies 42 mm from the wall; the least allowed is 50 mm.",
        "room": "kitchen",
        "items": ["A1"],
        "measured": {"value": 42.0, "unit": "mm"},
        "limit": {"least": 50.0, "most": None, "unit": "mm"},
        "line": 58,
        "column": 7,
        "path": "rooms.kitchen.rows.A.lengths.0",
        "shape": {"type": "LineString", "coordinates": [[42.0, 60.0], [0.0, 60.0]]},
        "remedy": "Move A1 by 16 mm to the right (+x).",
        "why": KITCHEN.findings[0].why,
        "basis": {"kind": "common practice", "text": KITCHEN.findings[0].basis.text},
        "waiver": None,
        "details": [],
        "related": [],
    }
    attic = data["plans"][3]
    assert attic["verdict"] == "unreadable"
    assert attic["findings"] == []
    assert attic["problems"][0] == {
        "message": ATTIC.problems[0].message,
        "line": 31,
        "column": 7,
        "path": "rooms.attic.rows.A.lenght",
    }
    assert attic["problems"][1]["file"] == "plans/catalogue.yaml"


def test_what_is_added_to_the_contract() -> None:
    data = json.loads("".join(write_json(ALL)))
    assert data["passed_over"] == 3
    assert data["problems"] == [
        {
            "message": "there is no such file or folder",
            "line": 1,
            "column": 1,
            "path": "",
            "file": "plans/attik.yaml",
        }
    ]
    kitchen = data["plans"][1]
    assert kitchen["status"] == "for review"
    assert kitchen["today"] == "2026-09-28"
    assert kitchen["changed"][0] == {
        "rule": "circuit-current",
        "what": "maximum",
        "value": "10 A",
        "default": "12 A",
        "file": "plans/underfoot.yaml",
        "line": 3,
        "because": "maker's manual, section 4",
    }
    assert kitchen["checks"][0]["reasons"] == [
        {
            "why": "no length of the cable is given",
            "count": 1,
            "write": "Write its `length`.",
            "worst": "error",
        },
        {"why": "lead W1 has no size", "count": 1, "write": "Write its `size`.", "worst": "error"},
    ]
    assert kitchen["findings"][3]["details"][0] == {"name": "surface", "text": "28.4 °C"}
    assert kitchen["findings"][3]["related"] == list(SENSOR.related)
    assert kitchen["findings"][4]["waiver"] == {
        "reason": "boxed-in pipe agreed on site",
        "agreed_by": "design lead",
        "until": "2027-03-01",
    }
    assert data["plans"][4]["faults"] == [
        {"rule": "wall-clearance", "message": "KeyError at laying/wall_clearance.py:33: 'x'"}
    ]


def test_numbers_stay_numbers_with_a_point() -> None:
    finding = replace(
        CURRENT,
        measured=Measure(value=12, unit="A"),
        limit=LimitUsed(least=None, most=10, unit="A"),
    )
    text = "".join(
        write_json(Report(version=VERSION, plans=(replace(KITCHEN, findings=(finding,)),)))
    )
    assert '"measured": {"value": 12.0, "unit": "A"}' in text
    assert '"limit": {"least": null, "most": 10.0, "unit": "A"}' in text


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_no_report_holds_what_is_no_number(value: float) -> None:
    finding = replace(CURRENT, measured=Measure(value=value, unit="A"))
    with pytest.raises(ValueError, match="JSON"):
        "".join(write_json(Report(version=VERSION, plans=(replace(KITCHEN, findings=(finding,)),))))


def test_text_is_readable_and_hides_nothing() -> None:
    title = 'Küche 床 Ω \x1b[2J \x9b1m \u202e \u200b \u2028 \U000e0041 "\\'
    text = "".join(write_json(Report(version=VERSION, plans=(replace(KITCHEN, title=title),))))
    assert "Küche 床 Ω \\u001b[2J \\u009b1m \\u202e \\u200b \\u2028 \\udb40\\udc41" in text
    assert text.replace("\n", "").isprintable()
    assert json.loads(text)["plans"][0]["title"] == title


def test_one_finding_a_line_and_a_line_end() -> None:
    text = "".join(write_json(ALL))
    assert text.endswith("\n}\n")
    assert sum(line.startswith('  {"number": ') for line in text.splitlines()) == 6


def test_a_plan_is_a_piece_so_that_a_long_report_streams() -> None:
    assert len(list(write_json(ALL))) == len(ALL.plans) + 2


def test_equal_reports_give_equal_bytes() -> None:
    again = Report(version=VERSION, plans=(KITCHEN, ATTIC))
    assert "".join(write_json(again)) == "".join(
        write_json(Report(version=VERSION, plans=(KITCHEN, ATTIC)))
    )
    assert written(KITCHEN) != written(replace(KITCHEN, findings=(WAIVED,)))
