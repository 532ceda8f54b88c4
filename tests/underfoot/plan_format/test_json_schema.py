"""What each kind of value demands, written out by hand, as JSON Schema."""

import json
import re
from typing import Any

import pytest

from underfoot.plan_format import DECLARED, RESERVED_IDS, write_pretty, write_schema

SCHEMA = write_schema("plan")
DEFINITIONS = SCHEMA["definitions"]
NUMBER = r"[-+\u2212]?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?"
QUANTITY = rf"^\s*{NUMBER}\s*([^\s0-9.,+-][\s\S]*|1\s*/[\s\S]+)$"
NOTE = {"$ref": "#/definitions/note"}


def key(thing: str, name: str) -> Any:
    return DEFINITIONS[thing]["properties"][name]


@pytest.mark.parametrize(
    ("name", "demanded"),
    [
        ("length", {"type": ["number", "string"], "exclusiveMinimum": 0, "x-unit": "mm"}),
        ("length_or_none", {"type": ["number", "string"], "minimum": 0, "x-unit": "mm"}),
        ("coordinate", {"type": ["number", "string"], "x-unit": "mm"}),
        ("percent", {"type": ["number", "string"], "x-unit": "%", "x-bare": True}),
        ("current", {"type": "string", "x-unit": "A"}),
        ("output", {"type": "string", "x-unit": "W/m2", "x-units": ["W/m2", "W/m"]}),
        ("u_value", {"type": "string", "x-unit": "W/m2/K"}),
    ],
)
def test_a_quantity(name: str, demanded: dict[str, Any]) -> None:
    told = ("title", "description", "examples")
    found = {word: value for word, value in DEFINITIONS[name].items() if word not in told}
    assert found == {**demanded, "pattern": QUANTITY}
    assert all(DEFINITIONS[name][word] for word in told)


def test_a_quantity_describes_itself() -> None:
    assert DEFINITIONS["power"]["description"] == "A power: text with a unit, such as 1450 W."


def test_a_size_of_conductors_and_a_word_or_a_quantity() -> None:
    for text in ("1.5 mm2", "12 AWG", "AWG 12", "1/0 AWG", "AWG 1/0"):
        assert re.search(DEFINITIONS["conductor_size"]["pattern"], text)
    assert not re.search(DEFINITIONS["conductor_size"]["pattern"], "AWG")
    assert DEFINITIONS["direction"]["pattern"] == r"^([xy]$|\s*[-+\u2212]?[0-9])"
    assert DEFINITIONS["direction"]["x-words"] == ["x", "y"]
    assert DEFINITIONS["beyond"]["pattern"] == (
        r"^((outside|unheated|heated|ground)$|\s*[-+\u2212]?[0-9])"
    )


def test_texts_choices_and_whole_numbers() -> None:
    assert key("job", "client") == {"description": "Whom it is laid for.", "type": "string"}
    assert key("waiver", "rule")["minLength"] == 1
    assert key("circuit", "shares")["$ref"] == "#/definitions/id"
    assert key("lead", "circuit")["$ref"] == "#/definitions/id"
    assert key("grid", "earthed")["type"] == "boolean"
    assert key("contactor", "poles") == {
        "description": "How many poles it switches.",
        "type": "integer",
        "minimum": 1,
        "examples": [4],
    }
    assert key("film", "lies")["enum"] == ["busbars down", "busbars up"]
    assert "type" not in key("film", "lies")
    assert (key("supply", "phases")["type"], key("supply", "phases")["enum"]) == ("integer", [1, 3])


def test_lists() -> None:
    assert key("film", "tolerance") == {
        "title": "a tolerance",
        "description": "Tolerance of the rated power, lowest and highest, in percent.",
        "type": "array",
        "items": {"$ref": "#/definitions/percent"},
        "minItems": 2,
        "maxItems": 2,
        "examples": [[-10, 5]],
    }
    assert key("film", "suits")["items"] == {"type": "string"}
    assert "minItems" not in key("film", "suits")
    assert key("circuit", "links")["maxItems"] == 200
    assert DEFINITIONS["stop"]["type"] == ["string", "array"]
    assert DEFINITIONS["stop"]["items"] == {"$ref": "#/definitions/coordinate"}


def test_things_by_id() -> None:
    reserved = "|".join(RESERVED_IDS)
    assert SCHEMA["properties"]["rooms"] == {
        "title": "rooms",
        "description": "The rooms, by id; at least one.",
        "type": "object",
        "properties": {"note": NOTE},
        "patternProperties": {
            f"^(?!(?:{reserved})$)[A-Za-z0-9_-]+$": {"$ref": "#/definitions/room"}
        },
        "additionalProperties": False,
        "minProperties": 1,
    }
    readings = key("test", "strips")["patternProperties"]
    assert readings == {"^(?!note$)[A-Za-z0-9_-]+$": {"$ref": "#/definitions/resistance"}}


def test_things() -> None:
    grid = DEFINITIONS["grid"]
    assert list(grid["properties"]) == ["mesh", "earthed", "protective_conductor", "note"]
    assert (grid["type"], grid["additionalProperties"]) == ("object", False)
    assert "required" not in grid
    assert DEFINITIONS["film"]["required"] == ["width", "output", "voltage"]
    place = DEFINITIONS["place"]
    assert place["type"] == ["number", "string", "null", "object"]
    assert (place["exclusiveMinimum"], place["x-unit"]) == (0, "mm")
    assert DEFINITIONS["moisture"]["type"] == ["string", "object"]
    runs = DEFINITIONS["runs"]
    assert (runs["type"], runs["items"]) == (["object", "array"], {"$ref": "#/definitions/run"})


def test_one_lot_of_keys_or_another() -> None:
    assert DEFINITIONS["fixture"]["if"] == {"not": {"required": ["outline"]}}
    assert DEFINITIONS["fixture"]["then"] == {
        "required": ["at", "size"],
        "x-needs": "`at` with `size`, or `outline`",
    }
    assert DEFINITIONS["row"]["allOf"] == [
        {
            "if": {"not": {"required": ["after"]}},
            "then": {"required": ["at"], "x-needs": "`at` or `after`"},
        },
        {
            "if": {"not": {"required": ["lengths"]}},
            "then": {
                "required": ["length", "count"],
                "x-needs": "`lengths`, or `length` with `count`",
            },
        },
    ]


def test_a_catalogue_takes_its_definitions_from_the_plan() -> None:
    assert write_schema("catalogue")["properties"]["materials"] == {
        "$ref": "plan.schema.json#/definitions/materials"
    }
    assert "definitions" not in write_schema("catalogue")


@pytest.mark.parametrize("name", DECLARED)
def test_it_is_printed_on_lines_of_a_hundred_characters(name: str) -> None:
    text = write_pretty(write_schema(name))
    assert json.loads(text) == write_schema(name)
    assert [line for line in text.splitlines() if len(line) > 100 and line.count('": ') > 1] == []


def test_every_reference_leads_somewhere() -> None:
    named = set(re.findall(r'"#/definitions/(\w+)"', json.dumps(SCHEMA)))
    assert named == set(DEFINITIONS)
