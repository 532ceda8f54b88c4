"""One attempt's bytes -> its marks: read, held to the brief, checked, awarded, drawn."""

from collections import Counter
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from hashlib import sha256
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.engine import Outcome, run
from underfoot.checking.facts import Facts
from underfoot.checking.report import UNREADABLE, PlanReport, ReportedFinding, unreadable
from underfoot.checking.report_builder import build_report
from underfoot.checking.rule_order import RuleOrder
from underfoot.marking.asked import Seen, award_asked, meet
from underfoot.marking.awarding import Row, Shown, award_rule
from underfoot.marking.brief import Change, Restored, restore_brief
from underfoot.marking.gating import apply_gates
from underfoot.marking.marks import NOTHING
from underfoot.marking.scheme import Scheme
from underfoot.marking.submissions import Handed, read_handed
from underfoot.marking.traits import Traits, list_traits
from underfoot.marking.unmarked import is_grave, join_open, list_open, list_unmarked
from underfoot.marking.unread import Hanging, Tried, settle
from underfoot.plan import Plan
from underfoot.reading import Problem, Reading, read_plan
from underfoot.reading.salvage import Salvage, begin_salvage
from underfoot.reading.syntax import Parsed

_NO_CATALOGUE = (
    "`catalogue`: a plan handed in by itself can take nothing from a catalogue: hand in a folder "
    "that holds both, or write the materials into the plan"
)


_NOT_READ = "The plan could not be read."


class Desk(Struct, frozen=True, kw_only=True):
    """All that attempts are judged by, made ready once.

    `given` is the data of the brief, out of which a submission that cannot be read is completed.
    """

    scheme: Scheme
    brief: Plan
    program: RuleOrder
    today: date
    draws: bool = True
    given: Any = None


class Attempt(Struct, frozen=True, kw_only=True):
    """One attempt, judged.

    `rows` are in the scheme's order. `failed_by` says what fails it outright, `flagged` what
    carries no marks and must be known all the same. `ignored` is what it
    brought along that does not count. `drawings` are (room, SVG) with findings by number.
    """

    name: str
    number: int
    shown: str
    digest: str
    report: PlanReport
    rows: tuple[Row, ...]
    earned: Fraction
    failed_by: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    remarks: tuple[str, ...] = ()
    ignored: tuple[str, ...] = ()
    drawings: tuple[tuple[str, str], ...] = ()
    traits: Traits | None = None
    flagged: tuple[str, ...] = ()

    @property
    def is_read(self) -> bool:
        """Whether the plan could be read, in part at least, and judged."""
        return self.report.verdict != UNREADABLE


def judge_attempt(handed: Handed, desk: Desk) -> Attempt:
    """Judge one attempt; whatever it is, an Attempt comes back."""
    if handed.refused is not None or handed.place is None:
        return refuse(handed, desk.scheme, [Problem(message=handed.refused or "there is no file")])
    try:
        source = read_handed(handed)
    except OSError as error:
        why = error.strerror or str(error)
        return refuse(handed, desk.scheme, [Problem(message=f"the file cannot be read: {why}")])
    return judge_source(source, handed, desk)


def refuse(handed: Handed, scheme: Scheme, problems: list[Problem], digest: str = "") -> Attempt:
    """Return what an attempt that cannot be read is worth, with its problems."""
    rows = tuple(
        Row(
            topic=topic.name,
            what=what,
            marks=marks,
            earned=NOTHING,
            reasons=(_NOT_READ,),
            rule=rule,
            of=of,
            room=room,
        )
        for topic in scheme.topics
        for what, marks, rule, of, room in (
            *((row.rule, row.marks, row.rule, row.of, None) for row in topic.rules),
            *((row.what, row.marks, None, None, row.room) for row in topic.asked),
        )
    )
    return Attempt(
        name=handed.name,
        number=handed.attempt,
        shown=handed.shown,
        digest=digest,
        report=unreadable(handed.shown, problems),
        rows=rows,
        earned=scheme.unreadable,
        ignored=tuple(_settings_ignored(handed)),
    )


def judge_source(source: bytes, handed: Handed, desk: Desk) -> Attempt:
    """Judge what was read."""
    digest = sha256(source).hexdigest()
    reading = read_plan(source, path=handed.shown, folder=handed.folder, root=handed.folder)
    plan = reading.plan
    if plan is not None:
        return judge_plan(plan, reading, digest, handed, desk)
    problems = [_reworded(one, handed) for one in reading.problems]
    salvage = _begin_salvage(source, handed, desk)
    if salvage is None:
        return refuse(handed, desk.scheme, problems, digest)
    bare = replace(desk, draws=False)

    def judge(left: Reading) -> Tried:
        assert left.plan is not None
        return _try_plan(left.plan, left, digest, handed, bare, Hanging())

    left, hanging, remarks = settle(salvage, judge, desk.scheme.counts)
    if left is None or left.plan is None:
        return refuse(handed, desk.scheme, problems, digest)
    found = _try_plan(left.plan, left, digest, handed, desk, hanging).attempt
    return replace(
        found,
        report=replace(found.report, problems=tuple(problems)),
        earned=max(found.earned, desk.scheme.unreadable),
        remarks=(*found.remarks, *remarks),
    )


def _begin_salvage(source: bytes, handed: Handed, desk: Desk) -> Salvage | None:
    """Take hold of what can be read of a plan that cannot be read as a whole."""
    from underfoot.reading.plan_file import read_parsed

    def read(parsed: Parsed) -> Reading:
        return read_parsed(parsed, path=handed.shown, folder=handed.folder, root=handed.folder)

    return begin_salvage(source, desk.given, read)


class Looked(Struct, frozen=True, kw_only=True):
    """A plan held to the brief and checked: all that rows and goals are awarded by."""

    restored: Restored
    outcome: Outcome
    seen: Seen


def look_at_plan(
    plan: Plan, reading: Reading, shown: str, desk: Desk, hanging: Hanging | None = None
) -> Looked:
    """Hold a plan to the brief, and check it; `shown` names its file.

    What hangs on values that cannot be read is left open.
    """
    settings = desk.scheme.settings
    restored = restore_brief(plan, desk.brief, desk.scheme.may_not_change)
    judged = replace(restored.plan, waivers=())
    outcome = run(judged, desk.program, settings, today=desk.today, with_waivers=False)
    if hanging is not None:
        outcome = hanging.add_to(outcome)
    report = build_report(shown, judged, outcome, reading.positions, settings, desk.today)
    facts = outcome.facts
    rooms = {model: facts.rooms[name] for model, name in restored.rooms.items()}
    grave = is_grave({rule.id: rule for rule in desk.program.rules})
    tallies = {tally.rule: tally for tally in outcome.tallies}
    steps = frozenset(
        rule.id for rule in desk.program.rules if rule.serves == "steps of the method statement"
    )
    seen = Seen(
        facts=facts,
        report=report,
        tallies=tallies,
        rooms=rooms,
        grave=grave,
        settings=settings,
        step_rules=steps,
    )
    return Looked(restored=restored, outcome=outcome, seen=seen)


def judge_plan(plan: Plan, reading: Reading, digest: str, handed: Handed, desk: Desk) -> Attempt:
    """Hold a plan to the brief, check it, and give it its marks."""
    return _try_plan(plan, reading, digest, handed, desk, Hanging()).attempt


def _try_plan(
    plan: Plan, reading: Reading, digest: str, handed: Handed, desk: Desk, hanging: Hanging
) -> Tried:
    scheme = desk.scheme
    looked = look_at_plan(plan, reading, handed.shown, desk, hanging)
    restored, outcome, seen = looked.restored, looked.outcome, looked.seen
    facts, report = seen.facts, seen.report
    judged = facts.plan
    rows = hanging.hold_down(_award(scheme, seen, desk.program, outcome))
    gated = apply_gates(scheme, rows, seen)
    unmarked = list_unmarked(scheme, report)
    failed_by = (*_find_failures(scheme, gated.rows, seen), *gated.failed_by)
    if scheme.unmarked_fail:
        failed_by += unmarked.faults
    if restored.changes and scheme.changes_fail:
        failed_by += ("the brief was changed",)
    earned = sum((row.earned for row in gated.rows), NOTHING)
    attempt = Attempt(
        name=handed.name,
        number=handed.attempt,
        shown=handed.shown,
        digest=digest,
        report=report,
        rows=gated.rows,
        earned=earned,
        failed_by=join_open(failed_by),
        changes=restored.changes,
        remarks=restored.remarks,
        ignored=(*_waivers_ignored(plan), *_settings_ignored(handed)),
        drawings=_draw(judged, report, facts) if desk.draws else (),
        traits=list_traits(judged),
        flagged=unmarked.gaps if scheme.unmarked_fail else unmarked.faults + unmarked.gaps,
    )
    return Tried(attempt=attempt, outcome=outcome, rows=rows)


def _reworded(problem: Problem, handed: Handed) -> Problem:
    if handed.folder is None and problem.path == "catalogue":
        return replace(problem, message=_NO_CATALOGUE)
    return problem


def _award(scheme: Scheme, seen: Seen, program: RuleOrder, outcome: Outcome) -> tuple[Row, ...]:
    crashed = {fault.rule: fault.message for fault in outcome.faults}
    wrong: dict[str, list[tuple[str, int]]] = {}
    for finding in seen.report.findings:
        if finding.severity in scheme.counts:
            name = ", ".join(finding.items) or finding.room or "the plan"
            wrong.setdefault(finding.rule, []).append((name, finding.number))
    lacks = _find_lacks(program, seen.report)
    topics = {rule.id: rule.topic for rule in program.rules}
    rows: list[Row] = []
    for topic in scheme.topics:
        for row in topic.rules:
            tally = seen.tallies.get(row.rule)
            shown = Shown(
                checked=tally.checked if tally else 0,
                wrong=tuple(wrong.get(row.rule, ())),
                undecided=len(tally.undecided) if tally else 0,
                reasons=tuple(Counter(each.why for each in tally.undecided).most_common())
                if tally
                else (),
                lacks=lacks.get(topics.get(row.rule, "")),
                crashed=crashed.get(row.rule),
            )
            rows.append(award_rule(topic.name, row, shown, scheme.round_to))
        rows += [
            award_asked(topic.name, goal, meet(goal, seen), seen, scheme.round_to)
            for goal in topic.asked
        ]
    return tuple(rows)


def _find_lacks(program: RuleOrder, report: PlanReport) -> Mapping[str, str]:
    """Say by topic what the plan has none of: what a rule called `THING-missing` found."""
    found = {finding.rule for finding in report.findings}
    return {
        rule.topic: f"No {rule.id.removesuffix('-missing')}"
        for rule in program.rules
        if rule.id.endswith("-missing") and rule.id in found
    }


def _find_failures(scheme: Scheme, rows: tuple[Row, ...], seen: Seen) -> tuple[str, ...]:
    """Say which rules fail the submission: by an error, or where nothing shows them kept.

    What could be an error of one and could not be judged fails it, as it does without marks.
    """
    by_rule: dict[str, list[ReportedFinding]] = {}
    for finding in seen.report.findings:
        if seen.grave(finding):
            by_rule.setdefault(finding.rule, []).append(finding)
    shown = {row.rule: row for row in rows if row.rule is not None}
    failed = []
    for rule in scheme.fails:
        numbers = [str(finding.number) for finding in by_rule.get(rule, ())]
        if numbers:
            word = "finding" if len(numbers) == 1 else "findings"
            failed.append(f"{rule} ({word} {', '.join(numbers)})")
    for rule in scheme.must_show:
        if rule in shown and not shown[rule].right and rule not in by_rule:
            failed.append(f"{rule} (nothing in the plan shows that it is kept)")
    told = {said.partition(" ")[0] for said in failed}
    open_ones = list_open(seen.report, set(scheme.fails) - told, scheme.may_not_change)
    failed += [one.said for one in open_ones if not one.is_the_briefs]
    return tuple(failed)


def _waivers_ignored(plan: Plan) -> list[str]:
    said = []
    for waiver in plan.waivers:
        of = f" for {waiver.item}" if waiver.item else ""
        said.append(f"a waiver of {waiver.rule}{of}")
    return said


def _settings_ignored(handed: Handed) -> list[str]:
    return [f"settings of its own ({name})" for name in handed.beside]


def _draw(plan: Plan, report: PlanReport, facts: Facts) -> tuple[tuple[str, str], ...]:
    from underfoot.drawing import SheetOptions, choose_layers, draw_body

    drawn = []
    for place, (name, room) in enumerate(facts.rooms.items(), 1):
        options = SheetOptions(layers=choose_layers(room, report))
        svg = draw_body(room, plan, report, prefix=f"r{place}-", width=170.0, options=options)
        drawn.append((name, svg))
    return tuple(drawn)
