"""The big run: draws right plans, damages them in known ways, and demands that all is found.

    python -m tests.seeded_faults --plans 1000 --damaged 5000 [--pairs 2000] [--mends 1000]
        [--jobs 2] [--seed 1]

Ends with 1 unless every rule has found everything that the damages cause, and nothing else; of two
damages to one plan, which do not depend on each other, both were found; and of some damaged plans
enough findings have a mend, and each mend clears its own and harms nothing.
"""

import argparse
import math
import os
import sys
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from itertools import islice

from tests.seeded_faults.demo_plans import demo_plans
from tests.seeded_faults.judging import Found, Verdict, find
from tests.seeded_faults.mends import Asked, ask_of_damages, report_mends
from tests.seeded_faults.pairing import PairVerdict, draw_pairs
from tests.seeded_faults.plans import right_plan
from tests.seeded_faults.trying import Right, try_mutation
from underfoot.api.rules import Expected
from underfoot_rules import STANDARD

MUTATIONS = {mutation.name: mutation for mutation in STANDARD.mutations}
TRIES = 3
# So many pairs are judged at a time by one process.
PART = 50
_held: dict[str, tuple[Right, ...]] = {}


def draw_and_check(seed: int) -> tuple[Right, Found]:
    """Draw a right plan and check it; what is found is a false alarm."""
    plan = right_plan(seed)
    found = find(plan)
    return Right(f"plan {seed}", plan, frozenset()), found


def hold_plans(demos: tuple[Right, ...], drawn: tuple[Right, ...]) -> None:
    """Keep the plans in a worker process."""
    _held.update(demos=demos, drawn=drawn)


def judge_damages(task: tuple[str, int, int, int]) -> list[Verdict]:
    """Damage plans by one mutation, and judge from the first so many to the last."""
    name, seed, first, last = task
    verdicts = try_mutation(MUTATIONS[name], _held["demos"], _held["drawn"], seed, TRIES)
    return list(islice(verdicts, first, last))


def judge_pairs(task: tuple[int, int]) -> list[PairVerdict]:
    """Judge so many pairs of damages, drawn by a seed."""
    seed, count = task
    return list(islice(draw_pairs(_held["drawn"], seed), count))


def mend_damages(task: tuple[str, tuple[tuple[str, int], ...]]) -> list[Asked]:
    """Ask for the mends of plans damaged in one way, each known by its name and its seed."""
    name, damages = task
    rights = {each.name: each for each in (*_held["demos"], *_held["drawn"])}
    return [
        asked
        for plan, seed in damages
        for asked in ask_of_damages(MUTATIONS[name], [rights[plan]], seed, 1)
    ]


def run(plans: int, damaged: int, pairs: int, mends: int, jobs: int, seed: int) -> int:
    """Make the whole run, print it, and give the exit status."""
    started = time.perf_counter()
    right: list[tuple[Right, Found]] = []
    for name, (plan, known) in demo_plans().items():
        right.append((Right(name, plan, known), find(plan) - known))
    demos = tuple(each for each, _ in right)
    with ProcessPoolExecutor(jobs) as pool:
        right += pool.map(draw_and_check, range(seed, seed + plans), chunksize=10)
    drawn = tuple(each for each, _ in right[len(demos) :])
    _tell(f"{len(right)} right plans checked", started)
    verdicts: dict[str, list[Verdict]] = {name: [] for name in MUTATIONS}
    with ProcessPoolExecutor(jobs, initializer=hold_plans, initargs=(demos, drawn)) as pool:
        open_ones = list(MUTATIONS)
        while open_ones and (short := damaged - sum(map(len, verdicts.values()))) > 0:
            more = math.ceil(short / len(open_ones))
            tasks = [
                (name, seed, len(verdicts[name]), len(verdicts[name]) + more) for name in open_ones
            ]
            results = list(pool.map(judge_damages, tasks))
            for name, found in zip(open_ones, results, strict=True):
                verdicts[name] += found
            _tell(f"{sum(map(len, verdicts.values()))} damaged plans judged", started)
            open_ones = [
                name for name, found in zip(open_ones, results, strict=True) if len(found) == more
            ]
        tasks = [(seed * 1000 + part, min(PART, pairs - part * PART)) for part in _parts(pairs)]
        paired = [verdict for each in pool.map(judge_pairs, tasks) for verdict in each]
        _tell(f"{len(paired)} pairs of damages judged", started)
        flat = [verdict for each in verdicts.values() for verdict in each]
        took, began = time.perf_counter() - started, time.perf_counter()
        asked = [one for each in pool.map(mend_damages, _sample(flat, mends)) for one in each]
        _tell(f"{len(asked)} findings mended or not", started)
    mended = report_mends(asked, time.perf_counter() - began) if mends else 0
    return max(report(right, flat, damaged, seed, took), report_pairs(paired), mended)


def _sample(
    verdicts: Sequence[Verdict], wanted: int
) -> list[tuple[str, tuple[tuple[str, int], ...]]]:
    """Choose so many damaged plans, evenly over all ways, by their way, plan and seed."""
    chosen: dict[str, list[tuple[str, int]]] = {}
    for number in range(min(wanted, len(verdicts))):
        verdict = verdicts[number * len(verdicts) // min(wanted, len(verdicts))]
        chosen.setdefault(verdict.mutation, []).append((verdict.plan, verdict.seed))
    return [(name, tuple(damages)) for name, damages in chosen.items()]


def _parts(pairs: int) -> range:
    return range(math.ceil(pairs / PART))


def _tell(what: str, started: float) -> None:
    print(f"{what} after {time.perf_counter() - started:.0f} s", file=sys.stderr, flush=True)


def report(
    right: Sequence[tuple[Right, Found]],
    verdicts: Sequence[Verdict],
    wanted: int,
    seed: int,
    took_s: float,
) -> int:
    """Print what was found and what was not, rule by rule, and give the exit status."""
    ways = Counter(mutation.rule for mutation in MUTATIONS.values())
    damaged = Counter(verdict.rule for verdict in verdicts)
    caused = Counter(each.rule for verdict in verdicts for each in verdict.caused)
    missed = Counter(each.rule for verdict in verdicts for each in verdict.missed)
    false = Counter(each.rule for verdict in verdicts for each in verdict.false)
    alarms = Counter(each.rule for _, found in right for each in found)
    print(f"{'rule':24}{'ways':>6}{'damaged':>9}{'caused':>8}{'found':>8}{'missed':>8}{'false':>7}")
    for rule in STANDARD.rules:
        name = rule.id
        print(
            f"{name:24}{ways[name]:6}{damaged[name]:9}{caused[name]:8}"
            f"{caused[name] - missed[name]:8}{missed[name]:8}{false[name] + alarms[name]:7}"
        )
    total, lost = sum(caused.values()), sum(missed.values())
    faults = sum(false.values()) + sum(alarms.values())
    share = 100 * (total - lost) / total if total else 0.0
    print(
        f"\n{len(right)} right plans: {sum(alarms.values())} false alarms."
        f"\n{len(verdicts)} damaged plans in {len(MUTATIONS)} ways: {total - lost} of {total} "
        f"findings found ({share:.2f} %), {sum(false.values())} false alarms."
        f"\nSeed {seed}, {took_s:.0f} s."
    )
    for each, found in right:
        if found:
            print(f"FALSE in {each.name}: {_said(tuple(found))}")
    for verdict in [v for v in verdicts if v.missed or v.false][:20]:
        where = f"{verdict.mutation} on {verdict.plan}, seed {verdict.seed}"
        print(f"{where}: missed {_said(verdict.missed)}; false {_said(verdict.false)}")
    idle = [rule.id for rule in STANDARD.rules if not caused[rule.id]]
    if idle:
        print(f"Never put to the proof: {', '.join(idle)}.")
    if len(verdicts) < wanted:
        print(f"Only {len(verdicts)} of {wanted} damages fitted: draw more plans.")
    return int(bool(lost or faults or idle or len(verdicts) < wanted))


def report_pairs(verdicts: Sequence[PairVerdict]) -> int:
    """Print what of pairs of damages was not found, and give the exit status."""
    lost = [verdict for verdict in verdicts if verdict.missed]
    rules = {each.rule for verdict in verdicts for each in verdict.caused}
    print(
        f"{len(verdicts)} pairs of damages to one plan, of {len(rules)} rules: "
        f"{2 * len(verdicts) - sum(len(each.missed) for each in lost)} of {2 * len(verdicts)} "
        "findings found."
    )
    for each in lost[:20]:
        where = f"{each.first} and {each.second} on {each.plan}, seed {each.seed}"
        print(f"{where}: missed {_said(each.missed)}")
    return int(bool(lost))


def _said(found: tuple[Expected, ...]) -> str:
    return ", ".join(f"{e.rule} {e.room or '-'} {'/'.join(e.items)}" for e in found) or "nothing"


def main() -> int:
    """Read the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.seeded_faults")
    parser.add_argument("--plans", type=int, default=1000, help="right plans to draw")
    parser.add_argument("--damaged", type=int, default=5000, help="damaged plans to judge")
    parser.add_argument("--pairs", type=int, default=2000, help="pairs of damages to judge")
    parser.add_argument("--mends", type=int, default=1000, help="damaged plans to be mended")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--seed", type=int, default=1)
    told = parser.parse_args()
    return run(told.plans, told.damaged, told.pairs, told.mends, told.jobs, told.seed)


if __name__ == "__main__":
    sys.exit(main())
