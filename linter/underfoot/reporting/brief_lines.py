"""The findings of one plan, a line each."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from underfoot.checking.numbers import format_quantity
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
    figures: str = ""
    file: str = ""


def write_brief_lines(plan: PlanReport, width: int | None, ink: Ink) -> Iterator[str]:
    """Write what keeps a plan from being read, what crashed and what was found, a line each.

    Where a width is given and a sentence does not fit, what was measured and its limit stand in
    its place; what has no figures is cut short.
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
    # What keeps a plan from being read stands alone; that it does is said of the plan.
    has_rules = width is None or not plan.problems
    begin = margin + place + word + (rule + 8 if has_rules else 6)
    for one in lines:
        first = (
            f"{paint(f'{one.number:>{margin}}', ink.strong, ink)}  "
            f"{link(one.place, one.file, ink)}{_gap(one.place, place)}"
            f"{paint(one.word, one.code, ink)}{_gap(one.word, word)}"
        )
        if not has_rules:
            yield first + cut_short(one.says, max((width or 0) - begin, _NARROWEST_RULE))
        elif width is None or width - begin >= _NARROWEST:
            says = one.says if width is None else fitting(one.says, one.figures, width - begin)
            yield f"{first}{one.rule}{_gap(one.rule, rule)}{says}"
        else:
            said = f"{one.rule}  {one.items}" if one.items else one.rule
            figures = f"{one.rule}  {one.figures}" if one.figures else said
            room = max(width - begin + rule + 2, _NARROWEST_RULE)
            yield first + (figures if columns_of(figures) <= room else cut_short(said, room))


def fitting(says: str, figures: str, width: int) -> str:
    """Return a sentence where it has `width` columns, else its figures, else what fits of it."""
    if columns_of(says) <= width or not figures or columns_of(figures) > width:
        return cut_short(says, width)
    return figures


def say_figures(finding: ReportedFinding, room: str = "") -> str:
    """Say in figures alone what was found: ``A1: 42 mm, at least 50 mm``; nothing without them."""
    measured, limit = finding.measured, finding.limit
    if measured is None or limit is None:
        return ""
    bound, which = (limit.most, "at most") if limit.least is None else (limit.least, "at least")
    if bound is None:
        return ""
    of = " ".join(part for part in (room, ", ".join(finding.items)) if part)
    was = format_quantity(measured.value, measured.unit, bound)
    asked = format_quantity(bound, limit.unit, measured.value)
    return escape_invisible(f"{of}: {was}, {which} {asked}" if of else f"{was}, {which} {asked}")


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
        room = plan.name_room(finding.room) if finding.room is not None and are_several else ""
        is_told = finding.room is None or finding.room in finding.message
        says = f"{room}: {finding.message}" if room and not is_told else finding.message
        items: Sequence[str] = finding.items or ((finding.room,) if finding.room else ())
        yield _Line(
            number=str(finding.number),
            place=f"{finding.line}:{finding.column}",
            word=word,
            code=code,
            rule=escape_invisible(finding.rule),
            says=escape_invisible(says),
            items=escape_invisible(", ".join(items)),
            figures=say_figures(finding, room),
            file=plan.path,
        )


def _word_of(finding: ReportedFinding, ink: Ink) -> tuple[str, str]:
    if finding.waiver:
        return "waived", ink.faint
    if finding.earlier and finding.earlier.state == "known":
        return "known", ink.faint
    return finding.severity, getattr(ink, finding.severity)
