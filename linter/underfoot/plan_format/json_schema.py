"""A declaration as a JSON Schema, for editors and for the gate that looks at every file first."""

import json
from typing import Any

from underfoot.plan_format.declaration import (
    ById,
    Choice,
    ConductorSize,
    Either,
    IdOf,
    Key,
    Kind,
    ListOf,
    Quantity,
    Text,
    Thing,
    Whole,
    WordOr,
    YesNo,
    list_kinds,
    say_either,
)
from underfoot.plan_format.files import DECLARED
from underfoot.plan_format.kinds import ID, NOTE

Schema = dict[str, Any]

RESERVED_IDS = ("note", "junction-box", "thermostat", "sensor")
_DRAFT = "http://json-schema.org/draft-07/schema#"
_NUMBER = r"[-+\u2212]?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?"
_WITH_UNIT = _NUMBER + r"\s*([^\s0-9.,+-][\s\S]*|1\s*/[\s\S]+)"
_GAUGE = r"[0-9]/0\s*[Aa][Ww][Gg]\s*|[Aa][Ww][Gg]\s*[0-9]+(/0)?\s*"
_BOUNDS = {
    "more than 0": {"exclusiveMinimum": 0},
    "0 or more": {"minimum": 0},
    "any": {},
}


def write_schema(name: str) -> Schema:
    """The JSON Schema of the files called `name`; all definitions are the plan's."""
    root = DECLARED[name]
    schema = {"$schema": _DRAFT, **_describe(root)}
    if name == "plan":
        kinds = [NOTE, *list_kinds(root)[:-1]]
        schema["definitions"] = {
            _name_of(kind): _describe(kind) for kind in kinds if _name_of(kind)
        }
        return schema
    for part in schema["properties"].values():
        if "$ref" in part:
            part["$ref"] = f"plan.schema.json{part['$ref']}"
    return schema


def write_pretty(value: Any, indent: int = 0, before: int = 0) -> str:
    """JSON on lines of at most 100 characters, where they can be broken."""
    line = json.dumps(value, ensure_ascii=False)
    if (indent and indent + before + len(line) <= 100) or not isinstance(value, dict | list):
        return line
    pad = " " * (indent + 2)
    if isinstance(value, list):
        rows = [pad + write_pretty(each, indent + 2, 1) for each in value]
        return "[\n" + ",\n".join(rows) + "\n" + " " * indent + "]"
    rows = []
    for key, each in value.items():
        name = json.dumps(key) + ": "
        rows.append(pad + name + write_pretty(each, indent + 2, len(name) + 1))
    return "{\n" + ",\n".join(rows) + "\n" + " " * indent + "}"


def _refer(kind: Kind) -> Schema:
    """The part of the schema that stands where a value of the kind does."""
    name = _name_of(kind)
    return {"$ref": f"#/definitions/{name}"} if name else _describe(kind)


def _name_of(kind: Kind) -> str:
    return ID.name if isinstance(kind, IdOf) else getattr(kind, "name", "")


def _describe(kind: Kind) -> Schema:
    if isinstance(kind, Thing):
        return _thing(kind)
    if isinstance(kind, ListOf):
        return _complete(kind, "array", _list_of(kind))
    if isinstance(kind, ById):
        return _complete(kind, "object", _by_id(kind))
    if isinstance(kind, Choice):
        whole = isinstance(kind.options[0], int)
        return _complete(kind, "integer" if whole else "", {"enum": list(kind.options)})
    if isinstance(kind, Text | IdOf):
        return _text(ID if isinstance(kind, IdOf) else kind)
    if isinstance(kind, YesNo):
        return {"type": "boolean"}
    if isinstance(kind, Whole):
        most = {} if kind.most is None else {"maximum": kind.most}
        return {"type": "integer", "minimum": kind.least, **most}
    return _number(kind)


def _complete(kind: Any, type_: str | list[str], more: Schema) -> Schema:
    """Title and description before what a kind demands, its examples after it."""
    return {
        **({"title": kind.title} if kind.title else {}),
        **({"description": kind.says} if kind.says else {}),
        **({"type": type_} if type_ else {}),
        **more,
        **({"examples": list(kind.examples)} if getattr(kind, "examples", ()) else {}),
    }


def _number(kind: Quantity | ConductorSize | WordOr) -> Schema:
    title = kind.title[0].upper() + kind.title[1:]
    says = getattr(kind, "says", "") or f"{title}: text with a unit, such as {kind.examples[0]}."
    return {
        "title": kind.title,
        "description": says,
        **_demand_number(kind),
        "examples": list(kind.examples),
        **(
            {"x-units": [kind.unit, *kind.also]} if isinstance(kind, Quantity) and kind.also else {}
        ),
    }


def _demand_number(kind: Quantity | ConductorSize | WordOr) -> Schema:
    if isinstance(kind, WordOr):
        short = all(len(word) == 1 for word in kind.words)
        words = f"[{''.join(kind.words)}]" if short else f"({'|'.join(kind.words)})"
        pattern = rf"^({words}$|\s*[-+\u2212]?[0-9])"
        return {
            "type": "string", "pattern": pattern, "x-unit": kind.unit, "x-words": list(kind.words)
        }  # fmt: skip
    if isinstance(kind, ConductorSize):
        pattern = rf"^\s*({_WITH_UNIT}|{_GAUGE})$"
        return {"type": "string", "pattern": pattern, "x-unit": kind.unit}
    demanded: Schema = {"type": ["number", "string"] if kind.bare else "string"}
    if kind.bare:
        demanded.update(_BOUNDS[kind.bound])
    demanded.update({"pattern": rf"^\s*{_WITH_UNIT}$", "x-unit": kind.unit})
    return {**demanded, "x-bare": True} if kind.bare == "percent" else demanded


def _text(kind: Text) -> Schema:
    demanded: Schema = {}
    if kind.pattern:
        demanded["pattern"] = kind.pattern
    if not kind.may_be_empty:
        demanded["minLength"] = 1
    if kind.or_list is None:
        return _complete(kind, "string", demanded)
    demanded.update(_list_of(kind.or_list))
    return _complete(kind, ["string", "array"], demanded)


def _list_of(kind: ListOf) -> Schema:
    demanded: Schema = {"items": _refer(kind.of)}
    if kind.least is not None:
        demanded["minItems"] = kind.least
    if kind.most is not None:
        demanded["maxItems"] = kind.most
    return demanded


def _by_id(kind: ById) -> Schema:
    reserved = f"(?:{'|'.join(RESERVED_IDS)})" if kind.of_the_plan else RESERVED_IDS[0]
    return {
        "properties": {"note": _refer(NOTE)},
        "patternProperties": {f"^(?!{reserved}$)[A-Za-z0-9_-]+$": _refer(kind.of)},
        "additionalProperties": False,
        **({} if kind.least is None else {"minProperties": kind.least}),
    }


def _thing(thing: Thing) -> Schema:
    types: list[str] = []
    demanded: Schema = {}
    if thing.or_quantity is not None:
        number = _demand_number(thing.or_quantity)
        told = number.pop("type")
        types += [told] if isinstance(told, str) else told
        demanded.update(number)
    types += ["null"] * thing.or_null + ["object"] + ["array"] * (thing.or_list is not None)
    demanded["properties"] = {
        **{key.name: _key(key) for key in thing.keys},
        "note": _refer(NOTE),
    }
    needed = [key.name for key in thing.keys if key.needed]
    if needed:
        demanded["required"] = needed
    demanded["additionalProperties"] = False
    if thing.or_list is not None:
        demanded["items"] = _refer(thing.or_list)
    if thing.needs:
        rules = [_either(either) for either in thing.needs]
        demanded.update(rules[0] if len(rules) == 1 else {"allOf": rules})
    return _complete(thing, types if len(types) > 1 else types[0], demanded)


def _key(key: Key) -> Schema:
    part = _refer(key.of)
    said = {"title": part["title"]} if "title" in part else {}
    if key.says:
        said["description"] = key.says
    examples = {"examples": list(key.examples)} if key.examples else {}
    return {**said, **part, **examples}


def _either(either: Either) -> Schema:
    """Where the lot of one key is not there, the other lot is needed."""
    alone, lot = either.one, either.other
    if len(lot) == 1:
        alone, lot = lot, alone
    return {
        "if": {"not": {"required": list(alone)}},
        "then": {"required": list(lot), "x-needs": say_either(either)},
    }
