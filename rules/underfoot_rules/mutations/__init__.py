"""Ways in which plans are really got wrong, by the rule that each breaks.

What a damage causes is worked out here by arithmetic of its own, from the plan as written: no rule
is asked, so that damaged plans put the rules to the proof.
"""

from __future__ import annotations

from importlib import import_module

from underfoot.api import Mutation

TOPICS = (
    "laying",
    "emptying",
    "furnishing",
    "sensor",
    "thermostat",
    "hanging",
    "switching",
    "leads",
    "leads_wide",
    "circuits",
    "protection",
    "insulation",
    "membrane",
    "build_up",
    "coverings",
    "method",
    "readings",
    "records",
    "figures",
)


def gather() -> tuple[Mutation, ...]:
    """Give every mutation of the standard set, topic by topic."""
    return tuple(
        mutation
        for topic in TOPICS
        for mutation in import_module(f"underfoot_rules.mutations.{topic}").MUTATIONS
    )
