"""An earlier JSON report read back, and how a run held against it reads."""

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import replace

from tests.underfoot.reporting.reports import ALL, ATTIC, KITCHEN, VERSION, wall_finding
from tests.underfoot.reporting.test_json import closed, schema
from tests.underfoot.reporting.whole import hold_against, write_json
from underfoot.checking.earlier import EarlierFinding, EarlierPlan
from underfoot.checking.report import LimitUsed, Measure, Report
from underfoot.reporting.earlier import EarlierReportError, read_earlier
from underfoot.reporting.text import write_text


def written(report: Report) -> str:
    return "".join(write_json(report))


def held() -> Report:
    """The kitchen against a report in which A1 was 45 mm from the wall, now 42, and A2 was 40."""
    now = Report(version=VERSION, plans=(KITCHEN,))
    walls = (
        replace(KITCHEN.findings[0], measured=Measure(value=45.0, unit="mm")),
        replace(KITCHEN.findings[1], measured=Measure(value=40.0, unit="mm")),
    )
    gone = wall_finding(9, "A9", 1)
    then = replace(KITCHEN, findings=(*walls, KITCHEN.findings[3], gone))
    earlier = Report(version=VERSION, plans=(then, replace(KITCHEN, path="plans/sold.yaml"), ATTIC))
    return hold_against(
        now, read_earlier(written(earlier).encode()).plans, "old.json", {"plans/sold.yaml"}
    )


def test_what_was_written_is_read_back() -> None:
    read = read_earlier(written(ALL).encode())
    plans, from_top = read.plans, read.from_top
    assert not from_top
    assert list(plans) == [plan.path for plan in ALL.plans]
    assert plans[ATTIC.path] == EarlierPlan()
    first, *_, waived = plans[KITCHEN.path].findings
    assert first == EarlierFinding(
        rule="wall-clearance",
        room="kitchen",
        items=("A1",),
        severity="error",
        measured=Measure(value=42.0, unit="mm"),
        limit=LimitUsed(least=50.0, most=None, unit="mm"),
        waived=False,
    )
    assert waived.waived
    assert plans[KITCHEN.path].may_be_errors == {"cable-capacity": 2}
    for finding, seen in zip(KITCHEN.findings, plans[KITCHEN.path].findings, strict=True):
        assert (seen.rule, seen.room, seen.items) == (finding.rule, finding.room, finding.items)
        assert (seen.severity, seen.measured, seen.limit) == (
            finding.severity,
            finding.measured,
            finding.limit,
        )


def test_a_report_held_against_itself_knows_all() -> None:
    held = hold_against(ALL, read_earlier(written(ALL).encode()).plans, "same.json")
    states = {f.earlier.state for plan in held.plans for f in plan.findings if f.earlier}
    assert states == {"known"}


def test_keys_that_are_not_known_are_passed_over() -> None:
    data = json.loads(written(ALL))
    data["later"] = data["plans"][1]["findings"][0]["later"] = {"x": [1]}
    assert read_earlier(json.dumps(data).encode()) == read_earlier(written(ALL).encode())


def broken(*path: Any, value: Any) -> bytes:
    data = json.loads(written(Report(version=VERSION, plans=(KITCHEN,))))
    inner = data
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    return json.dumps(data).encode()


FIRST = ("plans", 0, "findings", 0)


@pytest.mark.parametrize(
    ("source", "says"),
    [
        (b"", "it is not JSON"),
        (b"\xff\xfe\x00", "it is not JSON"),
        (b"[" * 100_000, "it is not JSON"),
        (b'{"report_format": 1, "plans": NaN}', "it is not JSON"),
        (b"[]", "it is no report"),
        (b'{"plans": []}', "it is no report"),
        (b'{"report_format": 2, "plans": []}', "its report_format is 2"),
        (b'{"report_format": true, "plans": []}', "its report_format is true"),
        (b'{"report_format": 1}', "`plans` must be a list"),
        (b'{"report_format": 1, "plans": [3]}', "`plans.0.path` must be text"),
        (broken("plans", 0, "findings", value={}), "`plans.0.findings` must be a list"),
        (broken(*FIRST, value=None), "`plans.0.findings.0.severity` must be text"),
        (broken(*FIRST, "rule", value=None), "`plans.0.findings.0.rule` must be text"),
        (broken(*FIRST, "severity", value="bad"), "severity` is none of error, warning, note"),
        (broken(*FIRST, "items", value=[1]), "items` must be a list of ids"),
        (broken(*FIRST, "room", value=4), "room` must be an id or null"),
        (broken(*FIRST, "measured", value=42), "measured.value` must be a number"),
        (broken(*FIRST, "measured", "value", value="42"), "measured.value` must be a number"),
        (broken(*FIRST, "measured", "value", value=True), "measured.value` must be a number"),
        (broken(*FIRST, "measured", "value", value=10**400), "is too large a number"),
        (broken(*FIRST, "measured", "unit", value=None), "measured.unit` must be text"),
        (broken(*FIRST, "limit", "least", value="x"), "limit.least` must be a number"),
    ],
)
def test_what_is_no_report_says_why(source: bytes, says: str) -> None:
    with pytest.raises(EarlierReportError) as caught:
        read_earlier(source)
    assert says in str(caught.value)


def test_the_json_says_how_each_finding_stands() -> None:
    data = json.loads(written(held()))
    assert data["earlier"] == {
        "report": "old.json",
        "cleared": 1,
        "gone": ["plans/sold.yaml"],
        "left_out": [ATTIC.path],
    }
    assert [each["earlier"] for each in data["plans"][0]["findings"]] == [
        {"state": "worse", "was": {"value": 45.0, "unit": "mm"}},
        {"state": "known", "was": {"value": 40.0, "unit": "mm"}},
        {"state": "new", "was": None},
        {"state": "known", "was": {"value": 310.0, "unit": "mm"}},
        {"state": "new", "was": None},
    ]
    assert list(Draft202012Validator(closed(schema())).iter_errors(data)) == []


def test_without_an_earlier_report_nothing_is_said_of_one() -> None:
    assert "earlier" not in written(ALL)
    assert "Earlier" not in "".join(write_text(ALL))


def test_the_text_says_how_each_finding_stands() -> None:
    text = "".join(write_text(held()))
    assert " 1  plans/kitchen.yaml:58:7   ERROR  A1 " in text
    assert "    Earlier worse: it was 45 mm\n" in text
    assert " 2  plans/kitchen.yaml:58:13  known error  A2 " in text
    assert "    Earlier known: it was 40 mm\n" in text
    assert " 3  plans/kitchen.yaml:86:3   ERROR  C1 " in text
    assert "    Earlier new\n" in text
    assert " 4  plans/kitchen.yaml:70:5   known warning " in text
    assert "    Earlier known\n" in text
    assert (
        "HELD AGAINST old.json\n"
        "  1 new, 1 worse, 2 known, 1 cleared. Only what is new or worse counts for the\n"
        "  exit status.\n"
        "  1 plan no longer there:\n"
        "    plans/sold.yaml\n"
        "  1 plan not checked this time:\n"
        f"    {ATTIC.path}\n"
    ) in text
