"""What is written of plans: papers, pages, and the comparison of two revisions."""

import json
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from tests.outputs_kept.shortened import shorten_parts
from tests.underfoot.checking.facts_kept.odd_rooms import odd_plan
from tests.underfoot.page.pages import page_of
from tests.underfoot_rules.plans import BASE, BENCH, change_plan
from tests.underfoot_rules.said import more_plans
from underfoot.checking.check import CheckedPlan, examine
from underfoot.comparing import compare
from underfoot.comparing.json import write_comparisons_json
from underfoot.comparing.page.page import write_comparisons_html
from underfoot.comparing.text import write_comparisons_text
from underfoot.schedule.files import write_csv, write_json
from underfoot.schedule.gathering import gather_papers
from underfoot.schedule.page import write_page
from underfoot.schedule.text import write_text

VERSION = "0"
# An odd room and that of five seeds further have the same walls.
AS_BEFORE = 5


@cache
def checked(name: str) -> CheckedPlan:
    """Check a plan: an odd room by its seed, the base plan, or that with one of its changes."""
    if name.isdigit():
        data: Any = odd_plan(int(name))
    else:
        data = change_plan(BASE, _changes().get(name, {}))
    return examine(json.dumps(data).encode(), BENCH, path=f"{name}.yaml")


@cache
def _changes() -> Mapping[str, Mapping[str, Any]]:
    return {name: change for name, (_, change) in more_plans().items()}


def say_papers(name: str) -> str:
    """Write a plan's papers in every format."""
    papers = gather_papers(checked(name))
    tables = [table for part in papers.parts for table in part.tables]
    return _joined(
        "".join(write_text(papers)),
        write_json(papers, VERSION),
        write_page(papers, VERSION),
        *(write_csv(table) for table in tables),
    )


def say_revisions(name: str) -> str:
    """Compare an odd room with that of the same walls, or the base plan with a change to it."""
    old, new = (name, str(int(name) + AS_BEFORE)) if name.isdigit() else ("base", name)
    pairs = [compare("plan.yaml", checked(old), checked(new))]
    return _joined(
        "".join(write_comparisons_text(pairs)),
        "".join(write_comparisons_json(pairs, (), VERSION)),
        "".join(write_comparisons_html(pairs, (), VERSION)),
    )


def say_page(name: str) -> str:
    """Write a plan's review page."""
    return _joined(page_of(checked(name)))


def _joined(*texts: str) -> str:
    return "\n--\n".join(map(shorten_parts, texts))


def list_changed(every: int) -> Iterable[str]:
    """Name every so many-th change to the base plan."""
    return list(_changes())[::every]
