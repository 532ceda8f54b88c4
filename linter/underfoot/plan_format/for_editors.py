"""The JSON Schema as editors want it: explained, with messages in words and beginnings to fill in.

What is added are plain conventions of editors, which a validator passes over.
"""

import copy
from collections.abc import Iterator
from typing import Any

from underfoot.plan_format.declaration import (
    ById,
    Choice,
    ConductorSize,
    Key,
    Kind,
    ListOf,
    Quantity,
    Text,
    Thing,
    WordOr,
    list_kinds,
)
from underfoot.plan_format.files import DECLARED
from underfoot.plan_format.json_schema import Schema, write_schema
from underfoot.plan_format.kinds import EXAMPLE_IDS, ID, NOTE
from underfoot.plan_format.meanings import MEANINGS
from underfoot.plan_format.yaml_line import write_inline

_ID = "urn:underfoot:schema:{}:1"
_MESSAGE = "patternErrorMessage"
_IDS_IN_WORDS = "An id is made of the letters A to Z, digits, - and _."
# What lists of things begin with, where a person would rather fill in than write.
_BEGUN: dict[str, tuple[str, Any]] = {
    "rooms": (
        "a room",
        {
            "${1:room}": {
                "use": "${2|living,kitchen,hall,bathroom,conservatory,office,other|}",
                "outline": [[0, 0], ["${3:4200}", 0], ["${3:4200}", "${4:3100}"], [0, "${4:3100}"]],
                "height": "${5:2400}",
                "rows": {
                    "${6:A}": {
                        "film": "${7:film}",
                        "at": [60, 60],
                        "along": "${8|x,y|}",
                        "lengths": ["${9:2500}"],
                        "circuit": "${10:C1}",
                    }
                },
            }
        },
    ),
    "fixtures": (
        "a fixture",
        {
            "${1:fixture}": {
                "at": ["${2:0}", "${3:0}"],
                "size": ["${4:800}", "${5:600}"],
                "kind": (
                    "${6|floor-mounted,on legs,lying flat,structure,heat source,fixings,bath,"
                    "shower,open shower,basin|}"
                ),
            }
        },
    ),
}


def write_for_editors(name: str) -> Schema:
    """The JSON Schema of the files called `name`, whole in itself."""
    root = DECLARED[name]
    schema = write_schema(name)
    if name != "plan":
        schema["definitions"] = write_schema("plan")["definitions"]
        _refer_here(schema["properties"])
    definitions = schema["definitions"]
    things = {kind.name: kind for kind in list_kinds(DECLARED["plan"]) if isinstance(kind, Thing)}
    things[root.name] = root
    for kind in (ID, NOTE, *(each for of in DECLARED.values() for each in list_kinds(of))):
        told = definitions.get(getattr(kind, "name", ""))
        if told is not None:
            _say_pattern(told, kind)
    for thing in things.values():
        told = schema if thing is root else definitions.get(thing.name)
        if told is not None:
            _explain_thing(told, thing)
    return {"$schema": schema.pop("$schema"), "$id": _ID.format(name), **schema}


def _refer_here(told: Any) -> None:
    for part in told.values():
        if isinstance(part, dict) and str(part.get("$ref", "")).startswith("plan.schema.json"):
            part["$ref"] = part["$ref"].removeprefix("plan.schema.json")


def _explain_thing(told: Schema, thing: Thing) -> None:
    for key in thing.keys:
        part = told["properties"][key.name]
        if key.default is not None:
            part["default"] = key.default
        meanings = MEANINGS.get((thing.name, key.name))
        if isinstance(key.of, Choice) and meanings is not None:
            said = [meanings[option] for option in key.of.options]
            part["enumDescriptions"] = said
            part["markdownEnumDescriptions"] = said
        _say_pattern(part, key.of)
        if isinstance(key.of, ById):
            part["defaultSnippets"] = list(_begin(key, key.of))
    if thing.or_quantity is not None:
        _say_pattern(told, thing.or_quantity)


def _say_pattern(told: Schema, kind: Kind) -> None:
    """Say in words what a pattern asks for, wherever one stands."""
    if isinstance(kind, ListOf) and isinstance(told.get("items"), dict):
        _say_pattern(told["items"], kind.of)
    if "pattern" not in told:
        return
    words = _say_kind(kind)
    if words:
        told[_MESSAGE] = words


def _say_kind(kind: Kind) -> str:
    examples = " or ".join(write_inline(each) for each in getattr(kind, "examples", ())[:2])
    if isinstance(kind, Quantity):
        bare = f"a bare number is {kind.bare}, or text" if kind.bare else "text"
        return f"This is {kind.title}: {bare} with a unit, such as {examples}."
    if isinstance(kind, ConductorSize):
        return f"This is {kind.title}: text with a unit, such as {examples}."
    if isinstance(kind, WordOr):
        return f"This is {kind.title}: {', '.join(kind.words)}, or text with a unit ({kind.unit})."
    if isinstance(kind, Text) and kind is not ID and kind.title:
        return f"This is {kind.title}, such as {examples}." if examples else ""
    return _IDS_IN_WORDS


def _begin(key: Key, things: ById) -> Iterator[Schema]:
    """What a list of things can begin with."""
    if key.name in _BEGUN:
        label, body = _BEGUN[key.name]
        yield {
            "label": label,
            "description": f"{getattr(things.of, 'says', '')} To be filled in.",
            "body": copy.deepcopy(body),
        }
        return
    of = things.of
    if isinstance(of, Thing) and of.examples:
        yield {
            "label": of.title,
            "description": f"{of.says} An example, to be changed.",
            "body": {f"${{1:{EXAMPLE_IDS.get(of.name, of.name)}}}": of.examples[0]},
        }
