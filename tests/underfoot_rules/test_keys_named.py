"""What a message tells people to write is a word of the plan format or of the settings."""

import ast
import json
import re
from pathlib import Path

import underfoot_rules
from underfoot.reading.schema import load_schema

RULES = Path(underfoot_rules.__file__).parent


def test_every_key_that_a_rule_names_can_be_written() -> None:
    known = {
        word
        for name in ("plan", "settings")
        for word in re.findall(r'"([a-z_0-9]+)"', json.dumps(load_schema(name)))
    }
    named = [
        (word, path.name)
        for path in sorted(RULES.rglob("*.py"))
        for text in _texts(ast.parse(path.read_text("utf-8")))
        for word in re.findall(r"`([a-z_]+)`", text)
    ]
    assert len(named) > 100
    assert [each for each in named if each[0] not in known] == []


def _texts(module: ast.Module) -> list[str]:
    """Return the texts of a module without its docstrings."""
    alone = {id(node.value) for node in ast.walk(module) if isinstance(node, ast.Expr)}
    return [
        node.value
        for node in ast.walk(module)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in alone
    ]
