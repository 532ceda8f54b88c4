"""The report of many plans as text: one line a finding, sums, and what to look at first."""

from collections import Counter
from collections.abc import Container, Iterable, Iterator

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.caution import CAUTION_IN_BRIEF
from underfoot.checking.finding import SEVERITIES
from underfoot.checking.report import NO_OBJECTION, PlanReport
from underfoot.checking.summing import Summary
from underfoot.reporting.brief_lines import fitting, say_figures, write_brief_lines
from underfoot.reporting.ink import PLAIN, Ink, link, paint
from underfoot.reporting.layout import (
    WIDTH,
    columns_of,
    count_of,
    cut_short,
    escape_invisible,
    hanging_indent,
    hanging_list,
)
from underfoot.reporting.phrases import VERDICTS, say_counts, say_may_be, say_path, say_review
from underfoot.reporting.text import verdict_code, write_held, write_not_as_asked
from underfoot.reporting.what_first import MOST_FIRST, gravity, worst_findings

_LABEL = 12
# On a terminal no more rules are named; the others are counted.
_MOST_RULES = 16
# As many rules that found one thing each are told without a number each.
_FEWEST_ONCE = 3
_MOST_CLEAN = 8
_HINT = "One plan in full: underfoot check PLAN. All of them: --detail full."


class _ToLookAt(Struct, frozen=True, kw_only=True):
    """A plan to look at: what it is sorted by, and where it is worst."""

    order: tuple[tuple[int, ...], int]
    path: str
    place: str
    says: str
    figures: str


class BriefWriter:
    """Writes each plan as it comes, one line a finding; then sums, and what to look at first.

    `fits` cuts what is told to the width, as on a terminal; else every line is whole. `electrical`
    are the rules that are about what can shock or burn.
    """

    def __init__(
        self,
        width: int = WIDTH,
        ink: Ink = PLAIN,
        *,
        fits: bool = False,
        electrical: Container[str] = (),
    ) -> None:
        self.width = width
        self.ink = ink
        self.fits = fits
        self.electrical = electrical
        self.come = 0
        self.clean = 0
        self.clean_named: list[str] = []
        self.by_rule: Counter[str] = Counter()
        self.changed: dict[str, int] = {}
        self.switched_off: set[str] = set()
        self.first: list[_ToLookAt] = []

    def begin(self, run: Summary) -> Iterable[str]:
        """Write nothing."""
        return ()

    def add(self, plan: PlanReport, page: object = None) -> Iterable[str]:
        """Write one plan, unless there is nothing to tell of it."""
        self.come += 1
        self.by_rule.update(one.rule for one in plan.findings if one.waiver is None)
        for file in {one.origin.file for one in plan.changed}:
            self.changed[file] = self.changed.get(file, 0) + 1
        self.switched_off.update(one.rule for one in plan.changed if one.what == "off")
        if _is_clean(plan):
            self.clean += 1
            if len(self.clean_named) < _MOST_CLEAN:
                self.clean_named.append(say_path(plan.path))
            return
        if plan.verdict != NO_OBJECTION:
            seen = _look_at(plan, self.come, self.electrical)
            self.first = sorted([*self.first, seen], key=lambda each: each.order)[:MOST_FIRST]
        yield "".join(f"{line}\n" for line in self._plan(plan))

    def end(self, run: Summary) -> Iterable[str]:
        """Write the sums, what to look at first, and the caution."""
        yield "".join(f"{line}\n" for line in self._end(run))

    def _plan(self, plan: PlanReport) -> Iterator[str]:
        yield from self._head(plan)
        yield from write_brief_lines(plan, self.width if self.fits else None, self.ink)
        for told, in_short in ((_say_review(plan), ""), _say_unjudged(plan)):
            if told:
                told, in_short = escape_invisible(told), escape_invisible(in_short)
                is_whole = not self.fits or columns_of(told) <= self.width - 4
                yield "    " + (told if is_whole else cut_short(in_short or told, self.width - 4))

    def _head(self, plan: PlanReport) -> list[str]:
        """Write path, verdict and counts, what was not judged left to a line of its own."""
        ink = self.ink
        path = escape_invisible(say_path(plan.path))
        brief = plan.in_brief
        counts = say_counts(replace(brief, counts=replace(brief.counts, undecided=0)))
        if plan.faults:
            counts += f", {count_of(len(plan.faults), 'rule')} crashed"
        said = f"{plan.verdict}: {counts.replace(' · ', ', ')}"
        linked = link(paint(path, ink.strong, ink), plan.path, ink)
        verdict = paint(plan.verdict, verdict_code(plan.verdict, ink), ink)
        if columns_of(path) + columns_of(said) + 2 <= self.width:
            return [f"{linked}  {verdict}{said[len(plan.verdict) :]}"]
        first, *more = hanging_indent("  ", said, self.width, 4)
        return [linked, f"  {verdict}{first[2 + len(plan.verdict) :]}", *more]

    def _end(self, run: Summary) -> Iterator[str]:
        ink, width = self.ink, self.width
        if self.clean:
            yield paint(self._say_clean(), ink.good, ink)
        if self.come:
            yield ""
        yield from write_not_as_asked(run, width, ink)
        for label, told in self._sums(run):
            begin = f"{label:<{_LABEL}}"
            first, *more_lines = (
                hanging_indent(begin, told, width)
                if isinstance(told, str)
                else hanging_list(begin, told, width)
            )
            yield paint(first[:_LABEL], ink.strong, ink) + first[_LABEL:]
            yield from more_lines
        if run.earlier:
            yield from write_held(run.earlier, width, ink)
        yield ""
        if self.first:
            yield paint("LOOK AT FIRST", ink.strong, ink)
            for number, each in enumerate(self.first, 1):
                yield from self._to_look_at(f" {number}  ", each)
            yield from hanging_indent("  ", _HINT, width)
            yield ""
        yield from hanging_indent("CAUTION  ", CAUTION_IN_BRIEF, width)

    def _say_clean(self) -> str:
        """Name the plans with nothing to tell in one line: as many as fit, the others counted."""
        for named in range(len(self.clean_named), -1, -1):
            said = f"{count_of(self.clean, 'plan')} with nothing to tell"
            if named:
                said += f": {', '.join(self.clean_named[:named])}"
                more = self.clean - named
                said += f" and {more} more" if more else ""
            said = escape_invisible(said)
            if not self.fits or columns_of(said) <= self.width:
                break
        return cut_short(said, self.width) if self.fits else said

    def _to_look_at(self, first: str, seen: _ToLookAt) -> Iterator[str]:
        place = escape_invisible(seen.place)
        linked = link(paint(place, self.ink.strong, self.ink), seen.path, self.ink)
        says = escape_invisible(seen.says)
        room = self.width - len(first) - columns_of(place) - 2
        if not self.fits or room >= min(columns_of(says), self.width // 3):
            yield f"{first}{linked}  {fitting(says, seen.figures, room) if self.fits else says}"
        else:
            yield first + linked
            yield " " * len(first) + fitting(says, seen.figures, self.width - len(first))

    def _sums(self, run: Summary) -> Iterator[tuple[str, str | list[str]]]:
        plans = run.plans
        verdicts = Counter(plan.verdict for plan in plans)
        parts = [f"{verdicts[verdict]} {verdict}" for verdict in VERDICTS if verdicts[verdict]]
        yield "PLANS", [f"{len(plans)}: {parts[0]}", *parts[1:]] if parts else "0"
        totals = {
            kind: sum(getattr(plan.counts, kind) for plan in plans)
            for kind in (*SEVERITIES, "waived", "undecided", "may_be_errors")
        }
        found = [count_of(totals[kind], kind) for kind in SEVERITIES]
        if totals["waived"]:
            found.append(f"{totals['waived']} waived")
        unread = sum(plan.problems for plan in plans)
        if unread:
            found.append(f"{count_of(unread, 'problem')} of reading")
        yield "FOUND", found
        yield from _sum_rules(self.by_rule, _MOST_RULES if self.fits else None)
        if totals["undecided"]:
            may_be = totals["may_be_errors"]
            said = count_of(totals["undecided"], "point")
            yield "NOT JUDGED", f"{said}, of which {say_may_be(may_be)}" if may_be else said
        crashed = sum(bool(plan.faults) for plan in plans)
        if crashed:
            yield "CRASHED", f"!!! rules crashed on {count_of(crashed, 'plan')}"
        if self.changed:
            files = ", ".join(f"{file} ({count_of(n, 'plan')})" for file, n in self.changed.items())
            off = ", ".join(sorted(self.switched_off))
            yield "SETTINGS", f"not the defaults: {files}" + (f"; switched off: {off}" * bool(off))
        if run.passed_over:
            yield "PASSED OVER", f"{run.passed_over} in the folders that are no plans"


def _is_clean(plan: PlanReport) -> bool:
    told = plan.findings or plan.counts.undecided or plan.faults or plan.review
    return plan.verdict == NO_OBJECTION and not told


def _sum_rules(by_rule: Counter[str], most: int | None) -> Iterator[tuple[str, list[str]]]:
    """Say how often each rule found something, the most frequent first; in parts kept whole."""
    rows = sorted(by_rule.items(), key=lambda row: (-row[1], row[0]))
    once = [rule for rule, number in rows if number == 1]
    if len(once) < _FEWEST_ONCE:
        once = []
    often = rows[: len(rows) - len(once)]
    parts = [f"{number} {rule}" for rule, number in often[:most]]
    others = [] if most is None else often[most:]
    if others:
        found = sum(number for _, number in others)
        parts.append(f"{found} by {count_of(len(others), 'other rule')}")
    if parts:
        yield "BY RULE", parts
    if once:
        named = once if most is None or len(once) <= most else once[: most // 2]
        more = len(once) - len(named)
        yield "ONCE EACH", [*named, *([f"{count_of(more, 'more rule')}"] if more else [])]


def _say_review(plan: PlanReport) -> str:
    return f"review: {say_review(plan, plan.review)}" if plan.review else ""


def _say_unjudged(plan: PlanReport) -> tuple[str, str]:
    """Say by which rules points could not be judged, what may be an error first; and in short.

    In short the counts come first, so that what is cut is but the names of rules.
    """
    may_be = [row.rule for row in plan.checks if row.may_be_errors]
    other = [row.rule for row in plan.checks if row.undecided > row.may_be_errors]
    counts = plan.counts
    parts = []
    if may_be:
        parts.append((say_may_be(counts.may_be_errors), ", ".join(may_be)))
    if other:
        least = counts.undecided - counts.may_be_errors
        parts.append((f"{least}{' less grave' if may_be else ''}", ", ".join(other)))
    if not parts:
        return "", ""
    told = ", ".join(f"{number} ({rules})" for number, rules in parts)
    in_short = f"{', '.join(number for number, _ in parts)}: {', '.join(dict(parts).values())}"
    return f"not judged: {told}", f"not judged: {in_short}"


def _look_at(plan: PlanReport, come: int, electrical: Container[str]) -> _ToLookAt:
    """Say where a plan is worst."""
    file, line, column = plan.path, 0, 0
    says, figures = say_counts(plan.in_brief), ""
    firsts = worst_findings(plan, electrical)
    if plan.problems:
        problem = plan.problems[0]
        file, line, column = problem.file or plan.path, problem.line, problem.column
        says = problem.message
    elif plan.faults:
        says = f"rule crashed: {', '.join(fault.rule for fault in plan.faults)}"
    elif firsts and (firsts[0].finding.severity == "error" or not plan.counts.may_be_errors):
        finding = firsts[0].finding
        line, column, says = finding.line, finding.column, finding.message
        figures = " ".join((finding.rule, say_figures(finding))) if say_figures(finding) else ""
    place = f"{say_path(file)}:{line}:{column}" if line else say_path(file)
    order = (gravity(plan.in_brief), come)
    return _ToLookAt(order=order, path=file, place=place, says=says, figures=figures)
