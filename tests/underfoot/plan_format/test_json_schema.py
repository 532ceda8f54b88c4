"""The JSON Schemas that follow from the declaration are those that were written by hand."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from underfoot.plan_format import DECLARED, write_pretty, write_schema

HERE = Path(__file__).parent


@pytest.mark.parametrize("name", DECLARED)
def test_the_schema_is_as_it_was(name: str) -> None:
    assert write_schema(name) == json.loads((HERE / f"{name}.schema.json").read_text("utf-8"))


def test_it_is_printed_on_lines_of_a_hundred_characters() -> None:
    text = write_pretty(write_schema("plan"))
    assert json.loads(text) == write_schema("plan")
    long = [line for line in text.splitlines() if len(line) > 100 and line.count('": ') > 1]
    assert long == []
