"""The formats described for people: every thing, its keys, how each is written, an example."""

import re
from collections.abc import Iterator
from typing import Any

from underfoot.plan_format.declaration import (
    ById,
    Choice,
    ConductorSize,
    IdOf,
    Key,
    Kind,
    ListOf,
    Quantity,
    Thing,
    Whole,
    WordOr,
    YesNo,
    list_kinds,
    say_either,
    say_whole,
)
from underfoot.plan_format.files import DECLARED
from underfoot.plan_format.kinds import EXAMPLE_IDS
from underfoot.plan_format.yaml_line import write_inline

_WIDEST = 96
_INTRODUCTION = """\
# How a plan is written

What stands here is what is read: the page is written by `underfoot schema --format markdown`. A
whole plan with remarks is [bedroom.yaml](bedroom.yaml).

A plan is a text file in YAML. A key and its value stand on one line, `voltage: 230 V`. What
belongs to a key stands below it, two spaces further in, or behind it in braces: `{width: 500,
voltage: 230 V}`. A list stands in square brackets. What stands behind `#` is for people alone.
Every thing takes a `note`, which is printed beside it. A key that is not described here is an
error.

**Numbers carry their unit**: `10 A`, `140 W/m2`, `27 degC`. Only lengths may be bare; they are
millimetres. Any unit of the right kind will do: `2.75 m`, `275 cm` or `9 ft`, `0.03 A` or `30
mA`. The decimal mark is a point.

**Points** are `[x, y]`: x runs to the right, y up, seen from above, from an origin that each room
has of its own.

**Ids** are made of the letters A to Z, digits, `-` and `_`. Rooms, circuits, leads, rows and
strips each have one that nothing else in the plan has. `note`, `junction-box`, `thermostat` and
`sensor` have a meaning of their own and cannot be ids.

Where each thing stands is written as reports write it, here with example ids:
`rooms.garden-room.rows.A` is row A of the room garden-room.
"""


def write_reference() -> Iterator[str]:
    """The page in Markdown, piece by piece."""
    places: dict[str, tuple[Thing, str]] = {}
    for root in DECLARED.values():
        for thing, place in _in_order(root, ""):
            places.setdefault(thing.name, (thing, place))
    yield f"{_INTRODUCTION}\n## What there is\n\n"
    for thing, _ in places.values():
        yield f"- [{_heading(thing)}](#{_anchor(thing)}): {_in_brief(thing.says)}\n"
    yield "- [Numbers](#numbers): the kinds of quantity, with their units\n"
    for thing, place in places.values():
        yield from _write_thing(thing, place)
    yield from _write_numbers()


def _in_order(kind: Kind, place: str) -> Iterator[tuple[Thing, str]]:
    """The things that stand in a value, each with its place, in the order of the keys."""
    if isinstance(kind, ListOf):
        yield from _in_order(kind.of, f"{place}.0")
    elif isinstance(kind, ById):
        yield from _in_order(kind.of, f"{place}.{_example_id(kind)}")
    elif isinstance(kind, Thing):
        yield kind, place
        for key in kind.keys:
            yield from _in_order(key.of, f"{place}.{key.name}" if place else key.name)


def _write_thing(thing: Thing, place: str) -> Iterator[str]:
    yield f"\n## {_heading(thing)}\n\n{thing.says}"
    if place:
        yield f" Stands at `{place}`."
    needed = [*(f"`{key.name}`" for key in thing.keys if key.needed), *map(say_either, thing.needs)]
    if needed:
        yield f" Needed: {'; '.join(needed)}."
    examples = "# or\n".join(map(write_block, thing.examples or (example_of(thing),)))
    yield f"\n\n```yaml\n{examples}```\n\n"
    yield "| key | what it is | how it is written |\n| --- | --- | --- |\n"
    for key in thing.keys:
        says = key.says or getattr(key.of, "says", "")
        yield f"| `{key.name}` | {says} | {_write_key(key)} |\n"


def _write_key(key: Key) -> str:
    written = _say(key.of)
    inner = key.of.of if isinstance(key.of, ListOf | ById) else key.of
    examples = key.examples or getattr(key.of, "examples", ()) or getattr(inner, "examples", ())
    if examples and not isinstance(inner, Thing):
        written += f": {_show(examples)}"
    if key.default is not None and "default" not in key.says:
        written += f"; left out, it is `{key.default}`"
    return written


def _say(kind: Kind) -> str:
    """How a value of the kind is written."""
    if isinstance(kind, Thing):
        return f"[{_heading(kind).lower()}](#{_anchor(kind)})"
    if isinstance(kind, ById):
        return f"{_say(kind.of)}, each by an id"
    if isinstance(kind, ListOf):
        return kind.title if kind.title else f"a list, each entry {_say(kind.of)}"
    if isinstance(kind, Quantity):
        return kind.title if kind.bound == "any" else f"{kind.title}, {kind.bound}"
    if isinstance(kind, Choice):
        return " or ".join(_show(kind.options).rsplit(", ", 1))
    if isinstance(kind, IdOf):
        return f"the id of a {kind.kind}"
    if isinstance(kind, YesNo):
        return "`true` or `false`"
    if isinstance(kind, Whole):
        return say_whole(kind)
    return kind.title or "text"


def _write_numbers() -> Iterator[str]:
    yield "\n## Numbers\n\nWith its unit, unless it may be bare. Nothing is longer than 1 km.\n\n"
    yield "| what | is kept in | a bare number is | for example |\n| --- | --- | --- | --- |\n"
    told = set()
    for kind in list_kinds(DECLARED["plan"]):
        if not isinstance(kind, Quantity | ConductorSize | WordOr) or kind.name in told:
            continue
        told.add(kind.name)
        units = (kind.unit, *(kind.also if isinstance(kind, Quantity) else ()))
        bound = f", {kind.bound}" if isinstance(kind, Quantity) and kind.bound != "any" else ""
        bare = kind.bare if isinstance(kind, Quantity) else ""
        yield (
            f"| {kind.title}{bound} | {' or '.join(units)} | {bare or 'not read'} "
            f"| {_show(kind.examples)} |\n"
        )


def example_of(kind: Kind) -> Any:
    """A value of the kind, None where there is none to show; a thing's has all its keys."""
    examples = getattr(kind, "examples", ())
    if examples:
        return examples[0]
    if isinstance(kind, Thing):
        told = {
            key.name: key.examples[0] if key.examples else example_of(key.of) for key in kind.keys
        }
        return {name: value for name, value in told.items() if value is not None}
    if isinstance(kind, ById):
        return {_example_id(kind): example_of(kind.of)}
    if isinstance(kind, ListOf):
        return [example_of(kind.of)]
    if isinstance(kind, Choice):
        return kind.options[0]
    if isinstance(kind, IdOf):
        return EXAMPLE_IDS[kind.kind]
    return True if isinstance(kind, YesNo) else None


def write_block(value: Any, indent: int = 0) -> str:
    """A value as YAML: what fits on a line stands on one."""
    if not isinstance(value, dict):
        return f"{' ' * indent}{write_inline(value)}\n"
    rows = []
    for key, inner in value.items():
        line = f"{' ' * indent}{key}: {write_inline(inner)}"
        if len(line) > _WIDEST and isinstance(inner, dict):
            line = f"{' ' * indent}{key}:\n{write_block(inner, indent + 2)[:-1]}"
        rows.append(line)
    return "\n".join(rows) + "\n"


def _show(values: tuple[Any, ...]) -> str:
    return ", ".join(f"`{write_inline(value)}`" for value in values)


def _heading(thing: Thing) -> str:
    return thing.name.replace("_", " ").capitalize()


def _anchor(thing: Thing) -> str:
    return thing.name.replace("_", "-")


def _example_id(kind: ById) -> str:
    return EXAMPLE_IDS[getattr(kind.of, "name", "")]


def _in_brief(sentence: str) -> str:
    """The first part of the first sentence."""
    first = re.split(r"(?<!\.)\. |: |\.$", sentence)[0]
    return first[0].lower() + first[1:]
