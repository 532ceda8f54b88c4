"""A settings file, read whole: what it changes, in its own words.

What a limit's unit is, only its rule knows: values stay as written, for `quantities.read`.
"""

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from msgspec import Struct

from underfoot.reading.problem import Problem, in_file
from underfoot.reading.schema import check_data
from underfoot.reading.syntax import Parsed, Position, parse


class StatedLimits(Struct, frozen=True, kw_only=True):
    """The limits that a file gives one rule, by key, as written, and because of what."""

    path: str
    line: int
    because: str
    values: Mapping[str, int | float | str]


class StatedRule(Struct, frozen=True, kw_only=True):
    """What a file changes of one rule; None is left as it was."""

    path: str
    line: int
    because: str
    severity: str | None = None
    off: bool | None = None
    undecided: str | None = None


class StatedLeave(Struct, frozen=True, kw_only=True):
    """That a plan may waive a rule which protects life, and because of what."""

    path: str
    line: int
    because: str


class StatedUndecided(Struct, frozen=True, kw_only=True):
    """How grave, at the least, whatever any rule cannot judge is, and because of what."""

    line: int
    because: str
    severity: str


class StatedMaterials(Struct, frozen=True, kw_only=True):
    """The only catalogues that materials may come from, from the file's folder, and why."""

    line: int
    because: str
    catalogues: tuple[str, ...]


class SettingsFile(Struct, frozen=True, kw_only=True):
    """One settings file; `rule_sets` None means all that are installed.

    `ignore` are patterns of paths from the file's folder.
    """

    limits: Mapping[str, StatedLimits]
    rules: Mapping[str, StatedRule]
    rule_sets: tuple[str, ...] | None = None
    never_waive: tuple[str, ...] = ()
    may_waive: Mapping[str, StatedLeave] = MappingProxyType({})
    locked: bool = False
    undecided: StatedUndecided | None = None
    ignore: tuple[str, ...] = ()
    never_waive_all: bool = False
    materials_from: StatedMaterials | None = None


class SettingsReading(Struct, frozen=True, kw_only=True):
    """What reading a settings file came to; `settings` is None where there are problems."""

    settings: SettingsFile | None
    positions: Mapping[str, Position]
    problems: tuple[Problem, ...]


def read_settings(source: bytes, path: str) -> SettingsReading:
    """Read settings of format 1; `path` names the file in the problems."""
    parsed = parse(source)
    checked = check_data(parsed, "settings")
    found = in_file((*parsed.problems, *checked.problems), path)
    if found or checked.data is None:
        return SettingsReading(settings=None, positions=parsed.positions, problems=found)
    data = checked.data
    limits = {
        rule: StatedLimits(
            **at,
            because=entry["because"],
            values={key: value for key, value in entry.items() if key not in ("because", "note")},
        )
        for rule, at, entry in _list_rules(parsed, data, "limits")
    }
    rules = {
        rule: StatedRule(**at, **{key: value for key, value in entry.items() if key != "note"})
        for rule, at, entry in _list_rules(parsed, data, "rules")
    }
    rule_sets = data.get("rule_sets")
    never_waive = data.get("never_waive", ())
    undecided = data.get("undecided")
    materials = data.get("materials_from")
    settings = SettingsFile(
        limits=limits,
        rules=rules,
        rule_sets=None if rule_sets is None else tuple(rule_sets),
        never_waive=() if never_waive == "all" else tuple(never_waive),
        never_waive_all=never_waive == "all",
        may_waive={
            rule: StatedLeave(**at, because=because)
            for rule, at, because in _list_rules(parsed, data, "may_waive")
        },
        locked=data.get("locked", False),
        undecided=None
        if undecided is None
        else StatedUndecided(
            line=parsed.positions["undecided"][0],
            because=undecided["because"],
            severity=undecided["severity"],
        ),
        ignore=tuple(data.get("ignore", ())),
        materials_from=None
        if materials is None
        else StatedMaterials(
            line=parsed.positions["materials_from"][0],
            because=materials["because"],
            catalogues=tuple(materials["catalogues"]),
        ),
    )
    return SettingsReading(settings=settings, positions=parsed.positions, problems=())


def _list_rules(
    parsed: Parsed, data: Mapping[str, Any], part: str
) -> Iterator[tuple[str, dict[str, Any], Any]]:
    """List the rules that a part of the file is about: each with its place, and what is said."""
    for rule, entry in data.get(part, {}).items():
        if rule != "note":
            path = f"{part}.{rule}"
            yield rule, {"path": path, "line": parsed.positions[path][0]}, entry
