"""`underfoot.check`: what a program gets that checks plans."""

import subprocess
import sys
import threading
from datetime import date
from pathlib import Path

import pytest

import underfoot
from tests.demo_plans import PLANS

TODAY = date(2026, 11, 29)


def test_a_plan_with_errors_is_reported_as_the_command_does() -> None:
    report = underfoot.check(PLANS / "study.yaml", today=TODAY)
    [plan] = report.plans
    assert plan.verdict == "revise and resubmit"
    assert [(one.number, one.rule, one.items, one.line) for one in plan.findings] == [
        (1, "element-overlap", ("A5", "X1"), 64),
        (2, "wall-clearance", ("X1",), 66),
        (3, "lead-under-element", ("W2", "A5"), 84),
        (4, "lead-under-element", ("W2", "X1"), 84),
    ]
    assert report.version == underfoot.__version__
    assert "certifies nothing" in report.caution
    assert underfoot.exit_status(report) == 1
    assert underfoot.exit_status(report, "never") == 0


def test_text_and_bytes_are_judged_as_the_file_is() -> None:
    place = PLANS / "study.yaml"
    source = place.read_bytes()
    by_file = underfoot.check(place, today=TODAY).plans[0]
    for text in (source, source.decode()):
        [plan] = underfoot.check(underfoot.PlanText(text=text, path=str(place)), today=TODAY).plans
        assert plan == by_file


def test_a_text_has_the_settings_beside_its_path(tmp_path: Path) -> None:
    (tmp_path / "underfoot.yaml").write_text(
        "settings_format: 1\nrules: {wall-clearance: {severity: note, because: tried}}\n"
    )
    text = underfoot.PlanText(
        text=(PLANS / "study.yaml").read_bytes(), path=str(tmp_path / "study.yaml")
    )
    [plan] = underfoot.check(text, today=TODAY).plans
    assert {one.severity for one in plan.findings if one.rule == "wall-clearance"} == {"note"}
    [plain] = underfoot.check(
        underfoot.PlanText(text=text.text), today=TODAY, root=tmp_path / "x"
    ).plans
    assert {one.severity for one in plain.findings if one.rule == "wall-clearance"} == {"error"}


def test_what_cannot_be_read_is_in_the_report_where_it_is(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("plan_format: 1\nrooms: {hall: {wdith: 3}}\n")
    report = underfoot.check(
        bad,
        PLANS / "bedroom.yaml",
        tmp_path / "none.yaml",
        underfoot.PlanText(text="a: [", path="t.yaml"),
    )
    assert [plan.verdict for plan in report.plans[::2]] == ["unreadable", "unreadable"]
    assert report.plans[1].verdict != "unreadable"
    misspelt = [each for each in report.plans[0].problems if "wdith" in each.message]
    assert [(each.line, each.column) for each in misspelt] == [(2, 16)]
    assert report.plans[2].path == "t.yaml"
    assert report.plans[2].problems[0].line == 1
    [absent] = report.problems
    assert absent.file == (tmp_path / "none.yaml").as_posix()
    assert underfoot.exit_status(report) == 2


def test_text_that_utf8_cannot_hold_is_told() -> None:
    [plan] = underfoot.check(underfoot.PlanText(text="plan_format: \ud800\n")).plans
    assert plan.verdict == "unreadable"
    assert plan.problems


def test_nothing_to_check_is_an_empty_report() -> None:
    report = underfoot.check()
    assert report.plans == ()
    assert underfoot.exit_status(report) == 2


def test_a_plan_that_costs_too_much_costs_no_other() -> None:
    deep = underfoot.PlanText(text="a: " + "[" * 5_000, path="deep.yaml")
    report = underfoot.check(PLANS / "study.yaml", plan_seconds=0.001)
    [plan] = report.plans
    assert plan.verdict == "unreadable"
    assert "took longer than 0.001 s" in plan.problems[0].message
    report = underfoot.check(deep, PLANS / "study.yaml", today=TODAY)
    assert [each.verdict for each in report.plans] == ["revise and resubmit", "unreadable"]


def test_waivers_settings_and_day_are_the_callers(tmp_path: Path) -> None:
    settings = tmp_path / "ours.yaml"
    settings.write_text(
        "settings_format: 1\nrules: {element-overlap: {off: true, because: tried here}}\n"
    )
    [plan] = underfoot.check(PLANS / "study.yaml", settings=settings, today=TODAY).plans
    assert "element-overlap" not in {one.rule for one in plan.findings}
    assert any(each.rule == "element-overlap" for each in plan.changed)
    waived = [
        underfoot.check(PLANS / "guest-room.yaml", today=TODAY, waivers=waivers).plans
        for waivers in (True, False)
    ]
    assert [sum(each.counts.waived for each in plans) > 0 for plans in waived] == [True, False]


def test_settings_that_cannot_be_used_are_raised_with_their_place(tmp_path: Path) -> None:
    settings = tmp_path / "ours.yaml"
    settings.write_text("settings_format: 1\nrulez: {}\n")
    with pytest.raises(underfoot.CannotCheckError, match=r"ours\.yaml:2:1: .*rulez"):
        underfoot.check(PLANS / "study.yaml", settings=settings)


@pytest.mark.parametrize(("name", "number"), [("jobs", 0), ("plan_seconds", 0), ("jobs", -1)])
def test_numbers_that_cannot_be_meant(name: str, number: int) -> None:
    with pytest.raises(ValueError, match=f"{name} is {number}, but"):
        underfoot.check(PLANS / "study.yaml", **{name: number})  # type: ignore[arg-type]


def test_mends_come_where_they_are_asked_for() -> None:
    text = (PLANS / "bedroom.yaml").read_text("utf-8").replace("rcd: 30 mA", "rcd: 100 mA")
    told = underfoot.PlanText(text, str(PLANS / "bedroom.yaml"))
    (plan,) = underfoot.check(told, today=TODAY).plans
    assert [each.mends for each in plan.findings] == [None]
    (plan,) = underfoot.check(told, today=TODAY, mends=True).plans
    ((mend,),) = (each.mends for each in plan.findings)
    assert [edit.path for edit in mend.patch] == [("circuits", "C1", "rcd")]


def test_jobs_and_threads_change_nothing() -> None:
    names = ("study.yaml", "bedroom.yaml", "hall.yaml")
    plans = [PLANS / name for name in names if (PLANS / name).exists()]
    assert len(plans) >= 2
    once = underfoot.check(*plans, today=TODAY)
    assert underfoot.check(*plans, today=TODAY, jobs=2) == once
    kept: list[underfoot.Report] = []
    thread = threading.Thread(target=lambda: kept.append(underfoot.check(*plans, today=TODAY)))
    thread.start()
    thread.join()
    assert kept == [once]


def test_where_processes_cannot_be_copied_the_report_is_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    apart = underfoot.check(PLANS / "study.yaml", today=TODAY)
    monkeypatch.setattr("underfoot.from_python.can_copy", lambda: False)
    assert underfoot.check(PLANS / "study.yaml", today=TODAY) == apart


def test_importing_the_package_imports_nothing_heavy() -> None:
    program = "import sys, underfoot; print(sorted(m for m in sys.modules if 'underfoot' in m))"
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert told.stdout.strip() == "['underfoot']", told.stderr


def test_names_are_those_that_are_told() -> None:
    for name in underfoot.__all__:
        assert getattr(underfoot, name) is not None
        assert name in dir(underfoot)
    with pytest.raises(AttributeError, match="no attribute 'chekc'"):
        underfoot.chekc  # type: ignore[attr-defined]  # noqa: B018


PROGRAM = """\
import underfoot
from pathlib import Path
from typing import assert_type

report = underfoot.check("plans", Path("a.yaml"), underfoot.PlanText("a: 1"))
assert_type(report, underfoot.Report)
for plan in report.plans:
    for finding in plan.findings:
        assert_type(finding.items, tuple[str, ...])
        assert_type(finding, underfoot.ReportedFinding)
    for problem in (*plan.problems, *report.problems):
        assert_type(problem, underfoot.Problem)
assert_type(underfoot.exit_status(report, "unjudged"), int)
"""


@pytest.mark.long
def test_mypy_sees_what_a_program_does(tmp_path: Path) -> None:
    api = pytest.importorskip("mypy.api", reason="belongs to the extra `lint`")
    place = tmp_path / "program.py"
    place.write_text(PROGRAM + 'underfoot.check("plans", todya=None)\nreport.planz\n')
    options = ["--strict", "--follow-imports=silent", "--no-error-summary"]
    told, refused, _ = api.run([*options, f"--cache-dir={tmp_path / 'cache'}", str(place)])
    assert not refused
    first = PROGRAM.count("\n") + 1
    wrong = [line for line in told.splitlines() if ": error: " in line]
    assert [int(line.split("program.py:")[1].split(":")[0]) for line in wrong] == [first, first + 1]
    assert '"todya"' in wrong[0]
    assert '"planz"' in wrong[1]
