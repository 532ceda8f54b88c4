"""Counts the values from outside the project that a run has checked.

A test of a published value carries `@pytest.mark.outside(source, status)`: the standard, handbook
or library that states it, and how far that was confirmed. Each case of a parametrised test is one
value; only what passed is counted. A value known from memory alone is refused at collection.
"""

from __future__ import annotations

from collections import Counter

import pytest

STATUSES = {
    "CONFIRMED A": "read on a page of the publisher, a government or a professional body",
    "CONFIRMED B": "read in independent sources that agree",
    "CONFIRMED C": "read in one weak source",
    "DERIVED": "computed from a published formula, outside the project",
    "LIBRARY": "computed by an independent library in the test itself",
}


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line(
        "markers", "outside(source, status): the value checked comes from outside the project"
    )


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        mark = item.get_closest_marker("outside")
        if mark is None:
            continue
        _source, status = mark.args
        if status not in STATUSES:
            raise pytest.UsageError(f"{item.nodeid}: {status!r} is no status for an expected value")
        item.user_properties.append(("outside value", status))
    if "pandapower" not in config.option.markexpr:
        kept = [item for item in items if item.get_closest_marker("pandapower") is None]
        config.hook.pytest_deselected(items=[item for item in items if item not in kept])
        items[:] = kept


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    reports = terminalreporter.stats.get("passed", [])
    checked = Counter(
        status
        for report in reports
        if report.when == "call"
        for name, status in report.user_properties
        if name == "outside value"
    )
    if checked:
        parts = ", ".join(f"{status} {checked[status]}" for status in STATUSES if checked[status])
        terminalreporter.write_line(f"{checked.total()} outside values checked ({parts})")
