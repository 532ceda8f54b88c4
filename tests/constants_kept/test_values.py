"""What program and rules hand on are values: nothing changes one that somebody else holds."""

import importlib
import pkgutil

from msgspec import Struct

import underfoot
import underfoot_rules

PACKAGES = (underfoot, underfoot_rules)
# Grows while a drawing is read, and is handed to nobody else.
GROWING = {"Gathered"}


def test_every_value_is_frozen() -> None:
    values = [
        each
        for package in PACKAGES
        for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
        if ".mutations." not in info.name
        for each in vars(importlib.import_module(info.name)).values()
        if isinstance(each, type) and issubclass(each, Struct) and each is not Struct
    ]
    assert len(set(values)) > 100
    assert {each.__name__ for each in values if not each.__struct_config__.frozen} == GROWING
