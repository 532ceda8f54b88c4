"""The schema that is printed for editors: it judges as the gate does, and explains more."""

import re
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest
import yaml

from tests.demo_plans import PLANS
from underfoot.plan_format import DECLARED, write_schema
from underfoot.plan_format.declaration import Choice, Thing, list_kinds
from underfoot.plan_format.for_editors import write_for_editors
from underfoot.plan_format.meanings import MEANINGS

ADDED = {
    "default",
    "enumDescriptions",
    "markdownEnumDescriptions",
    "patternErrorMessage",
    "defaultSnippets",
}


def _walk(told: Any) -> Iterator[dict[str, Any]]:
    if isinstance(told, dict):
        yield told
        for key, value in told.items():
            if key not in ("examples", "body", "default", "enum"):
                yield from _walk(value)
    elif isinstance(told, list):
        for each in told:
            yield from _walk(each)


def _bare(told: Any) -> Any:
    """A schema without what is added for editors."""
    if isinstance(told, dict):
        return {key: _bare(value) for key, value in told.items() if key not in (*ADDED, "$id")}
    return [_bare(each) for each in told] if isinstance(told, list) else told


def test_nothing_else_is_changed() -> None:
    assert _bare(write_for_editors("plan")) == write_schema("plan")


@pytest.mark.parametrize("name", DECLARED)
def test_it_is_a_schema_whole_in_itself(name: str) -> None:
    schema = write_for_editors(name)
    jsonschema.Draft7Validator.check_schema(schema)
    assert schema["$id"] == f"urn:underfoot:schema:{name}:1"
    assert list(schema)[:2] == ["$schema", "$id"]
    for part in _walk(schema):
        if "$ref" in part:
            assert part["$ref"].rpartition("/")[2] in schema["definitions"]


def test_it_judges_plans_and_catalogues() -> None:
    validator = jsonschema.Draft7Validator(write_for_editors("plan"))
    plan = yaml.safe_load((PLANS / "bedroom.yaml").read_text("utf-8"))
    assert validator.is_valid(plan)
    plan["rooms"]["bedroom"]["heat_loss"] = "470"
    assert not validator.is_valid(plan)
    shared = yaml.safe_load((PLANS / "catalogue.yaml").read_text("utf-8"))
    assert jsonschema.Draft7Validator(write_for_editors("catalogue")).is_valid(shared)


def _choices() -> Iterator[tuple[str, str, Choice]]:
    for root in DECLARED.values():
        for thing in list_kinds(root):
            if isinstance(thing, Thing):
                for key in thing.keys:
                    if isinstance(key.of, Choice):
                        yield thing.name, key.name, key.of


def test_every_word_is_explained() -> None:
    declared = {
        (thing, key): choice.options for thing, key, choice in _choices() if not choice.name
    }
    for place, options in declared.items():
        assert tuple(MEANINGS[place]) == options, place
    assert all(told.endswith(".") for meanings in MEANINGS.values() for told in meanings.values())
    assert MEANINGS.keys() <= {(thing, key) for thing, key, _ in _choices()}


def test_words_stand_beside_what_they_explain() -> None:
    schema = write_for_editors("plan")
    status = schema["properties"]["status"]
    assert status["default"] == "for review"
    assert len(status["enumDescriptions"]) == len(status["enum"])
    assert status["enumDescriptions"][2].startswith("The film lies")
    assert schema["definitions"]["supply"]["properties"]["phases"]["default"] == 1
    assert schema["definitions"]["row"]["properties"]["spacing"]["default"] == 0


def test_every_pattern_is_told_in_words() -> None:
    for name in DECLARED:
        for part in _walk(write_for_editors(name)):
            if isinstance(part.get("pattern"), str):
                said = part["patternErrorMessage"]
                assert not re.search(r"[\\^$]", said), said
                assert said.endswith(".")
    definitions = write_for_editors("plan")["definitions"]
    assert definitions["length"]["patternErrorMessage"] == (
        "This is a length: a bare number is millimetres, or text with a unit, such as 2750 or "
        "2.75 m."
    )
    assert "A to Z" in definitions["id"]["patternErrorMessage"]


def _fill_in(told: Any) -> Any:
    """What somebody gets who changes nothing: the first word, or the one that is proposed."""
    if isinstance(told, dict):
        return {_fill_in(key): _fill_in(value) for key, value in told.items()}
    if isinstance(told, list):
        return [_fill_in(each) for each in told]
    if isinstance(told, str):
        word = re.sub(r"\$\{\d+\|([^,|]*)[^}]*\}", r"\1", told)
        word = re.sub(r"\$\{\d+:([^}]*)\}", r"\1", word)
        return int(word) if word.isdecimal() and word != told else word
    return told


def test_what_is_begun_is_right_once_it_is_filled_in() -> None:
    schema = write_for_editors("plan")
    begun = 0
    for part in _walk(schema):
        for snippet in part.get("defaultSnippets", ()):
            begun += 1
            only = {key: value for key, value in part.items() if key not in ADDED}
            jsonschema.Draft7Validator({**only, "definitions": schema["definitions"]}).validate(
                _fill_in(snippet["body"])
            )
            assert snippet["label"]
            assert snippet["description"]
    assert begun > 8
    labels = {
        key: [each["label"] for each in part["defaultSnippets"]]
        for key, part in {
            "rooms": schema["properties"]["rooms"],
            "fixtures": schema["definitions"]["room"]["properties"]["fixtures"],
        }.items()
    }
    assert labels == {"rooms": ["a room"], "fixtures": ["a fixture"]}
