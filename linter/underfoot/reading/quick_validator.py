"""A JSON Schema made into one quick yes or no.

Only the keywords that our schemas use are known here; any other raises, so that none is passed
over in silence. Where the answer is no, jsonschema lists why (`violations`).
"""

import re
from collections.abc import Callable, Iterator, Mapping
from functools import reduce
from typing import Any

Schema = Mapping[str, Any]
Check = Callable[[Any], bool]
Table = dict[type, Check]
Part = str | int

_CLASSES: dict[str, tuple[type, ...]] = {
    "object": (dict,),
    "array": (list,),
    "string": (str,),
    "number": (int, float),
    "integer": (int, float),
    "boolean": (bool,),
    "null": (type(None),),
}
_REMARKS = frozenset({"$schema", "title", "description", "examples", "definitions"})
_KEYWORDS = frozenset(
    {
        "$ref",
        "type",
        "enum",
        "pattern",
        "minLength",
        "minimum",
        "exclusiveMinimum",
        "maximum",
        "items",
        "minItems",
        "maxItems",
        "properties",
        "patternProperties",
        "additionalProperties",
        "required",
        "minProperties",
        "if",
        "then",
        "not",
        "allOf",
    }
)


class UnknownKeywordError(ValueError):
    """A schema uses a keyword that is not known here."""


def compile_gate(schema: Schema, definitions: Mapping[str, Schema]) -> Check:
    """Make the schema into a function that tells whether data is as the schema says."""
    return gate_maker(definitions)(schema)


def gate_maker(definitions: Mapping[str, Schema]) -> Callable[[Schema], Check]:
    """Return what makes gates of several schemas; definitions that they share are compiled once."""
    done: dict[str, Table] = {}

    def compile_one(schema: Schema) -> Check:
        lookup = _compile(schema, definitions, done).get

        def check(data: Any) -> bool:
            look = lookup(data.__class__)
            return look is not None and look(data)

        return check

    return compile_one


def find_definition(schema: Schema, definitions: Mapping[str, Schema]) -> Schema:
    """The schema that a $ref names, else the schema itself."""
    reference = schema.get("$ref")
    return schema if reference is None else definitions[reference.rpartition("/")[2]]


def end_pattern(pattern: str) -> str:
    """A pattern of JSON Schema, whose ``$`` is the very end, in Python's syntax."""
    return pattern.replace("$", r"\Z")


def _always(_: Any) -> bool:
    return True


def _compile(schema: Schema, definitions: Mapping[str, Schema], done: dict[str, Table]) -> Table:
    """The check for each class of value that the schema allows."""
    reference = schema.get("$ref")
    if reference is not None:
        name = reference.rpartition("/")[2]
        if name not in done:
            done[name] = _compile(definitions[name], definitions, done)
        return done[name]
    for keyword in schema:
        if keyword not in _KEYWORDS and keyword not in _REMARKS and keyword[:2] != "x-":
            raise UnknownKeywordError(keyword)
    return {
        kind: _compile_class(schema, kind, name, definitions, done)
        for name in _types(schema)
        for kind in _CLASSES[name]
    }


def _as_check(table: Table) -> Check:
    return lambda data: data.__class__ in table and table[data.__class__](data)


def _types(schema: Schema) -> tuple[str, ...]:
    kind = schema.get("type")
    if kind is None:
        return ("object", "array", "string", "number", "boolean", "null")
    return (kind,) if isinstance(kind, str) else tuple(kind)


def _compile_class(
    schema: Schema,
    kind: type,
    name: str,
    definitions: Mapping[str, Schema],
    done: dict[str, Table],
) -> Check:
    """The check of a value of this class."""
    checks: list[Check] = []
    if name == "integer" and kind is float:
        checks.append(float.is_integer)
    if "enum" in schema:
        allowed = tuple(schema["enum"])
        checks.append(
            (lambda data: data in allowed)
            if kind in {type(word) for word in allowed} or kind is float
            else (lambda _: False)
        )
    if kind is str:
        checks.extend(_compile_text(schema))
    elif kind is int or kind is float:
        checks.extend(_compile_number(schema))
    elif kind is list:
        checks.extend(_compile_list(schema, definitions, done))
    elif kind is dict:
        checks.extend(_compile_mapping(schema, definitions, done))
    if "if" in schema:
        condition = _compile_condition(schema["if"], definitions, done)
        consequence = _as_check(_compile(schema["then"], definitions, done))
        checks.append(lambda data: not condition(data) or consequence(data))
    for part in schema.get("allOf", ()):
        checks.append(_as_check(_compile(part, definitions, done)))
    if not checks:
        return _always
    return reduce(_both, checks)


def _both(first: Check, second: Check) -> Check:
    return lambda data: first(data) and second(data)


def _compile_condition(
    schema: Schema, definitions: Mapping[str, Schema], done: dict[str, Table]
) -> Check:
    if "not" in schema:
        if len(schema) > 1:
            raise UnknownKeywordError("not beside another keyword")
        inner = _as_check(_compile(schema["not"], definitions, done))
        return lambda data: not inner(data)
    return _as_check(_compile(schema, definitions, done))


def _compile_text(schema: Schema) -> Iterator[Check]:
    if "minLength" in schema:
        least = schema["minLength"]
        yield lambda data: len(data) >= least
    if "pattern" in schema:
        search = re.compile(end_pattern(schema["pattern"])).search
        yield lambda data: search(data) is not None


def _compile_number(schema: Schema) -> Iterator[Check]:
    if "minimum" in schema:
        least = schema["minimum"]
        yield lambda data: data >= least
    if "exclusiveMinimum" in schema:
        above = schema["exclusiveMinimum"]
        yield lambda data: data > above
    if "maximum" in schema:
        most = schema["maximum"]
        yield lambda data: data <= most


def _compile_list(
    schema: Schema, definitions: Mapping[str, Schema], done: dict[str, Table]
) -> Iterator[Check]:
    if "minItems" in schema:
        least = schema["minItems"]
        yield lambda data: len(data) >= least
    if "maxItems" in schema:
        most = schema["maxItems"]
        yield lambda data: len(data) <= most
    if "items" in schema:
        lookup = _compile(schema["items"], definitions, done).get

        def check_items(data: list[Any]) -> bool:
            for value in data:
                look = lookup(value.__class__)
                if look is None or not look(value):
                    return False
            return True

        yield check_items


def _compile_mapping(
    schema: Schema, definitions: Mapping[str, Schema], done: dict[str, Table]
) -> Iterator[Check]:
    required = frozenset(schema.get("required", ()))
    if required:
        yield lambda data: required <= data.keys()
    if "minProperties" in schema:
        least = schema["minProperties"]
        yield lambda data: len(data) >= least
    known = {
        key: _compile(part, definitions, done).get
        for key, part in schema.get("properties", {}).items()
    }
    patterns = [
        (re.compile(end_pattern(pattern)).search, _compile(part, definitions, done).get)
        for pattern, part in schema.get("patternProperties", {}).items()
    ]
    others = _others_allowed(schema)
    if not known and not patterns and others:
        return

    def check_entries(data: dict[str, Any]) -> bool:
        for key, value in data.items():
            lookup = known.get(key)
            if lookup is None:
                for search, found in patterns:
                    if search(key) is not None:
                        lookup = found
                        break
                else:
                    if others:
                        continue
                    return False
            look = lookup(value.__class__)
            if look is None or not look(value):
                return False
        return True

    yield check_entries


def _others_allowed(schema: Schema) -> bool:
    others = schema.get("additionalProperties", True)
    if not isinstance(others, bool):
        raise UnknownKeywordError("additionalProperties with a schema")
    return others
