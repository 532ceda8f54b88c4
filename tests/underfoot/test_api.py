"""The public side for rule sets: four modules, each of whose names is there and in one of them."""

from __future__ import annotations

from importlib import import_module

import pytest

import underfoot.plan
from underfoot.api import API_VERSION
from underfoot_rules import STANDARD

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
    assert STANDARD.api == API_VERSION == 2


def test_a_name_of_the_first_version_says_where_it_is_now() -> None:
    with pytest.raises(ImportError, match=r"`Rule` is in `underfoot\.api\.rules` from version 2"):
        exec("from underfoot.api import Rule")
    with pytest.raises(ImportError, match="cannot import name 'Rulez'"):
        exec("from underfoot.api import Rulez")
    exec("from underfoot.api import facts, plan, physics, rules")
