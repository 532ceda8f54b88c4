"""The findings of one plan as text: what, where, by how much, what to do, why."""

from __future__ import annotations

from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.reporting.ink import Ink, paint
from underfoot.reporting.layout import both_ends, columns_of, escape_invisible, hanging_indent
from underfoot.reporting.phrases import say_basis, say_decision, say_earlier, say_waiver

_LABEL = 8
_WIDEST_NAME = 30
_SAME = "As it says under to do: this was tried, and brings nothing else."


def write_findings(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    """Write every finding; a reason or a remedy that stood above is only pointed to."""
    lines: list[str] = []
    margin = len(str(plan.findings[-1].number)) + 1
    reasons: dict[tuple[str, str], int] = {}
    remedies: dict[str, int] = {}
    for finding in plan.findings:
        if lines:
            lines.append("")
        lines += write_head(finding, margin, width, ink)
        blank = " " * (margin + 2)
        lines += hanging_indent(blank, finding.message, width)
        if finding.waiver:
            lines += write_row(blank, "Waived", say_waiver(finding.waiver), width, ink)
        if finding.earlier:
            lines += write_row(blank, "Earlier", say_earlier(finding, finding.earlier), width, ink)
        if finding.decision:
            lines += write_row(blank, "Decided", say_decision(finding.decision), width, ink)
        remedy = finding.remedy
        before = remedies.setdefault(remedy, finding.number)
        if before != finding.number and len(remedy) > 40:
            remedy = f"as under {before}"
        lines += write_row(blank, "To do", remedy, width, ink)
        for mend in finding.mends or ():
            told = _SAME if mend.says == finding.remedy else mend.says
            lines += write_row(blank, "Mend", told, width, ink)
        lines += _details(blank, finding.details, width)
        basis = say_basis(finding.basis)
        place = f"{plan.path}:{finding.line}:{finding.column}"
        before = reasons.setdefault((finding.why, basis), finding.number)
        if before == finding.number:
            lines += write_row(blank, "Why", finding.why, width, ink)
            lines += write_row(blank, "Basis", basis, width, ink)
            lines += _place(blank, place, "", width, ink)
        else:
            lines += _place(blank, place, f"why and basis: see {before}", width, ink)
    return lines


def write_head(finding: ReportedFinding, margin: int, width: int, ink: Ink) -> list[str]:
    """Write a finding's number, severity, room and items, and its rule at the end of the line."""
    number = f"{finding.number:>{margin}}  "
    if finding.waiver:
        word, code = f"waived {finding.severity}", ink.faint
    elif finding.earlier and finding.earlier.state == "known":
        word, code = f"known {finding.severity}", ink.faint
    else:
        word, code = finding.severity.upper(), getattr(ink, finding.severity)
    about = " · ".join(part for part in (finding.room, ", ".join(finding.items)) if part)
    left = escape_invisible(f"{word}  {about or 'the whole plan'}")
    first, *more = both_ends(left, finding.rule, width - len(number))
    first = paint(word, code, ink) + first[len(word) :]
    blank = " " * len(number)
    return [paint(number, ink.strong, ink) + first, *(blank + line for line in more)]


def write_row(blank: str, label: str, text: str, width: int, ink: Ink) -> list[str]:
    """Write a text behind its label, further lines below its first."""
    first = f"{blank}{label:<{_LABEL}}"
    lines = hanging_indent(first, text, width)
    lines[0] = blank + paint(first[len(blank) :], ink.faint, ink) + lines[0][len(first) :]
    return lines


def _place(blank: str, place: str, more: str, width: int, ink: Ink) -> list[str]:
    # Never wrapped, so that a terminal can open it.
    first = f"{blank}{'Place':<{_LABEL}}"
    place = escape_invisible(place)
    line = blank + paint(first[len(blank) :], ink.faint, ink) + place
    if not more:
        return [line]
    if columns_of(first) + columns_of(place) + len(more) + 3 <= width:
        return [f"{line} · {more}"]
    return [line, " " * columns_of(first) + more]


def _details(blank: str, details: tuple[tuple[str, str], ...], width: int) -> list[str]:
    if not details:
        return []
    names = [escape_invisible(name) for name, _ in details]
    widest = min(max(map(columns_of, names)), _WIDEST_NAME)
    lines: list[str] = []
    for name, (_, text) in zip(names, details, strict=True):
        gap = " " * max(widest - columns_of(name), 0)
        indent = len(blank) + _LABEL + widest + 2
        lines += hanging_indent(f"{blank}{' ' * _LABEL}{name}{gap}  ", text, width, indent)
    return lines
