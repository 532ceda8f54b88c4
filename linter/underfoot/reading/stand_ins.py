"""What could stand where a plan holds a single value that cannot be read."""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from underfoot.reading.schema import load_schema

Schema = Mapping[str, Any]

# No more words or names are tried at one place.
_MOST = 8
# Places and lengths as they are in rooms (mm), from a wall to the far end.
_LENGTHS = (0, 50, 600, 1500, 3000, 6000)
# Those of what is cut, drilled or stripped are small.
_SMALL_KEYS = frozenset({"width", "depth", "thickness", "mesh", "bare_conductor"})
_SMALL = (3, 6, 12, 25)
# Any other figure, as many times the usual one: from far too little to far too much.
_TIMES = (1.0, 0.1, 0.5, 2.0, 5.0, 10.0)
_NUMBERS = (1, 2, 6)
_QUANTITY = re.compile(r"([0-9.]+)(.*)")
# Whose names a plan's ids are.
_NAMED = ("circuits", "rooms", "rows", "elements", "films", "boards", "sheets", "coverings")


def list_stand_ins(path: Sequence[str], plan: Any) -> tuple[Any, ...]:
    """List values of the kind that belongs at a path: what is usual, and what is far from it.

    Whether the plan can be read with one of them is for the reader to say.
    """
    node = _find_node(path)
    if node is None:
        return ()
    is_small = path[-1] in _SMALL_KEYS and node.get("x-unit") == "mm"
    found = list(_SMALL if is_small else dict.fromkeys(_list_values(node)))
    # Of a route's stops none stands for another: where the lead goes is then not known at all.
    if not found and "pattern" in node and "items" not in node:
        found = list(dict.fromkeys(_list_names(plan)))
    return tuple(found[:_MOST])


def _list_values(node: Schema) -> Iterator[Any]:
    if "enum" in node:
        yield from node["enum"]
    elif node.get("type") == "boolean":
        yield from (True, False)
    elif node.get("x-unit") == "mm":
        yield from _LENGTHS
    elif "x-unit" in node:
        yield from node.get("x-words", ())
        yield from _list_figures(node)
    elif node.get("type") in ("integer", "number"):
        yield from _NUMBERS


def _list_figures(node: Schema) -> Iterator[Any]:
    for usual in node.get("examples", ())[:1]:
        if isinstance(usual, int | float):
            yield from (usual * times for times in _TIMES)
            continue
        told = _QUANTITY.match(usual)
        if told is not None:
            yield from (f"{float(told[1]) * times:g}{told[2]}" for times in _TIMES)


def _find_node(path: Sequence[str]) -> Schema | None:
    schema = load_schema("plan")
    node: Schema | None = schema
    for part in path:
        if node is None:
            return None
        node = _resolve(_step(node, part), schema)
    return node


def _step(node: Schema, part: str) -> Schema | None:
    if part in node.get("properties", {}):
        found: Schema = node["properties"][part]
        return found
    for pattern, below in node.get("patternProperties", {}).items():
        if re.search(pattern, part):
            return below  # type: ignore[no-any-return]
    items = node.get("items")
    return items if isinstance(items, dict) and part.isdecimal() else None


def _resolve(node: Schema | None, schema: Schema) -> Schema | None:
    """Follow references; what stands beside one is told with it."""
    while node is not None and "$ref" in node:
        named = schema["definitions"][node["$ref"].rpartition("/")[2]]
        node = {**named, **{key: told for key, told in node.items() if key != "$ref"}}
    return node


def _list_names(told: Any) -> Iterator[str]:
    if not isinstance(told, dict):
        return
    for key, value in told.items():
        if key in _NAMED and isinstance(value, dict):
            yield from (str(name) for name in value if name != "note")
        yield from _list_names(value)
