"""The list of findings: each number with what it says, never shortened."""

from collections.abc import Collection, Sequence

from underfoot.checking.report import (
    INSUFFICIENT,
    REVISE,
    PlanReport,
    ReportedFinding,
)
from underfoot.drawing.finding_signs import HALF, draw_balloon_sign
from underfoot.drawing.lettering import SMALL, wrap
from underfoot.drawing.panel import LINE, Entry, Panel, Section, paragraphs, write_lines
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import group
from underfoot.reporting.phrases import as_sentence, say_may_be, say_verdict

_INDENT = 11.0
_BETWEEN = 1.4
_LEAST_LINES = 2
# More would be a book of sheets; the rest is counted.
MOST_LISTED = 120
# Bold letters are a little wider.
_BOLD = 0.93


def findings_of_room(scene: Scene, report: PlanReport) -> list[ReportedFinding]:
    """Return the findings that the room's sheet speaks of: its own, and those of no room."""
    return [finding for finding in report.findings if finding.room in (None, scene.facts.id)]


def list_findings(scene: Scene, report: PlanReport, drawn: Collection[int]) -> Section:
    """List findings with their messages; `drawn` are the numbers that have a balloon."""
    findings = findings_of_room(scene, report)
    listed, rest = findings[:MOST_LISTED], findings[MOST_LISTED:]
    said = [] if findings else ["Nothing was found in this room."]
    if rest:
        numbers = _numbers([finding.number for finding in rest])
        said.append(f"and {len(rest)} more, in the report: {numbers}")
    return Section(
        title=f"Findings: {report.verdict}",
        name="findings-list",
        entries=(
            *(list_finding(finding, drawn) for finding in listed),
            *paragraphs([*said, *_state(report)]),
        ),
    )


def list_finding(finding: ReportedFinding, drawn: Collection[int]) -> Entry:
    """Tell one finding with its sign; `drawn` are the numbers that have a balloon."""

    def draw(width: float) -> Panel:
        room = width - _INDENT
        heads = wrap(_head(finding, drawn), room * _BOLD, SMALL)
        lines = wrap(finding.message, room, SMALL)
        sign = draw_balloon_sign(
            finding.severity,
            str(finding.number),
            (HALF["warning"] * 0.9, LINE),
            waived=finding.waiver is not None,
            share=0.9,
        )
        drawn_entry = group(
            sign,
            write_lines(heads, _INDENT, 0.0, weight="bold"),
            write_lines(lines, _INDENT, len(heads) * LINE),
            data_finding=str(finding.number),
        )
        count = max(len(heads) + len(lines), _LEAST_LINES)
        return Panel(height=count * LINE + _BETWEEN, drawn=drawn_entry)

    return draw


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


def _numbers(numbers: Sequence[int]) -> str:
    runs: list[list[int]] = []
    for one in numbers:
        if runs and one == runs[-1][1] + 1:
            runs[-1][1] = one
        else:
            runs.append([one, one])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs)
