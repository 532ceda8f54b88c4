"""The reports of one run, each in its format and at its place."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from underfoot.commands.errors import CommandError

if TYPE_CHECKING:
    from underfoot.checking.exit_status import RefuseAt
    from underfoot.checking.report import Report
    from underfoot.checking.rule import RuleSet
    from underfoot.reporting.html import DrawnPlan

FORMATS = ("text", "json", "sarif", "junit", "html", "lines", "annotations", "code-quality")


class Output(NamedTuple):
    """One report to write; `place` is None for standard output."""

    format: str
    place: str | None
    option: str = "--output"


class Findings(NamedTuple):
    """All that any format needs of a run; `drawn` is there where the page is asked for."""

    report: Report
    drawn: Sequence[DrawnPlan]
    sets: Sequence[RuleSet]
    refuse_at: RefuseAt


def list_outputs(format_: str, output: str | None, reports: Sequence[str]) -> tuple[Output, ...]:
    """List the main report and those beside it; CommandError where one is named wrongly."""
    outputs = [Output(format_, output)]
    for text in reports:
        form, mark, place = text.partition("=")
        if not mark or form not in FORMATS or not place:
            raise CommandError(
                f"--report {text}: write FORMAT=FILE, FORMAT one of {', '.join(FORMATS)}"
            )
        if place == "-":
            raise CommandError(f"--report {text}: name a file; --format goes to standard output")
        outputs.append(Output(form, place, "--report"))
    places = [os.path.realpath(each.place) for each in outputs if each.place is not None]
    for each in outputs:
        if each.place is not None and places.count(os.path.realpath(each.place)) > 1:
            raise CommandError(f"{each.option} {each.place}: two reports cannot be one file")
    return tuple(outputs)


def write_as(output: Output, findings: Findings) -> Iterable[str]:
    """Write the report in the output's format, piece by piece."""
    report, form = findings.report, output.format
    rules = [rule for rule_set in findings.sets for rule in rule_set.rules]
    if form == "json":
        from underfoot.reporting.json import write_json

        return write_json(report)
    if form == "sarif":
        from pathlib import Path

        from underfoot.reporting.sarif import write_sarif

        return write_sarif(report, rules, Path.cwd().as_posix())
    if form == "junit":
        from underfoot.reporting.junit import write_junit

        return write_junit(report, findings.refuse_at)
    if form == "html":
        from underfoot.reporting.html import write_html

        return write_html(report, findings.drawn, rules)
    if form in ("lines", "annotations", "code-quality"):
        from underfoot.reporting import one_line

        write = {
            "lines": one_line.write_lines,
            "annotations": one_line.write_annotations,
            "code-quality": one_line.write_code_quality,
        }[form]
        return write(report)
    return _write_text(report, to_terminal=output.place is None and sys.stdout.isatty())


def _write_text(report: Report, *, to_terminal: bool) -> Iterable[str]:
    from underfoot.reporting.ink import ink_for
    from underfoot.reporting.layout import WIDTH
    from underfoot.reporting.text import write_text

    width = WIDTH
    if to_terminal:
        width = min(max(shutil.get_terminal_size().columns, 60), 100)
    return write_text(report, width=width, ink=ink_for(to_terminal, os.environ))
