"""The trainers' page describes every key of every format that they write."""

import pytest

from tests.marking_page import FORMATS, PAGE, list_keys, with_tables
from underfoot.reading.schema import load_schema


def test_the_page_is_as_the_schemas_are() -> None:
    text = PAGE.read_text("utf-8")
    assert with_tables(text) == text


@pytest.mark.parametrize("name", FORMATS)
def test_no_key_is_missing_or_without_words(name: str) -> None:
    text = PAGE.read_text("utf-8")
    keys = list(list_keys(name))
    for path, told, _ in keys:
        assert f"| `{path}` | {told['description']}" in text
    # Counted another way: every property, wherever it stands, is the end of some path.
    ends = {path.rpartition(".")[2].removesuffix("[]") for path, _, _ in keys}
    assert {key for part in _objects(load_schema(name)) for key in part} <= ends


def _objects(part: object) -> list[dict[str, object]]:
    if isinstance(part, dict):
        own = [part["properties"]] if isinstance(part.get("properties"), dict) else []
        return own + [one for inner in part.values() for one in _objects(inner)]
    if isinstance(part, list):
        return [one for inner in part for one in _objects(inner)]
    return []
