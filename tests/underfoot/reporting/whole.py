"""Reports that are at hand as a whole: held against earlier ones, written in one of the formats."""

from collections.abc import Collection, Iterator, Sequence

from msgspec.structs import replace

from underfoot.checking.earlier import EarlierPlans, Holding
from underfoot.checking.exit_status import RefuseAt
from underfoot.checking.report import Report
from underfoot.checking.rule import AnyRule
from underfoot.reporting.json import JsonWriter
from underfoot.reporting.junit import JunitWriter
from underfoot.reporting.sarif import SarifWriter
from underfoot.reporting.sarif_places import AS_GIVEN, PathBase
from underfoot.reporting.writer import write_whole


def hold_against(
    report: Report, earlier: EarlierPlans, name: str, absent: Collection[str] = ()
) -> Report:
    holding = Holding(earlier, name, absent)
    plans = tuple(map(holding.hold, report.plans))
    return replace(report, plans=plans, earlier=holding.sum_up())


def write_json(report: Report) -> Iterator[str]:
    return write_whole(JsonWriter(is_held=report.earlier is not None), report)


def write_junit(
    report: Report, refuse_at: RefuseAt = "error", *, only_failing: bool = False
) -> Iterator[str]:
    return write_whole(JunitWriter(refuse_at, only_failing=only_failing), report)


def write_sarif(
    report: Report, rules: Sequence[AnyRule], told: PathBase = AS_GIVEN, **asked: bool
) -> Iterator[str]:
    return write_whole(SarifWriter(rules, told, **asked), report)
