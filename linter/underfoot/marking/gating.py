"""Goals as gates: what counts for nothing, and what fails, where the brief's demands are missed."""

from collections.abc import Iterator

from msgspec import Struct

from underfoot.marking.asked import Met, Seen, meet
from underfoot.marking.awarding import Row, gate_row
from underfoot.marking.goals import Goal
from underfoot.marking.scheme import Scheme


class Gated(Struct, frozen=True, kw_only=True):
    """The rows with what was missed taken into account, and which goals fail the submission."""

    rows: tuple[Row, ...]
    failed_by: tuple[str, ...]


def apply_gates(scheme: Scheme, rows: tuple[Row, ...], seen: Seen) -> Gated:
    """Let what a missed goal gates count for nothing."""
    missed = list(_list_missed(scheme, seen))
    gated = []
    for row in rows:
        shut = [met.said for topic, goal, met in missed if _shuts(topic, goal, met, row)]
        gated.append(gate_row(row, shut))
    failed_by = [
        f"{goal.what} (missed; {met.said.removesuffix('.')})"
        for _, goal, met in missed
        if goal.fails
    ]
    return Gated(rows=tuple(gated), failed_by=tuple(failed_by))


def _list_missed(scheme: Scheme, seen: Seen) -> Iterator[tuple[str | None, Goal, Met]]:
    goals: list[tuple[str | None, Goal]] = [(None, goal) for goal in scheme.goals]
    goals += [(topic.name, goal) for topic in scheme.topics for goal in topic.asked]
    for topic, goal in goals:
        if goal.least is None and goal.rule is None:
            continue  # right steps in proportion: nothing that could be missed
        met = meet(goal, seen)
        if not met.is_met:
            yield topic, goal, met


def _shuts(topic: str | None, goal: Goal, met: Met, row: Row) -> bool:
    """Tell whether a missed goal lets a row count for nothing."""
    if goal.gates is not None:
        return row.topic in goal.gates or row.rule in goal.gates
    if topic is None:
        return True
    return met.is_short and row.topic == topic and row.what != (goal.what or goal.rule)
