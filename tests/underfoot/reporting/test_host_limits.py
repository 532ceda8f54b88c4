"""What hosts take of a report: the gravest stay, the rest is counted in the report itself."""

import gzip
import json
from typing import Any

import pytest
from msgspec.structs import replace

from tests.underfoot.reporting.reports import ATTIC, KITCHEN, SENSOR, VERSION, wall_finding
from tests.underfoot.reporting.whole import write_sarif
from underfoot.checking.report import Earlier, PlanReport, Report, ReportedFinding, WaiverUsed
from underfoot.reporting import host_limits
from underfoot_rules import STANDARD

WAIVER = WaiverUsed(reason="agreed on site", agreed_by="design lead", until=None)


def plan_of(name: str, *findings: ReportedFinding) -> PlanReport:
    return replace(KITCHEN, path=f"plans/{name}.yaml", findings=findings)


def runs_of(*plans: PlanReport, **asked: bool) -> list[dict[str, Any]]:
    text = "".join(write_sarif(Report(version=VERSION, plans=plans), STANDARD.rules, **asked))
    runs = json.loads(text)["runs"]
    assert isinstance(runs, list)
    return runs


def kinds(run: dict[str, Any]) -> list[tuple[str, str]]:
    return [(each["ruleId"], each["level"]) for each in run["results"]]


def left_out(run: dict[str, Any]) -> list[tuple[str, str]]:
    (invocation,) = run["invocations"]
    return [
        (notice["level"], notice["message"]["text"])
        for notice in invocation["toolExecutionNotifications"]
        if notice["descriptor"]["id"] == "left-out"
    ]


def limit(monkeypatch: pytest.MonkeyPatch, **numbers: int) -> None:
    for name, number in numbers.items():
        monkeypatch.setattr(host_limits, name, number)


def test_the_gravest_stay_in_their_order_and_the_rest_is_counted(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    limit(monkeypatch, SARIF_RESULTS_A_RUN=4)
    note = replace(SENSOR, severity="note")
    waived = wall_finding(1, "A1", 7, WAIVER)
    (run,) = runs_of(
        plan_of("a", note, waived, SENSOR, SENSOR, note),
        plan_of("b", SENSOR, wall_finding(1, "A1", 7)),
        ATTIC,
    )
    assert kinds(run) == [
        ("sensor-depth", "warning"),
        ("wall-clearance", "error"),
        ("unreadable", "error"),
        ("unreadable", "error"),
    ]
    ((level, said),) = left_out(run)
    assert level == "warning"
    assert said.startswith("2 warnings, 2 notes, 1 waived left out: code hosts take at most ")
    assert "--split" in said


def test_as_many_as_are_taken_leave_nothing_out(monkeypatch: pytest.MonkeyPatch) -> None:
    limit(monkeypatch, SARIF_RESULTS_A_RUN=2)
    (run,) = runs_of(plan_of("a", SENSOR, SENSOR))
    assert len(run["results"]) == 2
    assert left_out(run) == []


def test_split_takes_more_in_runs_with_categories_of_their_own(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    limit(monkeypatch, SARIF_RESULTS_A_RUN=4)
    plans = [plan_of(str(number), SENSOR) for number in range(19)]
    error = plan_of("error", wall_finding(1, "A1", 7), SENSOR, SENSOR)
    runs = runs_of(*plans, error, split=True)
    assert len(runs) == host_limits.SARIF_RUNS
    assert sum(len(run["results"]) for run in runs) == 20
    assert max(len(run["results"]) for run in runs) == 4
    names = [run["automationDetails"]["id"] for run in runs]
    assert names == [f"underfoot/{number}/" for number in range(1, 6)]
    assert sum(("wall-clearance", "error") in kinds(run) for run in runs) == 1
    assert left_out(runs[0])[0][1].startswith("2 warnings left out")
    for run in runs:
        listed = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
        for result in run["results"]:
            assert listed[result["ruleIndex"]] == result["ruleId"]
            at = result["locations"][0]["physicalLocation"]["artifactLocation"]
            assert run["artifacts"][at["index"]]["location"]["uri"] == at["uri"]


def test_in_a_split_report_a_result_stays_in_its_run_when_others_go() -> None:
    def runs(*names: str) -> dict[str, int]:
        split = runs_of(*(plan_of(name, SENSOR) for name in names), split=True)
        return {
            result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]: place
            for place, run in enumerate(split)
            for result in run["results"]
        }

    every = runs(*"abcdefgh")
    assert len(set(every.values())) > 1
    assert runs(*"bdfh").items() <= every.items()


def test_a_file_that_would_be_too_large_loses_the_least_grave(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plans = [plan_of(str(number), SENSOR) for number in range(40)]
    plans.append(plan_of("error", wall_finding(1, "A1", 7)))
    bare = Report(version=VERSION, plans=(plan_of("a"),))
    whole = len(gzip.compress("".join(write_sarif(bare, STANDARD.rules)).encode()))
    limit(monkeypatch, SARIF_BYTES_GZIPPED=whole + 3000)
    text = "".join(write_sarif(Report(version=VERSION, plans=tuple(plans)), STANDARD.rules))
    (run,) = json.loads(text)["runs"]
    assert len(gzip.compress(text.encode())) < whole + 3000
    assert 0 < len(run["results"]) < 41
    assert ("wall-clearance", "error") in kinds(run)
    assert left_out(run)[0][1].startswith(f"{41 - len(run['results'])} warnings left out")


def test_notifications_have_a_limit_too(monkeypatch: pytest.MonkeyPatch) -> None:
    limit(monkeypatch, SARIF_NOTICES=3)
    (run,) = runs_of(ATTIC, plan_of("a"), plan_of("b"))
    (invocation,) = run["invocations"]
    levels = [each["level"] for each in invocation["toolExecutionNotifications"]]
    assert levels.count("error") == 2
    assert left_out(run)[-1][1].startswith("1 warning notification, ")


def test_what_was_known_is_left_out_on_request_and_counted() -> None:
    known = replace(SENSOR, earlier=Earlier(state="known"))
    fresh = replace(wall_finding(1, "A1", 7), earlier=Earlier(state="new"))
    worse = replace(wall_finding(2, "A2", 7), earlier=Earlier(state="worse"))
    plan = plan_of("a", known, fresh, worse)
    (run,) = runs_of(plan)
    assert len(run["results"]) == 3
    assert left_out(run) == []
    (run,) = runs_of(plan, only_new=True)
    assert kinds(run) == [("wall-clearance", "error")] * 2
    ((level, said),) = left_out(run)
    assert level == "note"
    assert said.startswith("1 warning left out: they were known before")
