"""The list of findings beside the drawing: each number with what it says."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from underfoot.checking.numbers import format_quantity
from underfoot.checking.report import (
    INSUFFICIENT,
    REVISE,
    PlanReport,
    ReportedFinding,
)
from underfoot.drawing.finding_signs import draw_balloon_sign
from underfoot.drawing.lettering import SMALL, shorten, wrap
from underfoot.drawing.panel import HEADING, LINE, Panel, heading, write_lines
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import group
from underfoot.reporting.phrases import as_sentence, say_may_be, say_verdict

_INDENT = 9.0
_BETWEEN = 1.2
_LEAST_LINES = 2
# No sheet has room for more; the rest is counted.
MOST_LISTED = 80


def findings_of_room(scene: Scene, report: PlanReport) -> list[ReportedFinding]:
    """Give the findings that the room's sheet speaks of: its own, and those of no room."""
    return [finding for finding in report.findings if finding.room in (None, scene.facts.id)]


def draw_findings(
    scene: Scene, report: PlanReport, drawn: Collection[int], width: float, most: float
) -> Panel:
    """List findings with their messages; where there is no room for that, with their measures.

    `drawn` are the numbers that have a balloon.
    """
    findings = findings_of_room(scene, report)
    head = f"Findings: {report.verdict}"
    state = [line for words in _state(report) for line in wrap(words, width, SMALL)]
    most -= len(state) * LINE
    if not findings:
        return _panel((), ["Nothing was found in this room.", *state], head, width)
    findings, rest = findings[:MOST_LISTED], findings[MOST_LISTED:]
    heads = [shorten(_head(each, drawn), width - _INDENT, SMALL, bold=True) for each in findings]
    texts = _fitting(findings, width - _INDENT, most - HEADING)
    entries = list(zip(findings, heads, texts, strict=True))
    if not rest and _height(texts) <= most - HEADING:
        whole = all(text == wrap(each.message, width - _INDENT, SMALL) for each, _, text in entries)
        return _panel(entries, state, head, width, is_cut=not whole)
    count = len(texts)
    while count and _height(texts[:count]) > most - HEADING - 2 * LINE:
        count -= 1
    rest = [*findings[count:], *rest]
    numbers = _numbers([finding.number for finding in rest])
    left = f"and {len(rest)} more, in the report: {numbers}"
    more = wrap(left, width, SMALL, most=2)
    return _panel(entries[:count], [*more, *state], head, width, is_cut=True)


def _fitting(findings: Sequence[ReportedFinding], width: float, most: float) -> list[list[str]]:
    """Write one line each, then whole messages while there is room.

    Those that have no measure to stand for them come first, each kind in the findings' order.
    """
    texts = [wrap(_measure_in_words(each), width, SMALL, most=1) for each in findings]
    height = _height(texts)
    order = sorted(range(len(findings)), key=lambda each: findings[each].measured is not None)
    for place in order:
        whole = wrap(findings[place].message, width, SMALL)
        more = _height([whole]) - _height([texts[place]])
        if height + more <= most:
            texts[place] = whole
            height += more
    return texts


def _height(texts: Sequence[Sequence[str]]) -> float:
    return sum(max(1 + len(lines), _LEAST_LINES) * LINE + _BETWEEN for lines in texts)


def _panel(
    entries: Sequence[tuple[ReportedFinding, str, Sequence[str]]],
    more: Sequence[str],
    head: str,
    width: float,
    *,
    is_cut: bool = False,
) -> Panel:
    drawn = [heading(head, width)]
    top = HEADING
    for finding, name, lines in entries:
        sign = draw_balloon_sign(
            finding.severity,
            str(finding.number),
            (3.7, top + LINE),
            waived=finding.waiver is not None,
            share=0.9,
        )
        drawn.append(
            group(
                sign,
                write_lines([name], _INDENT, top, weight="bold"),
                write_lines(lines, _INDENT, top + LINE),
                data_finding=str(finding.number),
            )
        )
        top += max(1 + len(lines), _LEAST_LINES) * LINE + _BETWEEN
    drawn.append(write_lines(more, 0.0, top))
    return Panel(height=top + len(more) * LINE, drawn="".join(drawn), is_cut=is_cut)


def _state(report: PlanReport) -> list[str]:
    """Say what a reader must know who sees no finding: what was not judged, what was changed."""
    words = []
    if report.verdict in (REVISE, INSUFFICIENT):
        words.append(as_sentence(say_verdict(report)))
    if report.faults:
        words.append(f"Not all was checked: {len(report.faults)} of the rules crashed.")
    undecided = report.counts.undecided
    if undecided:
        points = "1 point" if undecided == 1 else f"{undecided} points"
        grave = report.counts.may_be_errors
        may_be = f" ({say_may_be(grave)})" if grave else ""
        words.append(f"{points} of the plan could not be judged{may_be}; the report says why.")
    if report.changed:
        changed = (
            "1 limit or rule"
            if len(report.changed) == 1
            else (f"{len(report.changed)} limits or rules")
        )
        words.append(f"Settings change {changed}; the report says which.")
    if report.today is not None:
        words.append(f"Waivers judged as of {report.today}.")
    return words


def _head(finding: ReportedFinding, drawn: Collection[int]) -> str:
    where = ", ".join(finding.items)
    if finding.number not in drawn:
        place = "whole plan" if finding.room is None else "room"
        where = f"{where} ({place})" if where else place
    waived = ", waived" if finding.waiver is not None else ""
    return f"{finding.rule}{': ' if where else ''}{where}{waived}"


def _measure_in_words(finding: ReportedFinding) -> str:
    if finding.measured is None:
        return finding.message
    measured, limit = finding.measured, finding.limit
    bound = None
    if limit is not None:
        bound = limit.least if limit.least is not None else limit.most
    words = format_quantity(measured.value, measured.unit, bound)
    if limit is None or bound is None:
        return words
    wanted = "at least" if limit.least is not None else "at most"
    return f"{words}, {wanted} {format_quantity(bound, limit.unit, measured.value)}"


def _numbers(numbers: Sequence[int]) -> str:
    runs: list[list[int]] = []
    for one in numbers:
        if runs and one == runs[-1][1] + 1:
            runs[-1][1] = one
        else:
            runs.append([one, one])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs)
