"""Limits and severities in force, each with where it came from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from msgspec import Struct

from underfoot.checking.finding import Severity
from underfoot.checking.origin import MaterialsFrom, Origin
from underfoot.checking.rule import AnyRule, LimitUse


class InForce(Struct, frozen=True, kw_only=True):
    """One limit in force; `origin` is None for the default, the last two are its `Limit`'s."""

    value: float
    unit: str
    default: float
    origin: Origin | None = None
    choices: tuple[str, ...] = ()
    serves: LimitUse | None = None


class Served(Struct, frozen=True, kw_only=True):
    """A limit in force that the program takes for something, and whose it is."""

    rule: str
    key: str
    value: float


class Ignored(Struct, frozen=True, kw_only=True):
    """A pattern of paths, from the folder of the settings file, whose plans are not checked."""

    pattern: str
    file: str


@dataclass(frozen=True, slots=True)
class Settings:
    """What is in force for one plan: limits by rule and key, and what was changed of the rules.

    `numbers` are the limits without their origin, `limits_by_rule` the same as each rule sees
    them, `changed_limits` those that a file sets, with rule, key and origin.
    `may_waive` are rules that protect life and
    that a plan may waive all the same; `never_waive` goes before it. `files` are the settings
    files that count, outermost first. What any rule cannot judge is at least as grave as
    `undecided_floor` says; `undecided` holds what is graver. `locked_by`, `never_waive_by` (by
    rule), `never_waive_all_by` and `rule_sets_by` name the file that locks, forbids a waiver of
    one rule, of every rule, chooses the rule sets.
    """

    limits: Mapping[str, Mapping[str, InForce]]
    severities: Mapping[str, tuple[Severity, Origin]] = field(default_factory=dict)
    off: Mapping[str, Origin] = field(default_factory=dict)
    undecided: Mapping[str, tuple[Severity, Origin]] = field(default_factory=dict)
    never_waive: frozenset[str] = frozenset()
    may_waive: Mapping[str, Origin] = field(default_factory=dict)
    undecided_floor: tuple[Severity, Origin] | None = None
    ignore: tuple[Ignored, ...] = ()
    materials_from: MaterialsFrom | None = None
    rule_sets: tuple[str, ...] | None = None
    files: tuple[str, ...] = ()
    locked_by: str | None = None
    never_waive_by: Mapping[str, str] = field(default_factory=dict)
    never_waive_all_by: str | None = None
    rule_sets_by: str | None = None
    numbers: Mapping[str, Mapping[str, float]] = field(init=False, repr=False, compare=False)
    limits_by_rule: Mapping[str, LimitsInForce] = field(init=False, repr=False, compare=False)
    changed_limits: tuple[tuple[str, str, InForce, Origin], ...] = field(
        init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        """Work out once what every plan is held against."""
        numbers = {
            rule: {key: limit.value for key, limit in limits.items()}
            for rule, limits in self.limits.items()
        }
        object.__setattr__(self, "numbers", numbers)
        limits_by_rule = {rule: LimitsInForce(rule, numbers) for rule in numbers}
        object.__setattr__(self, "limits_by_rule", limits_by_rule)
        changed_limits = tuple(
            (rule, key, limit, origin)
            for rule, limits in self.limits.items()
            for key, limit in limits.items()
            if (origin := limit.origin) is not None
        )
        object.__setattr__(self, "changed_limits", changed_limits)

    def undecided_for(self, rule: str) -> tuple[Severity, Origin] | None:
        """Tell how grave it is what a rule cannot judge; None where that is no finding."""
        return self.undecided.get(rule, self.undecided_floor)

    def served(self, use: LimitUse) -> Served | None:
        """Find the limit that the program takes for something; None where no rule has one."""
        return next(
            (
                Served(rule=rule, key=key, value=limit.value)
                for rule, limits in self.limits.items()
                for key, limit in limits.items()
                if limit.serves == use
            ),
            None,
        )


def default_settings(rules: Iterable[AnyRule]) -> Settings:
    """Give every rule its own limits."""
    return Settings(
        {
            rule.id: {
                limit.key: InForce(
                    value=limit.default,
                    unit=limit.unit,
                    default=limit.default,
                    choices=limit.choices,
                    serves=limit.serves,
                )
                for limit in rule.limits
            }
            for rule in rules
        }
    )


class LimitsInForce:
    """The numbers that one rule sees: its own limits, and by `of` those of the others."""

    __slots__ = ("_all", "_own")

    def __init__(self, rule: str, numbers: Mapping[str, Mapping[str, float]]) -> None:
        self._own = numbers.get(rule, {})
        self._all = numbers

    def __getitem__(self, key: str) -> float:
        """Return this rule's limit."""
        return self._own[key]

    def of(self, rule: str) -> Mapping[str, float]:
        """Return another rule's limits in force; KeyError where no such rule is installed."""
        return self._all[rule]
