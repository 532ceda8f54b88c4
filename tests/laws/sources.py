"""Plans to try the laws on: the demo plans with their catalogue laid in, and the base plan."""

from functools import cache
from pathlib import Path
from typing import Any

import yaml

from tests.demo_plans import PLANS
from underfoot_rules import STANDARD

Data = dict[str, Any]


@cache
def _load(path: Path) -> Data:
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    assert isinstance(data, dict)
    return data


def _with_catalogue(path: Path) -> Data:
    """Return a plan that stands alone: the catalogue's entries below the plan's own."""
    plan = dict(_load(path))
    name = plan.pop("catalogue", None)
    if name is None:
        return plan
    shared = _load((path.parent / name).resolve())
    own = plan.get("materials") or {}
    plan["materials"] = {
        kind: {**shared["materials"].get(kind, {}), **own.get(kind, {})}
        for kind in ("films", "boards", "sheets", "coverings")
    }
    if "method_statement" in shared:
        steps = {**shared["method_statement"], **plan.get("method_statement", {})}
        plan["method_statement"] = steps
    return plan


@cache
def sources() -> dict[str, Data]:
    """Return the plans by name. They are shared: change copies only."""
    found: dict[str, Data] = {"base": yaml.safe_load(STANDARD.base_plan)}
    for path in sorted(PLANS.rglob("*.yaml")):
        if "plan_format" in _load(path):
            found[str(path.relative_to(PLANS).with_suffix(""))] = _with_catalogue(path)
    return found


NAMES = tuple(sources())
