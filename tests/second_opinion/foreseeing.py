"""Says all that a damage causes: its own rule's findings first, then what comes with them."""

from collections.abc import Callable, Iterator, Mapping

from tests.second_opinion.comparing import UnclearError
from tests.second_opinion.listing import list_faults
from tests.second_opinion.saying import expect, warning
from underfoot.api.rules import Damaged, Data, Expected, Mutation
from underfoot_rules.mutations.choosing import heated_rooms
from underfoot_rules.mutations.expand_rows import open_rows


def foresee(mutation: Mutation, plan: Data, damaged: Damaged) -> Damaged | None:
    """Complete what a damage to a right plan causes.

    None where the rule of the mutation would not speak, or where it is too close to tell.
    """
    also = BESIDE.get(mutation.name, _nothing)
    rooms = () if mutation.name in ABSURD else _list_changed(plan, damaged.data)
    try:
        found = (*damaged.expected, *also(damaged.data), *list_faults(damaged.data, rooms))
    except UnclearError:
        return None
    # What the damage itself says of a finding goes before.
    each_once = {one.identity: one for one in reversed(found)}
    listed = [each_once[key] for key in dict.fromkeys(one.identity for one in found)]
    meant = MEANT.get(mutation.name, _anything)
    own = [one for one in listed if one.rule == mutation.rule and meant(one)]
    rest = [one for one in listed if one not in own]
    return Damaged(data=damaged.data, expected=(*own, *rest)) if own else None


def _list_changed(plan: Data, damaged: Data) -> tuple[str, ...]:
    """List the rooms that a damage changed: all where materials or the supply are others."""
    old, new = open_rows(plan), open_rows(damaged)
    shared = ("materials", "supply")
    if any(old.get(key) != new.get(key) for key in shared):
        return tuple(new["rooms"])
    return tuple(name for name, room in new["rooms"].items() if room != old["rooms"].get(name))


def _nothing(plan: Data) -> Iterator[Expected]:
    yield from ()


def _anything(one: Expected) -> bool:
    return True


SILENCED = (
    "thermostat-height",
    "thermostat-rating",
    "thermostat-circuits",
    "floor-limit",
    "contact-protection",
)


def _idle_waivers(plan: Data) -> Iterator[Expected]:
    """Find the waivers of what is silent without a thermostat, which nobody needs any more."""
    idle = [waiver for waiver in plan.get("waivers") or [] if waiver["rule"] in SILENCED]
    if idle and len(plan["rooms"]) > 1:
        raise UnclearError  # a finding in another room may still need them
    for told in idle:
        items = (told["rule"], *([told["item"]] if "item" in told else []))
        yield expect("waiver-lapsed", None, *items)


def _heat_kept_in(plan: Data) -> Iterator[Expected]:
    for room in heated_rooms(plan):
        if (plan["rooms"][room].get("underlay") or {}).get("thickness") == 25:
            yield warning("covering-resistance", room)


# Damages that leave no room to be judged.
ABSURD = frozenset({"room-in-metres"})
# What comes with a damage and does not show in the drawing.
BESIDE: Mapping[str, Callable[[Data], Iterator[Expected]]] = {
    "thermostat-forgotten": _idle_waivers,
    "thick-carpet": _heat_kept_in,
}
# Which finding of its rule a damage is about, where the rule has others.
MEANT: Mapping[str, Callable[[Expected], bool]] = {
    "strips-forgotten": lambda one: one.room is not None,
    "planned-too-near": lambda one: one.severity == "warning",
    "breaker-too-large": lambda one: one.severity == "error",
    "breaker-above-the-leads": lambda one: one.severity == "warning",
    "thermostat-by-the-bath": lambda one: one.items[0] == "thermostat",
    "box-by-the-bath": lambda one: one.items[0] == "junction-box",
    "sensor-under-fixture": lambda one: len(one.items) == 1,
}
