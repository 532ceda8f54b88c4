"""Runs the rules over one plan and counts what was checked, found and left undecided."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from datetime import date
from graphlib import CycleError, TopologicalSorter
from math import isfinite
from typing import NamedTuple

from underfoot.checking.facts import Facts
from underfoot.checking.falling import where_it_fell
from underfoot.checking.finding import Basis, CannotTell, Finding, Severity, Subject
from underfoot.checking.rule import Rule, RuleSet, Silence, Subjects
from underfoot.checking.settings import LimitsInForce, Settings
from underfoot.checking.waivers import WaiverState, judge_waivers
from underfoot.plan import Plan


class Raised(NamedTuple):
    """A finding with its rule, subject and severity in force."""

    rule: Rule
    subject: Subject
    finding: Finding
    severity: Severity


class Tally(NamedTuple):
    """What one rule looked at; `undecided` are the subjects that it could not judge, and why."""

    rule: str
    checked: int
    found: int
    undecided: tuple[tuple[Subject, str], ...]

    @property
    def reasons(self) -> tuple[str, ...]:
        """The distinct reasons, in the order met."""
        return tuple(dict.fromkeys(why for _, why in self.undecided))


class Fault(NamedTuple):
    """A rule that crashed: a fault of the tool, never of the plan."""

    rule: str
    message: str


class Outcome(NamedTuple):
    """All that the rules said about one plan."""

    raised: tuple[Raised, ...]
    tallies: tuple[Tally, ...]
    faults: tuple[Fault, ...]
    waivers: tuple[WaiverState, ...]


class Program(NamedTuple):
    """The rules to run, in an order in which a cause comes before what it silences."""

    rules: tuple[Rule, ...]
    silences: Mapping[str, tuple[Silence, ...]]


def arrange(sets: Sequence[RuleSet], off: Mapping[str, object] | None = None) -> Program:
    """Put the rules of all sets in order; ValueError where two share an id or causes go round."""
    rules: dict[str, Rule] = {}
    for rule_set in sets:
        for rule in rule_set.rules:
            if rule.id in rules:
                raise ValueError(f"two rules are called {rule.id}")
            rules[rule.id] = rule
    active = {name: rule for name, rule in rules.items() if not off or name not in off}
    silences: dict[str, list[Silence]] = {}
    sorter: TopologicalSorter[str] = TopologicalSorter(dict.fromkeys(active, ()))
    for silence in (silence for rule_set in sets for silence in rule_set.silences):
        if silence.cause not in active:
            continue
        for name in silence.silenced:
            if name in active:
                silences.setdefault(name, []).append(silence)
                if name != silence.cause:
                    sorter.add(name, silence.cause)
    for name, rule in active.items():
        if rule.last:
            sorter.add(name, *(other for other in active if not active[other].last))
    try:
        order = tuple(sorter.static_order())
    except CycleError as error:
        raise ValueError(f"rules that silence each other in a ring: {error.args[1]}") from None
    return Program(
        tuple(active[name] for name in order),
        {name: tuple(of_rule) for name, of_rule in silences.items()},
    )


def run(
    plan: Plan,
    program: Program,
    settings: Settings,
    *,
    today: date,
    with_waivers: bool = True,
) -> Outcome:
    """Judge the plan by every rule; a rule that raises costs nothing but its own verdict."""
    numbers = settings.numbers
    facts = Facts(plan, numbers, today)
    heard: dict[str, list[tuple[Subject, Finding]]] = {}
    tallies: list[Tally] = []
    faults: list[Fault] = []
    raised: list[Raised] = []
    states: tuple[WaiverState, ...] | None = None
    for rule in program.rules:
        if rule.last and states is None:
            states = _waiver_states(plan, raised, program, settings, facts, today)
            facts = facts.with_waivers(states)
        findings: list[tuple[Subject, Finding]] = []
        heard[rule.id] = findings
        try:
            limits = settings.seen.get(rule.id) or LimitsInForce(rule.id, numbers)
            tally = _judge(rule, facts, limits, program, heard, settings, findings)
        except Exception as error:  # a crashed rule must not take the others with it
            faults.append(Fault(rule.id, where_it_fell(error)))
            findings.clear()
            continue
        tallies.append(tally)
        for subject, finding in findings:
            severity = finding.severity or rule.severities[0]
            raised.append(Raised(rule, subject, finding, severity))
    if states is None:
        states = _waiver_states(plan, raised, program, settings, facts, today)
    tallies.sort(key=lambda tally: tally.rule)
    faults.sort(key=lambda fault: fault.rule)
    return Outcome(tuple(raised), tuple(tallies), tuple(faults), states if with_waivers else ())


def _judge(
    rule: Rule,
    facts: Facts,
    limits: LimitsInForce,
    program: Program,
    heard: Mapping[str, list[tuple[Subject, Finding]]],
    settings: Settings,
    findings: list[tuple[Subject, Finding]],
) -> Tally:
    listed = rule.subjects(facts)
    if isinstance(listed, Subjects):
        subjects, total = listed.near, listed.total
    else:
        subjects = listed if isinstance(listed, (tuple, list)) else tuple(listed)
        total = len(subjects)
    if not subjects:
        return Tally(rule.id, total, 0, ())
    silences = [
        (silence, _keys_heard(silence, heard, facts))
        for silence in program.silences.get(rule.id, ())
        if silence.cause == rule.id or heard.get(silence.cause)
    ]
    undecided: list[tuple[Subject, str]] = []
    counts_as_finding = settings.undecided.get(rule.id)
    changed = settings.severities.get(rule.id)
    check = rule.check
    for subject in subjects:
        if silences:
            why = _silenced(subject, silences, facts)
            if why is not None:
                undecided.append((subject, why))
                continue
        verdict = check(subject, facts, limits)
        if verdict is None:
            continue
        if isinstance(verdict, CannotTell):
            if counts_as_finding is None:
                undecided.append((subject, verdict.why))
                continue
            verdict = Finding(
                message=f"This could not be judged: {verdict.why}.",
                remedy="Give what is missing: the settings in force ask for this to be judged.",
                severity=counts_as_finding[0],
                basis=Basis("settings", counts_as_finding[1].said),
            )
        elif changed is not None:
            verdict = verdict._replace(severity=changed[0])
        _refuse_what_is_no_number(subject, verdict)
        findings.append((subject, verdict))
        for silence, keys in silences:
            if silence.cause == rule.id and _speaks(silence, subject, verdict):
                keys.update(silence.cause_keys(subject, facts))
    return Tally(rule.id, total, len(findings), tuple(undecided))


def _refuse_what_is_no_number(subject: Subject, finding: Finding) -> None:
    # No format can write it, and a verdict that rests on it is worth nothing.
    for name in ("measured", "least", "most"):
        number = getattr(finding, name)
        if number is not None and not isfinite(number):
            raise ValueError(f"`{name}` of {_named(subject)} is {number}, which is no number")
    if finding.shape is not None:
        import shapely

        if not all(map(isfinite, shapely.get_coordinates(finding.shape).ravel().tolist())):
            raise ValueError(f"the shape of {_named(subject)} has a place that is no number")


def _named(subject: Subject) -> str:
    return ", ".join(subject.items) or subject.room or "the plan"


def _keys_heard(
    silence: Silence, heard: Mapping[str, list[tuple[Subject, Finding]]], facts: Facts
) -> set[Hashable]:
    keys: set[Hashable] = set()
    for subject, finding in heard.get(silence.cause, ()):
        if _speaks(silence, subject, finding):
            keys.update(silence.cause_keys(subject, facts))
    return keys


def _speaks(silence: Silence, subject: Subject, finding: Finding) -> bool:
    return silence.speaks is None or silence.speaks(subject, finding)


def _silenced(
    subject: Subject, silences: list[tuple[Silence, set[Hashable]]], facts: Facts
) -> str | None:
    for silence, keys in silences:
        if keys and not keys.isdisjoint(silence.subject_keys(subject, facts)):
            return silence.says
    return None


def _waiver_states(
    plan: Plan,
    raised: Sequence[Raised],
    program: Program,
    settings: Settings,
    facts: Facts,
    today: date,
) -> tuple[WaiverState, ...]:
    if not plan.waivers:
        return ()
    last = {rule.id for rule in program.rules if rule.last}
    return judge_waivers(
        plan.waivers,
        ((each.rule.id, each.subject) for each in raised),
        rules=set(settings.limits),
        ids=facts.ids,
        never_waive=settings.never_waive | last,
        today=today,
    )
