"""The report as SARIF 2.1.0, for code hosts and viewers: one result a line, no clock, no host."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from underfoot.checking.matching import Identity, identity_of
from underfoot.checking.report import Earlier, Measure, Report, ReportedFinding
from underfoot.checking.rule import Rule
from underfoot.reporting.json import encode
from underfoot.reporting.phrases import say_basis, say_decision, say_waiver
from underfoot.reporting.sarif_notices import describe_kinds, list_configuring, list_running
from underfoot.reporting.sarif_places import ROOT, locate, uri_of
from underfoot.reporting.sarif_rules import (
    describe_rules,
    describe_standards,
    refer_to_standards,
)

SCHEMA = "https://json.schemastore.org/sarif-2.1.0.json"
# A name, not a page: none on the net is promised to be there.
_INFORMATION = "urn:underfoot"
# Fingerprints made in another way get another number, so that old and new are never compared.
FINGERPRINT = "findingIdentity/v1"
# The one that code hosts go by. Where it is missing they make one of the line, which moves.
HOST_FINGERPRINT = "primaryLocationLineHash"

_SEMANTIC = re.compile(r"[0-9]+\.[0-9]+\.[0-9]+(?:[-+][0-9A-Za-z.+-]+)?")


def write_sarif(report: Report, rules: Sequence[Rule], base: str | None = None) -> Iterator[str]:
    """Write the report piece by piece.

    `rules` are those of the sets in use; listed are the ones that were active for a plan.
    `base` is the folder, with forward slashes, from which plans named by absolute paths are told.
    """
    active = _active(report, rules)
    places = {rule.id: place for place, rule in enumerate(active)}
    running = list_running(report, places, base)
    driver = {
        "name": "underfoot",
        "version": report.version,
        "informationUri": _INFORMATION,
        "shortDescription": {"text": "Checks plans of electric floor heating laid as film."},
        "fullDescription": {"text": report.caution},
        "notifications": describe_kinds(),
        "supportedTaxonomies": refer_to_standards(active),
    }
    if _SEMANTIC.fullmatch(report.version):
        driver["semanticVersion"] = report.version
    yield f'{{"$schema": {encode(SCHEMA)}, "version": "2.1.0", "runs": [{{\n'
    yield f'"tool": {{"driver": {encode(driver)[:-1]}, "rules": [\n'
    yield ",\n".join(map(encode, describe_rules(active))) + "\n]}},\n"
    head = {
        "taxonomies": describe_standards(active),
        "automationDetails": {"id": "underfoot/"},
        "columnKind": "unicodeCodePoints",
        "originalUriBaseIds": {
            ROOT: {"description": {"text": "The folder where the check was run."}}
        },
        "properties": {"caution": report.caution},
        "invocations": [
            {
                "executionSuccessful": not any(each["level"] == "error" for each in running),
                "toolExecutionNotifications": running,
                "toolConfigurationNotifications": list_configuring(report, places, base),
            }
        ],
        "artifacts": [_artifact(uri_of(plan.path, base)) for plan in report.plans],
    }
    yield "".join(f"{encode(key)}: {encode(value)},\n" for key, value in head.items())
    yield '"results": ['
    before = ""
    for result in _results(report, places, base):
        yield f"{before}\n{encode(result)}"
        before = ","
    yield "\n]}]}\n"


def _active(report: Report, rules: Sequence[Rule]) -> list[Rule]:
    seen = {row.rule for plan in report.plans for row in plan.checks}
    seen.update(fault.rule for plan in report.plans for fault in plan.faults)
    # Where no plan could be read, it is not known which rules would have been active.
    listed = [rule for rule in rules if rule.id in seen] if seen else list(rules)
    return sorted(listed, key=lambda rule: rule.id)


def _artifact(uri: str) -> dict[str, Any]:
    return {
        "location": {"uri": uri, "uriBaseId": ROOT},
        "roles": ["analysisTarget"],
        "encoding": "utf-8",
    }


def _results(
    report: Report, places: Mapping[str, int], base: str | None
) -> Iterator[dict[str, Any]]:
    # Suppressions stand on all results or on none: one without them counts as not looked into.
    waiving = any(finding.waiver for plan in report.plans for finding in plan.findings)
    for index, plan in enumerate(report.plans):
        uri = uri_of(plan.path, base)
        met: Counter[Identity] = Counter()
        for finding in plan.findings:
            identity = identity_of(finding)
            result = _result(finding, uri, index, places[finding.rule])
            result["partialFingerprints"] = _fingerprints(identity, met[identity])
            met[identity] += 1
            if waiving:
                result["suppressions"] = _suppressions(finding)
            if finding.earlier is not None:
                result["baselineState"] = _baseline(finding, finding.earlier)
            yield result


def _result(finding: ReportedFinding, uri: str, index: int, rule: int) -> dict[str, Any]:
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": rule,
        "level": finding.severity,
        "message": {"text": _message(f"{finding.message} {finding.remedy}")},
        "locations": [locate(uri, finding.line, finding.column, path=finding.path, index=index)],
    }
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


def _fingerprints(identity: Identity, before: int) -> dict[str, str]:
    """Hash rule, room and items, and the number of the like findings before this one."""
    told = encode([*identity, before] if before else identity)
    digest = hashlib.sha256(told.encode()).hexdigest()
    return {FINGERPRINT: digest, HOST_FINGERPRINT: f"{digest[:16]}:1"}


def _suppressions(finding: ReportedFinding) -> list[dict[str, str]]:
    if finding.waiver is None:
        return []
    justification = say_waiver(finding.waiver)
    return [{"kind": "inSource", "status": "accepted", "justification": justification}]


def _baseline(finding: ReportedFinding, earlier: Earlier) -> str:
    if earlier.state == "new":
        return "new"
    return "unchanged" if earlier.was == finding.measured else "updated"
