"""What proposes mends, by the rule whose findings it would clear; each is tried before it is told.

A rule may have several, tried in the order of the topics below.
"""

from importlib import import_module

from underfoot.api.rules import Mender

TOPICS = (
    "strips",
    "cuts",
    "further",
    "leads",
    "sensor",
    "channel",
    "boards",
    "membrane",
    "protection",
    "cables",
    "feeding",
    "dividing",
    "supply",
    "grid",
    "thermostat",
    "walls",
    "openings",
    "build_up",
    "method",
    "figures",
    "waivers",
)


def gather() -> tuple[Mender, ...]:
    """Return every mender of the standard set, topic by topic."""
    return tuple(
        mender
        for topic in TOPICS
        for mender in import_module(f"underfoot_rules.menders.{topic}").MENDERS
    )
