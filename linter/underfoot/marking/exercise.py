"""A right plan, damaged in so many ways that people really get wrong, for others to find."""

import hashlib
import json
import math
import random
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from msgspec import Struct

from underfoot.checking.check import CheckedPlan, Checker, examine
from underfoot.checking.matching import Identity, identity_of
from underfoot.checking.mutation import Damaged, Data, Mutation
from underfoot.checking.report import ReportedFinding
from underfoot.marking.in_style import only_lacks, write_in_style
from underfoot.marking.plan_text import write_yaml
from underfoot.reading import Problem

_TRIES = 4


class ExerciseError(Exception):
    """Says why no exercise can be made of a plan."""

    def __init__(self, said: str, problems: Sequence[Problem] = ()) -> None:
        super().__init__(said)
        self.problems = tuple(problems)


class Fault(Struct, frozen=True, kw_only=True):
    """A fault that was put in: the finding that shows it, and what somebody got wrong."""

    finding: ReportedFinding
    says: str


class Exercise(Struct, frozen=True, kw_only=True):
    """A damaged plan: the right one and it as data, its faults, and how it was judged.

    `follows` is what else is found in it: right to name, and not asked for.
    """

    right: Data
    data: Data
    faults: tuple[Fault, ...]
    follows: tuple[ReportedFinding, ...]
    examined: CheckedPlan


def make_exercise(
    data: Data, mutations: Sequence[Mutation], bench: Checker, *, faults: int, seed: int
) -> Exercise:
    """Damage a plan in `faults` ways, each by another rule; the same seed gives the same exercise.

    `data` is a plan as parsed, its catalogue laid in. Each damage is written as the plan itself is
    written, and only such are taken as can be found from what is handed out. What is judged is the
    text that is handed out. ExerciseError where the plan is not right to begin with, or where not
    so many ways fit it.
    """
    examined = _check(data, bench)
    report = examined.report
    if report.problems:
        raise ExerciseError("the plan cannot be read", report.problems)
    standing = [one for one in report.findings if one.severity != "note" and one.waiver is None]
    if standing:
        rules = ", ".join(sorted({one.rule for one in standing}))
        raise ExerciseError(
            f"the plan is not right to begin with ({rules}): {standing[0].message} "
            "Put it right first; 'check' tells all that it finds"
        )
    before = {identity_of(one) for one in report.findings}
    trial = _Trial(
        right=data, bench=bench, before=before, seed=f"exercise {seed} {_fingerprint(data)}"
    )
    damaged, put_in, left_out = data, list[tuple[Identity, str]](), 0
    turns = list(_in_turn(mutations, trial.seed))
    # What was only left out is soon found: more than every third fault only if nothing else fits.
    for most_left_out in (math.ceil(faults / 3), faults):
        for mutation in turns:
            if len(put_in) == faults:
                break
            if any(identity[0] == mutation.rule for identity, _ in put_in):
                continue
            tried = _try(mutation, damaged, trial, [identity for identity, _ in put_in])
            if tried is None:
                continue
            if only_lacks(tried[0], damaged):
                if left_out == most_left_out:
                    continue
                left_out += 1
            damaged, examined, identity = tried
            put_in.append((identity, mutation.says))
    if len(put_in) < faults:
        raise ExerciseError(f"only {len(put_in)} of {faults} faults fit this plan: ask for fewer")
    found = {identity_of(one): one for one in examined.report.findings}
    own = {identity for identity, _ in put_in}
    return Exercise(
        right=data,
        data=damaged,
        faults=tuple(Fault(finding=found[identity], says=says) for identity, says in put_in),
        follows=tuple(one for key, one in found.items() if key not in own),
        examined=examined,
    )


class _Trial(Struct, frozen=True, kw_only=True):
    """What every damage is tried against."""

    right: Data
    bench: Checker
    before: set[Identity]
    seed: str


def _fingerprint(data: Data) -> str:
    """Return a plan's content in one word, so that a seed damages each plan in ways of its own."""
    return hashlib.sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()


def _in_turn(mutations: Sequence[Mutation], seed: str) -> Iterator[Mutation]:
    ordered = sorted(
        (one for one in mutations if not one.not_set), key=lambda one: (one.rule, one.name)
    )
    random.Random(seed).shuffle(ordered)
    return iter(ordered)


def _check(data: Data, bench: Checker) -> CheckedPlan:
    return examine(write_plan(data).encode(), bench, path="exercise.yaml")


def _try(
    mutation: Mutation, data: Data, trial: _Trial, put_in: Sequence[Identity]
) -> tuple[Data, CheckedPlan, Identity] | None:
    """Damage the plan so that the new fault shows and none is hidden; None if that fails."""
    for attempt in range(_TRIES):
        rng = random.Random(f"{trial.seed} {mutation.name} {attempt}")
        applied = mutation.apply(data, rng)
        if applied is None:
            continue
        damaged = write_in_style(trial.right, data, applied.data, rng)
        if damaged is None:
            continue
        examined = _check(damaged, trial.bench)
        found = {identity_of(one): one for one in examined.report.findings}
        known = {*put_in, *trial.before}
        own = [
            key
            for key, one in found.items()
            if one.rule == mutation.rule and key not in known
            and one.severity != "note" and one.waiver is None
        ]  # fmt: skip
        if own and all(key in found for key in put_in):
            return damaged, examined, _choose_meant(own, applied)
    return None


def _choose_meant(own: Sequence[Identity], applied: Damaged) -> Identity:
    """Choose what the damage was meant to show, else the first by room and items."""
    meant = [(one.rule, one.room, tuple(one.items)) for one in applied.expected[:1]]
    if meant:
        return meant[0] if meant[0] in own else own[0]
    return min(own, key=lambda one: (one[1] or "", one[2]))


def write_plan(data: Data) -> str:
    """Write a damaged plan as YAML, which says nothing of what is wrong."""
    return (
        "# Something is wrong in this plan. Write what you find into answers.yaml.\n"
        f"{write_yaml(data)}"
    )


# Maps of things by name, in which a note may stand beside the things.
_NAMED_THINGS = frozenset(
    {
        "rooms", "circuits", "films", "boards", "sheets", "coverings", "fixtures", "joints",
        "openings", "elements", "rows", "leads", "pieces", "strips",
    }
)  # fmt: skip


def drop_notes(data: Data) -> Data:
    """Leave out the notes that stand beside named things, which are none themselves."""
    kept = {key: _without_notes(value) for key, value in data.items()}
    for name in _NAMED_THINGS.intersection(kept):
        if isinstance(kept[name], dict):
            kept[name].pop("note", None)
    return kept


def _without_notes(value: Any) -> Any:
    if isinstance(value, list):
        return [_without_notes(each) for each in value]
    return drop_notes(value) if isinstance(value, dict) else value


def lay_in_catalogue(data: Data, catalogue: Data | None) -> Data:
    """Return the plan with its catalogue's entries written out; the plan's own win."""
    laid = {key: value for key, value in data.items() if key != "catalogue"}
    if catalogue is None:
        return laid
    own = laid.get("materials") or {}
    laid["materials"] = {
        **own,
        **{
            kind: {**entries, **(own.get(kind) or {})}
            for kind, entries in (catalogue.get("materials") or {}).items()
        },
    }
    steps = {**(catalogue.get("method_statement") or {}), **(laid.get("method_statement") or {})}
    if steps:
        laid["method_statement"] = steps
    packs = {**(catalogue.get("packs") or {}), **(laid.get("packs") or {})}
    if packs:
        laid["packs"] = packs
    return laid


def read_data(source: bytes, folder: Path) -> Data:
    """Read a plan as plain data with its catalogue laid in. ExerciseError where it cannot be."""
    from underfoot.reading.catalogue import CatalogueError, open_catalogue
    from underfoot.reading.plan_file import read_plan
    from underfoot.reading.syntax import parse

    reading = read_plan(source, path="", folder=folder)
    if reading.problems:
        raise ExerciseError("the plan cannot be read", reading.problems)
    parsed = parse(source)
    name = parsed.data.get("catalogue")
    if name is None:
        return drop_notes(lay_in_catalogue(parsed.data, None))
    try:
        shared = parse(open_catalogue(str(name), folder, None))
    except CatalogueError as error:
        raise ExerciseError(f"the catalogue: {error}") from None
    if shared.problems or not isinstance(shared.data, dict):
        raise ExerciseError("the catalogue cannot be read", shared.problems)
    return drop_notes(lay_in_catalogue(parsed.data, shared.data))
