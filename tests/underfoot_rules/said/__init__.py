"""What is said of every example of every page, word for word, as it is kept beside this.

An example names only which findings there are. What its own rule says, what was measured, what to
do, where it is drawn, and what it could not judge, is kept here: a slip in any of it shows as a
difference. What other rules say of it is not, so that a rule more, or a line more in the base plan,
changes nothing; a rule of which nothing is kept yet is not held to it. In `more` are further plans,
each with its changes to the base plan, that have the rules say what no example makes them say:
their words for several things, for none, for what is only half given. What one of them has said
word for word before is named there by its first line.

    python -m tests.underfoot_rules.said      writes it anew
"""

import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import shapely

from tests.written_out import figure, keep, kept_in, shape_words
from underfoot.checking.report import CheckRow, PlanReport, ReportedFinding
from underfoot.testing import Example

FOLDER = Path(__file__).parent
MORE = FOLDER / "more"


def words_of(report: PlanReport, rule: str) -> str:
    """Write what one rule says of an example, and what it looked at."""
    (row,) = (row for row in report.checks if row.rule == rule)
    lines = [f"looked at {row.checked}, found {row.found}, undecided {row.undecided}"]
    for finding in report.findings:
        if finding.rule == rule:
            lines += _finding(finding)
    lines += _reasons(row)
    return "\n".join(lines)


def words_on(report: PlanReport, base: PlanReport) -> str:
    """Write all that is said of a plan, but what could not be judged of the base plan either."""
    known = {line for row in base.checks for line in _reasons(row)}
    return "\n".join(line for line in lines_on(report) if line not in known)


def lines_on(report: PlanReport) -> Iterator[str]:
    """Write all that is said of a plan, and what could not be judged, a line each."""
    for finding in report.findings:
        yield from _finding(finding)
    for row in report.checks:
        yield from _reasons(row)


def _reasons(row: CheckRow) -> Iterator[str]:
    for reason in row.reasons:
        yield f"? {row.rule}: {reason.points} x {reason.why}"
        if reason.write:
            yield f"    {row.rule}: {reason.write}"


def _finding(finding: ReportedFinding) -> Iterator[str]:
    room = f"{finding.room}: " if finding.room else ""
    waived = ", waived" if finding.waiver else ""
    yield f"{finding.severity} {finding.rule}{waived}, {room}{', '.join(finding.items)}"
    yield f"    {finding.message}"
    yield f"    {finding.remedy}"
    yield f"    at {finding.path}, by {finding.basis.kind}{''.join(_figures(finding))}"
    for name, value in finding.details:
        yield f"    {name}: {value}"
    if finding.shape is not None:
        yield f"    drawn {shape_words(shapely.from_geojson(json.dumps(finding.shape)))}"
    if finding.related:
        yield f"    see {', '.join(finding.related)}"


def _figures(finding: ReportedFinding) -> Iterator[str]:
    measured, limit = finding.measured, finding.limit
    if measured is not None:
        yield f": {figure(measured.value)} {measured.unit}"
    for name, bound in (("least", limit and limit.least), ("most", limit and limit.most)):
        if bound is not None:
            yield f", {name} {figure(bound)}"


def more_plans() -> dict[str, tuple[str, Mapping[str, Any]]]:
    """Return the further plans: of each by its name the file it stands in, and the changes."""
    return {
        name: (file.stem, change)
        for file in sorted(MORE.glob("*.json"))
        for name, change in json.loads(file.read_text("utf-8")).items()
    }


@cache
def said_in(file: Path) -> dict[str, str]:
    """Return all that is kept in a file, in full, by the names of the examples or plans."""
    told: dict[str, str] = {}
    said = {}
    for name, text in (kept_in(file) if file.exists() else {}).items():
        findings = [told.get(each, each) for each in _each_finding(text)]
        for each in findings:
            told.setdefault(_as_told(name, each), each)
        said[name] = "\n".join(findings)
    return said


def kept_of(example: Example) -> str | None:
    """Return what is kept of an example; None where nothing is."""
    return said_in(FOLDER / f"{example.rule}.txt").get(str(example))


def write_down(file: Path, said: Mapping[str, str]) -> None:
    """Keep what is said of examples or plans: a finding told word for word before, by its first
    line."""
    told: dict[str, str] = {}
    kept = {}
    for name, text in said.items():
        findings = list(_each_finding(text))
        kept[name] = "\n".join(told.get(each, each) for each in findings)
        for each in findings:
            if "\n" in each and _as_told(name, each) not in told.values():
                told.setdefault(each, _as_told(name, each))
    keep(file, kept)


def _each_finding(text: str) -> list[str]:
    return re.split(r"\n(?=\S)", text)


def _as_told(name: str, finding: str) -> str:
    return f"as {name}: {finding.partition(chr(10))[0]}"
