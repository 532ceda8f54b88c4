"""Papers of demo plans and of plans with something changed, and their tables as rows by key."""

import json
from collections.abc import Mapping
from functools import cache
from typing import Any

from tests.demo_plans import PLANS
from tests.underfoot_rules.plans import BASE, BENCH, change_plan
from underfoot.checking.check import CheckedPlan, examine
from underfoot.schedule.document import Cell, Papers, Table
from underfoot.schedule.gathering import gather_papers


@cache
def checked_demo(name: str) -> CheckedPlan:
    """Check a demo plan with every rule's own limits."""
    source = (PLANS / f"{name}.yaml").read_bytes()
    return examine(source, BENCH, path=f"{name}.yaml", folder=PLANS)


def checked_base(change: Mapping[str, Any]) -> CheckedPlan:
    """Check the rules' base plan with a change made to it."""
    text = json.dumps(change_plan(BASE, change))
    checked = examine(text.encode(), BENCH, path="plan.yaml")
    assert checked.facts is not None, checked.report.problems
    return checked


@cache
def papers_of(name: str) -> Papers:
    """Make all papers of a demo plan."""
    return gather_papers(checked_demo(name))


def table_of(papers: Papers, key: str) -> Table:
    """Find a table."""
    (found,) = [table for part in papers.parts for table in part.tables if table.key == key]
    return found


def rows_of(papers: Papers, key: str) -> list[dict[str, Cell]]:
    """Return a table's rows by their columns' keys."""
    table = table_of(papers, key)
    return [
        {column.key: cell for column, cell in zip(table.columns, row, strict=True)}
        for row in table.rows
    ]
