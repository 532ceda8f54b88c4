"""Whole rows of strips set out from a wrong line.

Rows stay rows: what is moved is their start, as a slip of the tape moves it.
"""

import random
from collections.abc import Sequence
from typing import Any

from underfoot.api.rules import Data
from underfoot_rules.mutations.damaging import given, mutation, pick
from underfoot_rules.mutations.expand_rows import direction, mm, tidy


def _choose_row(plan: Data, rng: random.Random, beside: str | None = None) -> Data:
    """Choose a row that says where it begins, in a room with things of a kind."""
    rows = (
        row
        for room in plan["rooms"].values()
        if beside is None or room.get(beside)
        for row in (room.get("rows") or {}).values()
        if "at" in row
    )
    return pick(rng, rows)


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


@mutation("wall-clearance", "row-begun-at-the-wall")
def begin_at_the_wall(plan: Data, rng: random.Random) -> None:
    """A row was set out from the skirting, not from the line of its first strip."""
    row = _choose_row(plan, rng)
    off = rng.choice((-1, 1)) * rng.randint(12, 55)
    _begin(row, **{rng.choice(("later", "aside")): off})


@mutation("fixture-clearance", "row-up-to-the-fixture")
def run_up_to_a_fixture(plan: Data, rng: random.Random) -> None:
    """A row's start was measured from the wrong line, and it nears a fixture."""
    # Begin a row so much later that it comes up to what stands there.
    row = _choose_row(plan, rng, beside="fixtures")
    _begin(row, later=rng.choice((-1, 1)) * rng.randint(20, 300))


@mutation("fixture-clearance", "row-counted-backwards")
def count_from_the_wrong_end(plan: Data, rng: random.Random) -> None:
    """The lengths of a row were counted from the wrong wall."""
    # Write a row's lengths the other way round.
    row = _choose_row(plan, rng, beside="fixtures")
    given(not plan.get("tests"))
    turned = row.get("lengths", [])[::-1]
    given(turned != row.get("lengths", []))
    row["lengths"] = turned


@mutation("element-overlap", "row-begun-over-another")
def begin_over_another(plan: Data, rng: random.Random) -> None:
    """A row was begun before the end of the one beside it."""
    pairs = [
        (row, other)
        for room in plan["rooms"].values()
        for row in (room.get("rows") or {}).values()
        for other in (room.get("rows") or {}).values()
        if row is not other and "at" in row and "at" in other and row["along"] == other["along"]
    ]
    row, other = pick(rng, pairs)
    _begin(row, aside=rng.randint(30, 180) * _way_to(row, other["at"]))


@mutation("joint-crossing", "row-begun-over-the-joint")
def begin_over_the_joint(plan: Data, rng: random.Random) -> None:
    """A row was set out without a look for the joint in the floor."""
    pairs = [
        (row, joint)
        for room in plan["rooms"].values()
        for row in (room.get("rows") or {}).values()
        for joint in (room.get("joints") or {}).values()
        if "at" in row
    ]
    row, joint = pick(rng, pairs)
    _begin(row, aside=rng.randint(25, 180) * _way_to(row, joint[0]))
