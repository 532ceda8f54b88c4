"""A scheme tried on model answers: what they earn, what nobody could, and what each fault costs."""

import csv
import io
import json
import random
from collections.abc import Iterator, Sequence
from fractions import Fraction

from msgspec import Struct

from underfoot.checking.caution import CAUTION
from underfoot.checking.check import Checker, check_source
from underfoot.checking.mutation import Damaged, Data, Mutation
from underfoot.marking.awarding import Row
from underfoot.marking.judging import Attempt, Desk, judge_source
from underfoot.marking.marks import as_number, written_marks
from underfoot.marking.results import PASSED, tell_outcome
from underfoot.marking.scheme import Scheme
from underfoot.marking.submissions import Handed
from underfoot.reporting.layout import WIDTH, count_of, escape_invisible, hanging_indent
from underfoot.reporting.spreadsheet import safe_text

# A damage that one draw does not fit may be fitted by another.
_DRAWS = 3


class Tried(Struct, frozen=True, kw_only=True):
    """A model answer as the scheme marks it."""

    name: str
    data: Data
    attempt: Attempt
    outcome: str


class Cost(Struct, frozen=True, kw_only=True):
    """What one fault costs: marks, the rows that lose them, and what becomes of the outcome.

    `undone` is what was put back because the brief gives it.
    """

    rule: str
    says: str
    lost: Fraction
    rows: tuple[str, ...]
    outcome: str
    failed_by: tuple[str, ...]
    undone: tuple[str, ...]

    @property
    def is_free(self) -> bool:
        """Whether nobody would mind it: no marks, and the outcome is as it was."""
        return not self.lost and not self.failed_by


class Trial(Struct, frozen=True, kw_only=True):
    """All that a trial came to; the first model answer is the one that fits best."""

    scheme: Scheme
    models: tuple[Tried, ...]
    vain: tuple[Row, ...]
    by_brief: tuple[Row, ...]
    untouched: tuple[str, ...]
    costs: tuple[Cost, ...]
    unfit: tuple[Mutation, ...]


def try_scheme(
    models: Sequence[tuple[str, Data]], brief: Data, desk: Desk, mutations: Sequence[Mutation]
) -> Trial:
    """Mark the model answers, the brief as handed out, and the best answer with each fault."""
    tried = [_try_model(name, data, desk) for name, data in models]
    tried.sort(key=lambda one: (one.outcome != PASSED, -one.attempt.earned))
    best = tried[0]
    earned = [
        max(one.attempt.rows[at].earned for one in tried) for at in range(len(best.attempt.rows))
    ]
    vain = tuple(
        row for row, most in zip(best.attempt.rows, earned, strict=True) if most < row.marks
    )
    # Where the model answer stands for a brief, the brief earns all that it does.
    is_model = any(data == brief for _, data in models)
    bare = () if is_model else _judge(brief, "the brief", desk).rows
    costs, unfit = [], []
    for mutation in sorted(mutations, key=lambda one: (one.rule, one.name)):
        cost = _try_mutation(mutation, best, desk)
        if cost is None:
            unfit.append(mutation)
        else:
            costs.append(cost)
    costs.sort(key=lambda one: (-one.lost, one.rule, one.says))
    looked = {check.rule for one in tried for check in one.attempt.report.checks if check.checked}
    named = dict.fromkeys((*desk.scheme.fails, *desk.scheme.must_show))
    return Trial(
        scheme=desk.scheme,
        models=tuple(tried),
        vain=vain,
        by_brief=tuple(row for row in bare if row.earned),
        untouched=tuple(rule for rule in named if rule not in looked),
        costs=tuple(costs),
        unfit=tuple(unfit),
    )


def _judge(data: Data, name: str, desk: Desk) -> Attempt:
    return judge_source(
        json.dumps(data).encode(), Handed(name=name, attempt=1, shown=name, place=None), desk
    )


def _try_model(name: str, data: Data, desk: Desk) -> Tried:
    attempt = _judge(data, name, desk)
    return Tried(
        name=name,
        data=data,
        attempt=attempt,
        outcome=tell_outcome(desk.scheme, attempt, attempt.earned),
    )


def _try_mutation(mutation: Mutation, best: Tried, desk: Desk) -> Cost | None:
    for draw in range(_DRAWS):
        damaged = mutation.apply(best.data, random.Random(f"trial {mutation.name} {draw}"))
        if damaged is not None and _shows(mutation, damaged, desk):
            break
    else:
        return None
    attempt = _judge(damaged.data, best.name, desk)
    before = best.attempt
    rows = tuple(
        f"{row.label} {written_marks(was.earned - row.earned)}"
        for was, row in zip(before.rows, attempt.rows, strict=True)
        if row.earned < was.earned
    )
    return Cost(
        rule=mutation.rule,
        says=mutation.says,
        lost=before.earned - attempt.earned,
        rows=rows,
        outcome=tell_outcome(desk.scheme, attempt, attempt.earned),
        failed_by=tuple(one for one in attempt.failed_by if one not in before.failed_by),
        undone=tuple(change.said for change in attempt.changes if change not in before.changes),
    )


def _shows(mutation: Mutation, damaged: Damaged, desk: Desk) -> bool:
    """Tell whether the mutation's rule speaks in the damaged plan, before the brief is put back."""
    if damaged.expected:
        return True
    checker = Checker(settings=desk.scheme.settings, program=desk.program, today=desk.today)
    report = check_source(json.dumps(damaged.data).encode(), checker, path="trial.yaml")
    return any(finding.rule == mutation.rule for finding in report.findings)


def write_trial(trial: Trial) -> Iterator[str]:
    """Write a trial for a terminal."""
    scheme, best = trial.scheme, trial.models[0]
    total = written_marks(scheme.marks)
    yield escape_invisible(scheme.title)
    yield f"{total} marks, {written_marks(scheme.pass_mark)} to pass"
    yield ""
    for one in trial.models:
        fits = " (the best fit)" if len(trial.models) > 1 and one is best else ""
        said = f"earns {written_marks(one.attempt.earned)} of {total}, {one.outcome}{fits}"
        for why in (*one.attempt.failed_by, *(change.said for change in one.attempt.changes)):
            said += f"; {escape_invisible(why)}"
        yield from hanging_indent(f"{escape_invisible(one.name)}  ", said, WIDTH, 2)
        for problem in one.attempt.report.problems[:5]:
            yield from hanging_indent(
                f"  line {problem.line}  ", escape_invisible(problem.message), WIDTH
            )
    yield from _list_rows("Rows that no model answer earns whole", trial.vain)
    yield from _list_rows("Rows earned by handing in the brief as it is", trial.by_brief)
    if trial.untouched:
        yield ""
        said = f"{', '.join(trial.untouched)}: nothing in a model answer is about it"
        yield from hanging_indent("In fails or must_show in vain  ", said, WIDTH, 2)
    yield ""
    yield f"What {count_of(len(trial.costs), 'fault')} would cost, one at a time"
    for cost in trial.costs:
        if not cost.is_free:
            yield from hanging_indent(f"  {_signed(cost):>6}  ", _say_cost(cost), WIDTH)
    free = [cost for cost in trial.costs if cost.is_free]
    yield from _list_free("Faults that cost nothing", [one for one in free if not one.undone])
    undone = [one for one in free if one.undone]
    yield from _list_free("Faults in what the brief gives: told, put back, no marks", undone)
    if trial.unfit:
        yield ""
        rules = ", ".join(dict.fromkeys(one.rule for one in trial.unfit))
        said = f"{count_of(len(trial.unfit), 'fault')} of {rules}"
        yield from hanging_indent("Does not fit this plan  ", said, WIDTH, 2)
    yield ""
    yield from hanging_indent("CAUTION  ", CAUTION, WIDTH)


def _list_free(title: str, costs: Sequence[Cost]) -> Iterator[str]:
    if not costs:
        return
    yield ""
    yield title
    for cost in costs:
        yield from hanging_indent("       0  ", _say_cost(cost), WIDTH)


def _signed(cost: Cost) -> str:
    if not cost.lost:
        return "0"
    return f"{'–' if cost.lost > 0 else '+'}{written_marks(abs(cost.lost))}"


def _say_cost(cost: Cost) -> str:
    said = f"{cost.outcome}: {escape_invisible(cost.says)} ({cost.rule})"
    if cost.rows:
        said += f"; {', '.join(map(escape_invisible, cost.rows))}"
    for why in cost.failed_by:
        said += f"; failed by {escape_invisible(why)}"
    for why in cost.undone:
        said += f"; {escape_invisible(why)}"
    return said


def _list_rows(title: str, rows: Sequence[Row]) -> Iterator[str]:
    if not rows:
        return
    yield ""
    yield title
    for row in rows:
        said = f"{written_marks(row.earned)} of {written_marks(row.marks)}: {' '.join(row.reasons)}"
        yield from hanging_indent(
            f"  {escape_invisible(row.topic)} / {escape_invisible(row.label)}  ",
            escape_invisible(said),
            WIDTH,
            4,
        )


def write_table(trial: Trial) -> str:
    """Write the faults and what each costs as CSV, for a moderator."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(("fault", "rule", "marks lost", "outcome", "rows", "failed by", "put back"))
    for cost in trial.costs:
        writer.writerow(
            (
                safe_text(cost.says),
                cost.rule,
                as_number(cost.lost),
                cost.outcome,
                *(safe_text("; ".join(one)) for one in (cost.rows, cost.failed_by, cost.undone)),
            )
        )
    return "\ufeff" + out.getvalue()
