"""The right plans of the demo scenario, self-contained, each with what is known of it."""

from pathlib import Path

import yaml

from underfoot.api.rules import Data, Expected
from underfoot.marking.exercise import lay_in_catalogue

PLANS = Path(__file__).resolve().parents[2] / "plans"
# Its settings change limits: it is right under those alone.
UNDER_SETTINGS = {"annexe/day-room.yaml"}


def demo_plans() -> dict[str, tuple[Data, frozenset[Expected]]]:
    """Return each demo plan without an unwaived error or warning, and its findings."""
    listed = yaml.safe_load(
        (PLANS.parent / "tests/underfoot_rules/demo_faults.yaml").read_text("utf-8")
    )
    catalogue = yaml.safe_load((PLANS / "catalogue.yaml").read_text("utf-8"))
    found = {}
    for name, faults in listed.items():
        if name in UNDER_SETTINGS:
            continue
        if all(fault["severity"] == "note" or fault.get("waived") for fault in faults):
            plan = yaml.safe_load((PLANS / name).read_text("utf-8"))
            if "catalogue" in plan:
                plan = lay_in_catalogue(plan, catalogue)
            found[name] = (
                plan,
                frozenset(
                    Expected(
                        rule=f["rule"],
                        room=f["room"],
                        items=tuple(f["items"]),
                        severity=f["severity"],
                    )
                    for f in faults
                ),
            )
    return found
