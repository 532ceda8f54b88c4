"""Settings files -> what is in force: the nearest wins whole, unless one above it is locked."""

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import cast

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.finding import SEVERITIES, Severity
from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.origin import MaterialsFrom, Origin
from underfoot.checking.rule import AnyRule, Limit, RuleSet
from underfoot.checking.settings import Ignored, InForce, Settings, default_settings
from underfoot.reading.problem import Problem
from underfoot.reading.quantities import QuantityError, read
from underfoot.reading.settings_file import (
    SettingsFile,
    StatedLeave,
    StatedLimits,
    StatedMaterials,
    StatedRule,
    StatedUndecided,
)
from underfoot.reading.wording import suggest


class Placed(Struct, frozen=True, kw_only=True):
    """A settings file that was read: its name as reports print it, its positions, its folder."""

    name: str
    stated: SettingsFile
    positions: Mapping[str, tuple[int, int]]
    folder: str = "."


@dataclass(slots=True)
class _Draft:
    """What is in force so far, while files are laid over each other; `place` is laid now."""

    limits: dict[str, dict[str, InForce]]
    severities: dict[str, tuple[Severity, Origin]] = field(default_factory=dict)
    off: dict[str, Origin] = field(default_factory=dict)
    undecided: dict[str, tuple[Severity, Origin]] = field(default_factory=dict)
    undecided_floor: tuple[Severity, Origin] | None = None
    never_waive: dict[str, str] = field(default_factory=dict)
    never_waive_all_by: str | None = None
    materials_from: MaterialsFrom | None = None
    may_waive: dict[str, Origin] = field(default_factory=dict)
    rule_sets: tuple[str, ...] | None = None
    rule_sets_by: str | None = None
    problems: list[Problem] = field(default_factory=list)
    lock: Placed | None = None
    place: Placed = field(init=False)

    @property
    def is_locked(self) -> bool:
        """Whether the file at hand lies below a locked one."""
        return self.lock is not None

    def origin(
        self, stated: StatedLimits | StatedRule | StatedUndecided | StatedMaterials | StatedLeave
    ) -> Origin:
        """Say where in the file at hand something is stated."""
        return Origin(file=self.place.name, line=stated.line, because=stated.because)

    def refuse(self, message: str, path: str) -> None:
        """Note a problem in the file at hand."""
        where = path
        while where and where not in self.place.positions:
            where = where.rpartition(".")[0]
        line, column = self.place.positions.get(where, (1, 1))
        self.problems.append(
            Problem(message=message, path=path, line=line, column=column, file=self.place.name)
        )

    def refuse_loosening(self, what: str, path: str, lock: Placed | None = None) -> None:
        """Note that the file at hand loosens what a locked one above it sets."""
        lock = lock or self.lock
        assert lock is not None
        self.refuse(
            f"this loosens {what} but {lock.name} is locked: a nearer file may only tighten. "
            "Take the change out, or ask whoever keeps that file",
            path,
        )


def merge_settings(
    files: Sequence[Placed], sets: Sequence[RuleSet]
) -> tuple[Settings, tuple[Problem, ...]]:
    """Lay settings files over the defaults; `files` runs from the outermost to the nearest.

    Under a locked file nearer ones may only tighten; a rule that it names cannot be waived.
    Problems are located in their file.
    """
    rules = {rule.id: rule for rule_set in sets for rule in rule_set.rules}
    defaults = default_settings(rules.values())
    draft = _Draft({rule: dict(limits) for rule, limits in defaults.limits.items()})
    counted = [place for place in files if place.stated.locked or place is files[-1]]
    ignored = tuple(_list_ignored(files, draft))
    for place in counted:
        draft.place = place
        _lay(draft, rules, sets)
        if place.stated.locked:
            draft.lock = draft.lock or place
            for rule in (*place.stated.limits, *place.stated.rules):
                if rule not in place.stated.may_waive:
                    draft.never_waive.setdefault(rule, place.name)
    return (
        Settings(
            limits=draft.limits,
            severities=draft.severities,
            off=draft.off,
            undecided=_above_floor(draft),
            undecided_floor=draft.undecided_floor,
            ignore=ignored,
            materials_from=draft.materials_from,
            never_waive=frozenset(draft.never_waive),
            may_waive=draft.may_waive,
            rule_sets=draft.rule_sets,
            files=tuple(place.name for place in counted),
            locked_by=None if draft.lock is None else draft.lock.name,
            never_waive_by=draft.never_waive,
            never_waive_all_by=draft.never_waive_all_by,
            rule_sets_by=draft.rule_sets_by,
        ),
        tuple(draft.problems),
    )


def _lay(draft: _Draft, rules: Mapping[str, AnyRule], sets: Sequence[RuleSet]) -> None:
    stated = draft.place.stated
    for rule_id, limits in stated.limits.items():
        if (rule := _known(rule_id, limits.path, draft, rules)) is not None:
            _lay_limits(rule, limits, draft)
    for rule_id, change in stated.rules.items():
        if (rule := _known(rule_id, change.path, draft, rules)) is not None:
            _lay_rule(rule, change, draft)
    if stated.undecided is not None:
        _lay_floor(stated.undecided, draft)
    if stated.materials_from is not None:
        _lay_materials(stated.materials_from, draft)
    if stated.never_waive_all:
        draft.never_waive_all_by = draft.never_waive_all_by or draft.place.name
        for rule_id in rules:
            draft.never_waive.setdefault(rule_id, draft.place.name)
    for number, rule_id in enumerate(stated.never_waive):
        if _known(rule_id, f"never_waive.{number}", draft, rules) is not None:
            draft.never_waive.setdefault(rule_id, draft.place.name)
    for rule_id, leave in stated.may_waive.items():
        if (rule := _known(rule_id, leave.path, draft, rules)) is not None:
            _lay_leave(rule, leave, draft)
    if stated.rule_sets is not None:
        _lay_sets(stated.rule_sets, draft, sets)


def _lay_limits(rule: AnyRule, stated: StatedLimits, draft: _Draft) -> None:
    known = {limit.key: limit for limit in rule.limits}
    origin = draft.origin(stated)
    for key, raw in stated.values.items():
        path = f"{stated.path}.{key}"
        limit = known.get(key)
        if limit is None:
            hint = suggest(key, known)
            has = f" It has {', '.join(f'`{name}`' for name in known)}." if known else ""
            draft.refuse(f"rule {rule.id} has no limit `{key}`{hint}{has}", path)
            continue
        try:
            value = _value(raw, limit)
        except QuantityError as error:
            draft.refuse(str(error), path)
            continue
        before = draft.limits[rule.id][key]
        if draft.is_locked and _loosens(before.value, value, limit):
            draft.refuse_loosening(f"the limit `{key}` of {rule.id}", path)
            continue
        draft.limits[rule.id][key] = replace(before, value=value, origin=origin)


def _value(raw: int | float | str, limit: Limit) -> float:
    if limit.choices:
        if raw not in limit.choices:
            ways = ", ".join(f"`{choice}`" for choice in limit.choices)
            raise QuantityError(f"`{raw}` is none of {ways}")
        return float(limit.choices.index(raw))
    value = read(raw, limit.unit)
    if value < 0 and limit.unit not in ("degC", "K"):
        raise QuantityError(f"`{raw}` is below 0: write how much is allowed")
    return value


def _loosens(before: float, value: float, limit: Limit) -> bool:
    if limit.stricter == "higher":
        return value < before
    if limit.stricter == "lower":
        return value > before
    return value != before


def _lay_rule(rule: AnyRule, stated: StatedRule, draft: _Draft) -> None:
    origin = draft.origin(stated)
    locked = draft.is_locked
    if stated.off is not None:
        if stated.off and locked:
            draft.refuse_loosening(f"{rule.id}, by switching it off,", f"{stated.path}.off")
        elif stated.off:
            draft.off[rule.id] = origin
        else:
            draft.off.pop(rule.id, None)
    if stated.severity is not None:
        severity = cast(Severity, stated.severity)
        before = _gravest_in_force(rule, draft)
        if locked and _is_laxer(severity, before):
            path = f"{stated.path}.severity"
            draft.refuse_loosening(f"{rule.id}, from {before} to {severity},", path)
        else:
            draft.severities[rule.id] = (severity, origin)
    if stated.undecided is not None:
        severity = cast(Severity, stated.undecided)
        earlier = draft.undecided.get(rule.id) or (draft.undecided_floor if locked else None)
        if earlier is not None:
            loosens = _is_laxer(severity, earlier[0])
        else:  # what may be an error stands in the way of "no objection" as it is
            loosens = severity != "error" and _gravest_in_force(rule, draft) == "error"
        if locked and loosens:
            path = f"{stated.path}.undecided"
            draft.refuse_loosening(f"what {rule.id} cannot judge", path)
        else:
            draft.undecided[rule.id] = (severity, origin)


def _lay_floor(stated: StatedUndecided, draft: _Draft) -> None:
    severity = cast(Severity, stated.severity)
    before = draft.undecided_floor
    if draft.is_locked and before is not None and _is_laxer(severity, before[0]):
        draft.refuse_loosening("what no rule can judge", "undecided.severity")
    else:
        draft.undecided_floor = (severity, draft.origin(stated))


def _lay_materials(stated: StatedMaterials, draft: _Draft) -> None:
    places = tuple(
        os.path.realpath(os.path.join(draft.place.folder, name)) for name in stated.catalogues
    )
    before = draft.materials_from
    if draft.is_locked and before is not None and set(places) - set(before.places):
        draft.refuse_loosening("which catalogues materials come from", "materials_from.catalogues")
        return
    origin = draft.origin(stated)
    draft.materials_from = MaterialsFrom(catalogues=stated.catalogues, places=places, origin=origin)


def _is_laxer(severity: Severity, than: Severity) -> bool:
    return SEVERITIES.index(severity) > SEVERITIES.index(than)


def _above_floor(draft: _Draft) -> dict[str, tuple[Severity, Origin]]:
    """What single rules cannot judge and is graver than the floor for all."""
    floor = draft.undecided_floor
    if floor is None:
        return draft.undecided
    return {rule: each for rule, each in draft.undecided.items() if _is_laxer(floor[0], each[0])}


def _list_ignored(files: Sequence[Placed], draft: _Draft) -> Iterator[Ignored]:
    """List what every file ignores; below a locked one, none may."""
    lock: Placed | None = None
    for place in files:
        draft.place = place
        if lock is not None and place.stated.ignore:
            draft.refuse_loosening("which plans are checked", "ignore", lock)
        else:
            for pattern in place.stated.ignore:
                yield Ignored(pattern=pattern, file=place.name)
        if place.stated.locked:
            lock = lock or place


def _lay_leave(rule: AnyRule, leave: StatedLeave, draft: _Draft) -> None:
    if not rule.protects_life:
        draft.refuse(
            f"`may_waive` is for rules that protect life: a plan may waive {rule.id} without it",
            leave.path,
        )
    elif draft.is_locked and rule.id not in draft.may_waive:
        draft.refuse_loosening(f"{rule.id}, by letting plans waive it,", leave.path)
    else:
        draft.may_waive[rule.id] = draft.origin(leave)


def _gravest_in_force(rule: AnyRule, draft: _Draft) -> Severity:
    if rule.id in draft.severities:
        return draft.severities[rule.id][0]
    return min(rule.severities, key=SEVERITIES.index)


def _lay_sets(wanted: tuple[str, ...], draft: _Draft, sets: Sequence[RuleSet]) -> None:
    names = {name: rule_set for rule_set in sets for name in names_of(rule_set)}
    for number, name in enumerate(wanted):
        if name not in names:
            hint = suggest(name, names)
            draft.refuse(f"no rule set called `{name}` is installed{hint}", f"rule_sets.{number}")
    if draft.lock is None or draft.rule_sets is None:
        before = draft.rule_sets
        if draft.is_locked and before is None and _leaves_out(wanted, sets):
            draft.refuse_loosening("which rule sets are used", "rule_sets")
            return
    elif set(draft.rule_sets) - set(wanted):
        draft.refuse_loosening("which rule sets are used", "rule_sets")
        return
    draft.rule_sets, draft.rule_sets_by = wanted, draft.place.name


def _leaves_out(wanted: tuple[str, ...], sets: Sequence[RuleSet]) -> bool:
    return any(
        rule_set.name != "standard" and not names_of(rule_set) & set(wanted) for rule_set in sets
    )


def names_of(rule_set: RuleSet) -> frozenset[str]:
    """Return the names that settings may call a set by: its own, and its package's."""
    packages = {rule.module.partition(".")[0] for rule in rule_set.rules}
    return frozenset({rule_set.name, *packages})


def sets_in_force(settings: Settings, sets: Sequence[RuleSet]) -> tuple[RuleSet, ...]:
    """Keep the standard set and those that the settings name; all where they name none."""
    if settings.rule_sets is None:
        return tuple(sets)
    wanted = set(settings.rule_sets)
    return tuple(
        rule_set for rule_set in sets if rule_set.name == "standard" or names_of(rule_set) & wanted
    )


def _known(rule_id: str, path: str, draft: _Draft, rules: Mapping[str, AnyRule]) -> AnyRule | None:
    rule = rules.get(rule_id)
    if rule_id == MAKERS_FIGURES.id:
        draft.refuse(
            f"{rule_id} is told always and cannot be waived: no settings change that", path
        )
    elif rule is None:
        hint = suggest(rule_id, rules) or ": `underfoot rules` lists them"
        draft.refuse(f"there is no rule `{rule_id}`{hint}", path)
    return rule
