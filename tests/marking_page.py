"""Keeps the tables of keys in rules/marking.md as the schemas describe them.

python -m tests.marking_page          writes the tables anew
"""

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from underfoot.reading.schema import load_schema

PAGE = Path(__file__).parent.parent / "rules" / "marking.md"
FORMATS = ("scheme", "comments", "key", "answers")
# What stands for a name of one's own, by what it names.
_NAMES = {
    "topics": "TOPIC", "rules": "RULE", "limits": "RULE", "grades": "GRADE",
    "submissions": "NAME",
}  # fmt: skip
_TABLE = re.compile(r"<!-- keys: (\w+) -->\n.*?<!-- end -->\n", re.DOTALL)

Schema = Mapping[str, Any]


def list_keys(name: str) -> Iterator[tuple[str, Schema, bool]]:
    """Walk a format's schema: each key's path, what describes it, and whether it is needed."""
    schema = load_schema(name)
    yield from _walk(schema, schema.get("definitions", {}), "", "")


def _walk(part: Schema, known: Schema, path: str, key: str) -> Iterator[tuple[str, Schema, bool]]:
    needed = part.get("required", ())
    for inner, told in part.get("properties", {}).items():
        yield from _one(told, known, f"{path}.{inner}".lstrip("."), inner, inner in needed)
    for told in part.get("patternProperties", {}).values():
        name = _NAMES.get(key, "LIMIT")
        yield from _one(told, known, f"{path}.{name}", name, False)
    items = part.get("items")
    if isinstance(items, dict):
        yield from _walk(_resolve(items, known), known, f"{path}[]", key)


def _one(
    told: Schema, known: Schema, path: str, key: str, needed: bool
) -> Iterator[tuple[str, Schema, bool]]:
    resolved = _resolve(told, known)
    yield path, resolved, needed
    yield from _walk(resolved, known, path, key)


def _resolve(part: Schema, known: Schema) -> Schema:
    reference = part.get("$ref")
    return part if reference is None else known[reference.rpartition("/")[2]]


def write_table(name: str) -> str:
    """Write a format's keys as a Markdown table."""
    rows = ["| key | what it is | such as |", "| --- | --- | --- |"]
    for path, told, needed in list_keys(name):
        said = told["description"]
        choices = told.get("enum") or told.get("items", {}).get("enum")
        if choices and path != f"{name}_format":
            said += f" One of: {', '.join(map(str, choices))}."
        if needed:
            said += " Must be given."
        example = json.dumps(told["examples"][0]) if "examples" in told else ""
        shown = f"`{example}`" if example else ""
        rows.append(f"| `{path}` | {said} | {shown} |".replace("\n", " "))
    return "\n".join(rows) + "\n"


def with_tables(text: str) -> str:
    """Fill every marked table anew."""
    return _TABLE.sub(
        lambda found: f"<!-- keys: {found[1]} -->\n{write_table(found[1])}<!-- end -->\n", text
    )


def write_page() -> None:
    """Write the page with its tables as the schemas are."""
    PAGE.write_text(with_tables(PAGE.read_text("utf-8")), encoding="utf-8")


if __name__ == "__main__":
    write_page()
