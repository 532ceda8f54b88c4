"""Gathers the rules: every module in a topic's folder that has a page holds one, as ``RULE``.

What has no page beside it is what the topic's rules need, and no other's.
"""

from collections.abc import Iterator
from importlib import import_module
from importlib.resources import files
from typing import Any

from underfoot.api.rules import Mender, Mutation, Rule, RuleSet
from underfoot_rules.suppressions import SILENCES, silence_drawn_room

TOPICS = (
    "laying",
    "sensor",
    "thermostat",
    "leads",
    "openings",
    "circuits",
    "insulation",
    "membrane",
    "build_up",
    "method",
    "records",
    "figures",
)


def _rules() -> Iterator[Rule[Any]]:
    for topic in TOPICS:
        beside = files(f"underfoot_rules.{topic}").iterdir()
        for page in sorted(each.name for each in beside if each.name.endswith(".md")):
            yield import_module(f"underfoot_rules.{topic}.{page.removesuffix('.md')}").RULE


def _mutations() -> tuple[Mutation, ...]:
    gathered: tuple[Mutation, ...] = import_module("underfoot_rules.mutations").gather()
    return gathered


def _menders() -> tuple[Mender, ...]:
    gathered: tuple[Mender, ...] = import_module("underfoot_rules.menders").gather()
    return gathered


RULES = tuple(_rules())

# A right plan, which rule sets of others may take for their own examples, too.
BASE_PLAN = files("underfoot_rules").joinpath("base_plan.yaml").read_text("utf-8")

STANDARD = RuleSet(
    name="standard",
    api=3,
    rules=RULES,
    silences=(*SILENCES, *silence_drawn_room(RULES)),
    base_plan=BASE_PLAN,
    gather_mutations=_mutations,
    gather_menders=_menders,
)
