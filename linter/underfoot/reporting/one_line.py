"""The report a line at a time: plain lines, code hosts' annotations, and their code-quality JSON.

All three hold the same rows: every finding that counts, what of a plan or the settings could not be
read, a rule that crashed, and what could not be judged and may be an error.
"""

import hashlib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator

from msgspec import Struct

from underfoot.checking.matching import identity_of
from underfoot.checking.report import PlanReport
from underfoot.checking.summing import Summary
from underfoot.checking.words import join_names
from underfoot.reading.problem import Problem
from underfoot.reporting import host_limits
from underfoot.reporting.json import encode
from underfoot.reporting.layout import count_of, escape_invisible
from underfoot.reporting.phrases import say_asked
from underfoot.reporting.sarif_places import AS_GIVEN, PathBase
from underfoot.reporting.spool import Spool

UNREADABLE_RULE = "unreadable"
PARTIAL_RULE = "not-all-rules"


class Row(Struct, frozen=True, kw_only=True):
    """One thing to say, at its place; `key` tells it from all others and names no line."""

    path: str
    line: int
    column: int
    severity: str
    message: str
    rule: str
    key: tuple[str, ...]


class RowWriter:
    """Writes each row as it comes: what is the run's own first, then plan by plan."""

    def __init__(self, write: Callable[[Row], str]) -> None:
        self.write = write
        self.has_said_asked = False

    def begin(self, run: Summary) -> Iterable[str]:
        """Write what could not be checked as asked."""
        for number, problem in enumerate(run.problems):
            yield self.write(_problem_row(problem, problem.file or "", number))

    def add(self, plan: PlanReport, page: object = None) -> Iterable[str]:
        """Write what is to be said of one plan; before the first, that not all rules were asked."""
        if plan.asked is not None and not self.has_said_asked:
            self.has_said_asked = True
            key = (plan.path, PARTIAL_RULE)
            yield self.write(
                Row(
                    path=plan.path,
                    line=1,
                    column=1,
                    severity="note",
                    message=say_asked(plan.asked),
                    rule=PARTIAL_RULE,
                    key=key,
                )
            )
        yield from map(self.write, _plan_rows(plan))

    def end(self, run: Summary) -> Iterable[str]:
        """Write nothing more."""
        return ()


def _plan_rows(plan: PlanReport) -> Iterator[Row]:
    """List what is to be said, in order; what a waiver covers or was known before is left out."""
    for number, problem in enumerate(plan.problems):
        yield _problem_row(problem, problem.file or plan.path, number)
    met: Counter[tuple[str, ...]] = Counter()
    for finding in plan.findings:
        rule, room, items = identity_of(finding)
        key = (plan.path, rule, room or "", *items)
        met[key] += 1
        known = finding.earlier is not None and finding.earlier.state == "known"
        if finding.waiver is None and not known:
            yield Row(path=plan.path, line=finding.line, column=finding.column,
                      severity=finding.severity,
                      message=f"{finding.message} {finding.remedy}", rule=finding.rule,
                      key=(*key, str(met[key])))  # fmt: skip
    for fault in plan.faults:
        said = f"a fault of the tool, not of the plan: {fault.message}"
        yield Row(
            path=plan.path,
            line=1,
            column=1,
            severity="error",
            message=said,
            rule=fault.rule,
            key=(plan.path, fault.rule, "fault"),
        )
    for row in plan.checks:
        for reason in row.reasons:
            if reason.worst == "error":
                points = "a point" if reason.points == 1 else f"{reason.points} points"
                said = f"{points} could not be judged and may be an error: {reason.why}."
                if reason.write:
                    said += f" {reason.write}"
                yield Row(path=plan.path, line=1, column=1, severity="unjudged", message=said,
                          rule=row.rule,
                          key=(plan.path, row.rule, "unjudged", reason.why))  # fmt: skip


def _problem_row(problem: Problem, path: str, number: int) -> Row:
    key = (path, UNREADABLE_RULE, problem.path, str(number))
    return Row(
        path=path,
        line=problem.line,
        column=problem.column,
        severity="error",
        message=problem.message,
        rule=UNREADABLE_RULE,
        key=key,
    )


def write_line(row: Row) -> str:
    """Write ``path:line:column: severity: message [rule]``."""
    path = _harmless(escape_invisible(row.path))
    said = f"{row.severity}: {_one_line(row.message)} [{row.rule}]"
    return f"{path}:{row.line}:{row.column}: {said}\n"


# GitHub's workflow commands know three levels.
_LEVELS = {"error": "error", "unjudged": "warning", "warning": "warning", "note": "notice"}
_LEVEL_NAMES = tuple(dict.fromkeys(_LEVELS.values()))


class AnnotationWriter(RowWriter):
    """Writes the workflow commands by which GitHub marks lines of a change.

    Where there are more than it shows, the first says how many: so they wait for the last.
    """

    def __init__(self, told: PathBase = AS_GIVEN) -> None:
        super().__init__(self._annotation)
        self.told = told
        self.rows = Spool()
        self.levels: Counter[str] = Counter()

    def begin(self, run: Summary) -> Iterable[str]:
        """Keep what could not be checked as asked."""
        self.rows.write(super().begin(run))
        return ()

    def add(self, plan: PlanReport, page: object = None) -> Iterable[str]:
        """Keep what is to be said of one plan."""
        self.rows.write(super().add(plan, page))
        return ()

    def end(self, run: Summary) -> Iterable[str]:
        """Write all, and count what is shown by nobody or not there: an earlier report had it."""
        most = host_limits.ANNOTATIONS_A_LEVEL
        if max(self.levels.values(), default=0) > most:
            counts = [count_of(self.levels[level], level) for level in _LEVEL_NAMES]
            said = (
                f"{join_names(counts)} are written here, of which a step shows the first "
                f"{most} of each: all stand in the log, and in the other reports"
            )
            yield f"::notice title=underfoot::{said}\n"
        yield from self.rows.read()
        if run.earlier is not None and run.earlier.known:
            said = f"{count_of(run.earlier.known, 'finding')} known before and left out here"
            yield f"::notice title=underfoot::{said}\n"

    def _annotation(self, row: Row) -> str:
        path = _property(self.told.path(row.path))
        title = _property(f"underfoot {row.rule}")
        places = f"file={path},line={row.line},col={row.column},title={title}"
        level = _LEVELS[row.severity]
        self.levels[level] += 1
        return f"::{level} {places}::{_data(_one_line(row.message))}\n"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(escape_invisible(text)).replace(":", "%3A").replace(",", "%2C")


# GitLab's code quality knows five.
_SEVERITIES = {"error": "critical", "unjudged": "major", "warning": "minor", "note": "info"}


class CodeQualityWriter(RowWriter):
    """Writes the JSON list that GitLab shows as code quality; the fingerprint names no line."""

    def __init__(self, told: PathBase = AS_GIVEN) -> None:
        super().__init__(self._issue)
        self.told = told
        self.before = "\n"

    def begin(self, run: Summary) -> Iterable[str]:
        """Open the list."""
        yield "["
        yield from super().begin(run)

    def end(self, run: Summary) -> Iterable[str]:
        """Close the list."""
        return ("\n]\n",)

    def _issue(self, row: Row) -> str:
        path = self.told.path(row.path)
        key = (path, *row.key[1:])
        issue = {
            "description": _one_line(row.message),
            "check_name": row.rule,
            "fingerprint": hashlib.sha256("\0".join(key).encode()).hexdigest(),
            "severity": _SEVERITIES[row.severity],
            "location": {"path": path, "lines": {"begin": row.line}},
        }
        before, self.before = self.before, ",\n"
        return f"{before}{encode(issue)}"


def _one_line(text: str) -> str:
    return " ".join(escape_invisible(text).split())


def _harmless(path: str) -> str:
    # A file may be called so that a line which begins with its name is a command to a CI service.
    return f"./{path}" if path.startswith((":", "#")) else path
