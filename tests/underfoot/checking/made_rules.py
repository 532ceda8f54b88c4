"""Rules made for a test, and what comes of running them."""

from collections.abc import Callable, Iterable
from datetime import date
from typing import Any

from msgspec.structs import replace

from underfoot.checking.engine import Outcome, Tally, run
from underfoot.checking.facts import Facts
from underfoot.checking.finding import Basis, CannotTell, Finding, Subject
from underfoot.checking.origin import Origin
from underfoot.checking.rule import Limits, Rule, RuleSet, Subjects, Suppression
from underfoot.checking.rule_order import order_rules
from underfoot.checking.settings import Settings, default_settings
from underfoot.plan import Materials, Plan, Supply, Waiver

PLAN = Plan(
    status="for review",
    materials=Materials(films={}, boards={}, sheets={}, coverings={}),
    supply=Supply(path="supply", voltage_v=230.0),
    rooms={},
    circuits={},
)
DAY = date(2026, 1, 1)
BASIS = Basis(kind="own default", text="made for this test")
Verdict = Finding | CannotTell | None


ORIGIN = Origin(file="underfoot.yaml", line=3, because="agreed")


def rule(
    name: str,
    verdict: Callable[[Subject], Verdict],
    things: Iterable[str] = ("a", "b", "c"),
    *,
    total: int | None = None,
) -> Rule:
    def subjects(facts: Facts) -> Subjects | list[Subject]:
        near = [Subject(room=None, items=(thing,), path="supply") for thing in things]
        return near if total is None else Subjects(candidates=near, total=total)

    def check(subject: Subject, facts: Facts, limits: Limits) -> Verdict:
        return verdict(subject)

    return Rule(
        id=name,
        topic="test",
        severities=("error",),
        finds="a fault",
        why="It matters.",
        unit=None,
        basis=BASIS,
        subjects=subjects,
        check=check,
        module=__name__,
    )


def find(subject: Subject) -> Finding:
    return Finding(message="It is wrong.", remedy="Mend it.")


def outcome(
    *rules: Rule,
    silences: tuple[Suppression, ...] = (),
    waivers: tuple[Waiver, ...] = (),
    counted: bool = True,
    **changes: Any,
) -> Outcome:
    settings = Settings(default_settings(rules).limits, **changes)
    program = order_rules([RuleSet(name="test", rules=rules, silences=silences)], settings.off)
    plan = replace(PLAN, waivers=waivers)
    return run(plan, program, settings, today=DAY, with_waivers=counted)


def by_items(subject: Subject, facts: Facts) -> tuple[object, ...]:
    return subject.items


def all_alike(subject: Subject, facts: Facts) -> tuple[object, ...]:
    return ("all",)


SPOKEN = "the cause has spoken"


def silence(
    cause: str = "cause", silenced: str = "after", keys: Any = by_items, **more: Any
) -> Suppression:
    return Suppression(
        cause=cause, silenced=(silenced,), cause_keys=keys, subject_keys=keys,
        **{"reason": SPOKEN, **more},
    )  # fmt: skip


def tally_of(name: str, result: Outcome) -> Tally:
    return next(tally for tally in result.tallies if tally.rule == name)


def silenced(*causes: Rule, withholds: object = None, **changes: object) -> list[tuple[str, str]]:
    """Run a rule that finds a and b behind a cause; give what it found, and why it did not."""

    def findings(subject: Subject) -> Verdict:
        measured = 1.0 if subject.items == ("a",) else None
        return Finding(message="It is wrong.", remedy="Mend it.", measured=measured)

    behind = silence(keys=all_alike, withholds=withholds)
    result = outcome(rule("after", findings, "ab"), *causes, silences=(behind,), **changes)
    found = [(each.subject.items[0], "") for each in result.raised if each.rule.id == "after"]
    undecided = tally_of("after", result).undecided
    return sorted([*found, *((each.subject.items[0], each.why) for each in undecided)])
