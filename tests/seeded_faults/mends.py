"""Asks for the mends of what damaged plans are faulted for, and tries each again by other means.

    python -m tests.seeded_faults.mends [--each 2] [--plans 60] [--rule sensor-missing] [--said]

The search of the program is not believed: a mend is written out as a JSON Patch, taken
up by the few lines below, and the plan that it makes is checked as a text like any other.
"""

import argparse
import copy
import json
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

from tests.seeded_faults.demo_plans import demo_plans
from tests.seeded_faults.judging import BENCH, Found, damage
from tests.seeded_faults.plans import right_plan
from tests.seeded_faults.trying import Right
from underfoot.api.rules import Data, Mender, Mutation
from underfoot.checking.check import Checker, check_source
from underfoot.checking.finding import SEVERITIES
from underfoot.checking.mend import Edit, Mend
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.mending.patch import write_pointer
from underfoot.mending.search import by_rule, find_mends, identity
from underfoot.mending.trial import Trial
from underfoot.reading.plan_file import read_parsed
from underfoot.reading.syntax import parse
from underfoot_rules import STANDARD

MENDERS = by_rule(STANDARD.gather_menders())
# Of the findings in the own text of plans of floors still to be laid so many have a mend, at least.
# A record of what is laid, tested or handed over is not drawn otherwise to please a rule:
# that share is printed, and nothing is asked of it.
LEAST_SHARE = 0.6
_NEAR = 1e-6


@dataclass(frozen=True, slots=True)
class Asked:
    """A finding of a damaged plan: how many mends it has, and what is wrong with any.

    `in_materials` where it stands with the materials, as a catalogue has them: there it is only
    advised, since a maker's figures are nobody's to change. `is_laid` where the plan records a
    floor that is laid, which no mend draws otherwise.
    """

    rule: str
    where: str
    in_materials: bool
    is_laid: bool
    says: tuple[str, ...]
    harms: tuple[str, ...]


def ask_mends(
    plan: Data,
    name: str,
    before: Found = frozenset(),
    *,
    menders: Mapping[str, Sequence[Mender]] = MENDERS,
    bench: Checker = BENCH,
) -> list[Asked]:
    """Ask for the mends of every error and warning of a plan, and try each again."""
    text = json.dumps(plan).encode()
    parsed = parse(text)
    trial = Trial(
        read=lambda each: read_parsed(each, path="plan.yaml"),
        checker=bench,
        positions=parsed.positions,
    )
    state = trial.judge(parsed.data)
    report = check_source(text, bench, path="plan.yaml")
    if state is None:
        return []
    known = {each.identity for each in before}
    asked = []
    for found in state.standing:
        if found.severity == "note" or identity(found) in known:
            continue
        mends = find_mends(found, state, menders, trial)
        path = found.finding.path or found.subject.path
        asked.append(
            Asked(
                rule=found.rule.id,
                where=f"{name}: {' '.join((found.rule.id, *found.subject.items))}",
                in_materials=path.startswith("materials."),
                is_laid=plan.get("status") in ("laid", "covered", "handed over"),
                says=tuple(mend.says for mend in mends),
                harms=tuple(
                    f"{name}, {found.rule.id} {'/'.join(found.subject.items)}, {mend.says} "
                    f"{' and '.join(harms)}"
                    for mend in mends
                    if (harms := find_harms(plan, report, identity(found), mend, bench))
                ),
            )
        )
    return asked


Identity = tuple[str, str | None, tuple[str, ...]]


def find_harms(
    plan: Data, before: PlanReport, what: Identity, mend: Mend, bench: Checker = BENCH
) -> list[str]:
    """Patch a plan, check it as a text, and say what of a mend's promise does not hold."""
    try:
        patched = patch(plan, as_json(mend.patch))
    except (KeyError, IndexError, TypeError, ValueError) as error:
        return [f"does not go on the plan: {error!r}"]
    after = check_source(json.dumps(patched).encode(), bench, path="plan.yaml")
    if after.problems or after.faults:
        return [f"makes a plan that cannot be judged: {[*after.problems, *after.faults][:2]}"]
    harms = []
    if _count(after.findings, what) >= _count(before.findings, what):
        harms.append("does not clear its finding")
    harms += [f"brings {' '.join((new.rule, *new.items))}" for new in _list_new(before, after)]
    undecided = {row.rule: row.undecided for row in before.checks}
    harms += [
        f"leaves {row.rule} unjudged ({row.why})"
        for row in after.checks
        if row.undecided > undecided.get(row.rule, 0)
    ]
    return harms


def as_json(edits: Iterable[Edit]) -> list[dict[str, Any]]:
    """Write edits as the operations of a JSON Patch."""
    return [
        {"op": edit.op, "path": write_pointer(edit.path)}
        | ({} if edit.op == "remove" else {"value": edit.value})
        for edit in edits
    ]


def patch(plan: Data, operations: Iterable[Mapping[str, Any]]) -> Data:
    """Apply a JSON Patch of adding, replacing and removing (RFC 6902) to a copy of a plan."""
    whole = copy.deepcopy(plan)
    for operation in operations:
        steps = [
            step.replace("~1", "/").replace("~0", "~") for step in operation["path"].split("/")[1:]
        ]
        holder: Any = whole
        for step in steps[:-1]:
            holder = holder[int(step) if isinstance(holder, list) else step]
        key: Any = steps[-1]
        op, value = operation["op"], copy.deepcopy(operation.get("value"))
        if isinstance(holder, list):
            place = len(holder) if key == "-" else int(key)
            if op != "add":
                del holder[place]
            if op != "remove":
                holder.insert(place, value)
        else:
            if op != "add" and key not in holder:
                raise KeyError(operation["path"])
            if op == "remove":
                del holder[key]
            else:
                holder[key] = value
    return whole


def _count(findings: Iterable[ReportedFinding], what: Identity) -> int:
    return sum((each.rule, each.room, tuple(each.items)) == what for each in findings)


def _list_new(before: PlanReport, after: PlanReport) -> list[ReportedFinding]:
    """List what stands after and did not before, or was less grave or less far off."""
    left = [each for each in before.findings if each.waiver is None]
    new = []
    for each in after.findings:
        if each.waiver is not None:
            continue
        same = next((old for old in left if _is_no_worse(each, old)), None)
        if same is None:
            new.append(each)
        else:
            left.remove(same)
    return new


def _is_no_worse(now: ReportedFinding, was: ReportedFinding) -> bool:
    if (now.rule, now.room, now.items) != (was.rule, was.room, was.items):
        return False
    if SEVERITIES.index(now.severity) < SEVERITIES.index(was.severity):
        return False
    if now.measured is None or was.measured is None or now.limit is None:
        return True
    more = now.measured.value - was.measured.value
    falls = now.limit.least is not None and more < -_NEAR
    rises = now.limit.most is not None and more > _NEAR
    return not (falls or rises)


def ask_of_damages(
    mutation: Mutation, rights: Iterable[Right], seed: int, most: int, bench: Checker = BENCH
) -> list[Asked]:
    """Damage the first plans that fit, so many at most, and ask for all mends."""
    asked = []
    for right in rights:
        damaged = damage(mutation, right.plan, seed) if most else None
        if damaged is not None:
            most -= 1
            name = f"{mutation.name} on {right.name}, seed {seed}"
            asked += ask_mends(damaged.data, name, right.found, bench=bench)
    return asked


def report_mends(asked: Sequence[Asked], took_s: float) -> int:
    """Print by rule how many findings have a mend; 1 where they are too few, or a mend harms."""
    of: dict[str, list[Asked]] = defaultdict(list)
    for each in asked:
        of[each.rule].append(each)
    print(f"\n{'rule':24}{'findings':>9}{'mended':>8}{'share':>8}{'in materials':>14}{'mended':>8}")
    for rule in STANDARD.rules:
        if not of[rule.id]:
            continue
        own = [each for each in of[rule.id] if not each.in_materials]
        theirs = [each for each in of[rule.id] if each.in_materials]
        share = f"{100 * _share(own):.0f} %" if own else ""
        print(
            f"{rule.id:24}{len(own):9}{_mended(own):8}{share:>8}"
            f"{len(theirs) or '':>14}{_mended(theirs) or '':>8}"
        )
    own = [each for each in asked if not each.in_materials]
    to_lay, laid = ([each for each in own if each.is_laid is which] for which in (False, True))
    harms = [harm for each in asked for harm in each.harms]
    count = sum(len(each.says) for each in asked)
    print(
        f"\nOf {len(own)} errors and warnings in a plan's own text {_mended(own)} have a mend "
        f"({100 * _share(own):.1f} %); of {len(asked) - len(own)} in its materials "
        f"{_mended([each for each in asked if each.in_materials])}."
        f"\nOf {len(to_lay)} in plans of floors still to be laid {_mended(to_lay)} "
        f"({100 * _share(to_lay):.1f} %), of {len(laid)} in records of laid ones {_mended(laid)} "
        f"({100 * _share(laid):.1f} %)."
        f"\n{count} mends tried again: {count - len(harms)} clear theirs without harm."
        f" {took_s:.0f} s."
    )
    for harm in harms[:20]:
        print(f"HARM: {harm}")
    return int(bool(harms) or _share(to_lay) < LEAST_SHARE)


def _mended(asked: Iterable[Asked]) -> int:
    return sum(bool(each.says) for each in asked)


def _share(asked: Sequence[Asked]) -> float:
    return _mended(asked) / len(asked) if asked else 0.0


def main() -> int:
    """Damage a few plans in every way, and print what can be mended."""
    parser = argparse.ArgumentParser(prog="python -m tests.seeded_faults.mends")
    parser.add_argument("--each", type=int, default=2, help="damaged plans of each way")
    parser.add_argument("--plans", type=int, default=40, help="right plans to draw")
    parser.add_argument("--rule", action="append", help="only the ways to break this rule")
    parser.add_argument("--said", action="store_true", help="print each finding and its mends")
    parser.add_argument("--seed", type=int, default=1)
    told = parser.parse_args()
    started = time.perf_counter()
    demos = [Right(name, plan, known) for name, (plan, known) in demo_plans().items()]
    seeds = range(told.seed, told.seed + told.plans)
    drawn = [Right(f"plan {seed}", right_plan(seed), frozenset()) for seed in seeds]
    # Of either in turn, as in the big run, where each way meets as many of these as of those.
    rights = [each for pair in zip_longest(drawn, demos) for each in pair if each is not None]
    asked: list[Asked] = []
    for mutation in STANDARD.mutations:
        if told.rule and mutation.rule not in told.rule:
            continue
        asked += ask_of_damages(mutation, rights, told.seed, told.each)
    if told.said:
        for each in asked:
            far = " (laid)" if each.is_laid else ""
            print(f"{each.where}{far}: {' | '.join(each.says) or '-'}")
        lost = Counter(
            each.rule
            for each in asked
            if not each.says and not each.in_materials and not each.is_laid
        )
        names = ", ".join(f"{count} {name}" for name, count in lost.most_common())
        print(f"\nwithout a mend, in floors still to be laid: {names}")
    return report_mends(asked, time.perf_counter() - started)


if __name__ == "__main__":
    sys.exit(main())
