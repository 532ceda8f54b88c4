"""Faulty plans that share a catalogue, for the benchmarks: alone, or among right ones.

A faulty plan is one of the benchmarks' rooms with one to three of the standard set's damages done
to it, or one of the demo plans that have faults. Each call writes the same bytes.
"""

import random
from collections.abc import Iterator
from functools import cache
from itertools import count, islice
from pathlib import Path
from typing import Any

import yaml

from tests.benchmarks.rooms import plan_room, render_room
from tests.demo_plans import PLANS
from tests.seeded_faults.judging import find
from underfoot.api.rules import Data, Mutation
from underfoot_rules import STANDARD

CATALOGUE = "catalogue.yaml"
DEMO_CATALOGUE = "demo-catalogue.yaml"
# Every so many-th faulty plan is one of the demo plans.
DEMO_EVERY = 4
_FAULTY = "REVISE AND RESUBMIT"


def write_mixed(folder: Path, plans: int) -> None:
    """Write plans into a folder, right ones and faulty ones in turns, and their catalogues."""
    _write_catalogues(folder)
    faulty = _draw_faulty()
    for number in range(1, plans + 1):
        text = next(faulty) if number % 2 == 0 else _share_text(number)
        _put(folder, number, text)


def write_faulty(folder: Path, plans: int) -> None:
    """Write faulty plans into a folder, and their catalogues."""
    _write_catalogues(folder)
    for number, text in enumerate(islice(_draw_faulty(), plans), 1):
        _put(folder, number, text)


def write_shared(folder: Path, plans: int, *, one_catalogue_for: int) -> None:
    """Write right plans into folders of so many, each with a catalogue of its own."""
    for number in range(plans):
        group = folder / f"house-{number // one_catalogue_for:04d}"
        if number % one_catalogue_for == 0:
            group.mkdir(parents=True)
            _write_catalogue(group)
        _put(group, number, _share_text(number))


def _put(folder: Path, number: int, text: str) -> None:
    (folder / f"plan-{number:05d}.yaml").write_text(text, encoding="utf-8")


def _room(number: int) -> dict[str, Any]:
    plan: dict[str, Any] = yaml.load(render_room(plan_room(number)), yaml.CSafeLoader)
    return plan


def _share_text(number: int) -> str:
    head, rest = render_room(plan_room(number)).split("materials:\n")
    supply = rest[rest.index("supply:") :]
    return f"{head}catalogue: {CATALOGUE}\nmaterials: {{}}\n{supply}"


def _share(plan: dict[str, Any]) -> dict[str, Any]:
    return {**plan, "catalogue": CATALOGUE, "materials": {}}


class _Dumper(yaml.CSafeDumper):
    """Writes out what stands twice: plans have no aliases."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _write(data: Any) -> str:
    return yaml.dump(data, Dumper=_Dumper, sort_keys=False, default_flow_style=None)


def _write_catalogues(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    _write_catalogue(folder)
    demo = (PLANS / CATALOGUE).read_text("utf-8")
    (folder / DEMO_CATALOGUE).write_text(demo, "utf-8")


def _write_catalogue(folder: Path) -> None:
    films: dict[str, Any] = {"catalogue_format": 1, "materials": _room(1)["materials"]}
    (folder / CATALOGUE).write_text(_write(films), encoding="utf-8")


def _draw_faulty() -> Iterator[str]:
    demos = _faulty_demos()
    damaged = _damage_rooms()
    for number in count():
        if number % DEMO_EVERY == 0:
            yield demos[number // DEMO_EVERY % len(demos)]
        else:
            yield next(damaged)


@cache
def _faulty_demos() -> tuple[str, ...]:
    reports = sorted(PLANS.glob("*.report.txt"))
    faulty = [each for each in reports if _FAULTY in each.read_text("utf-8")]
    plans = [each.with_name(each.name.replace(".report.txt", ".yaml")) for each in faulty]
    return tuple(
        plan.read_text("utf-8").replace(f"catalogue: {CATALOGUE}", f"catalogue: {DEMO_CATALOGUE}")
        for plan in plans
    )


def _damage(mutation: Mutation, plan: Data, random_source: random.Random) -> Data | None:
    """Damage a plan; None where its rule does not find it."""
    done = mutation.apply(plan, random_source)
    if done is None:
        return None
    return done.data if any(each.rule == mutation.rule for each in find(done.data)) else None


def _damage_rooms() -> Iterator[str]:
    """Go round the damages: one to a plan, then two, then three; what does not fit is left out."""
    mutations = STANDARD.mutations
    number = 0
    for turn in count():
        for first, mutation in enumerate(mutations):
            number += 1
            plan = _room(number)
            random_source = random.Random(f"{mutation.name} {turn}")
            done = _damage(mutation, plan, random_source)
            if done is None:
                continue
            plan = done
            for further in range(number % 3):
                other = mutations[(first + 37 * (further + 1)) % len(mutations)]
                plan = _damage(other, plan, random_source) or plan
            # What a damage did to the materials stays in the plan.
            yield _write(plan if plan["materials"] != _room(number)["materials"] else _share(plan))
