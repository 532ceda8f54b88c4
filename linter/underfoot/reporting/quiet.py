"""A report that says only what refuses a plan, and nothing where nothing does."""

from collections.abc import Iterable

from msgspec.structs import replace

from underfoot.checking.caution import CAUTION_IN_BRIEF
from underfoot.checking.exit_status import (
    PASSED,
    RefuseAt,
    counts_for_status,
    lacks_for_status,
    plan_status,
)
from underfoot.checking.report import PlanReport
from underfoot.checking.summing import Summary
from underfoot.reporting.layout import WIDTH, hanging_indent
from underfoot.reporting.phrases import say_asked
from underfoot.reporting.writer import Writer


class QuietWriter:
    """Hands on what refuses a plan; what cannot be checked as asked is said elsewhere."""

    def __init__(
        self, writer: Writer, refuse_at: RefuseAt, *, with_caution: bool, width: int = WIDTH
    ) -> None:
        self.writer = writer
        self.refuse_at = refuse_at
        self.with_caution = with_caution
        self.width = width
        self.has_said = False

    def begin(self, run: Summary) -> Iterable[str]:
        """Write nothing of the run itself."""
        return self.writer.begin(replace(run, problems=()))

    def add(self, plan: PlanReport, page: object = None) -> Iterable[str]:
        """Write one plan, where it is refused, with what refuses it."""
        if plan_status(plan, self.refuse_at) == PASSED:
            return ()
        self.has_said = True
        return self.writer.add(self._heard(plan))

    def end(self, run: Summary) -> Iterable[str]:
        """Write that not all rules were asked, and the caution, where anything was written."""
        if self.has_said and self.with_caution:
            asked = run.rules_asked
            lines = hanging_indent("NOT ALL RULES  ", say_asked(asked), self.width) if asked else []
            lines += hanging_indent("CAUTION  ", CAUTION_IN_BRIEF, self.width)
            return ("".join(f"{line}\n" for line in lines),)
        return ()

    def _heard(self, plan: PlanReport) -> PlanReport:
        findings = [each for each in plan.findings if counts_for_status(each, self.refuse_at)]
        checks = [row for row in plan.checks if lacks_for_status(row, self.refuse_at)]
        counts = replace(plan.counts, undecided=plan.counts.undecided if checks else 0)
        return replace(
            plan, findings=tuple(findings), checks=tuple(checks), counts=counts, review=None
        )
