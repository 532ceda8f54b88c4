"""The report as JUnit XML, for the test page of a CI service: one case for each rule and plan.

A case fails where the exit status does: what is not severe enough, waived or known stands in its
output.
"""

from collections import Counter
from collections.abc import Iterable, Sequence

from msgspec import Struct

from underfoot.checking.exit_status import RefuseAt, counts_for_status, lacks_for_status
from underfoot.checking.report import CheckRow, PlanReport, ReportedFinding
from underfoot.checking.summing import Summary
from underfoot.reading.problem import Problem
from underfoot.reporting.host_limits import JUNIT_PLANS_WITH_ALL_CASES
from underfoot.reporting.layout import count_of, escape_invisible
from underfoot.reporting.phrases import (
    say_asked,
    say_basis,
    say_decision,
    say_earlier,
    say_path,
    say_review,
    say_verdict,
    say_waiver,
)
from underfoot.reporting.spool import Spool

_FAILED = ("failure", "error")
_IN_TEXT = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
_IN_ATTRIBUTE = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"})


class _Case(Struct, frozen=True, kw_only=True):
    name: str
    # What came of it: `failure`, `error`, `skipped`, or "" where it passed.
    came: str = ""
    message: str = ""
    text: str = ""
    output: str = ""


class JunitWriter:
    """Writes a suite for each plan, all at the end: the head counts what stands in them.

    With `only_failing` what did not fail is counted in a suite of its own.
    """

    def __init__(self, refuse_at: RefuseAt = "error", *, only_failing: bool = False) -> None:
        self.refuse_at = refuse_at
        self.only_failing = only_failing
        self.suites = Spool()
        self.counts: Counter[str] = Counter()
        self.left_out: Counter[str] = Counter()
        self.named: dict[str, int] = {}

    def begin(self, run: Summary) -> Iterable[str]:
        """Write nothing yet."""
        self.caution = run.caution
        return ()

    def add(self, plan: PlanReport, page: object = None) -> Iterable[str]:
        """Write one plan's suite, to be given out at the end."""
        cases = _cases(plan, self.refuse_at)
        if self.only_failing:
            failing = [case for case in cases if case.came in _FAILED]
            self.left_out.update(case.came for case in cases if case.came not in _FAILED)
            self.left_out["plans"] += not failing
            cases = failing
        if cases or not self.only_failing:
            self._write(self._name(plan.path), _properties(plan, self.caution), cases)
        return ()

    def end(self, run: Summary) -> Iterable[str]:
        """Write the head with its counts, and the suites."""
        if self.only_failing:
            said = _say_left_out(self.left_out)
            case = _Case(name="what did not fail", output=said)
            self._write("left out of this report", [("caution", run.caution)], [case])
        if run.problems:
            cases = _numbered(run.problems, "what was named to be checked")
            self._write("the run", [("caution", run.caution)], cases)
        yield '<?xml version="1.0" encoding="UTF-8"?>\n'
        yield f'<testsuites name="underfoot"{_told_counts(self.counts)}>\n'
        yield from self.suites.read()
        yield "</testsuites>\n"

    def _write(self, name: str, properties: Sequence[tuple[str, str]], cases: list[_Case]) -> None:
        counts = Counter(case.came for case in cases)
        self.counts.update(counts)
        told = "".join(
            f'<property name="{key}" value="{_attribute(value)}"/>\n' for key, value in properties
        )
        self.suites.write(
            (
                f'<testsuite name="{_attribute(name)}"{_told_counts(counts)}>\n<properties>\n',
                f"{told}</properties>\n",
                *(_written(case, name) for case in cases),
                "</testsuite>\n",
            )
        )

    def _name(self, path: str) -> str:
        # Two files may be shown alike where their names cannot be decoded; names must differ.
        name = say_path(path)
        met = self.named[name] = self.named.get(name, 0) + 1
        return name if met == 1 else f"{name} ({met})"


def _say_left_out(counts: Counter[str]) -> str:
    return (
        f"Only cases that failed are listed here, as they always are where more than "
        f"{JUNIT_PLANS_WITH_ALL_CASES} plans are checked; --all-cases lists every one.\n"
        f"Left out: {count_of(counts[''], 'case')} that passed and {counts['skipped']} skipped; "
        f"{count_of(counts['plans'], 'plan')} had no case that failed."
    )


def _properties(plan: PlanReport, caution: str) -> list[tuple[str, str]]:
    told = {
        "verdict": plan.verdict,
        "means": say_verdict(plan),
        "asked": plan.asked and say_asked(plan.asked),
        "title": plan.title,
        "reference": plan.reference,
        "revision": plan.revision,
        "status": plan.status,
        "today": plan.today,
        "review": plan.review and f"{plan.review.file}: {say_review(plan, plan.review)}",
        "caution": caution,
    }
    return [(key, value) for key, value in told.items() if value]


def _cases(plan: PlanReport, refuse_at: RefuseAt) -> list[_Case]:
    if plan.problems:
        return _numbered(plan.problems, "the plan can be read", plan.path)
    by_rule: dict[str, list[ReportedFinding]] = {}
    for finding in plan.findings:
        by_rule.setdefault(finding.rule, []).append(finding)
    cases = [_judged(row, by_rule.get(row.rule, ()), plan.path, refuse_at) for row in plan.checks]
    cases += [
        _Case(
            name=fault.rule,
            came="error",
            message="the rule crashed: a fault of the tool",
            text=fault.message,
        )
        for fault in plan.faults
    ]
    return sorted(cases, key=lambda case: case.name)


def _numbered(problems: Sequence[Problem], name: str, path: str = "") -> list[_Case]:
    told = []
    for problem in problems:
        place = f"{problem.file or path}:{problem.line}:{problem.column}"
        told.append(f"{place}: {problem.message}")
    return [_Case(name=name, came="error", message=problems[0].message, text="\n".join(told))]


def _judged(
    row: CheckRow, findings: Sequence[ReportedFinding], path: str, refuse_at: RefuseAt
) -> _Case:
    failing = [finding for finding in findings if counts_for_status(finding, refuse_at)]
    rest = [finding for finding in findings if not counts_for_status(finding, refuse_at)]
    lacking = lacks_for_status(row, refuse_at)
    left = [_left(row)] if row.undecided else []
    output = "\n\n".join([*(_told(finding, path) for finding in rest), *([] if lacking else left)])
    if failing or lacking:
        if failing:
            message = failing[0].message
            if len(failing) > 1:
                message += f" ({count_of(len(failing), 'finding')})"
        else:
            message = f"not judged, and may be an error: {row.why}"
        told = "\n\n".join(
            [*(_told(finding, path) for finding in failing), *(left if lacking else [])]
        )
        return _Case(name=row.rule, came="failure", message=message, text=told, output=output)
    if rest and all(finding.waiver for finding in rest):
        return _Case(
            name=row.rule, came="skipped", message=f"waived: {_waivers(rest)}", output=output
        )
    if not row.checked:
        return _Case(
            name=row.rule, came="skipped", message="the plan has nothing that this rule is about"
        )
    if row.undecided == row.checked:
        return _Case(name=row.rule, came="skipped", message=f"not judged: {row.why}", output=output)
    return _Case(name=row.rule, output=output)


def _left(row: CheckRow) -> str:
    lines = [f"{count_of(row.undecided, 'point')} not judged: {row.why}"]
    for reason in row.reasons:
        if reason.write:
            grave = " (may be an error)" if reason.worst == "error" else ""
            lines.append(f"To do{grave}: {reason.write}")
    return "\n".join(map(escape_invisible, lines))


def _waivers(findings: Sequence[ReportedFinding]) -> str:
    said = [say_waiver(finding.waiver) for finding in findings if finding.waiver]
    return "; ".join(dict.fromkeys(said))


def _told(finding: ReportedFinding, path: str) -> str:
    about = " · ".join(part for part in (finding.room, ", ".join(finding.items)) if part)
    lines = [
        f"{finding.number}  {finding.severity}  {about or 'the whole plan'}",
        f"{path}:{finding.line}:{finding.column}",
        finding.message,
        f"To do: {finding.remedy}",
        *(f"{name}: {text}" for name, text in finding.details),
        f"Why: {finding.why}",
        f"Basis: {say_basis(finding.basis)}",
    ]
    if finding.waiver:
        lines.append(f"Waived: {say_waiver(finding.waiver)}")
    if finding.decision:
        lines.append(f"Decided: {say_decision(finding.decision)}")
    if finding.earlier:
        lines.append(f"Earlier: {say_earlier(finding, finding.earlier)}")
    return "\n".join(map(escape_invisible, lines))


def _told_counts(came: Counter[str]) -> str:
    return (
        f' tests="{came.total()}" failures="{came["failure"]}" errors="{came["error"]}"'
        f' skipped="{came["skipped"]}"'
    )


def _written(case: _Case, suite: str) -> str:
    head = f'<testcase classname="{_attribute(suite)}" name="{_attribute(case.name)}"'
    inner = ""
    if case.came:
        inner += (
            f'<{case.came} message="{_attribute(case.message)}">{_text(case.text)}</{case.came}>'
        )
    if case.output:
        inner += f"<system-out>{_text(case.output)}</system-out>"
    return f"{head}>{inner}</testcase>\n" if inner else f"{head}/>\n"


def _attribute(text: str) -> str:
    return escape_invisible(text).translate(_IN_ATTRIBUTE)


def _text(text: str) -> str:
    # What XML cannot hold is not printable, and so is written out.
    return "\n".join(map(escape_invisible, text.split("\n"))).translate(_IN_TEXT)
