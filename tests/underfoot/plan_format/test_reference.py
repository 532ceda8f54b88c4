"""The page about the format for people: as the program writes it, complete, its examples right."""

import re
from pathlib import Path
from typing import Any

import pytest

from tests.underfoot.asking import Ask
from underfoot.plan_format import DECLARED, RESERVED_IDS, write_schema
from underfoot.plan_format.declaration import Thing, list_kinds
from underfoot.plan_format.reference import example_of, write_block, write_reference
from underfoot.reading import read_plan
from underfoot.reading.quick_validator import compile_gate
from underfoot.reading.syntax import parse

PAGE = Path(__file__).parents[3] / "plans" / "format.md"
DEFINITIONS = write_schema("plan")["definitions"]
THINGS = {kind.name: kind for kind in list_kinds(DECLARED["plan"]) if isinstance(kind, Thing)}


def test_the_kept_page_is_what_the_command_prints(ask: Ask) -> None:
    """Written by `underfoot schema --format markdown > plans/format.md`."""
    assert PAGE.read_text("utf-8") == ask("schema --format markdown").out


def test_only_what_is_declared_has_a_page(ask: Ask) -> None:
    said = ask("schema --of settings --format markdown", status=2).err
    assert "of settings there is the JSON Schema alone" in said


def section(name: str) -> str:
    page = "".join(write_reference())
    heading = name.replace("_", " ").capitalize()
    return page.split(f"\n## {heading}\n")[1].split("\n## ")[0]


@pytest.mark.parametrize("name", [name for name in THINGS if name != "run"])
def test_each_thing_has_its_keys_and_an_example_that_is_read_as_it_stands(name: str) -> None:
    thing, text = THINGS[name], section(name)
    assert re.findall(r"^\| `(\w+)` \|", text, re.MULTILINE) == [key.name for key in thing.keys]
    is_met = compile_gate(DEFINITIONS.get(name, write_schema("plan")), DEFINITIONS)
    examples: list[Any] = list(thing.examples) or [example_of(thing)]
    (block,) = re.findall(r"```yaml\n(.*?)```", text, re.DOTALL)
    assert block.split("# or\n") == [write_block(example) for example in examples]
    for example in examples:
        assert parse(write_block(example).encode()).data == example
        assert is_met(example)


def test_the_plan_of_the_page_is_a_plan() -> None:
    text = write_block(DECLARED["plan"].examples[0])
    assert read_plan(text.encode(), path="plan.yaml").problems == ()


def test_every_link_leads_to_a_heading() -> None:
    page = "".join(write_reference())
    headings = {line[3:].lower().replace(" ", "-") for line in re.findall(r"## .+", page)}
    assert set(re.findall(r"\]\(#([^)]+)\)", page)) <= headings


def test_ids_that_cannot_be_given_are_named() -> None:
    page = "".join(write_reference())
    assert all(f"`{word}`" in page.split("## What there is")[0] for word in RESERVED_IDS)


def test_a_needed_key_and_a_default_are_told() -> None:
    assert "Needed: `film`; `along`; `at` or `after`; `lengths`, or `length`" in section("row")
    assert "`mains` or `SELV`; left out, it is `mains`" in section("supply")
    assert "a current, 0 or more: `40 A`" in section("supply")
