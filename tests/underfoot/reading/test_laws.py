"""What may be written in two ways is read as one plan."""

import json
from decimal import Decimal
from typing import Any

import yaml
from msgspec import Struct
from msgspec.structs import asdict

from tests.underfoot.reading.samples import FULL
from underfoot.plan import Plan
from underfoot.reading import read_plan
from underfoot.reading.syntax import parse

# Bare numbers that are no lengths.
COUNTED = ("plan_format", "tolerance", "count", "poles", "phases")


def plan_of(text: str) -> Plan:
    reading = read_plan(text.encode(), path="plan.yaml")
    assert reading.problems == ()
    assert reading.plan is not None
    return reading.plan


def in_metres(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: one if key in COUNTED else in_metres(one) for key, one in data.items()}
    if isinstance(data, list):
        return [in_metres(one) for one in data]
    if isinstance(data, int | float) and not isinstance(data, bool):
        return f"{Decimal(str(data)).scaleb(-3):f} m"
    return data


def in_inches(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: one if key in COUNTED else in_inches(one) for key, one in data.items()}
    if isinstance(data, list):
        return [in_inches(one) for one in data]
    if isinstance(data, int | float) and not isinstance(data, bool):
        return f"{data} in"
    return data


def turned_round(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: turned_round(data[key]) for key in reversed(data)}
    return [turned_round(one) for one in data] if isinstance(data, list) else data


def sorted_things(thing: Any) -> Any:
    """A plan's content without the order that its maps give."""
    if isinstance(thing, Struct):
        return {name: sorted_things(one) for name, one in asdict(thing).items()}
    if isinstance(thing, dict):
        return {key: sorted_things(one) for key, one in thing.items()}
    if isinstance(thing, tuple):
        inner = [sorted_things(one) for one in thing]
        if inner and isinstance(inner[0], dict) and "id" in inner[0]:
            inner.sort(key=lambda one: str(one["id"]))
        return inner
    return thing


def test_metres_are_read_as_millimetres_are() -> None:
    data = parse(FULL.encode()).data
    changed = in_metres(data)
    assert changed != data
    assert plan_of(json.dumps(changed)) == plan_of(FULL)


def test_inches_are_25_4_times_as_long() -> None:
    data = parse(FULL.encode()).data
    small = plan_of(FULL).rooms["day-room"].outline
    changed = in_inches({**data, "rooms": {**data["rooms"]}})
    changed["rooms"] = {"hall": {"outline": in_inches(data["rooms"]["day-room"]["outline"])}}
    for key in ("circuits", "tests"):
        changed.pop(key)
    large = plan_of(json.dumps(changed)).rooms["hall"].outline
    assert large == tuple((x * 254 / 10, y * 254 / 10) for x, y in small)


def test_the_order_of_maps_changes_nothing() -> None:
    data = parse(FULL.encode()).data
    changed = json.dumps(turned_round(data))
    assert sorted_things(plan_of(changed)) == sorted_things(plan_of(FULL))


def test_yaml_and_json_are_read_alike() -> None:
    data = parse(FULL.encode()).data
    plan = plan_of(FULL)
    assert plan_of(json.dumps(data)) == plan
    assert plan_of(json.dumps(data, indent=2)) == plan
    assert plan_of(FULL.replace("\n", "\r\n")) == plan
    assert plan_of("\ufeff" + FULL) == plan
    flow = yaml.safe_dump(data, default_flow_style=True, sort_keys=False, width=10_000)
    assert plan_of(flow) == plan
