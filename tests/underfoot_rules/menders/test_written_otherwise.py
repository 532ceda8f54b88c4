"""A row written by its lengths or by length and count is one row, and is mended alike."""

import copy
from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import MENDERS, judge
from tests.underfoot_rules.offered import data_of, plans
from tests.written_out import lines_of
from underfoot.mending.patch import patch_data
from underfoot.mending.search import find_mends

TOPICS = (
    "circuit", "rcd", "breaker", "strip-", "element-", "cut-length", "floor-coverage", "cold-area",
    "fixture-clearance", "supply", "voltage", "lead-ring",
)  # fmt: skip


def counted(data: Any) -> Any:
    """Write rows of strips that are all as long by length and count; None where there is none."""
    changed = copy.deepcopy(data)
    rows = [row for room in changed["rooms"].values() for row in (room.get("rows") or {}).values()]
    alike = [
        row
        for row in rows
        if isinstance(row, dict)
        and isinstance(lengths := row.get("lengths"), list)
        and isinstance(lengths[0], int | float | str)
        and lengths == lengths[:1] * len(lengths)
    ]
    for row in alike:
        lengths = row.pop("lengths")
        row["length"], row["count"] = lengths[0], len(lengths)
    return changed if alike else None


NAMES = [
    name
    for name in plans()
    if name.startswith(tuple(f"example {topic}" for topic in TOPICS))
    and counted(data_of(name)) is not None
]


@pytest.mark.parametrize("name", NAMES)
def test_mends_hang_on_what_is_drawn_and_not_on_how_it_is_written(name: str) -> None:
    listed = data_of(name)
    offered = []
    for data in (listed, counted(listed)):
        trial, state = judge(data)
        offered.append({
            (each.rule.id, each.subject.room, each.subject.items): [
                (mend.says, drawn(patch_data(data, mend.patch)))
                for mend in find_mends(each, state, MENDERS, trial)
            ]
            for each in state.standing
            if each.rule.id in MENDERS
        })  # fmt: skip
    assert offered[0] == offered[1]


def drawn(data: Any) -> list[tuple[str, str]]:
    """Return what a plan draws in its rooms, and its circuits, but not where it is written."""
    _, state = judge(data)
    plan = state.outcome.facts.plan
    told = [(room.elements, room.leads, room.sensor) for room in plan.rooms.values()]
    return [(at, word) for at, word in lines_of((told, plan.circuits)) if not at.endswith(".path")]
