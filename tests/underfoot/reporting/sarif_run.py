"""A report as one run of SARIF, and what is looked for in it."""

import json
from collections.abc import Iterator
from typing import Any

from tests.underfoot.reporting.whole import write_sarif
from underfoot.checking.report import Report
from underfoot_rules import STANDARD


def run_of(report: Report) -> dict[str, Any]:
    data = json.loads("".join(write_sarif(report, STANDARD.rules)))
    assert data["version"] == "2.1.0"
    (run,) = data["runs"]
    assert isinstance(run, dict)
    return run


def notices(run: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    (invocation,) = run["invocations"]
    listed = invocation["toolExecutionNotifications"] + invocation["toolConfigurationNotifications"]
    kinds = run["tool"]["driver"]["notifications"]
    for notice in listed:
        assert kinds[notice["descriptor"]["index"]]["id"] == notice["descriptor"]["id"]
    return [notice for notice in listed if notice["descriptor"]["id"] == kind]


def values_of(data: Any, key: str) -> Iterator[Any]:
    if isinstance(data, dict):
        for name, value in data.items():
            if name == key:
                yield value
            yield from values_of(value, key)
    elif isinstance(data, list):
        for value in data:
            yield from values_of(value, key)
