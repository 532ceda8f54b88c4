"""Findings on a plan of which parts could not be read: those that hang on these are held back.

A rule is run again, alone and over facts of its own, on a plan that notes when one of the doubtful
parts is looked at. What a rule finds without looking at any is as true as of a whole plan. Where
strips, leads or rooms may be missing, what it finds must be the same, word for word, once they lie
everywhere: what is too little, or not there at all, is no finding then, and two things that lie on
each other still are. Where one of them, or a fixture, is there and not as it is meant, it must be
the same without that. All else is held back, and of what is kept a remedy that differs.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.at_work import at_work_alone
from underfoot.checking.check import Checker
from underfoot.checking.engine import Outcome, RuleFinding, judge_subjects
from underfoot.checking.facts import Facts
from underfoot.checking.finding import Finding, Subject
from underfoot.checking.rule import AnyRule
from underfoot.checking.standing_in import Doubts, fill
from underfoot.plan import Plan, Room
from underfoot.plan_format.fields import fields_made
from underfoot.reading.paths import split_path

# The fields that a key of a room or of the plan is read into, where they are called otherwise.
_FIELDS: Mapping[str, tuple[str, ...]] = {
    "rows": ("elements", "rows"),
    "elements": ("elements", "rows"),
    "covering": ("coverings",),
    "materials": ("materials", "own_entries"),
    "catalogue": (
        "materials",
        "own_entries",
        "catalogue",
        "catalogue_place",
        "method_statement",
        "packs",
    ),
    "method_statement": ("method_statement", "own_entries"),
}
# What is no statement of the plan about a thing, but says which it is.
_NAMES = frozenset({"id", "path", "row"})
_HELD_AGAINST_THE_CATALOGUE = frozenset({"materials", "method_statement", "catalogue"})
_FILLABLE = frozenset({"elements", "rows", "leads", "rooms"})
_REMOVED = frozenset({"elements", "rows", "leads", "fixtures"})
_ID = re.compile("[A-Za-z0-9_-]+")
# With more findings the rest is held back: each costs facts of its own.
_MOST_GROUPS = 60

# The path of a thing, and one of its fields.
Doubt = tuple[str, str]
_Key = tuple[tuple[str, ...], str]


class Trusted(Struct, frozen=True, kw_only=True):
    """What is as true as of a whole plan, and the rules of which something was held back."""

    outcome: Outcome
    held_back: tuple[str, ...]


def hold_back(outcome: Outcome, plan: Plan, doubtful: Iterable[str], checker: Checker) -> Trusted:
    """Keep of what was found what does not hang on paths that are in doubt."""
    doubts = _find_doubts(plan, doubtful)
    seen: set[Doubt] = set()
    watched = _Watching(doubts, seen).watch(plan)
    filled = fill(plan, doubts)
    kept: list[RuleFinding] = []
    held: dict[str, None] = {}
    for number, ((rule, _), group) in enumerate(_group(outcome.raised).items()):
        sure: list[RuleFinding] = []
        if not rule.last and number < _MOST_GROUPS:
            sure = _keep_sure(rule, group, (watched, filled), seen, checker)
        kept += sure
        if len(sure) < len(group):
            held[rule.id] = None
    raised = tuple(each for each in kept)
    return Trusted(outcome=replace(outcome, raised=raised), held_back=tuple(held))


def _group(
    raised: Sequence[RuleFinding],
) -> dict[tuple[AnyRule, str | None], list[RuleFinding]]:
    groups: dict[tuple[str, str | None], tuple[AnyRule, list[RuleFinding]]] = {}
    for each in raised:
        key = (each.rule.id, each.subject.room)
        groups.setdefault(key, (each.rule, []))[1].append(each)
    return {(rule, key[1]): group for key, (rule, group) in groups.items()}


def _keep_sure(
    rule: AnyRule,
    group: Sequence[RuleFinding],
    plans: tuple[Plan, Plan | None],
    seen: set[Doubt],
    checker: Checker,
) -> list[RuleFinding]:
    """Keep the findings of a rule on a room, or on none, that hang on nothing doubtful."""
    watched, filled = plans
    wanted = {_key(each) for each in group}
    seen.clear()
    again = _judge(rule, watched, wanted, checker)
    looked_at = frozenset(seen)
    sure = [each for each in group if _same(again.get(_key(each)), each.finding)]
    if not looked_at:
        return sure
    if filled is None or not all(_can_vary(doubt) for doubt in looked_at):
        return []
    with_more = _judge(rule, filled, wanted, checker)
    return [
        _with_remedy(each, with_more[_key(each)])
        for each in sure
        if _same(with_more.get(_key(each)), each.finding)
    ]


def _judge(rule: AnyRule, plan: Plan, wanted: set[_Key], checker: Checker) -> dict[_Key, Finding]:
    """Judge again what was found, by facts of its own."""
    settings = checker.settings
    facts = Facts(plan, settings.numbers, checker.today, settings.materials_from)
    found: dict[_Key, Finding] = {}

    def is_asked(subject: Subject[object]) -> bool:
        return (subject.items, subject.path) in wanted

    def judge() -> None:
        for subject, verdict in judge_subjects(rule, facts, settings, is_asked):
            if isinstance(verdict, Finding):
                found[subject.items, subject.path] = verdict

    try:
        at_work_alone(rule.id, judge) if rule.id in checker.program.foreign else judge()
    except MemoryError:
        raise
    except Exception:  # on what stands in a rule may fail; then nothing of it is sure
        return {}
    return found


def _key(found: RuleFinding) -> _Key:
    return found.subject.items, found.subject.path


def _can_vary(doubt: Doubt) -> bool:
    """Whether the plan is tried with more, or without, what was looked at."""
    path, field = doubt
    parts = split_path(path)
    if len(parts) > 3:
        return parts[0] == "rooms" and parts[2] in _REMOVED
    return field in _FILLABLE


def _same(again: Finding | None, finding: Finding) -> bool:
    if again is None:
        return False
    return (again.message, again.measured, again.least, again.most) == (
        finding.message, finding.measured, finding.least, finding.most,
    )  # fmt: skip


def _with_remedy(found: RuleFinding, again: Finding) -> RuleFinding:
    """A remedy that hangs on what is not known is not given."""
    if again.remedy == found.finding.remedy:
        return found
    remedy = "What to do hangs on what cannot be read here as yet."
    return replace(found, finding=replace(found.finding, remedy=remedy))


def _find_doubts(plan: Plan, doubtful: Iterable[str]) -> Doubts:
    """Find the things of the plan, and their fields, that doubtful paths stand for."""
    things: dict[tuple[str, ...], Any] = {}
    _list_things(plan, things)
    things[()] = plan
    found: dict[int, frozenset[str]] = {}

    def doubt(thing: Any, names: Iterable[str]) -> None:
        found[id(thing)] = found.get(id(thing), frozenset()) | frozenset(names)

    for path in doubtful:
        parts = split_path(path)
        if parts[:1] and parts[0] in _HELD_AGAINST_THE_CATALOGUE:
            doubt(plan, ["own_entries"])
        if len(parts) == 2 and parts[0] == "rooms" and not _ID.fullmatch(parts[1]):
            # What has no room's name may be a strip or a lead of any, slipped to the left.
            for path_of, room in things.items():
                if len(path_of) == 2 and path_of[0] == "rooms":
                    doubt(room, _FILLABLE & _fields_of(room, None))
        if parts[0:1] == ("rooms",) and parts[2:3] == ("rows",) and parts[:2] in things:
            room = things[parts[:2]]
            if parts[4:5] in ((), ("lengths",)):
                doubt(room, _FIELDS["rows"])
            if parts[4:5] != ("lengths",) and parts[:4] in things:
                # The row's strips are there, but not as they are meant.
                for strip in room.elements:
                    if strip.row == parts[3]:
                        doubt(strip, _fields_of(strip, None))
        for length in range(len(parts), -1, -1):
            thing = things.get(parts[:length])
            # Of a list that lost an item, others have moved up to its place.
            if thing is None or (length and parts[length - 1].isdecimal() and length == len(parts)):
                continue
            doubt(thing, _fields_of(thing, parts[length] if length < len(parts) else None))
            break
    return found


def _list_things(value: Any, things: dict[tuple[str, ...], Any]) -> None:
    if isinstance(value, Struct):
        path = getattr(value, "path", None)
        if isinstance(path, str):
            things.setdefault(split_path(path), value)
        for field in value.__struct_fields__:
            _list_things(getattr(value, field), things)
    elif isinstance(value, tuple):
        for each in value:
            if isinstance(each, Struct):
                _list_things(each, things)
    elif isinstance(value, dict):
        for each in value.values():
            _list_things(each, things)


def _fields_of(thing: Any, key: str | None) -> frozenset[str]:
    """The fields that a key of a thing is read into; all of them where it is not known which."""
    kind: Any = type(thing)
    fields = frozenset(thing.__struct_fields__) - _NAMES
    if key is None:
        return fields
    known = {name.split(".")[0] for name in fields_made(kind)}
    known |= set(_FIELDS) if kind in (Plan, Room) else set()
    # Of a word that is half typed, all that begin so may be meant.
    meant = {key} if key in known else {name for name in known if name.startswith(key)}
    found: set[str] = set()
    for word in meant:
        found.update(_FIELDS.get(word, ()) if kind in (Plan, Room) else ())
        found.update(name for name in fields if name == word or name.startswith(f"{word}_"))
    return frozenset(found) & fields or fields


class _Watching:
    """Makes copies of a plan's things that note when a doubtful field of one is looked at."""

    def __init__(self, doubts: Doubts, seen: set[Doubt]) -> None:
        self._doubts = doubts
        self._seen = seen
        self._done: dict[int, Any] = {}

    def watch(self, value: Any) -> Any:
        """Copy a value where there is anything to be watched in it."""
        if isinstance(value, Struct):
            if id(value) not in self._done:
                self._done[id(value)] = self._watch_thing(value)
            return self._done[id(value)]
        if isinstance(value, tuple):
            copied = tuple(map(self.watch, value))
            same = all(one is other for one, other in zip(value, copied, strict=True))
            return value if same else copied
        if isinstance(value, dict):
            inside = {key: self.watch(each) for key, each in value.items()}
            return value if all(inside[key] is value[key] for key in value) else inside
        return value

    def _watch_thing(self, thing: Any) -> Any:
        before = {field: getattr(thing, field) for field in thing.__struct_fields__}
        inside = {field: self.watch(value) for field, value in before.items()}
        doubtful = self._doubts.get(id(thing))
        if doubtful:
            return self._make_watched(type(thing), doubtful, before.get("path", ""))(**inside)
        if all(inside[field] is before[field] for field in before):
            return thing
        return replace(thing, **inside)

    def _make_watched(self, kind: Any, fields: frozenset[str], path: str) -> Any:
        """A class like that of a thing, whose doubtful fields note that they are looked at."""

        def watch(field: str) -> property:
            read = getattr(kind, field).__get__

            def look(thing: Any) -> Any:
                self._seen.add((path, field))
                return read(thing)

            return property(look)

        # Nothing is looked at while a copy is made.
        made = {"__post_init__": lambda thing: None}
        return type(kind)(kind.__name__, (kind,), made | {field: watch(field) for field in fields})
