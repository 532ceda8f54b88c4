"""Runs the rules over one plan and counts what was checked, found and left undecided."""

import sys
import threading
import traceback
from collections.abc import Callable, Container, Iterator
from contextlib import contextmanager, redirect_stdout
from datetime import date
from functools import partial
from operator import attrgetter

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.at_work import at_work_alone, may_be_interrupted
from underfoot.checking.crash import PassesThroughError, describe, is_lack_of_memory
from underfoot.checking.facts import Facts
from underfoot.checking.finding import SEVERITIES, Basis, CannotTell, Finding, Severity, Subject
from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.rule import AnyRule, Subjects
from underfoot.checking.rule_order import RuleOrder
from underfoot.checking.settings import LimitsInForce, Settings
from underfoot.checking.silencing import Heard, find_silencing
from underfoot.checking.soundness import (
    MistakenError,
    UnsoundError,
    refuse_no_count,
    refuse_unsound,
)
from underfoot.checking.unwaivable import list_unwaivable
from underfoot.checking.waivers import WaiverState, covers, judge_waivers, list_sound
from underfoot.plan import Plan, Waiver


class RuleFinding(Struct, frozen=True, kw_only=True):
    """A finding with its rule, subject and severity in force."""

    rule: AnyRule
    subject: Subject[object]
    finding: Finding
    severity: Severity


class Undecided(Struct, frozen=True, kw_only=True):
    """A subject that a rule could not judge: why, what to write, and the gravest it could be."""

    subject: Subject[object]
    why: str
    write: str | None
    worst: Severity


class Tally(Struct, frozen=True, kw_only=True):
    """What one rule looked at; `undecided` are the subjects that it could not judge."""

    rule: str
    checked: int
    found: int
    undecided: tuple[Undecided, ...]

    @property
    def reasons(self) -> tuple[str, ...]:
        """The distinct reasons, in the order met."""
        return tuple(dict.fromkeys(each.why for each in self.undecided))


class Fault(Struct, frozen=True, kw_only=True):
    """A rule that crashed: a fault of the tool, never of the plan.

    `worst` is the gravest that it could have found; `trace` is what its author wants to see.
    """

    rule: str
    message: str
    worst: Severity = "error"
    trace: str = ""


class Outcome(Struct, frozen=True, kw_only=True):
    """All that the rules said about one plan, and the facts that they judged it by."""

    raised: tuple[RuleFinding, ...]
    tallies: tuple[Tally, ...]
    faults: tuple[Fault, ...]
    waivers: tuple[WaiverState, ...]
    facts: Facts


@contextmanager
def _output_kept_clear() -> Iterator[None]:
    """Let what a rule prints go to standard error: the output is the report's alone."""
    if threading.current_thread() is not threading.main_thread():
        yield  # the stream is every thread's
        return
    with redirect_stdout(sys.stderr):
        yield


@_output_kept_clear()
def run(
    plan: Plan,
    program: RuleOrder,
    settings: Settings,
    *,
    today: date,
    with_waivers: bool = True,
    paths: Container[str] | None = None,
    before: Facts | None = None,
    is_advised: bool = True,
) -> Outcome:
    """Judge the plan by every rule; a rule that raises costs nothing but its own verdict.

    Where two rules lack memory the plan is taken for the cause: MemoryError.

    `paths` are all that lead anywhere in the plan's file; without them any path is taken. From the
    facts `before`, of the plan as it was, comes what was worked out of rooms that are the same.
    Where nobody reads what to do (`is_advised`), rules need not try what they would advise.
    """
    facts = Facts(plan, settings.numbers, today, settings.materials_from, before)
    facts.is_advised = is_advised
    facts.seal()
    forbidden = list_unwaivable(program, settings) if plan.waivers else {}
    sound: tuple[Waiver, ...] = ()
    if with_waivers and plan.waivers:
        sound = list_sound(plan.waivers, settings.limits, forbidden, today)
    judging = _Judging(
        facts=facts,
        program=program,
        settings=settings,
        sound=sound,
        findings_by_rule={},
        paths=paths,
    )
    tallies: list[Tally] = []
    faults: list[Fault] = []
    raised: list[RuleFinding] = []
    states: tuple[WaiverState, ...] | None = None
    lacked_memory = False

    def judge_all_waivers() -> tuple[WaiverState, ...]:
        if not plan.waivers:
            return ()
        return judge_waivers(
            plan.waivers,
            ((each.rule.id, each.subject) for each in raised),
            rules=(*settings.limits, MAKERS_FIGURES.id),
            # Without a waiver nobody asks, and boards need no laying out.
            ids=facts.ids if plan.waivers else (),
            forbidden=forbidden,
            today=today,
        )

    for rule in (MAKERS_FIGURES, *program.rules):
        if rule.last and states is None:
            states = judge_all_waivers()
            judging = replace(judging, facts=facts.with_waivers(states))
        findings: list[RuleFinding] = []
        mistaken: list[MistakenError] = []
        try:
            if rule.id in program.foreign:
                judge = partial(_judge, rule, judging, findings, mistaken)
                tally = at_work_alone(rule.id, judge)
            else:
                tally = _judge(rule, judging, findings, mistaken)
        except PassesThroughError as error:
            error.rule = rule.id if rule.id in program.foreign else ""
            raise
        except BaseException as error:  # a crashed rule must not take the others with it
            if isinstance(error, KeyboardInterrupt) and may_be_interrupted():
                raise
            if is_lack_of_memory(error):
                if lacked_memory:
                    raise MemoryError from None
                lacked_memory = True
            faults.append(_fault_of(rule, error, settings))
            judging.findings_by_rule.pop(rule.id, None)
            continue
        if mistaken:
            faults.append(_fault_of(rule, mistaken[0], settings))
        if rule is not MAKERS_FIGURES or tally.checked:
            tallies.append(tally)
        raised += findings
    if states is None:
        states = judge_all_waivers()
    tallies.sort(key=attrgetter("rule"))
    faults.sort(key=attrgetter("rule"))
    held = states if with_waivers else ()
    return Outcome(
        raised=tuple(raised),
        tallies=tuple(tallies),
        faults=tuple(faults),
        waivers=held,
        facts=facts,
    )


def keep_asked(outcome: Outcome, rules: Container[str]) -> Outcome:
    """Keep what the rules asked have said, and what is told always."""

    def is_asked(rule: str) -> bool:
        return rule in rules or rule == MAKERS_FIGURES.id

    return replace(
        outcome,
        raised=tuple(each for each in outcome.raised if is_asked(each.rule.id)),
        tallies=tuple(each for each in outcome.tallies if is_asked(each.rule)),
        faults=tuple(each for each in outcome.faults if is_asked(each.rule)),
    )


class _Judging(Struct, frozen=True, kw_only=True):
    """What every rule of a run is judged with.

    `sound` are the waivers that hold where they cover a finding; `findings_by_rule` is filled on
    the way with the findings that silence what depends on them.
    """

    facts: Facts
    program: RuleOrder
    settings: Settings
    sound: tuple[Waiver, ...]
    findings_by_rule: dict[str, Heard]
    paths: Container[str] | None

    def exists(self, path: str) -> bool:
        """Tell whether a path leads anywhere in the plan."""
        return self.paths is None or path in self.paths

    def stands(self, rule: AnyRule, subject: Subject[object], severity: Severity) -> bool:
        """Tell whether a finding is an error that nobody agreed to leave."""
        return severity == "error" and not any(
            covers(waiver, rule.id, subject) for waiver in self.sound
        )


def _fault_of(rule: AnyRule, error: BaseException, settings: Settings) -> Fault:
    said = describe(error, rule.module)
    if isinstance(error, MistakenError):
        said = str(error)
    elif isinstance(error, UnsoundError):
        said = f"what {rule.module} gives cannot be used: {error}"
    trace = "".join(traceback.format_exception(error))
    return Fault(rule=rule.id, message=said, worst=_gravest(rule, settings), trace=trace)


def _gravest(rule: AnyRule, settings: Settings) -> Severity:
    changed = settings.severities.get(rule.id)
    return min(rule.severities, key=SEVERITIES.index) if changed is None else changed[0]


def _judge(
    rule: AnyRule,
    judging: _Judging,
    findings: list[RuleFinding],
    mistaken: list[MistakenError],
) -> Tally:
    facts, settings = judging.facts, judging.settings
    listed = rule.subjects(facts)
    if isinstance(listed, Subjects):
        refuse_no_count(listed.total)
        subjects, total = listed.candidates, int(listed.total)
    else:
        subjects = listed if isinstance(listed, (tuple, list)) else tuple(listed)
        total = len(subjects)
    if not subjects:
        return Tally(rule=rule.id, checked=total, found=0, undecided=())
    limits = settings.limits_by_rule.get(rule.id) or LimitsInForce(rule.id, settings.numbers)
    silencing = find_silencing(
        rule, judging.program.silences.get(rule.id, ()), judging.findings_by_rule, mistaken
    )
    if silencing is not None:
        silencing.take_in(facts)
    undecided: list[Undecided] = []
    changed = settings.severities.get(rule.id)
    check = rule.check
    for subject in subjects:
        if silencing is not None:
            verdict = silencing.judge(subject, facts, limits)
        else:
            verdict = check(subject, facts, limits)
        if verdict is None:
            continue
        refuse_unsound(rule, subject, verdict, judging.exists)
        if isinstance(verdict, CannotTell):
            unjudged = _as_finding(verdict, rule, settings)
            if unjudged is None:
                undecided.append(_left_undecided(subject, verdict, rule, settings))
            else:
                finding, severity = unjudged
                findings.append(
                    RuleFinding(rule=rule, subject=subject, finding=finding, severity=severity)
                )
            continue
        severity = verdict.severity or rule.severities[0]
        if changed is not None:
            severity = changed[0]
        findings.append(RuleFinding(rule=rule, subject=subject, finding=verdict, severity=severity))
        if rule.id in judging.program.causes and judging.stands(rule, subject, severity):
            judging.findings_by_rule.setdefault(rule.id, []).append((subject, verdict))
            if silencing is not None:
                silencing.add(subject, verdict, facts)
    return Tally(rule=rule.id, checked=total, found=len(findings), undecided=tuple(undecided))


def judge_subjects(
    rule: AnyRule,
    facts: Facts,
    settings: Settings,
    is_asked: Callable[[Subject[object]], bool],
) -> Iterator[tuple[Subject[object], Finding | CannotTell]]:
    """Judge by one rule alone those subjects that are asked for."""
    listed = rule.subjects(facts)
    subjects = listed.candidates if isinstance(listed, Subjects) else listed
    limits = settings.limits_by_rule.get(rule.id) or LimitsInForce(rule.id, settings.numbers)
    for subject in subjects:
        verdict = rule.check(subject, facts, limits) if is_asked(subject) else None
        if verdict is not None:
            yield subject, verdict


def _as_finding(
    verdict: CannotTell, rule: AnyRule, settings: Settings
) -> tuple[Finding, Severity] | None:
    """Make a finding of what could not be judged, where the settings ask for that."""
    asked = settings.undecided_for(rule.id)
    if asked is None:
        return None
    severity, origin = asked
    finding = Finding(
        message=f"This could not be judged: {verdict.why}.",
        remedy=verdict.write
        or "Give what is missing: the settings in force ask for this to be judged.",
        basis=Basis(kind="settings", text=origin.said),
    )
    return finding, severity


def _left_undecided(
    subject: Subject[object], verdict: CannotTell, rule: AnyRule, settings: Settings
) -> Undecided:
    worst = _gravest(rule, settings)
    if verdict.worst is not None and rule.id not in settings.severities:
        worst = verdict.worst
    return Undecided(subject=subject, why=verdict.why, write=verdict.write, worst=worst)
