"""Memory does not grow with the plans of a run: reports are written as they come."""

import pickle
import sys
import tracemalloc
from pathlib import Path
from subprocess import DEVNULL, run

import pytest
from msgspec.structs import replace

from tests.underfoot.reporting.reports import ATTIC, KITCHEN, VERSION
from underfoot.checking.report import PlanReport
from underfoot.checking.summing import Summary, Summing
from underfoot.commands.outputs import FORMATS, Asked, Output
from underfoot.commands.reporting_run import RunReports
from underfoot_rules import STANDARD

pytestmark = pytest.mark.process

# More than that a thousand plans is a report kept in memory.
MOST_MIB = 5.0
KINDS = (pickle.dumps(KITCHEN), pickle.dumps(ATTIC))
BASE_PLAN = Path(__file__).parents[3] / "rules" / "underfoot_rules" / "base_plan.yaml"


def fresh(number: int) -> PlanReport:
    """A report as it comes out of another process: nothing in it is shared with another."""
    plan: PlanReport = pickle.loads(KINDS[number % 2])
    return replace(plan, path=f"plans/{number:05}.yaml")


@pytest.mark.parametrize("form", FORMATS)
def test_reports_are_not_kept(form: str, tmp_path: Path) -> None:
    outputs = [Output(format=form, place=str(tmp_path / "out"))]
    reports = RunReports(
        outputs, Asked(sets=[STANDARD], refuse_at="error", plans=10_000), Summary(version=VERSION)
    )
    summing = Summing("error")

    def feed(first: int, count: int) -> None:
        for number in range(first, first + count):
            plan = fresh(number)
            summing.add(plan)
            reports.add(plan, None)

    feed(0, 100)
    tracemalloc.start()
    feed(100, 400)
    grown = tracemalloc.get_traced_memory()[0] / 2**20
    tracemalloc.stop()
    assert grown / 0.4 < MOST_MIB
    reports.end(Summary(version=VERSION, plans=summing.plans))
    assert (tmp_path / "out").stat().st_size > 100_000 or form == "html"


def test_a_report_that_is_kept_would_be_noticed() -> None:
    tracemalloc.start()
    kept = [fresh(number) for number in range(400)]
    grown = tracemalloc.get_traced_memory()[0] / 2**20
    tracemalloc.stop()
    assert len(kept) == 400
    assert grown / 0.4 > MOST_MIB


PEAK = """
import resource, sys
from underfoot.__main__ import main
main(sys.argv[1:])
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="counts in KiB on Linux alone")
@pytest.mark.parametrize(
    ("jobs", "form"), [("1", "text"), ("1", "json"), ("2", "sarif"), ("2", "junit")]
)
def test_a_run_of_many_plans_stays_small(jobs: str, form: str, tmp_path: Path) -> None:
    text = BASE_PLAN.read_text("utf-8").replace("floor_cleaned: true", "floor_cleaned: false")
    plans = tmp_path / "plans"
    plans.mkdir()

    def peak(count: int) -> float:
        for number in range(count):
            (plans / f"{number:04}.yaml").write_text(f"# {number}\n{text}", "utf-8")
        out = tmp_path / "peak"
        with out.open("w") as stream:
            run(
                [sys.executable, "-c", PEAK, "check", str(plans), "--jobs", jobs,
                 "--format", form, "--output", str(tmp_path / "out")],
                stdout=stream, stderr=DEVNULL, check=True,
            )  # fmt: skip
        return float(out.read_text())

    few = peak(300)
    assert peak(1300) - few < MOST_MIB
