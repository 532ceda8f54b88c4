"""A topic's folder holds rules, each with its page, and what its rules alone need."""

from importlib import import_module
from pathlib import Path

import pytest

import underfoot_rules
from underfoot_rules.standard import RULES, TOPICS

HOME = Path(underfoot_rules.__file__).parent


@pytest.mark.parametrize("topic", TOPICS)
def test_every_module_with_a_rule_has_its_page(topic: str) -> None:
    modules = {path.stem for path in (HOME / topic).glob("*.py")} - {"__init__"}
    holding = {
        name
        for name in modules
        if hasattr(import_module(f"underfoot_rules.{topic}.{name}"), "RULE")
    }
    assert holding == {path.stem for path in (HOME / topic).glob("*.md")}
    assert holding == {rule.module.rpartition(".")[2] for rule in RULES if rule.topic == topic}


def test_every_folder_with_pages_is_a_topic() -> None:
    assert {page.parent.name for page in HOME.glob("*/*.md")} == set(TOPICS)


def test_what_one_topic_alone_imports_stands_in_its_folder() -> None:
    """What stands beside the topics serves several of them, or the set as a whole."""
    users: dict[str, set[str]] = {}
    for path in HOME.rglob("*.py"):
        for beside in HOME.glob("*.py"):
            if f"underfoot_rules.{beside.stem} import" in path.read_text("utf-8"):
                users.setdefault(beside.stem, set()).add(path.parent.name)
    assert {name for name, topics in users.items() if len(topics) < 2} == {
        "standard",
        "suppressions",
    }
