"""Puts back what the brief gives of the supply, the circuits and the method."""

from collections.abc import Collection, Mapping
from typing import Any

from msgspec.structs import replace

from underfoot.marking.brief_changes import BriefChanges
from underfoot.marking.content import is_given, is_same
from underfoot.plan import Circuit, Plan, Supply

# The fields that the scheme's words stand for, and what they are called.
_CABLE = {
    "length": "length", "method": "method", "ambient_c": "ambient temperature",
    "size_mm2": "size", "capacity_a": "capacity",
}  # fmt: skip
_PROTECTION = {
    "breaker_a": "breaker", "rcd_ma": "RCD", "rcd_type": "RCD type", "phase": "phase",
}  # fmt: skip
# What lets a submission add no step to the brief's method.
WHOLE_METHOD = "whole method"
_SUPPLY = (
    ("voltage_v", " V", "voltage"),
    ("system", "", "system"),
    ("available_a", " A", "available current"),
    ("phases", "", "number of phases"),
)


def restore_supply(supply: Supply, given: Supply, told: BriefChanges) -> Supply:
    """Put back the supply, saying what of it was another."""
    parts = []
    for name, unit, word in _SUPPLY:
        ours, theirs = getattr(supply, name), getattr(given, name)
        if not is_same(ours, theirs) and ours is not None:
            shown = f"{ours:g}{unit}" if isinstance(ours, float | int) else str(ours)
            want = "leaves it out"
            if theirs is not None:
                want = f"gives {theirs:g}{unit}" if unit else f"gives {theirs}"
            parts.append(f"{word} {shown}, where the brief {want}")
    if is_given(supply.source) and not is_same(supply.source, given.source):
        parts.append("its source is not the brief's")
    if parts:
        told.change("supply", f"supply: {'; '.join(parts)}")
    elif not is_same(supply, given):
        told.remark("The supply that the brief gives was put in where it was left out.")
    else:
        return supply
    return replace(given, path=supply.path)


def restore_circuits(
    circuits: Mapping[str, Circuit],
    given: Mapping[str, Circuit],
    fixed: Collection[str],
    told: BriefChanges,
) -> dict[str, Circuit]:
    """Put back what the brief gives of each circuit's cable and protection.

    A circuit is the brief's of its name; where the brief has one alone, it stands for all.
    """
    restored = {}
    for name, circuit in circuits.items():
        model = given.get(name)
        if model is None and len(given) == 1:
            (model,) = given.values()
        if model is not None and circuit.shares is None:
            if "protection" in fixed:
                circuit = _put_back(circuit, model, _PROTECTION, f"circuit {name}", told)
            if "cables" in fixed and model.cable is not None:
                cable = circuit.cable or replace(model.cable, path=circuit.path)
                cable = _put_back(cable, model.cable, _CABLE, f"circuit {name}, cable", told)
                circuit = replace(circuit, cable=cable)
        restored[name] = circuit
    return restored


def _put_back(
    thing: Any, model: Any, fields: Mapping[str, str], name: str, told: BriefChanges
) -> Any:
    put: dict[str, Any] = {}
    changed = []
    for field, word in fields.items():
        wanted, found = getattr(model, field), getattr(thing, field)
        if wanted is None or is_same(found, wanted):
            continue
        put[field] = wanted
        if field == "size_mm2":
            put["size_text"] = model.size_text
        if found is not None:
            changed.append(word)
    if changed:
        said = f"{name}: {', '.join(changed)} not as the brief gives"
        told.change("protection" if fields is _PROTECTION else "cables", said)
    return replace(thing, **put) if put else thing


def restore_method(plan: Plan, brief: Plan, told: BriefChanges, *, whole: bool) -> Plan:
    """Put back the steps that the brief states; a `whole` method has no step beside them."""
    given, statement = brief.method_statement, plan.method_statement
    if given is None or not given.steps:
        return plan
    if statement is None:
        told.remark("The method statement that the brief gives was left out, and was put back.")
        return replace(plan, method_statement=given)
    others = {
        step: value
        for step, value in given.steps.items()
        if not is_same(statement.steps.get(step), value)
    }
    changed = [step for step in others if step in statement.steps]
    if changed:
        said = f"method statement: {', '.join(changed)} not as the brief gives"
        told.change("method statement", said)
    steps = {**statement.steps, **others}
    if whole:
        added = [step for step in statement.steps if step not in given.steps]
        if added:
            said = f"method statement: {', '.join(added)} added to the method that the brief gives"
            told.change("method statement", said)
        steps = {step: steps[step] for step in given.steps}
    return replace(plan, method_statement=replace(statement, steps=steps))
