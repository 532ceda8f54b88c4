"""Whole rows of strips set out from a wrong line.

Rows stay rows: what is moved is their start, as a slip of the tape moves it.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Any

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.expand_rows import copy_plan, direction, mm, tidy


def _choose_row(plan: Data, rng: random.Random, beside: str | None = None) -> Data | None:
    """Choose a row that says where it begins, in a room with things of a kind."""
    rows = [
        row
        for room in plan["rooms"].values()
        if beside is None or room.get(beside)
        for row in (room.get("rows") or {}).values()
        if "at" in row
    ]
    return rng.choice(rows) if rows else None


def _begin(row: Data, later: float = 0.0, aside: float = 0.0) -> None:
    """Begin a row so much later along its strips, and so much aside across them."""
    along, across = direction(row["along"])
    row["at"] = [
        tidy(mm(at) + later * one + aside * other)
        for at, one, other in zip(row["at"], along, across, strict=True)
    ]


def _way_to(row: Data, spot: Sequence[Any]) -> int:
    """Tell which way a place lies from a row's start: 1 across its strips, or -1."""
    _, across = direction(row["along"])
    apart = (
        (mm(there) - mm(here)) * way
        for here, there, way in zip(row["at"], spot, across, strict=True)
    )
    return 1 if sum(apart) > 0 else -1


def begin_at_the_wall(data: Data, rng: random.Random) -> Damaged | None:
    """Begin a row too near to the wall, at its side or at its end."""
    plan = copy_plan(data)
    row = _choose_row(plan, rng)
    if row is None:
        return None
    off = rng.choice((-1, 1)) * rng.randint(12, 55)
    _begin(row, **{rng.choice(("later", "aside")): off})
    return Damaged(data=plan)


def run_up_to_a_fixture(data: Data, rng: random.Random) -> Damaged | None:
    """Begin a row so much later that it comes up to what stands there."""
    plan = copy_plan(data)
    row = _choose_row(plan, rng, beside="fixtures")
    if row is None:
        return None
    _begin(row, later=rng.choice((-1, 1)) * rng.randint(20, 300))
    return Damaged(data=plan)


def count_from_the_wrong_end(data: Data, rng: random.Random) -> Damaged | None:
    """Write a row's lengths the other way round."""
    plan = copy_plan(data)
    row = _choose_row(plan, rng, beside="fixtures")
    if row is None or data.get("tests"):
        return None
    turned = row.get("lengths", [])[::-1]
    if turned == row.get("lengths", []):
        return None
    row["lengths"] = turned
    return Damaged(data=plan)


def begin_over_another(data: Data, rng: random.Random) -> Damaged | None:
    """Begin a row before the end of the one beside it."""
    plan = copy_plan(data)
    pairs = [
        (row, other)
        for room in plan["rooms"].values()
        for row in (room.get("rows") or {}).values()
        for other in (room.get("rows") or {}).values()
        if row is not other and "at" in row and "at" in other and row["along"] == other["along"]
    ]
    if not pairs:
        return None
    row, other = rng.choice(pairs)
    _begin(row, aside=rng.randint(30, 180) * _way_to(row, other["at"]))
    return Damaged(data=plan)


def begin_over_the_joint(data: Data, rng: random.Random) -> Damaged | None:
    """Begin a row so that it lies over a joint of the floor beside it."""
    plan = copy_plan(data)
    pairs = [
        (row, joint)
        for room in plan["rooms"].values()
        for row in (room.get("rows") or {}).values()
        for joint in (room.get("joints") or {}).values()
        if "at" in row
    ]
    if not pairs:
        return None
    row, joint = rng.choice(pairs)
    _begin(row, aside=rng.randint(25, 180) * _way_to(row, joint[0]))
    return Damaged(data=plan)


MUTATIONS = (
    Mutation(rule="wall-clearance", name="row-begun-at-the-wall",
             says="A row was set out from the skirting, not from the line of its first strip.",
             apply=begin_at_the_wall),
    Mutation(rule="fixture-clearance", name="row-up-to-the-fixture",
             says="A row's start was measured from the wrong line, and it nears a fixture.",
             apply=run_up_to_a_fixture),
    Mutation(rule="fixture-clearance", name="row-counted-backwards",
             says="The lengths of a row were counted from the wrong wall.",
             apply=count_from_the_wrong_end),
    Mutation(rule="element-overlap", name="row-begun-over-another",
             says="A row was begun before the end of the one beside it.", apply=begin_over_another),
    Mutation(rule="joint-crossing", name="row-begun-over-the-joint",
             says="A row was set out without a look for the joint in the floor.",
             apply=begin_over_the_joint),
)  # fmt: skip
