"""Plans with one key left out, or with another value under it: what a rule says of each."""

import copy
import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from tests.seeded_faults.demo_plans import demo_plans
from tests.underfoot_rules.plans import A_DAY, BASE
from underfoot.checking.check import check_source, make_checker
from underfoot.checking.report import CheckRow, PlanReport
from underfoot.checking.settings import default_settings
from underfoot_rules import STANDARD

Data = dict[str, Any]
Path = tuple[str | int, ...]

_BENCH = make_checker([STANDARD], default_settings(STANDARD.rules), A_DAY)
_NUMBER = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)( .+)")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_FACTORS = (0.1, 0.8, 1.25, 10)
# What else may stand under a key that names one of several things.
_WORDS: Mapping[str, tuple[Any, ...]] = {
    "kind": (
        "floor-mounted", "on legs", "lying flat", "structure", "heat source", "fixings", "bath",
        "shower", "open shower", "concrete", "timber", "vinyl plank", "ceramic tile", "solid wood",
    ),
    "below": ("ground", "outside", "unheated", "heated"),
    "use": ("bathroom", "conservatory", "living"),
    "fixing": ("glued", "nailed", "screwed", "floating"),
    "standard": ("IEC 60335-2-96", "IEC 60335-2-106"),
    "lies": ("busbars up", "busbars down"),
    "busbars": ("up", "down"),
    "connector_tool": ("pliers", "other"),
    "connectors_insulated": ("no", "one side"),
    "system": ("SELV", "mains"),
    "status": ("laid", "covered", "handed over"),
    "protection_class": ("I", "III"),
    "method": ("A1", "C"),
    "stage": ("laid", "covered", "made up"),
    "against": ("grid", "earth"),
    "certificate": ("unsigned", "none"),
    "beyond": ("outside", "heated"),
    "along": ("x", "y"),
    "cut_into": ("subfloor", "insulation"),
    "material": ("foam", "cork"),
    "measured": ("from a drawing", "on site"),
    "suits": (["something else"],),
    "boards": (["board-of-nobody"],),
}  # fmt: skip


def plan_named(name: str) -> Data:
    """Return the rules' base plan, or a right plan of the scenario without what it does not use."""
    if name == "base":
        return copy.deepcopy(dict(BASE))
    plan, _ = demo_plans()[name]
    plan = copy.deepcopy(plan)
    for kind in plan["materials"]:
        if kind != "note":
            told = plan["materials"][kind]
            used = json.dumps([plan["rooms"], plan["materials"]["films"]])
            plan["materials"][kind] = {k: v for k, v in told.items() if f'"{k}"' in used}
    return plan


def report_on(plan: Data) -> PlanReport:
    """Check a plan by the whole set."""
    return check_source(json.dumps(plan).encode(), _BENCH, path="plan.yaml")


def row_of(report: PlanReport, rule: str) -> CheckRow:
    """Return what one rule looked at."""
    return next(row for row in report.checks if row.rule == rule)


def list_keys(data: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """List every key below a plan's root with its value; what stands in lists goes by number."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield (*path, key), value
            yield from list_keys(value, (*path, key))
    elif isinstance(data, list):
        for number, value in enumerate(data):
            if isinstance(value, dict):
                yield from list_keys(value, (*path, number))


def leave_out(plan: Data, path: Path) -> Data:
    """Return a plan without one key."""
    less, holder = _holder(plan, path)
    del holder[path[-1]]
    return less


def put_in(plan: Data, path: Path, value: Any) -> Data:
    """Return a plan with another value under a key."""
    changed, holder = _holder(plan, path)
    holder[path[-1]] = value
    return changed


def _holder(plan: Data, path: Path) -> tuple[Data, Any]:
    changed = copy.deepcopy(plan)
    holder: Any = changed
    for step in path[:-1]:
        holder = holder[step]
    return changed, holder


def split(dotted: str) -> Path:
    """Read a path as a report writes it."""
    return tuple(int(step) if step.isdigit() else step for step in dotted.split("."))


def list_others(key: str | int, value: Any) -> list[Any]:
    """List other values that might stand under a key, right or wrong."""
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int | float):
        return [value * factor for factor in _FACTORS]
    if isinstance(value, str) and _DAY.fullmatch(value):
        return ["2020-01-01", "2028-01-01"]
    number = _NUMBER.fullmatch(value) if isinstance(value, str) else None
    if number is not None:
        return [f"{float(number[1]) * factor:g}{number[2]}" for factor in _FACTORS]
    if isinstance(value, list) and [type(each) for each in value] == [int, int]:
        return [[x * a, y * b] for x, y in [value] for a in (0.2, 1, 2) for b in (0.2, 1, 2)]
    return [other for other in _WORDS.get(str(key), ()) if other != value]


def rules_that_hang_on(plan: Data, path: Path, value: Any, before: PlanReport) -> dict[str, Any]:
    """Find the rules that would find something under another value, each with that value."""
    had = {(each.rule, each.room, each.items) for each in before.findings}
    found: dict[str, Any] = {}
    for other in list_others(path[-1], value):
        report = report_on(put_in(plan, path, other))
        for each in report.findings:
            if each.severity != "note" and (each.rule, each.room, each.items) not in had:
                found.setdefault(each.rule, other)
    return found
