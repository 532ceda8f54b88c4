"""Ways in which plans are really got wrong, by the rule that each breaks.

A damage says itself what it surely causes. Where that hangs on the drawing, whoever uses it checks
the damaged plan to see whether it shows.
"""

from importlib import import_module

from underfoot.api.rules import Mutation

TOPICS = (
    "laying",
    "set_out",
    "emptying",
    "furnishing",
    "sensor",
    "thermostat",
    "hanging",
    "switching",
    "leads",
    "leads_wide",
    "openings",
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
    """Return every mutation of the standard set, topic by topic."""
    modules = [import_module(f"underfoot_rules.mutations.{topic}") for topic in TOPICS]
    return tuple(
        value
        for module in modules
        for value in (*getattr(module, "MUTATIONS", ()), *vars(module).values())
        if isinstance(value, Mutation)
    )
