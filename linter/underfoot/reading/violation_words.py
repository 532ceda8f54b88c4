"""What a violation of a schema says in plain words: what was expected, and how to write it."""

import json
import re
from collections.abc import Mapping
from typing import Any

from underfoot.plan_format import RESERVED_IDS
from underfoot.plan_format.yaml_line import write_inline
from underfoot.reading.quantities import QuantityError, read, read_conductor_size, read_one_of
from underfoot.reading.quick_validator import Schema, find_definition
from underfoot.reading.violations import Violation
from underfoot.reading.wording import describe, find_nearest, join_words, show, suggest

_BARE = re.compile(r"\s*\+?(-?[0-9]+(?:\.[0-9]+)?)\s*")
_BOOLEANS = {
    "yes": "true",
    "y": "true",
    "on": "true",
    "true": "true",
    "no": "false",
    "n": "false",
    "off": "false",
    "false": "false",
}


def word_violation(violation: Violation, definitions: Mapping[str, Schema]) -> str:
    """The message for one violation."""
    if violation.keyword == "required":
        return _word_missing(violation, definitions)
    if violation.keyword == "additionalProperties":
        return _word_unknown_key(violation)
    name = next((part for part in reversed(violation.parts) if isinstance(part, str)), None)
    label = f"{show(name)}: " if name is not None else ""
    return label + _word_value(violation)


def _word_missing(violation: Violation, definitions: Mapping[str, Schema]) -> str:
    needs = violation.schema.get("x-needs")
    title = violation.owner.get("title", "this")
    if needs is not None:
        return f"{title} needs {needs}"
    key = violation.missing or ""
    inner = violation.owner.get("properties", {}).get(key, {})
    example = _find_example(inner, definitions)
    if key == "materials" and "catalogue" in violation.value:
        return "a plan needs `materials`; where the catalogue holds them all, write `materials: {}`"
    how = f": write for example {show(f'{key}: {example}')}" if example is not None else ""
    return f"{title} needs `{key}`, which is missing{how}"


def _find_example(schema: Schema, definitions: Mapping[str, Schema]) -> str | None:
    whole = find_definition(schema, definitions)
    examples = schema.get("examples") or whole.get("examples") or whole.get("enum")
    if examples:
        return write_inline(examples[0])
    return "{...}" if whole.get("type") == "object" else None


def _word_unknown_key(violation: Violation) -> str:
    key = str(violation.parts[-1])
    schema = violation.owner
    known = [word for word in schema.get("properties", {}) if word != "note"]
    if not schema.get("patternProperties"):
        meant = suggest(key, known)
        if not meant:
            meant = f"; its keys are {join_words(known, last='and')}"
        return f"{show(key)} is no key of {schema.get('title', 'this')}{meant}"
    if key in RESERVED_IDS:
        return f"{show(key)} has a meaning of its own in a plan and cannot be an id: choose another"
    if known:
        return f"{show(key)} is no key of {schema.get('title', 'this')}" + suggest(key, known)
    return f"{show(key)} is no id: an id is made of the letters A to Z, digits, `-` and `_`"


def _word_value(violation: Violation) -> str:
    schema, value, keyword = violation.schema, violation.value, violation.keyword
    if keyword == "enum":
        return _word_choice(schema["enum"], value)
    if keyword in ("minItems", "maxItems"):
        return _word_count(schema, value)
    if keyword in ("minimum", "exclusiveMinimum"):
        least = schema[keyword]
        if keyword == "minimum":
            return f"{show(value)} is too small: write {least} or more"
        return f"{show(value)} is too small: write more than {least}"
    if keyword == "maximum":
        return f"{show(value)} is too large: write {schema[keyword]} or less"
    if keyword == "minProperties":
        return "at least one is needed"
    if keyword == "minLength":
        return f"this is empty: write {schema.get('title', 'a text')}"
    if "x-unit" in schema and not isinstance(value, list | dict):
        return _word_quantity(schema, value)
    if keyword == "pattern":
        return _word_pattern(schema, value)
    return _word_type(schema, value)


def _word_choice(choices: list[Any], value: Any) -> str:
    if len(choices) == 1:
        return f"{show(value)} is not known here: write {show(choices[0])}"
    nearest = (
        find_nearest(value, [str(choice) for choice in choices])
        if (isinstance(value, str))
        else None
    )
    ways = f"write {join_words(map(str, choices))}"
    if nearest is not None:
        return f"{show(value)} is not known here; did you mean {show(nearest)}? ({ways})"
    return f"{show(value)} is not known here: {ways}"


def _word_count(schema: Schema, value: list[Any]) -> str:
    least, most = schema.get("minItems"), schema.get("maxItems")
    wanted = str(least) if least == most else f"{least} or more"
    if most is not None and most != least and len(value) > most:
        wanted = f"{most} at most"
    example = f": {show(schema['examples'][0])}" if schema.get("examples") else ""
    has = {0: "is empty", 1: "has one entry"}.get(len(value), f"has {len(value)} entries")
    return f"this list {has}; {schema.get('title', 'it')} has {wanted}{example}"


def _word_quantity(schema: Schema, value: Any) -> str:
    words = schema.get("x-words")
    if schema.get("x-bare") and isinstance(value, str) and (bare := _BARE.fullmatch(value)):
        return f"{show(value)} is text: write {show(bare.group(1))}"
    units = tuple(schema.get("x-units", (schema["x-unit"],)))
    if words and not isinstance(value, int | float):
        example = schema["examples"][-1]
        return (
            f"{describe(value)} stands where {schema['title']} is expected: "
            f"write {join_words([*words, example])}"
        )
    try:
        if len(units) > 1:
            read_one_of(value, units)
        elif units[0] == "mm2":
            read_conductor_size(value)
        else:
            read(value, units[0])
    except QuantityError as error:
        return str(error)
    return f"{show(value)} is not {schema['title']}: write {show(schema['examples'][0])}"


def _word_pattern(schema: Schema, value: str) -> str:
    title = schema.get("title", "what is expected here")
    examples = [write_inline(example) for example in schema.get("examples", ())]
    if examples:
        return f"{show(value)} is not {title}: write {join_words(examples)}"
    return f"{show(value)} is not {title}: it is made of the letters A to Z, digits, `-` and `_`"


def _word_type(schema: Schema, value: Any) -> str:
    kinds = schema["type"] if isinstance(schema["type"], list) else [schema["type"]]
    found = describe(value)
    if kinds == ["boolean"]:
        meant = _BOOLEANS.get(value.lower()) if isinstance(value, str) else None
        return f"{found} is neither true nor false: write " + (
            f"`{meant}`" if meant else "`true` or `false`"
        )
    if kinds == ["integer"]:
        return f"{found} stands where a whole number is expected: write for example " + show(
            schema.get("examples", [1])[0]
        )
    if kinds == ["string"] and isinstance(value, int | float):
        return f"{found} stands where text is expected: put it in quotes, " + show(
            '"' + json.dumps(value) + '"'
        )
    expected = {"object": "a mapping of keys", "array": "a list", "string": "text"}
    by_title = len(kinds) > 1 or "x-unit" in schema
    wanted = schema.get("title") if by_title else expected.get(kinds[0])
    example = (
        f": write for example {show(write_inline(schema['examples'][0]))}"
        if (schema.get("examples"))
        else ""
    )
    return f"{found} stands where {wanted or 'another value'} is expected{example}"
