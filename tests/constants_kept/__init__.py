"""Every figure and table that stands by itself in a module of the program or of its rules.

So do the figures that a value's fields are given where nothing else is said.

Words for readers are left out: what is said is kept elsewhere.

A table is tested where it is read, and seldom in each of its rows. Here all are written down a
second time, a thing or a row on a line, so that none changes unnoticed. What is right is said by
the tests against published values; this says only that something changed.

    python -m tests.constants_kept      writes it anew: read the difference
"""

import ast
import importlib
import pkgutil
import re
from collections.abc import Iterator
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from types import ModuleType
from typing import Any

from msgspec import Struct

import underfoot
import underfoot_rules
from tests.written_out import keep, lines_of

KEPT = Path(__file__).parent / "constants.txt"
PACKAGES = (underfoot, underfoot_rules)
# Faults made on purpose are told elsewhere, rules where they stand, the schema in plans/format.md.
LEFT_OUT = re.compile(r"\.(mutations|plan_format)\b")
_NAME = re.compile(r"_?[A-Z][A-Z0-9_]*")
# A thing and its entry: what stands behind the last point that is no number's own.
_LAST = re.compile(r"\.(?=[^.]*$|[0-9]+\.[0-9]+$)")
_LIST = re.compile(r"\[(-?[0-9][^ ,]*(, )?)*\]")
_PLAIN = (bool, int, float, str, type(None))


def said() -> dict[str, str]:
    """Write the constants of every module that has any."""
    found = {}
    for package in PACKAGES:
        for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if info.ispkg or info.name.endswith(".standard") or LEFT_OUT.search(info.name):
                continue
            lines = list(_constants(importlib.import_module(info.name)))
            if lines:
                found[info.name] = "\n".join(lines)
    return found


def _constants(module: ModuleType) -> Iterator[str]:
    given = set(_names_given(ast.parse(Path(module.__file__ or "").read_text("utf-8"))))
    for name in sorted(given & vars(module).keys()):
        value = vars(module)[name]
        if isinstance(value, type):
            value = _defaults(value)
        entries = (
            (*_LAST.split(at, maxsplit=1), word)
            for at, word in lines_of(_plain(value), name)
            if " " not in word or _LIST.fullmatch(word)
        )
        for thing, of_thing in groupby(entries, key=itemgetter(0)):
            yield f"{thing}: {'; '.join(' '.join(each[1:]).strip() for each in of_thing)}"


def _names_given(tree: ast.Module) -> Iterator[str]:
    """Name what a module gives a value itself, and its classes; what begins empty is filled."""
    for statement in tree.body:
        if isinstance(statement, ast.ClassDef):
            yield statement.name
        elif isinstance(statement, ast.Assign | ast.AnnAssign) and statement.value is not None:
            if ast.unparse(statement.value) == "{}":
                continue
            targets = statement.targets if isinstance(statement, ast.Assign) else [statement.target]
            names = (each for target in targets for each in ast.walk(target))
            for each in names:
                if isinstance(each, ast.Name) and _NAME.fullmatch(each.id):
                    yield each.id


def _defaults(kind: type) -> dict[str, bool | float]:
    """Return the figures that fields of a value have where nothing else is said."""
    if not issubclass(kind, Struct):
        return {}
    values = kind.__struct_defaults__
    fields = kind.__struct_fields__[len(kind.__struct_fields__) - len(values) :]
    return {
        field: value
        for field, value in zip(fields, values, strict=True)
        if isinstance(value, bool | int | float)
    }


def _plain(value: Any) -> Any:
    names = getattr(value, "__struct_fields__", None) or getattr(value, "_fields", None)
    names = names or getattr(value, "__dataclass_fields__", None)
    if isinstance(value, re.Pattern):
        value = value.pattern
    if isinstance(value, str) and not value.isprintable():
        return ascii(value)
    if isinstance(value, _PLAIN):
        return value
    if isinstance(value, dict):
        return {str(_plain(key)): _plain(inner) for key, inner in value.items()}
    if isinstance(value, set | frozenset):
        return sorted(str(_plain(each)) for each in value)
    if names is not None and not isinstance(value, type):
        return {name: _plain(getattr(value, name)) for name in names}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return getattr(value, "__name__", None) or f"a {type(value).__name__}"


def main() -> None:
    """Keep the constants."""
    keep(KEPT, said())
