"""What all rules say of the demo plans with one thing in them changed or left out.

Every kind of node that a demo plan has is changed, or left out, in the smallest plan that has it.
What is kept is how all that is said differs from what is said of the plan as it is: `+` is new,
`-` no longer said; of what is long, the rest is kept as a number that its words give. What cannot
be read is left to the tests of reading. Some odd rooms are told as well, against the base plan.

    python -m tests.underfoot_rules.varied      writes it anew: read the difference
"""

import copy
import json
import zlib
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from tests.underfoot.checking.facts_kept.odd_rooms import odd_plan
from tests.underfoot.reading.odd_values import Way
from tests.underfoot.reading.said import full_plan, likely, value_at
from tests.underfoot.reading.test_any_node import PLANS, plan_nodes
from tests.underfoot_rules.plans import BASE, BENCH
from tests.underfoot_rules.said import lines_on
from tests.written_out import keep
from underfoot.checking.check import check_source
from underfoot.checking.report import PlanReport
from underfoot.reading.paths import join_path

MOST_LINES = 24
ODD_ROOMS = 4
KEPT = Path(__file__).parent / "plans.txt"
# Nothing is judged by these.
PASSED_OVER = {"job", "plan_format", "note", "title", "catalogue", "waivers"}


class Varied(Struct, frozen=True, kw_only=True):
    """A demo plan as it is, and with one thing changed."""

    before: Any
    after: Any


@cache
def varied() -> dict[str, Varied]:
    """Return every change by its name; such as cannot be read are still among them."""
    found: dict[str, Varied] = {}
    for number, (kind, node) in enumerate(plan_nodes().items()):
        if PASSED_OVER & set(kind) or node.data == full_plan():
            continue
        what, after = _change(node.data, node.way, number)
        found[f"{join_path(node.way)}: {what}"] = Varied(before=node.data, after=after)
    for seed in range(ODD_ROOMS):
        found[f"odd room {seed}"] = Varied(before=BASE, after=odd_plan(seed))
    return found


def _change(data: Any, way: Way, number: int) -> tuple[str, Any]:
    value = value_at(data, way)
    changed = copy.deepcopy(data)
    if isinstance(way[-1], str) and number % 2:
        del value_at(changed, way[:-1])[way[-1]]
        return "left out", changed
    others = [(what, each) for what, each in likely(value) if each != value]
    what, value_at(changed, way[:-1])[way[-1]] = others[number // 2 % len(others)]
    return what, changed


def said_of(one: Varied) -> str | None:
    """Say how what is said differs; None of a plan that cannot be read."""
    report = _check(one.after)
    if report.problems:
        return None
    before, after = Counter(_said_before(id(one.before))), Counter(lines_on(report))
    lines = [f"+ {line.strip()}" for line in (after - before).elements()]
    lines += [f"- {line.strip()}" for line in (before - after).elements()]
    if len(lines) > MOST_LINES and one.before is not BASE:
        left = "\n".join(lines[MOST_LINES:])
        lines[MOST_LINES:] = [
            f"and {left.count(chr(10)) + 1} more; words {zlib.crc32(left.encode()) % 10_000:04}"
        ]
    return "\n".join(lines)


@cache
def _said_before(which: int) -> tuple[str, ...]:
    plans = [BASE, *(node.data for node in plan_nodes().values())]
    return tuple(lines_on(_check(next(data for data in plans if id(data) == which))))


def _check(data: Any) -> PlanReport:
    text = json.dumps(data).encode()
    return check_source(text, BENCH, path="plans/plan.yaml", folder=PLANS)


def main() -> None:
    """Keep what is said."""
    said = {name: said_of(one) for name, one in varied().items()}
    keep(KEPT, {name: text for name, text in said.items() if text})
