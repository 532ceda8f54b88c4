"""What in some data is against its JSON Schema, listed by jsonschema.

jsonschema is imported only here and only when the quick gate has said no: it takes longer over a
right plan than reading and judging it.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import Any

from msgspec import Struct

from underfoot.reading.quick_validator import (
    Check,
    Part,
    Schema,
    end_pattern,
    find_definition,
    gate_maker,
)

# A hostile file must not keep the checker busy: what is beyond is not looked for.
MOST_ERRORS = 4000


class Violation(Struct, frozen=True, kw_only=True):
    """One keyword of a schema that one value is against.

    `parts` lead to the value: for "additionalProperties" to the key that is too many. `schema` is
    the part of the schema that holds the keyword, `owner` the one that describes the whole value;
    `missing` the key that "required" asks for.
    """

    parts: tuple[Part, ...]
    keyword: str
    schema: Schema
    owner: Schema
    value: Any
    missing: str | None = None


def list_violations(
    schema: Schema, definitions: Mapping[str, Schema], data: Any
) -> Iterator[Violation]:
    """Each violation once; of a value of the wrong type nothing else is said."""
    whole, validator = _make_ready(schema, definitions)
    mistyped: set[tuple[Part, ...]] = set()
    seen: set[tuple[tuple[Part, ...], str, str | None]] = set()
    found = islice(validator.iter_errors(data), MOST_ERRORS)
    errors = sorted(found, key=lambda error: error.validator != "type")
    for error in errors:
        parts: tuple[Part, ...] = tuple(error.absolute_path)
        keyword = str(error.validator)
        if keyword == "type":
            mistyped.add(parts)
        elif parts in mistyped:
            continue
        owner = _find_owner(whole, error.absolute_schema_path)
        for violation in _split(parts, keyword, error.schema, owner, error.instance):
            identity = (violation.parts, keyword, violation.missing)
            if identity not in seen:
                seen.add(identity)
                yield violation


_READY: dict[tuple[int, int], tuple[Schema, Mapping[str, Schema], dict[str, Any], Any]] = {}


def _make_ready(schema: Schema, definitions: Mapping[str, Schema]) -> tuple[dict[str, Any], Any]:
    """The schema as jsonschema takes it, and its validator, made once; there are a handful."""
    key = id(schema), id(definitions)
    ready = _READY.get(key)
    if ready is None or ready[0] is not schema or ready[1] is not definitions:
        whole = _for_jsonschema({**schema, "definitions": definitions})
        ready = _READY[key] = (schema, definitions, whole, _make_validator(whole))
    return ready[2], ready[3]


def _make_validator(whole: dict[str, Any]) -> Any:
    """Draft 7, but what the quick gate lets through is not gone into: nothing is wrong there."""
    from jsonschema import Draft7Validator
    from jsonschema.validators import extend

    compile_one = gate_maker(whole["definitions"])
    gates: dict[int, Check] = {}

    def is_met(part: Schema, value: Any) -> bool:
        gate = gates.get(id(part))
        if gate is None:
            gate = gates[id(part)] = compile_one(part)
        return gate(value)

    def properties(validator: Any, parts: Schema, value: Any, _: Schema) -> Iterator[Any]:
        if isinstance(value, dict):
            for key, part in parts.items():
                if key in value and not is_met(part, value[key]):
                    yield from validator.descend(value[key], part, path=key, schema_path=key)

    def patterns(validator: Any, parts: Schema, value: Any, _: Schema) -> Iterator[Any]:
        if isinstance(value, dict):
            for pattern, part in parts.items():
                for key, inner in value.items():
                    if re.search(pattern, key) and not is_met(part, inner):
                        yield from validator.descend(inner, part, path=key, schema_path=pattern)

    def items(validator: Any, part: Schema, value: Any, _: Schema) -> Iterator[Any]:
        if isinstance(value, list):
            for number, inner in enumerate(value):
                if not is_met(part, inner):
                    yield from validator.descend(inner, part, path=number)

    keywords = {"properties": properties, "patternProperties": patterns, "items": items}
    return extend(Draft7Validator, keywords)(whole)  # type: ignore[no-untyped-call]


def _split(
    parts: tuple[Part, ...], keyword: str, schema: Schema, owner: Schema, value: Any
) -> Iterator[Violation]:
    """One violation a key, where one error of jsonschema's stands for several."""
    if keyword == "required":
        for key in schema["required"]:
            if key not in value:
                yield Violation(
                    parts=parts,
                    keyword=keyword,
                    schema=schema,
                    owner=owner,
                    value=value,
                    missing=key,
                )
    elif keyword == "additionalProperties":
        patterns = schema.get("patternProperties", {})
        for key, inner in value.items():
            known = key in schema.get("properties", {})
            if not known and not any(re.search(pattern, key) for pattern in patterns):
                yield Violation(
                    parts=(*parts, key), keyword=keyword, schema=schema, owner=owner, value=inner
                )
    else:
        yield Violation(parts=parts, keyword=keyword, schema=schema, owner=owner, value=value)


def _find_owner(whole: Schema, way: Iterable[Part]) -> Schema:
    """The part of the schema that describes the value which a way through the schema is about."""
    definitions: Mapping[str, Schema] = whole["definitions"]
    here: Any = whole
    owner: Any = whole
    steps = iter(list(way)[:-1])
    for step in steps:
        if step in ("properties", "patternProperties"):
            owner = here = find_definition(here[step][next(steps)], definitions)
        elif step == "items":
            owner = here = find_definition(here[step], definitions)
        else:  # "then", "allOf" and its number: the same value seen again
            inner = here[step]
            here = find_definition(inner, definitions) if isinstance(inner, Mapping) else inner
    return owner  # type: ignore[no-any-return]


def _for_jsonschema(schema: Schema) -> dict[str, Any]:
    """The schema with its references at home and its patterns in Python's syntax."""
    return _adapted(schema)  # type: ignore[no-any-return]


def _adapted(part: Any, key: str = "") -> Any:
    if isinstance(part, Mapping):
        if key == "patternProperties":
            return {end_pattern(pattern): _adapted(inner) for pattern, inner in part.items()}
        plain = key in ("properties", "definitions")
        return {name: _adapted(inner, "" if plain else name) for name, inner in part.items()}
    if isinstance(part, list):
        return [_adapted(inner) for inner in part]
    if isinstance(part, str) and key == "pattern":
        return end_pattern(part)
    if isinstance(part, str) and key == "$ref":
        return f"#/definitions/{part.rpartition('/')[2]}"
    return part
