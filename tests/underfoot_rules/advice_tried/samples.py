"""The plans on which advice is tried: the scenario's, the rules' examples, and damaged ones."""

import random
from collections.abc import Iterator
from functools import cache

import yaml

from tests.seeded_faults.demo_plans import PLANS, UNDER_SETTINGS
from tests.seeded_faults.plans import right_plan
from underfoot.api.rules import Data
from underfoot.marking.exercise import lay_in_catalogue
from underfoot.testing.examples import examples_of, plan_text_of
from underfoot_rules import STANDARD

SEED = 40_000


@cache
def scenario() -> dict[str, Data]:
    """Return all plans of the scenario, the faulty ones among them, catalogue laid in."""
    catalogue = yaml.safe_load((PLANS / "catalogue.yaml").read_text("utf-8"))
    found = {}
    for file in sorted(PLANS.rglob("*.yaml")):
        name = file.relative_to(PLANS).as_posix()
        plan = yaml.safe_load(file.read_text("utf-8"))
        if name in UNDER_SETTINGS or "plan_format" not in plan:
            continue
        found[name] = lay_in_catalogue(plan, catalogue) if "catalogue" in plan else plan
    return found


def examples() -> Iterator[tuple[str, Data]]:
    """Yield the plans of the wrong examples, but those that take settings or a catalogue along."""
    for example in examples_of(STANDARD):
        parts = yaml.safe_load(example.text)
        if example.kind == "wrong" and not {"settings", "catalogue"} & set(parts):
            yield str(example), yaml.safe_load(plan_text_of(example, STANDARD.base_plan))


def damaged(plans: int, each: int, seed: int = SEED) -> Iterator[tuple[str, Data]]:
    """Yield so many damaged plans of every way to damage one, on right plans drawn and given."""
    right = {f"plan {number}": right_plan(number) for number in range(seed, seed + plans)}
    right |= {name: plan for name, plan in scenario().items() if name in _right_ones()}
    for mutation in STANDARD.mutations:
        order = sorted(right)
        random.Random(f"{mutation.name} {seed}").shuffle(order)
        done = 0
        for name in order:
            found = mutation.apply(right[name], random.Random(f"{mutation.name} {name} {seed}"))
            if found is not None:
                yield f"{name}, {mutation.name}", found.data
                done += 1
            if done == each:
                break


@cache
def _right_ones() -> frozenset[str]:
    from tests.seeded_faults.demo_plans import demo_plans

    return frozenset(demo_plans())
