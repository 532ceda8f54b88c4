"""Names the system and the source of a supply, and puts circuits on other phases."""

import math
from collections.abc import Iterator

from underfoot.api.rules import Edit, Mender, Proposal, ToMend, below
from underfoot_rules.circuits.supply_capacity import PHASES
from underfoot_rules.menders.laid import is_handed_over
from underfoot_rules.menders.spelled import put, stands
from underfoot_rules.menders.written import change

# What safety transformers are made with, VA: common practice in the trade, no source.
SOURCES_VA = (
    63.0, 100.0, 160.0, 200.0, 250.0, 300.0, 400.0, 500.0, 630.0, 800.0, 1000.0, 1600.0, 2000.0,
    2500.0, 4000.0, 5000.0, 6300.0, 10000.0,
)  # fmt: skip
_SAFE = "safety isolating transformer"
_STANDARD = "IEC 61558-2-6"


def feed_safely(found: ToMend) -> Iterator[Proposal]:
    """Propose the mains where the voltage is theirs, else a source that is made for SELV.

    What stands on the plate of a source is read there, and proposed by nobody.
    """
    supply, data = found.facts.plan.supply, found.data
    if is_handed_over(found.facts):
        return
    if found.finding.measured is not None:
        yield Proposal(
            says=f"Write `system: mains`: {supply.voltage_v:g} V is no extra-low voltage.",
            edits=(change(data, ("supply", "system"), "mains"),),
        )
        return
    source = supply.source
    if source is not None and source.is_safe:
        if found.severity == "error":
            yield Proposal(
                says=f"Use a {_SAFE} to {_STANDARD}.",
                edits=(
                    change(data, ("supply", "source", "kind"), _SAFE),
                    change(data, ("supply", "source", "standard"), _STANDARD),
                ),
            )
        return
    drawn_va = supply.voltage_v * math.fsum(
        each.current_a for each in found.facts.protections.values()
    )
    rating = next((each for each in SOURCES_VA if not below(each, drawn_va)), None)
    if source is not None:
        edits = [
            change(data, ("supply", "source", "kind"), _SAFE),
            change(data, ("supply", "source", "standard"), _STANDARD),
        ]
    elif rating is not None:
        told = {"kind": _SAFE, "standard": _STANDARD, "rating": f"{rating:g} VA"}
        edits = [change(data, ("supply", "source"), told)]
    else:
        return
    rated = f", rated {rating:g} VA" if source is None else ""
    yield Proposal(says=f"Feed it out of a {_SAFE} to {_STANDARD}{rated}.", edits=tuple(edits))


def take_stronger_source(found: ToMend) -> Iterator[Proposal]:
    """Propose the smallest source made that bears all circuits together."""
    drawn_va = found.finding.measured
    path = ("supply", "source", "rating")
    if drawn_va is None or not stands(found.data, path) or is_handed_over(found.facts):
        return
    for rating in [each for each in SOURCES_VA if not below(each, drawn_va)][:1]:
        yield Proposal(
            says=f"Take a source rated {rating:g} VA.",
            edits=(put(found.data, path, rating, "VA"),),
        )


def share_phases(found: ToMend) -> Iterator[Proposal]:
    """Propose to put circuits of a phase that has too much on the one that has least."""
    facts = found.facts
    supply = facts.plan.supply
    if supply.phases != 3 or not found.items or supply.available_a is None:
        return
    if is_handed_over(facts):
        return
    load = dict.fromkeys(PHASES, 0.0)
    on: dict[str, str] = {}
    for name, protection in facts.protections.items():
        phase = protection.circuit.phase
        if phase is None:
            return
        load[phase] += protection.current_a
        on[name] = phase
    moved: dict[str, str] = {}
    for name in sorted(on, key=lambda each: (-facts.protections[each].current_a, each)):
        current_a = facts.protections[name].current_a
        least = min(PHASES, key=lambda phase: load[phase])
        if load[on[name]] > supply.available_a and load[least] + current_a < load[on[name]]:
            load[on[name]] -= current_a
            load[least] += current_a
            moved[name] = least
    if moved and stands(found.data, ("circuits", next(iter(moved)))):
        yield Proposal(
            says=" ".join(f"Put circuit {name} on phase {phase}." for name, phase in moved.items()),
            edits=tuple(
                Edit(op="replace", path=("circuits", name, "phase"), value=phase)
                for name, phase in moved.items()
            ),
        )


MENDERS = (
    Mender(rule="selv-source", propose=feed_safely),
    Mender(rule="source-rating", propose=take_stronger_source),
    Mender(rule="supply-capacity", propose=share_phases),
)
