"""The findings of one plan, a line each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.reporting.ink import Ink, link, paint
from underfoot.reporting.layout import columns_of, cut_short, escape_invisible

# With less room for its words a finding is told by rule and items.
_NARROWEST = 24
_NARROWEST_RULE = 12
_UNREADABLE_RULE = "unreadable"


class _Line(Struct, frozen=True, kw_only=True):
    """One thing to tell: what stands in each column."""

    number: str
    place: str
    word: str
    code: str
    rule: str
    says: str
    items: str = ""
    file: str = ""


def write_brief_lines(plan: PlanReport, width: int | None, ink: Ink) -> Iterator[str]:
    """Write what keeps a plan from being read, what crashed and what was found, a line each.

    Where a width is given, words that do not fit are cut short.
    """
    lines = [*_problems(plan, ink), *_faults(plan, ink), *_findings(plan, ink)]
    if not lines:
        return
    number, place, word, rule = (
        max(columns_of(text) for text in column)
        for column in zip(
            *((one.number, one.place, one.word, one.rule) for one in lines), strict=True
        )
    )
    margin = max(number + 1, 3)
    begin = margin + place + word + rule + 8
    for one in lines:
        first = (
            f"{paint(f'{one.number:>{margin}}', ink.strong, ink)}  "
            f"{link(one.place, one.file, ink)}{_gap(one.place, place)}"
            f"{paint(one.word, one.code, ink)}{_gap(one.word, word)}"
        )
        if width is None or width - begin >= _NARROWEST:
            says = one.says if width is None else cut_short(one.says, width - begin)
            yield f"{first}{one.rule}{_gap(one.rule, rule)}{says}"
        else:
            said = f"{one.rule}  {one.items}" if one.items else one.rule
            yield first + cut_short(said, max(width - begin + rule + 2, _NARROWEST_RULE))


def _gap(text: str, widest: int) -> str:
    return " " * (widest - columns_of(text) + 2)


def _problems(plan: PlanReport, ink: Ink) -> Iterator[_Line]:
    for number, problem in enumerate(plan.problems, 1):
        where = f"in {problem.file}: " if problem.file else ""
        yield _Line(
            number=str(number),
            place=f"{problem.line}:{problem.column}",
            word="error",
            code=ink.error,
            rule=_UNREADABLE_RULE,
            says=escape_invisible(f"{where}{problem.message}"),
            file=problem.file or plan.path,
        )


def _faults(plan: PlanReport, ink: Ink) -> Iterator[_Line]:
    for fault in plan.faults:
        yield _Line(
            number="!!!",
            place="",
            word="crashed",
            code=ink.error,
            rule=escape_invisible(fault.rule),
            says=escape_invisible(f"a fault of the tool, not of the plan: {fault.message}"),
            file="-",
        )


def _findings(plan: PlanReport, ink: Ink) -> Iterator[_Line]:
    are_several = len({one.room for one in plan.findings if one.room is not None}) > 1
    for finding in plan.findings:
        word, code = _word_of(finding, ink)
        room = f"{plan.name_room(finding.room or '')}: "
        is_told = finding.room is None or finding.room in finding.message
        says = f"{room}{finding.message}" if are_several and not is_told else finding.message
        items: Sequence[str] = finding.items or ((finding.room,) if finding.room else ())
        yield _Line(
            number=str(finding.number),
            place=f"{finding.line}:{finding.column}",
            word=word,
            code=code,
            rule=escape_invisible(finding.rule),
            says=escape_invisible(says),
            items=escape_invisible(", ".join(items)),
            file=plan.path,
        )


def _word_of(finding: ReportedFinding, ink: Ink) -> tuple[str, str]:
    if finding.waiver:
        return "waived", ink.faint
    if finding.earlier and finding.earlier.state == "known":
        return "known", ink.faint
    return finding.severity, getattr(ink, finding.severity)
