"""Which figures are asked about whether they are meant."""

from tests.underfoot_rules.plans import of_rule
from underfoot.checking.report import PlanReport


def asked(report: PlanReport) -> list[tuple[str | None, tuple[str, ...], str]]:
    return [(each.room, each.items, each.severity) for each in of_rule(report, "odd-figure")]
