"""A right plan, damaged in so many ways that people really get wrong, for others to find."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from underfoot.checking.check import Bench, Examined, examine
from underfoot.checking.matching import Identity, identity_of
from underfoot.checking.mutation import Data, Mutation
from underfoot.checking.report import Counts, ReportedFinding
from underfoot.reading import Problem

# What an answer earns or costs, in the key, where a trainer may change it.
FOUND, PLACE_ONLY, WRONG = 2, 1, 1
_TRIES = 4
# A sheet without findings would say that there are none.
_UNTOLD = "not told"
_NO_FINDINGS, _TO_FIND = "Nothing was found in this room.", "What is wrong is for you to find."


class ExerciseError(Exception):
    """Says why no exercise can be made of a plan."""

    def __init__(self, said: str, problems: Sequence[Problem] = ()) -> None:
        super().__init__(said)
        self.problems = tuple(problems)


class Fault(NamedTuple):
    """A fault that was put in: the finding that shows it, and what somebody got wrong."""

    finding: ReportedFinding
    says: str


class Exercise(NamedTuple):
    """The damaged plan as data, its faults, what else follows from them, and how it was judged."""

    data: Data
    faults: tuple[Fault, ...]
    follows: tuple[ReportedFinding, ...]
    examined: Examined


def make_exercise(
    data: Data, mutations: Sequence[Mutation], bench: Bench, *, faults: int, seed: int
) -> Exercise:
    """Damage a plan in `faults` ways, each by another rule; the same seed gives the same exercise.

    `data` is a plan as parsed, its catalogue laid in. ExerciseError where it is not right to begin
    with, or where not so many ways fit it.
    """
    examined = _check(data, bench)
    report = examined.report
    if report.problems:
        raise ExerciseError("the plan cannot be read", report.problems)
    standing = [one for one in report.findings if one.severity != "note" and one.waiver is None]
    if standing:
        rules = ", ".join(sorted({one.rule for one in standing}))
        raise ExerciseError(f"the plan is not right to begin with: {rules}")
    before = {identity_of(one) for one in report.findings}
    put_in: list[tuple[Identity, str]] = []
    for mutation in _in_turn(mutations, seed):
        if len(put_in) == faults:
            break
        if any(identity[0] == mutation.rule for identity, _ in put_in):
            continue
        tried = _try(mutation, data, bench, before, put_in, seed)
        if tried is not None:
            data, examined, identity = tried
            put_in.append((identity, mutation.says))
    if len(put_in) < faults:
        raise ExerciseError(f"only {len(put_in)} of {faults} faults fit this plan: ask for fewer")
    found = {identity_of(one): one for one in examined.report.findings}
    own = {identity for identity, _ in put_in}
    return Exercise(
        data,
        tuple(Fault(found[identity], says) for identity, says in put_in),
        tuple(one for key, one in found.items() if key not in own and key not in before),
        examined,
    )


def _in_turn(mutations: Sequence[Mutation], seed: int) -> Iterator[Mutation]:
    ordered = sorted(mutations, key=lambda one: (one.rule, one.name))
    random.Random(f"exercise {seed}").shuffle(ordered)
    return iter(ordered)


def _check(data: Data, bench: Bench) -> Examined:
    return examine(json.dumps(data).encode(), bench, path="exercise.yaml")


def _try(
    mutation: Mutation,
    data: Data,
    bench: Bench,
    before: set[Identity],
    put_in: Sequence[tuple[Identity, str]],
    seed: int,
) -> tuple[Data, Examined, Identity] | None:
    """Damage the plan so that the new fault shows and none is hidden; None if that fails."""
    for attempt in range(_TRIES):
        rng = random.Random(f"exercise {seed} {mutation.name} {attempt}")
        damaged = mutation.apply(data, rng)
        if damaged is None:
            continue
        own = damaged.expected[0]
        identity: Identity = (own.rule, own.room, tuple(own.items))
        examined = _check(damaged.data, bench)
        found = {identity_of(one): one for one in examined.report.findings}
        shown = found.get(identity)
        if shown is None or shown.severity == "note" or shown.waiver is not None:
            continue
        known = {key for key, _ in put_in} | before
        if identity not in known and all(key in found for key, _ in put_in):
            return damaged.data, examined, identity
    return None


def write_plan(exercise: Exercise) -> str:
    """Write the damaged plan as YAML, which says nothing of what is wrong."""
    return (
        "# Something is wrong in this plan. Write what you find into answers.yaml.\n"
        f"{_yaml(exercise.data)}"
    )


def write_key(exercise: Exercise, plan: str, seed: int) -> str:
    """Write the answer key."""
    key: dict[str, Any] = {
        "key_format": 1,
        "plan": plan,
        "seed": seed,
        "marks": {"found": FOUND, "place_only": PLACE_ONLY, "wrong": WRONG},
        "faults": [
            {
                **_told(fault.finding),
                "says": fault.says,
                "message": fault.finding.message,
                "remedy": fault.finding.remedy,
            }
            for fault in exercise.faults
        ],
        "follows": [_told(one) for one in exercise.follows],
    }
    said = "# The answers. `follows` are right to name, but nobody is asked for them.\n"
    return said + _yaml(key)


def write_answers(exercise: Exercise) -> str:
    """Write the sheet to be filled in."""
    return (
        f"# There are {len(exercise.faults)} faults. For each, write its room, one thing that is "
        "wrong and the rule\n# that is broken (`underfoot rules` lists them), such as\n"
        "#   - {room: bedroom, item: A4, kind: wall-clearance}\n"
        "# Where something is missing, leave the item out. A wrong accusation costs marks.\n"
        "answers_format: 1\nfaults: []\n"
    )


def draw_exercise(exercise: Exercise) -> Mapping[str, str]:
    """Draw every room of the damaged plan, with no sign of what is wrong."""
    from underfoot.checking.facts import Facts
    from underfoot.reporting.drawing import draw_room

    plan = exercise.examined.plan
    assert plan is not None
    report = exercise.examined.report._replace(findings=(), counts=Counts(), verdict=_UNTOLD)
    facts = Facts(plan, {})
    return {
        name: draw_room(facts.rooms[name], plan, report).replace(_NO_FINDINGS, _TO_FIND)
        for name in plan.rooms
    }


def _told(finding: ReportedFinding) -> dict[str, Any]:
    told: dict[str, Any] = {"rule": finding.rule}
    if finding.room is not None:
        told["room"] = finding.room
    told["items"] = list(finding.items)
    return told


def _yaml(data: Any) -> str:
    import yaml

    text: str = yaml.safe_dump(
        data, sort_keys=False, allow_unicode=True, width=100, default_flow_style=None
    )
    return text


def lay_in_catalogue(data: Data, catalogue: Data | None) -> Data:
    """Give the plan with its catalogue's entries written out; the plan's own win."""
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
    return laid


def read_data(source: bytes, folder: Path) -> Data:
    """Read a plan as plain data with its catalogue laid in. ExerciseError where it cannot be."""
    from underfoot.reading.catalogue import CatalogueError, open_catalogue
    from underfoot.reading.syntax import parse

    parsed = parse(source)
    if parsed.problems or not isinstance(parsed.data, dict):
        raise ExerciseError("the plan cannot be read", parsed.problems)
    name = parsed.data.get("catalogue")
    if name is None:
        return lay_in_catalogue(parsed.data, None)
    try:
        shared = parse(open_catalogue(str(name), folder, None))
    except CatalogueError as error:
        raise ExerciseError(f"the catalogue: {error}") from None
    if shared.problems or not isinstance(shared.data, dict):
        raise ExerciseError("the catalogue cannot be read", shared.problems)
    return lay_in_catalogue(parsed.data, shared.data)
