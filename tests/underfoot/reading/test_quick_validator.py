import copy
import json
import re
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from referencing import Registry, Resource

from tests.effort import fewer
from tests.underfoot.reading.samples import FULL, SMALL
from tests.written_out import ways_in
from underfoot.reading.quick_validator import UnknownKeywordError, compile_gate
from underfoot.reading.schema import load_format, load_schema
from underfoot.reading.syntax import parse
from underfoot.reading.violations import list_violations

pytestmark = pytest.mark.oracle

NAMES = ("plan", "catalogue", "settings")
GOOD = {
    "plan": [parse(FULL.encode()).data, parse(SMALL.encode()).data],
    "catalogue": [
        {
            "catalogue_format": 1,
            "materials": parse(FULL.encode()).data["materials"],
            "method_statement": {"busbars": "up"},
        }
    ],
    "settings": [
        {
            "settings_format": 1,
            "limits": {"wall-clearance": {"minimum": 100, "because": "manual"}},
            "rules": {"rcd": {"severity": "error", "off": False, "because": "local code"}},
            "rule_sets": ["acme_rules"],
            "never_waive": ["rcd"],
            "locked": True,
        }
    ],
}


def oracle(name: str) -> jsonschema.Draft7Validator:
    """An independent validator of the same schema, whose ``$`` is the very end too."""
    resources = [
        (f"{one}.schema.json", Resource.from_contents(end_patterns(load_schema(one))))
        for one in NAMES
    ]
    return jsonschema.Draft7Validator(
        end_patterns(load_schema(name)), registry=Registry().with_resources(resources)
    )


def end_patterns(schema: Any) -> Any:
    if isinstance(schema, dict):
        return {
            (key.replace("$", r"\Z") if key.startswith("^") else key): (
                value.replace("$", r"\Z") if key == "pattern" else end_patterns(value)
            )
            for key, value in schema.items()
        }
    return [end_patterns(one) for one in schema] if isinstance(schema, list) else schema


ORACLES = {name: oracle(name) for name in NAMES}


@pytest.mark.parametrize("name", NAMES)
def test_the_schemas_are_json_schemas_of_draft_07(name: str) -> None:
    jsonschema.Draft7Validator.check_schema(load_schema(name))


@pytest.mark.parametrize("name", NAMES)
def test_good_data_is_let_through(name: str) -> None:
    for data in GOOD[name]:
        form = load_format(name)
        assert form.is_met_by(data)
        assert list(list_violations(form.schema, form.definitions, data)) == []
        assert list(ORACLES[name].iter_errors(data)) == []


WORDS = ("", "x", "y", "A1", "A1.end", "junction-box", "thermostat", "note", "10 A", "-5 mm", "5")
WORDS += ("30 deg", "1/h", "0.5 1/h", "AWG 12", "12 AWG", "2026-09-14", "outside", "a b", "A\n")
SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 5),
    st.sampled_from([0.5, -1.5, 4.0, 1e300]),
    st.sampled_from(WORDS),
    st.text(max_size=4),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(
            st.sampled_from(["at", "size", "note", "length", "outline", "A", "stuff", "a b"]),
            inner,
            max_size=4,
        ),
    ),
    max_leaves=6,
)


def mutate(data: Any, choose: st.DataObject) -> Any:
    """A copy with one to three things changed, taken out, or put in."""
    changed = copy.deepcopy(data)
    for _ in range(choose.draw(st.integers(1, 3))):
        parts = choose.draw(st.sampled_from(sorted([(), *ways_in(changed)], key=repr)))
        if not parts:
            continue
        holder = changed
        for part in parts[:-1]:
            holder = holder[part]
        act = choose.draw(st.sampled_from(["put", "drop", "add"]))
        if act == "drop":
            del holder[parts[-1]]
        elif act == "add" and isinstance(holder, dict):
            key = choose.draw(st.sampled_from(["note", "widht", "count", "at", "E9", "sensor", ""]))
            holder[key] = choose.draw(VALUES)
        else:
            holder[parts[-1]] = choose.draw(VALUES)
    return changed


@pytest.mark.parametrize("name", NAMES)
@given(choose=st.data())
@settings(max_examples=fewer(60, 150), deadline=None)
def test_another_validator_finds_the_same(name: str, choose: st.DataObject) -> None:
    data = mutate(choose.draw(st.sampled_from(GOOD[name])), choose)
    form = load_format(name)
    found = {
        (one.parts[: -1 if one.keyword == "additionalProperties" else None], one.keyword)
        for one in list_violations(form.schema, form.definitions, data)
    }
    expected = {
        (tuple(error.absolute_path), error.validator) for error in ORACLES[name].iter_errors(data)
    }
    # Where the type is wrong, nothing else is said about the value.
    wrong = {parts for parts, keyword in expected if keyword == "type"}
    expected = {
        (parts, keyword) for parts, keyword in expected if parts not in wrong or keyword == "type"
    }
    assert found == expected
    assert form.is_met_by(data) == (not found)


@given(VALUES)
@settings(max_examples=200, deadline=None)
def test_any_data_at_all_is_judged_alike(data: Any) -> None:
    for name in NAMES:
        form = load_format(name)
        judged = form.is_met_by(data)
        assert judged == ORACLES[name].is_valid(data)
        assert judged == (not list(list_violations(form.schema, form.definitions, data)))


@pytest.mark.parametrize("name", NAMES)
def test_every_key_of_the_formats_is_described(name: str) -> None:
    schema = load_schema(name)
    definitions = schema.get("definitions") or load_schema("plan")["definitions"]
    bare = []

    def walk(inner: dict[str, Any], where: str) -> None:
        for key, part in inner.get("properties", {}).items():
            whole = part
            if "$ref" in part:
                whole = definitions[part["$ref"].rpartition("/")[2]]
            if not (part.get("description") or whole.get("description")):
                bare.append(f"{where}.{key}")
            walk(part, f"{where}.{key}")
        for part in inner.get("patternProperties", {}).values():
            walk(part, where)
        if "properties" in inner and inner.get("additionalProperties") is not False:
            bare.append(f"{where} takes unknown keys")
        if "object" in str(inner.get("type")) and "note" not in inner.get("properties", {}):
            bare.append(f"{where} takes no note")

    walk(schema, name)
    for key, part in definitions.items():
        walk(part, key)
    assert bare == []


@pytest.mark.parametrize("name", NAMES)
def test_no_schema_offers_alternatives_that_no_message_could_explain(name: str) -> None:
    text = json.dumps(load_schema(name))
    assert "anyOf" not in text
    assert "oneOf" not in text


@pytest.mark.parametrize("name", NAMES)
def test_examples_are_as_the_schema_says(name: str) -> None:
    definitions = load_schema(name).get("definitions", {})
    tried = 0

    def walk(part: Any) -> None:
        nonlocal tried
        if isinstance(part, dict):
            whole = part
            if "$ref" in part and "/" in part["$ref"]:
                whole = definitions.get(part["$ref"].rpartition("/")[2], {})
            for example in part.get("examples", ()):
                assert compile_gate(whole, definitions)(example), (part, example)
                tried += 1
            for inner in part.values():
                walk(inner)

    walk(load_schema(name))
    assert tried or name == "catalogue"


def test_dollars_in_patterns_mean_the_end() -> None:
    for name in NAMES:
        for pattern in re.findall(r'"pattern": ("(?:[^"\\]|\\.)*")', json.dumps(load_schema(name))):
            assert "\\$" not in json.loads(pattern)


@pytest.mark.parametrize(
    "schema",
    [
        {"const": 1},
        {"oneOf": []},
        {"type": "object", "additionalProperties": {"type": "string"}},
        {"if": {"not": {}, "type": "string"}, "then": {}},
    ],
)
def test_keywords_that_are_not_known_are_not_passed_over(schema: dict[str, Any]) -> None:
    with pytest.raises(UnknownKeywordError):
        compile_gate(schema, {})
