"""What mends are offered for findings of faulty plans, edit for edit, as it is kept beside this.

The plans are wrong examples of the pages, the further plans of `said`, by their names there, and
some odd rooms. `choosing` picked findings of them. What else is found on a plan is not asked for,
so that a further rule changes nothing.

    python -m tests.underfoot_rules.offered             writes it anew: read the difference
    python -m tests.underfoot_rules.offered --choose    picks plans and findings anew (a minute)
"""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from tests.underfoot.checking.facts_kept.odd_rooms import odd_plan
from tests.underfoot_rules.menders.asking import MENDERS, judge, plan
from tests.underfoot_rules.said import more_plans
from tests.written_out import keep, kept_in
from underfoot.checking.engine import RuleFinding
from underfoot.checking.mend import Mend
from underfoot.mending.search import find_mends
from underfoot.mending.trial import State, Trial
from underfoot.testing import Example, examples_of
from underfoot.testing.examples import plan_text_of
from underfoot_rules import BASE_PLAN, STANDARD

KEPT = Path(__file__).parent / "mends.txt"
ASKED = "- "
ODD_ROOMS = 4


@cache
def plans() -> dict[str, Any]:
    """Return every plan, or the example that stands for it, by its name."""
    found: dict[str, Any] = {
        f"example {example}": example
        for example in examples_of(STANDARD)
        if example.kind == "wrong"
    }
    found |= {f"further {name}": plan(change) for name, (_, change) in more_plans().items()}
    return found | {f"odd room {seed}": odd_plan(seed) for seed in range(ODD_ROOMS)}


def data_of(name: str) -> Any:
    """Return a plan's data by its name."""
    found = plans()[name]
    if isinstance(found, Example):
        text = plan_text_of(found, BASE_PLAN)
        return json.loads(json.dumps(yaml.safe_load(text), default=str))
    return found


def judged(name: str) -> tuple[Trial, State]:
    """Check a plan by its name; AssertionError where it cannot be read."""
    return judge(data_of(name))


def told(found: RuleFinding) -> str:
    """Name a finding within its plan."""
    return f"{ASKED}{found.rule.id}: {', '.join((found.subject.room or '', *found.subject.items))}"


def mends_of(found: RuleFinding, trial: Trial, state: State) -> Iterator[str]:
    """Write a finding and its mends, a line each and one for every edit."""
    yield told(found)
    for mend in find_mends(found, state, MENDERS, trial):
        yield from _lines(mend)


def _lines(mend: Mend) -> Iterator[str]:
    yield f"  {mend.says}"
    for edit in mend.patch:
        value = "" if edit.op == "remove" else f": {json.dumps(edit.value, ensure_ascii=False)}"
        yield f"    {edit.op} {'/'.join(map(str, edit.path))}{value}"


def offered_on(name: str, asked: frozenset[str]) -> list[str]:
    """Write what is offered for those findings of a plan that are asked for."""
    trial, state = judged(name)
    return [
        line
        for found in state.standing
        if told(found) in asked
        for line in mends_of(found, trial, state)
    ]


def asked_in(kept: str) -> frozenset[str]:
    """Return the findings that a kept text tells of."""
    return frozenset(line for line in kept.splitlines() if line.startswith(ASKED))


def write_anew() -> None:
    """Write what is offered for the findings that are kept, as far as their plans are there."""
    kept = {name: text for name, text in kept_in(KEPT).items() if name in plans()}
    keep(KEPT, {n: "\n".join(offered_on(n, asked_in(text))) for n, text in kept.items()})
