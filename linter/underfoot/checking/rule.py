"""A rule is a value: what it is about, what it demands, its limits and their basis."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, Generic, Literal, Protocol, TypeVar

from msgspec import Struct
from msgspec.structs import force_setattr

from underfoot.checking.finding import Basis, CannotTell, Finding, Severity, Subject

if TYPE_CHECKING:
    from underfoot.checking.facts import Facts
    from underfoot.checking.mend import Mender
    from underfoot.checking.mutation import Mutation


LimitUse = Literal[
    "planned wall clearance",
    "wall clearance",
    "fixture clearance",
    "clear height",
    "joints off doorways",
    "screws of thresholds",
    "room",
    "bathroom",
    "heated space",
    "unheated space",
    "ground",
    "surface to a space",
    "surface to the open air",
    "conductivity of the ground",
    "outside walls",
    "insulation resistance",
    "insulation test voltage",
    "insulation resistance with SELV",
    "insulation test voltage with SELV",
    "RCD trip time",
    "change of the load resistance",
    "resistance over the film",
    "bath zone 2",
    "zone 1 of an open shower",
    "height of bath zones",
]
"""What the program takes from a limit, whatever its rule is called.

A drawing shows the planned clearance from walls. What could be heated lies that clear of walls and
fixtures, and under nothing that leaves less height open; what is laid keeps joints and leads that
far from doorways. A drawing shows the zones of baths and showers, too. The picture of heat takes
the rest where a plan says nothing: temperatures of the room, a bathroom and what lies below, and
how these resist. The rest stand on the sheet for the tests, as what a reading must keep to.
"""

RuleUse = Literal["steps of the method statement"]
"""What the program takes from a rule's findings: their items are steps that are stated wrongly."""


class Limit(Struct, frozen=True, kw_only=True):
    """A number that settings may change.

    `unit` is written as in a plan (``mm``, ``%``, ``degC``). `stricter` tells which way tightens
    it: ``higher``, ``lower``, or None where neither does (a locked file then fixes it). Where a
    limit is one of several words, `choices` lists them and the number is a place in the list.
    `serves` says what the program itself takes the number for, if anything; of two rules that say
    the same the first counts.
    """

    key: str
    default: float
    unit: str
    means: str
    stricter: Literal["higher", "lower"] | None
    choices: tuple[str, ...] = ()
    serves: LimitUse | None = None


def at_most(
    key: str, default: float, unit: str, means: str, *, serves: LimitUse | None = None
) -> Limit:
    """Make a limit that is stricter the lower it is."""
    return Limit(key=key, default=default, unit=unit, means=means, stricter="lower", serves=serves)


def at_least(
    key: str, default: float, unit: str, means: str, *, serves: LimitUse | None = None
) -> Limit:
    """Make a limit that is stricter the higher it is."""
    return Limit(key=key, default=default, unit=unit, means=means, stricter="higher", serves=serves)


class Limits(Protocol):
    """The limits in force for one rule, as plain numbers in the limit's unit."""

    def __getitem__(self, key: str) -> float:
        """Return this rule's limit."""

    def of(self, rule: str) -> Mapping[str, float]:
        """Return another rule's limits in force."""


T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)


class Subjects(Struct, Generic[T_co], frozen=True, kw_only=True):
    """Subjects of which an index has already settled most.

    `candidates` are those that need a look; `total` counts all, so that the tally stays honest
    where looking at every pair would take a day.
    """

    candidates: Iterable[Subject[T_co]]
    total: int


Check = Callable[[Subject[T], "Facts", Limits], Finding | CannotTell | None]


class Rule(Struct, Generic[T], frozen=True, kw_only=True):
    """One rule of a set.

    `finds` is one sentence on what it finds; `why` one line on why that matters; `unit` is what
    `measured` is in (None where nothing is measured). `subjects` lists what the rule is about;
    `check` judges one subject. `module` is where the rule stands, with its page beside it: that of
    its `check`, if nothing else is said. `id` is the module's name with hyphens and `topic` that of
    its folder, likewise. What it finds are errors where `severities` say nothing else. `electrical`
    adds the word on local wiring regulations. `last` runs after all other rules. What
    `protects_life` is waived by no plan unless the owner's settings allow it by name and reason.
    `serves` says what the program itself takes from its findings, if anything.
    """

    id: str = ""
    topic: str = ""
    severities: tuple[Severity, ...] = ("error",)
    finds: str
    why: str
    unit: str | None = None
    basis: Basis
    subjects: Callable[[Facts], Iterable[Subject[T]] | Subjects[T]]
    check: Check[T]
    module: str = ""
    limits: tuple[Limit, ...] = ()
    electrical: bool = False
    last: bool = False
    protects_life: bool = False
    serves: RuleUse | None = None

    def __post_init__(self) -> None:
        """Take module, id and topic from where the rule's check stands, where they are not said."""
        if self.module == "":
            force_setattr(self, "module", getattr(self.check, "__module__", ""))
        *_, folder, name = f".{self.module}".split(".")
        if self.id == "":
            force_setattr(self, "id", name.replace("_", "-"))
        if self.topic == "":
            force_setattr(self, "topic", folder or name)


# A rule, whatever its subjects carry.
AnyRule = Rule[Any]

Key = Callable[[Subject[object], "Facts"], Iterable[Hashable]]


class Suppression(Struct, frozen=True, kw_only=True):
    """One cause, one voice: while `cause` stands as an error, what depends on it is not judged.

    A subject is silenced when one of its keys (`subject_keys`; left out, keys as the cause has) is
    among the keys of the cause's findings; one that is waived, or in force as a warning or note,
    silences nothing. `when` may narrow the findings that count. Left without `withholds`, a
    silenced rule is not asked at all; with it, it is, and those of its findings that need nothing
    of what is wrong (`withholds` is false) are told.
    """

    cause: str
    silenced: tuple[str, ...]
    cause_keys: Key
    subject_keys: Key | None = None
    reason: str
    when: Callable[[Subject[object], Finding], bool] | None = None
    withholds: Callable[[Subject[object], Finding], bool] | None = None


# What `underfoot.api` promises to rule sets; it grows by one when a set may have to be rewritten.
API_VERSION = 3


class RuleSet(Struct, frozen=True, kw_only=True):
    """A set of rules, found through the entry-point group ``underfoot.rule_sets``.

    `api` is the version of ``underfoot.api`` that it is written for; a set that says nothing is
    written for the first.

    `base_plan` is the YAML text of a right plan, which the examples on the pages change.
    `gather_mutations` brings the ways to damage a plan, which a check has no use for: they are
    imported when they are asked for. `gather_menders` brings what proposes mends, likewise.
    """

    name: str
    rules: tuple[AnyRule, ...]
    silences: tuple[Suppression, ...] = ()
    base_plan: str = ""
    gather_mutations: Callable[[], tuple[Mutation, ...]] = tuple
    gather_menders: Callable[[], tuple[Mender, ...]] = tuple
    api: int = 1

    @property
    def mutations(self) -> tuple[Mutation, ...]:
        """The ways in which plans are got wrong, rule by rule."""
        return self.gather_mutations()
