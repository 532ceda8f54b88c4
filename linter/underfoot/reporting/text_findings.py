"""The findings of one plan as text: room by room, where, what, what to do; then why."""

from collections.abc import Sequence

from underfoot.checking.finding import SEVERITIES
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.reporting.ink import Ink, link, paint
from underfoot.reporting.layout import (
    both_ends,
    columns_of,
    count_of,
    escape_invisible,
    hanging_indent,
    wrap,
)
from underfoot.reporting.phrases import (
    say_basis,
    say_decision,
    say_earlier,
    say_path,
    say_waiver,
)
from underfoot.reporting.quoted_lines import Excerpts, excerpts_of, quote_finding
from underfoot.reporting.workings import shorten_working

_LABEL = 8
_WIDEST_NAME = 30
# Where a name and its text do not fit beside each other they stand below each other.
_NARROWEST_TEXT = 18
_SAME = "As it says under to do: this was tried, and brings nothing else."
_MOST_NUMBERS = 12
_MORE = "More of a rule, with a right and a wrong example: underfoot why RULE"


def write_findings(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    """Write every finding, room by room; long remedies and workings told above are pointed to."""
    rooms: dict[str | None, list[ReportedFinding]] = {}
    for finding in plan.findings:
        rooms.setdefault(finding.room, []).append(finding)
    margin = len(str(plan.findings[-1].number)) + 1
    excerpts = excerpts_of(plan)
    widest = max(columns_of(place_of(plan, finding)) for finding in plan.findings)
    remedies: dict[str, int] = {}
    workings: list[ReportedFinding] = []
    lines: list[str] = []
    for room, findings in rooms.items():
        name = "THE WHOLE PLAN" if room is None else f"ROOM {plan.name_room(room)}"
        said = escape_invisible(f"{name}: {count_findings(findings)}")
        lines += [paint(line, ink.strong, ink) for line in wrap(said, width)]
        lines.append("")
        for finding in findings:
            lines += _head(plan, finding, margin, widest, width, ink)
            blank = " " * (margin + 2)
            lines += _finding(finding, excerpts, remedies, blank, width, ink)
            lines += _details(blank, shorten_working(finding, workings), width)
            lines.append("")
    return lines[:-1]


def place_of(plan: PlanReport, finding: ReportedFinding) -> str:
    """Return the place of a finding as it is printed."""
    return escape_invisible(f"{say_path(plan.path)}:{finding.line}:{finding.column}")


def count_findings(findings: Sequence[ReportedFinding]) -> str:
    """Count findings by severity: ``2 errors, 1 note, 1 waived``."""
    standing = [each.severity for each in findings if each.waiver is None]
    parts = [count_of(standing.count(each), each) for each in SEVERITIES if each in standing]
    waived = len(findings) - len(standing)
    return ", ".join([*parts, f"{waived} waived"] if waived else parts)


def _finding(
    finding: ReportedFinding,
    excerpts: Excerpts,
    remedies: dict[str, int],
    blank: str,
    width: int,
    ink: Ink,
) -> list[str]:
    lines = quote_finding(finding, excerpts, blank, width, ink)
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
    return lines


def _head(
    plan: PlanReport, finding: ReportedFinding, margin: int, widest: int, width: int, ink: Ink
) -> list[str]:
    """Write number, place, severity and items, and the rule at the end of the line."""
    number = f"{finding.number:>{margin}}  "
    blank = " " * len(number)
    place = place_of(plan, finding)
    linked = link(paint(place, ink.strong, ink), plan.path, ink)
    word, code = word_of(finding, ink)
    items = escape_invisible(", ".join(finding.items))
    left = f"{word}  {items}" if items else word
    gap = widest - columns_of(place) + 2
    rest = width - len(number) - widest - 2
    painted = paint(number, ink.strong, ink) + linked
    if columns_of(left) + columns_of(escape_invisible(finding.rule)) + 2 <= rest:
        (line,) = both_ends(left, finding.rule, rest)
        return [f"{painted}{' ' * gap}{paint(word, code, ink)}{line[len(word) :]}"]
    # A place is never broken, so that a terminal can open it.
    first, *more = both_ends(left, finding.rule, width - len(number))
    first = paint(word, code, ink) + first[len(word) :]
    return [painted, blank + first, *(blank + line for line in more)]


def word_of(finding: ReportedFinding, ink: Ink) -> tuple[str, str]:
    """Return the word for how grave a finding is, and its colour."""
    if finding.waiver:
        return f"waived {finding.severity}", ink.faint
    if finding.earlier and finding.earlier.state == "known":
        return f"known {finding.severity}", ink.faint
    return finding.severity.upper(), getattr(ink, finding.severity)


def write_head(
    plan: PlanReport, finding: ReportedFinding, margin: int, width: int, ink: Ink
) -> list[str]:
    """Write a finding's number, severity, room and items, and its rule at the end of the line."""
    number = f"{finding.number:>{margin}}  "
    word, code = word_of(finding, ink)
    room = plan.name_room(finding.room) if finding.room else ""
    about = " · ".join(part for part in (room, ", ".join(finding.items)) if part)
    left = escape_invisible(f"{word}  {about or 'the whole plan'}")
    first, *more = both_ends(left, finding.rule, width - len(number))
    first = paint(word, code, ink) + first[len(word) :]
    blank = " " * len(number)
    return [paint(number, ink.strong, ink) + first, *(blank + line for line in more)]


def write_reasons(plan: PlanReport, width: int, ink: Ink) -> list[str]:
    """Write why each rule that found something matters, and its basis, once; and where is more."""
    rules: dict[str, list[ReportedFinding]] = {}
    for finding in plan.findings:
        rules.setdefault(finding.rule, []).append(finding)
    lines = [paint("WHY, AND ON WHAT BASIS", ink.strong, ink)]
    for rule, findings in rules.items():
        lines += hanging_indent("  ", f"{rule} · {_numbers(findings)}", width)
        whys = dict.fromkeys(each.why for each in findings)
        for why in whys:
            lines += write_row("    ", "Why", why, width, ink)
        bases: dict[str, list[ReportedFinding]] = {}
        for each in findings:
            bases.setdefault(say_basis(each.basis), []).append(each)
        for basis, on_it in bases.items():
            said = basis if len(bases) == 1 else f"{_numbers(on_it)}: {basis}"
            lines += write_row("    ", "Basis", said, width, ink)
    return [*lines, *hanging_indent("  ", _MORE, width)]


def _numbers(findings: Sequence[ReportedFinding]) -> str:
    named = ", ".join(str(each.number) for each in findings[:_MOST_NUMBERS])
    more = len(findings) - _MOST_NUMBERS
    return f"{named} and {more} more" if more > 0 else named


def write_row(blank: str, label: str, text: str, width: int, ink: Ink) -> list[str]:
    """Write a text behind its label, further lines below its first."""
    first = f"{blank}{label:<{_LABEL}}"
    lines = hanging_indent(first, text, width)
    lines[0] = blank + paint(first[len(blank) :], ink.faint, ink) + lines[0][len(first) :]
    return lines


def _details(blank: str, details: Sequence[tuple[str, str]], width: int) -> list[str]:
    if not details:
        return []
    names = [escape_invisible(name) for name, _ in details]
    widest = min(max(map(columns_of, names)), _WIDEST_NAME)
    lines: list[str] = []
    for name, (_, text) in zip(names, details, strict=True):
        gap = " " * max(widest - columns_of(name), 0)
        indent = len(blank) + _LABEL + widest + 2
        if indent + _NARROWEST_TEXT > width:
            lines += hanging_indent(blank, f"{name}: {text}", width, len(blank) + 2)
        else:
            lines += hanging_indent(f"{blank}{' ' * _LABEL}{name}{gap}  ", text, width, indent)
    return lines
