"""The demo plans, checked as the command does it.

python -m tests.demo_plans            writes the expected reports beside the plans, and the sheet
                                      that the README shows, anew
"""

import re
from datetime import date
from functools import cache
from pathlib import Path

from underfoot.checking.facts import Facts
from underfoot.checking.report import PlanReport, Report
from underfoot.drawing import draw_room
from underfoot.reading import read_plan
from underfoot.reporting.text import write_text
from underfoot.running.checking import Terms, examiner, keep_all, rule_sets_to_use
from underfoot.running.plan_files import collect_plans

ROOT = Path(__file__).parent.parent
PLANS = ROOT / "plans"
TODAY = date(2026, 12, 1)
VERSION = "demo"
SHEET = PLANS / "study.svg"
_SUMS = re.compile(r"^CHECKED  .*\n(?: +.*\n)*\n", re.MULTILINE)


@cache
def demo_reports() -> tuple[PlanReport, ...]:
    """Check every plan below plans/, with the settings beside it, as of a fixed day.

    The working folder must be the repository's root: paths are printed from there.
    """
    files = collect_plans(("plans",)).files
    sets = [rule_set for rule_set in rule_sets_to_use() if rule_set.name == "standard"]
    examine = examiner(sets, Terms(today=TODAY), keep_all)
    return tuple(examine(each).report for each in files)


def expected_file(path: str) -> Path:
    """The file beside a plan that holds the report expected of it."""
    return ROOT / f"{path.rpartition('.')[0]}.report.txt"


def text_of(report: PlanReport) -> str:
    """The report of one plan as text."""
    return "".join(write_text(Report(version=VERSION, plans=(report,))))


def kept_text_of(report: PlanReport) -> str:
    """What is kept beside the plan: the report without the sums over all rules.

    Those change with every rule of a set that has nothing to say about the plan.
    """
    return _SUMS.sub("", text_of(report))


def draw_study() -> str:
    """The sheet of the study, as the README shows it."""
    (report,) = [one for one in demo_reports() if one.path == "plans/study.yaml"]
    reading = read_plan((PLANS / "study.yaml").read_bytes(), path=report.path, folder=PLANS)
    assert reading.plan is not None
    return draw_room(Facts(reading.plan, {}).rooms["study"], reading.plan, report)


if __name__ == "__main__":
    for one in demo_reports():
        expected_file(one.path).write_text(kept_text_of(one), encoding="utf-8")
        print(one.path, one.verdict)
    SHEET.write_text(draw_study(), encoding="utf-8")
