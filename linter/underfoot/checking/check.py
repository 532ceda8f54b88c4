"""One plan's bytes -> its part of the report: the function that every command and job runs."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.content_marks import list_content
from underfoot.checking.engine import Outcome, keep_asked, run
from underfoot.checking.excerpts import quote_places, quote_problems
from underfoot.checking.facts import Facts
from underfoot.checking.merging_settings import sets_in_force
from underfoot.checking.report import PlanReport, RulesAsked, unreadable
from underfoot.checking.report_builder import build_report
from underfoot.checking.rule import RuleSet
from underfoot.checking.rule_order import RuleOrder, order_rules
from underfoot.checking.settings import Settings
from underfoot.plan import Plan
from underfoot.reading import Reading, read_plan
from underfoot.reading.plan_file import Taken
from underfoot.reading.problem import Problem
from underfoot.reading.review_file import ReviewFile


class Checker(Struct, frozen=True, kw_only=True):
    """Rules and settings made ready to check plans with; `asked` are the only rules to report.

    Reports `in_brief` tell no more of a finding than where it is and what it says: what else a
    report has of one is not worked out.
    """

    settings: Settings
    program: RuleOrder
    today: date
    with_waivers: bool = True
    asked: RulesAsked | None = None
    in_brief: bool = False


def make_checker(
    sets: Sequence[RuleSet],
    settings: Settings,
    today: date,
    *,
    with_waivers: bool = True,
    asked: RulesAsked | None = None,
    in_brief: bool = False,
) -> Checker:
    """Make rules and settings ready; ValueError where the sets do not go together."""
    program = order_rules(sets_in_force(settings, sets), settings.off)
    return Checker(
        settings=settings,
        program=program,
        today=today,
        with_waivers=with_waivers,
        asked=asked,
        in_brief=in_brief,
    )


class CheckedPlan(Struct, frozen=True, kw_only=True):
    """A plan with its report, its facts and the settings it was held against.

    `facts` and `plan` are None where it could not be read, `settings` where they could not. `taken`
    is the catalogue that was opened for it, if any. What is drawn or compared takes the facts that
    the rules have worked out. `source` is the plan as it was read; `review` what the review beside
    it says, where it can be read, and `review_source` that file itself.
    """

    report: PlanReport
    facts: Facts | None
    settings: Settings | None = None
    taken: Taken | None = None
    source: bytes | None = None
    review: ReviewFile | None = None
    review_source: bytes | None = None

    @property
    def plan(self) -> Plan | None:
        """The plan itself."""
        return None if self.facts is None else self.facts.plan


def examine(
    source: bytes,
    bench: Checker,
    *,
    path: str,
    folder: Path | None = None,
    root: Path | None = None,
) -> CheckedPlan:
    """Read and check one plan. A plan that cannot be read still yields a report."""
    return check_reading(read_plan(source, path=path, folder=folder, root=root), bench, source)[0]


def check_reading(
    reading: Reading, bench: Checker, source: bytes, before: Facts | None = None
) -> tuple[CheckedPlan, Outcome | None]:
    """Check what was read of a plan; gives all that all rules said, too, where it could be read.

    What was worked out `before` of rooms that are the same is taken over.
    """
    path, plan = reading.path, reading.plan
    if plan is None:
        report = replace(report_unread(reading, source), asked=bench.asked)
        unread = CheckedPlan(
            report=report, facts=None, settings=bench.settings, taken=reading.taken, source=source
        )
        return unread, None
    settings, today = bench.settings, bench.today
    outcome = run(
        plan,
        bench.program,
        settings,
        today=today,
        with_waivers=bench.with_waivers,
        paths=reading.positions,
        before=before,
        is_advised=not bench.in_brief,
    )
    # All have run: what one finds hangs on what others have found, and on whose waivers hold.
    told = outcome if bench.asked is None else keep_asked(outcome, frozenset(bench.asked.rules))
    report = build_report(
        path, plan, told, reading.positions, settings, today, in_brief=bench.in_brief
    )
    report = report if bench.asked is None else replace(report, asked=bench.asked)
    if not bench.in_brief and (report.findings or report.counts.may_be_errors):
        report = replace(
            report,
            content=list_content(plan, source),
            excerpts=quote_places(report, source, reading.taken),
        )
    checked = CheckedPlan(
        report=report, facts=outcome.facts, settings=settings, taken=reading.taken, source=source
    )
    return checked, outcome


def report_unread(reading: Reading, source: bytes) -> PlanReport:
    """Report a plan that could not be read, with the lines at fault."""
    report = unreadable(reading.path, reading.problems)
    return replace(report, excerpts=quote_places(report, source, reading.taken))


def report_file(path: str, problems: Sequence[Problem], source: bytes) -> PlanReport:
    """Report a file of another kind that could not be read, with the lines at fault."""
    return unreadable(path, problems, quote_problems(problems, {None: source, path: source}))


def check_source(
    source: bytes,
    bench: Checker,
    *,
    path: str,
    folder: Path | None = None,
    root: Path | None = None,
) -> PlanReport:
    """Check one plan and keep its report alone."""
    return examine(source, bench, path=path, folder=folder, root=root).report
