"""The list of findings beside the drawing: each number with what it says."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from underfoot.checking.numbers import written
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.reporting.drawing.balloons import draw_balloon_sign
from underfoot.reporting.drawing.lettering import SMALL, shorten, wrap
from underfoot.reporting.drawing.marks import group
from underfoot.reporting.drawing.panel import HEADING, LINE, Panel, heading, write_lines
from underfoot.reporting.drawing.scene import Scene

_INDENT = 9.0
_BETWEEN = 1.2
_LEAST_LINES = 2


def findings_of_room(scene: Scene, report: PlanReport) -> list[ReportedFinding]:
    """Give the findings that the room's sheet speaks of: its own, and those of no room."""
    return [
        finding for finding in report.findings if finding.room in (None, scene.facts.id)
    ]


def draw_findings(
    scene: Scene, report: PlanReport, drawn: Collection[int], width: float, most: float
) -> Panel:
    """List findings with their messages; where there is no room for that, with their measures.

    `drawn` are the numbers that have a balloon.
    """
    findings = findings_of_room(scene, report)
    head = f"Findings: {report.verdict}"
    if not findings:
        said = ["Nothing was found in this room."]
        return Panel(HEADING + LINE + 2.0, heading(head, width) + write_lines(said, 0.0, HEADING))
    heads = [shorten(_head(each, drawn), width - _INDENT, SMALL, bold=True) for each in findings]
    texts = [wrap(finding.message, width - _INDENT, SMALL) for finding in findings]
    if _height(texts) > most - HEADING:
        texts = [
            wrap(_measure_in_words(each), width - _INDENT, SMALL, most=1) for each in findings
        ]
    entries = list(zip(findings, heads, texts, strict=True))
    if _height(texts) <= most - HEADING:
        return _panel(entries, (), head, width)
    count = len(texts)
    while count and _height(texts[:count]) > most - HEADING - 2 * LINE:
        count -= 1
    numbers = _numbers([finding.number for finding in findings[count:]])
    left = f"and {len(findings) - count} more, in the report: {numbers}"
    return _panel(entries[:count], wrap(left, width, SMALL, most=2), head, width)


def _height(texts: Sequence[Sequence[str]]) -> float:
    return sum(max(1 + len(lines), _LEAST_LINES) * LINE + _BETWEEN for lines in texts)


def _panel(
    entries: Sequence[tuple[ReportedFinding, str, Sequence[str]]],
    more: Sequence[str],
    head: str,
    width: float,
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
    return Panel(top + len(more) * LINE, "".join(drawn))


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
    words = written(measured.value, measured.unit, bound)
    if limit is None or bound is None:
        return words
    wanted = "at least" if limit.least is not None else "at most"
    return f"{words}, {wanted} {written(bound, limit.unit, measured.value)}"


def _numbers(numbers: Sequence[int]) -> str:
    runs: list[list[int]] = []
    for one in numbers:
        if runs and one == runs[-1][1] + 1:
            runs[-1][1] = one
        else:
            runs.append([one, one])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs)


