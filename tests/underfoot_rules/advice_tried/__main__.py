"""Tries what is advised on many plans, and prints what came of it."""

import argparse
import re
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import chain

from tests.underfoot_rules.advice_tried import Trial, try_advice
from tests.underfoot_rules.advice_tried.samples import damaged, examples, scenario
from underfoot.api.rules import Data


def plans(drawn: int, each: int, seed: int) -> Iterator[tuple[str, Data]]:
    """Return all plans that advice is tried on."""
    return chain(scenario().items(), examples(), damaged(drawn, each, seed))


def main() -> int:
    """Print the table; 1 where any advice with figures brought harm."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--plans", type=int, default=60, help="right plans to damage")
    asked.add_argument("--each", type=int, default=2, help="damaged plans by way of damaging")
    asked.add_argument("--seed", type=int, default=40_000)
    asked.add_argument("--show", default="", help="print the harmful ones of this rule, or `all`")
    told = asked.parse_args()
    trials: list[Trial] = []
    left: Counter[str] = Counter()
    looked_at = 0
    for name, data in plans(told.plans, told.each, told.seed):
        looked_at += 1
        for each in try_advice(name, data):
            if isinstance(each, Trial):
                trials.append(each)
            else:
                left[re.sub(r"-?\d+(?:\.\d+)?", "#", each)] += 1
    report(trials, left, looked_at)
    for trial in trials:
        if not trial.is_harmless and told.show in (trial.rule, "all"):
            show(trial)
    return int(any(not trial.is_harmless for trial in trials))


def report(trials: list[Trial], left: Counter[str], looked_at: int) -> None:
    """Print what came of it, by rule and kind, and what nobody tried."""
    rows: dict[tuple[str, str], list[Trial]] = defaultdict(list)
    for trial in trials:
        rows[trial.rule, trial.kind].append(trial)
    head = ("tried", "harmless", "cannot", "not cleared", "errors", "warnings", "unjudged",
            "notes", "laid open")  # fmt: skip
    print(f"{'rule':24}{'kind':16}" + "".join(f"{each:>12}" for each in head))
    total = [0] * len(head)
    for (rule, kind), of_row in sorted(rows.items()):
        counts = count(of_row)
        total = [one + other for one, other in zip(total, counts, strict=True)]
        print(f"{rule:24}{kind:16}" + "".join(f"{each or '.':>12}" for each in counts))
    print(f"{f'all, of {looked_at} plans':40}" + "".join(f"{each:12}" for each in total))
    print("\nfigures that nobody tried:")
    for said, count_of in left.most_common():
        print(f"{count_of:5}  {said[:200]}")


def count(trials: list[Trial]) -> list[int]:
    """Count what came of trials; errors, warnings and notes by trial that brought any."""

    def brought(severity: str) -> int:
        return sum(any(each == severity for each, _ in trial.brought) for trial in trials)

    return [
        len(trials),
        sum(trial.is_harmless for trial in trials),
        sum(bool(trial.cannot) for trial in trials),
        sum(not trial.clears and not trial.cannot for trial in trials),
        brought("error"),
        brought("warning"),
        sum(bool(trial.unjudged) for trial in trials),
        brought("note"),
        sum(bool(trial.laid_open) for trial in trials),
    ]


def show(trial: Trial) -> None:
    """Print one trial that led to harm."""
    print(f"\n{trial.plan}: {trial.rule}\n    {trial.said}")
    if trial.cannot:
        print(f"    cannot be done: {trial.cannot}")
    elif not trial.clears:
        print("    does not clear it")
    for severity, (rule, room, items) in trial.brought:
        print(f"    brings {severity} {rule} {room} {', '.join(items)}")
    for rule, room, items in trial.unjudged:
        print(f"    leaves unjudged {rule} {room} {', '.join(items)}")


if __name__ == "__main__":
    sys.exit(main())
