"""Counts what a run has held against sources outside the project, by a strict measure.

A test carries one of two marks, each with the standard or handbook that prints the value and how
far that was confirmed; each case of a parametrised test is one value, and only what passed counts.

`@pytest.mark.outside(source, status)`: the expected number was printed by somebody else, and what
the code computes would miss it if it were wrong by 1 % (`assert_agrees` proves that of each).

`@pytest.mark.as_printed(source, status)`: a constant, a row of a table or a limit of the project
stands as its source prints it. That shows a slip of the pen, and nothing about what is computed.

A value known from memory alone, or worked out by ourselves, is refused for both at collection.
"""

from collections import Counter

import pytest

STATUSES = {
    "CONFIRMED A": "read on a page of the publisher, a government or a professional body",
    "CONFIRMED B": "read in independent sources that agree",
    "CONFIRMED C": "read in one weak source",
}
MARKS = {
    "outside": "values printed elsewhere were met by what is computed",
    "as_printed": "constants and limits stand as their sources print them",
}


def pytest_configure(config: pytest.Config) -> None:
    for mark, means in MARKS.items():
        config.addinivalue_line("markers", f"{mark}(source, status): {means}")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        for name in MARKS:
            mark = item.get_closest_marker(name)
            if mark is None:
                continue
            _source, status = mark.args
            if status not in STATUSES:
                raise pytest.UsageError(f"{item.nodeid}: {status!r} is no status for such a value")
            item.user_properties.append((name, status))
    if "pandapower" not in config.option.markexpr:
        kept = [item for item in items if item.get_closest_marker("pandapower") is None]
        config.hook.pytest_deselected(items=[item for item in items if item not in kept])
        items[:] = kept


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    passed = [each for each in terminalreporter.stats.get("passed", []) if each.when == "call"]
    for mark, means in MARKS.items():
        checked = Counter(
            status for report in passed for name, status in report.user_properties if name == mark
        )
        if checked:
            parts = ", ".join(f"{each} {checked[each]}" for each in STATUSES if checked[each])
            terminalreporter.write_line(f"{checked.total()} {means} ({parts})")
