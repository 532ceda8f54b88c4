"""What was mended and what is left, in words."""

from collections.abc import Iterator

from underfoot.checking.caution import CAUTION
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.mending.difference import write_difference
from underfoot.mending.in_turn import MendedPlan
from underfoot.mending.search import Searched
from underfoot.reporting.ink import PLAIN, Ink, paint
from underfoot.reporting.layout import WIDTH, count_of, hanging_indent
from underfoot.reporting.text import write_verdict
from underfoot.reporting.text_findings import write_head, write_row

# No more rules are named that stand in the way of a mend.
_MOST_NAMED = 4


def write_mended(plan: MendedPlan, *, ink: Ink = PLAIN, width: int = WIDTH) -> Iterator[str]:
    """Write what is mended and how, the lines that differ, what is left, and the verdict then."""
    report = plan.before.report
    margin = len(str(len(report.findings))) + 1
    lines: list[str] = []
    for mended in plan.mended:
        lines += [*_finding(report, mended.finding, margin, width, ink)]
        says = f"Gone with {mended.gone_with}." if mended.mend is None else mended.mend.says
        lines += [*write_row(_blank(margin), "Mend", says, width, ink), ""]
    yield _joined(lines)
    was, now = plan.was.decode("utf-8"), plan.now.decode("utf-8")
    yield from write_difference(was, now, report.path, ink)
    lines = [""] if plan.mended else []
    if plan.left:
        lines += [paint(f"LEFT  {count_of(len(plan.left), 'finding')}", ink.strong, ink), ""]
    for left in plan.left:
        lines += _finding(report, left.finding, margin, width, ink)
        lines += write_row(_blank(margin), "Mend", _say_none(left.searched), width, ink)
        lines += [*write_row(_blank(margin), "To do", left.finding.remedy, width, ink), ""]
    if plan.mended:
        lines.append(paint("AS MENDED", ink.strong, ink))
    lines += [*write_verdict(plan.after.report, width, ink), ""]
    lines += hanging_indent("CAUTION  ", CAUTION, width)
    yield _joined(lines)


def _blank(margin: int) -> str:
    return " " * (margin + 2)


def _finding(
    plan: PlanReport, finding: ReportedFinding, margin: int, width: int, ink: Ink
) -> list[str]:
    return [
        *write_head(plan, finding, margin, width, ink),
        *hanging_indent(_blank(margin), finding.message, width),
    ]


def _say_none(searched: Searched) -> str:
    """Say why there is no mend."""
    if searched.ended_early:
        return "None was found as far as was tried: put something else right first."
    if searched.brought:
        named = ", ".join(searched.brought[:_MOST_NAMED])
        more = len(searched.brought) - _MOST_NAMED
        named += f" and {more} more" if more > 0 else ""
        return f"None: what was tried brings another finding ({named})."
    if searched.tried:
        return "None: what was tried does not clear it, or leaves something unjudged."
    return "None is known."


def _joined(lines: list[str]) -> str:
    return "".join(f"{line}\n" for line in lines)
