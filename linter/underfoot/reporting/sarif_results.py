"""Findings, and what could not be read, as the results of SARIF 2.1.0."""

import hashlib
from collections import Counter
from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from underfoot.checking.finding import SEVERITIES
from underfoot.checking.matching import identity_of
from underfoot.checking.mend import Mend, Replacement
from underfoot.checking.report import Earlier, Measure, PlanReport, ReportedFinding, RuleFault
from underfoot.reading.problem import Problem
from underfoot.reporting.json import encode
from underfoot.reporting.phrases import as_sentence, say_basis, say_decision, say_waiver
from underfoot.reporting.sarif_notices import at_problem
from underfoot.reporting.sarif_places import ROOT, PathBase, locate

# Fingerprints made in another way get another number, so that old and new are never compared.
FINGERPRINT = "findingIdentity/v2"
# The one that code hosts go by. Where it is missing they make one of the line, which moves.
HOST_FINGERPRINT = "primaryLocationLineHash"
UNREADABLE_RULE = "unreadable"
# Waived findings are the last that anybody misses.
_WAIVED = 2 * len(SEVERITIES) + 1


class Ranked(Struct, frozen=True, kw_only=True):
    """A result and how grave it is: 0 is the gravest. `kind` is what it is counted as."""

    rank: int
    kind: str
    result: dict[str, Any]
    is_known: bool = False


def list_results(plan: PlanReport, index: int, told: PathBase) -> Iterator[Ranked]:
    """List the results of one plan, the `index`-th among the artifacts.

    What stands on all results or on none is put on later: the rule's place, suppressions.
    """
    uri = told.uri(plan.path)
    for number, problem in enumerate(plan.problems):
        yield problem_result(problem, at_problem(problem, uri, index, told), uri, number)
    for fault in plan.faults:
        yield Ranked(rank=0, kind="error", result=_crash(fault, uri, index))
    met: Counter[tuple[str | None, ...]] = Counter()
    for finding in plan.findings:
        rule, room, items = identity_of(finding)
        key = (uri, rule, room, *items)
        result = _result(finding, uri, index)
        result["partialFingerprints"] = _fingerprints((uri, rule, room, list(items)), met[key])
        met[key] += 1
        if finding.waiver is not None:
            result["suppressions"] = _suppressions(finding)
        if finding.earlier is not None:
            result["baselineState"] = _baseline(finding, finding.earlier)
        known = finding.earlier is not None and finding.earlier.state == "known"
        kind = "waived" if finding.waiver is not None else finding.severity
        rank = 1 + 2 * SEVERITIES.index(finding.severity) + known
        yield Ranked(
            rank=_WAIVED if finding.waiver else rank, kind=kind, result=result, is_known=known
        )


def problem_result(problem: Problem, at: dict[str, Any], uri: str, number: int) -> Ranked:
    """Tell what could not be read, at its line; `number` is its place among those of its plan."""
    result: dict[str, Any] = {
        "ruleId": UNREADABLE_RULE,
        "level": "error",
        "message": {"text": _message(as_sentence(problem.message))},
        "locations": [at],
        "partialFingerprints": _fingerprints((uri, UNREADABLE_RULE, problem.path, []), number),
    }
    return Ranked(rank=0, kind="error", result=result)


def _crash(fault: RuleFault, uri: str, index: int) -> dict[str, Any]:
    said = f"a fault of the tool, not of the plan: {fault.message}"
    return {
        "ruleId": fault.rule,
        "level": "error",
        "message": {"text": _message(as_sentence(said))},
        "locations": [locate(uri, 1, 1, index=index)],
        "partialFingerprints": _fingerprints((uri, fault.rule, "crashed", []), 0),
    }


def _result(finding: ReportedFinding, uri: str, index: int) -> dict[str, Any]:
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "level": finding.severity,
        "message": {"text": _message(f"{finding.message} {finding.remedy}")},
        "locations": [locate(uri, finding.line, finding.column, path=finding.path, index=index)],
    }
    if finding.mends:
        result["fixes"] = [_fix(mend, uri, index) for mend in finding.mends]
    if finding.related:
        result["relatedLocations"] = list(_related(finding, uri, index))
    limit = finding.limit
    result["properties"] = {
        "number": finding.number,
        "room": finding.room,
        "items": finding.items,
        "measured": _measure(finding.measured),
        "limit": limit and {"least": limit.least, "most": limit.most, "unit": limit.unit},
        "basis": say_basis(finding.basis),
        "details": dict(finding.details),
    }
    if finding.decision is not None:
        result["properties"]["decision"] = say_decision(finding.decision)
    return result


def _fix(mend: Mend, uri: str, index: int) -> dict[str, Any]:
    return {
        "description": {"text": _message(mend.says)},
        "artifactChanges": [
            {
                "artifactLocation": {"uri": uri, "uriBaseId": ROOT, "index": index},
                "replacements": list(map(_replacement, mend.replacements)),
            }
        ],
    }


def _replacement(replaced: Replacement) -> dict[str, Any]:
    region = {
        "startLine": replaced.line,
        "startColumn": replaced.column,
        "endLine": replaced.end_line,
        "endColumn": replaced.end_column,
    }
    if not replaced.text:
        return {"deletedRegion": region}
    return {"deletedRegion": region, "insertedContent": {"text": replaced.text}}


def _related(finding: ReportedFinding, uri: str, index: int) -> Iterator[dict[str, Any]]:
    for number, path in enumerate(finding.related):
        line, column = finding.related_at[number] if finding.related_at else (None, None)
        yield {
            "id": number + 1,
            **locate(uri, line, column, path=path, index=index),
            "message": {"text": f"This belongs to it: {path}."},
        }


def _message(text: str) -> str:
    # `[text](1)` would be a link to a related location.
    return text.replace("](", "]\\(") if "](" in text else text


def _measure(measure: Measure | None) -> dict[str, Any] | None:
    return None if measure is None else {"value": measure.value, "unit": measure.unit}


def _fingerprints(identity: tuple[object, ...], before: int) -> dict[str, str]:
    """Hash plan, rule, room and items, and the number of the like findings before this one."""
    told = encode([*identity, before] if before else identity)
    digest = hashlib.sha256(told.encode()).hexdigest()
    return {FINGERPRINT: digest, HOST_FINGERPRINT: f"{digest[:16]}:1"}


def _suppressions(finding: ReportedFinding) -> list[dict[str, str]]:
    assert finding.waiver is not None
    justification = say_waiver(finding.waiver)
    return [{"kind": "inSource", "status": "accepted", "justification": justification}]


def _baseline(finding: ReportedFinding, earlier: Earlier) -> str:
    if earlier.state == "new":
        return "new"
    return "unchanged" if earlier.was == finding.measured else "updated"
