"""The public side for rule sets: four modules, each of whose names is there and in one of them."""

import re
from importlib import import_module
from pathlib import Path
from types import FunctionType

import pytest

import underfoot
import underfoot.plan
import underfoot_rules
from underfoot.api import API_VERSION, facts
from underfoot_rules import STANDARD

# The same work as what several topics ask for, of another thing.
BESIDE_THEIR_KIN = {
    "bound_drop_v",
    "bound_heat_loss",
    "build_insulated",
    "find_lengths_outside",
    "find_lengths_within",
}
MODULES = ("rules", "facts", "plan", "physics")


@pytest.mark.parametrize("name", MODULES)
def test_each_module_says_what_it_is_and_holds_what_it_lists(name: str) -> None:
    module = import_module(f"underfoot.api.{name}")
    assert module.__doc__
    assert sorted(set(module.__all__)) == sorted(module.__all__)
    assert all(hasattr(module, each) for each in module.__all__)


def test_no_name_is_in_two_modules() -> None:
    names = [each for name in MODULES for each in import_module(f"underfoot.api.{name}").__all__]
    assert len(names) == len(set(names))


def test_every_plan_type_can_be_annotated() -> None:
    assert import_module("underfoot.api.plan").__all__ == underfoot.plan.__all__


def test_the_standard_set_is_written_for_this_version() -> None:
    assert STANDARD.api == API_VERSION == 3


def test_a_name_of_the_first_version_says_where_it_is_now() -> None:
    with pytest.raises(ImportError, match=r"`Rule` is in `underfoot\.api\.rules` from version 2"):
        exec("from underfoot.api import Rule")
    with pytest.raises(ImportError, match="cannot import name 'Rulez'"):
        exec("from underfoot.api import Rulez")
    exec("from underfoot.api import facts, plan, physics, rules")


def test_what_one_topic_alone_takes_of_the_facts_stands_in_its_folder() -> None:
    """Functions of the facts serve several topics, the program itself, or other facts.

    So do those beside the topics. What lists subjects is there for whoever writes a rule.
    """
    rules, program = (Path(each.__file__).parent for each in (underfoot_rules, underfoot))
    texts = {
        path: path.read_text("utf-8")
        for home in (rules, program)
        for path in home.rglob("*.py")
        if "api" not in path.parts
    }
    alone = set()
    for name in facts.__all__:
        if not isinstance(getattr(facts, name), FunctionType) or name.startswith("each_"):
            continue
        users = {
            path.parent.name if path.is_relative_to(rules) else "the program"
            for path, text in texts.items()
            if re.search(rf"(?<!def )\b{name}\b", text)
        }
        if not users & {"the program", rules.name} and len(users) < 2:
            alone.add(name)
    assert alone == BESIDE_THEIR_KIN
