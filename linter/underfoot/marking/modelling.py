"""What a model answer shows: which rules it keeps, and the figures that a goal could ask for."""

import json
from collections.abc import Mapping

from msgspec import Struct

from underfoot.checking.mutation import Data
from underfoot.marking.asked import measure
from underfoot.marking.goals import KINDS
from underfoot.marking.judging import Desk, look_at_plan
from underfoot.plan import Plan
from underfoot.reading import read_plan


class Model(Struct, frozen=True, kw_only=True):
    """A model answer, looked at.

    `right` says of how many things each rule is kept, where all it looked at is right; `open` says
    of the other rules that looked at something why not. `figures` are by what and room, "" being
    the whole plan; `brief_changes` are what of the brief it does not leave as it was.
    """

    name: str
    plan: Plan
    right: Mapping[str, int]
    open: Mapping[str, str]
    figures: Mapping[tuple[str, str], float]
    brief_changes: tuple[str, ...] = ()


def look_at_model(data: Data, name: str, desk: Desk) -> Model:
    """Look at a plan's data, its catalogue laid in, as if handed in for the desk's brief."""
    reading = read_plan(json.dumps(data).encode(), path=name)
    assert reading.plan is not None, "whoever reads the file sees that it can be read"
    looked = look_at_plan(reading.plan, reading, name, desk)
    seen = looked.seen
    wrong: dict[str, list[str]] = {}
    for finding in seen.report.findings:
        if finding.severity in desk.scheme.counts:
            where = ", ".join(finding.items) or finding.room or "the plan"
            wrong.setdefault(finding.rule, []).append(where)
    right, left_open = {}, {}
    for tally in looked.outcome.tallies:
        if tally.rule in wrong:
            left_open[tally.rule] = f"wrong: {', '.join(wrong[tally.rule][:4])}"
        elif tally.undecided:
            left_open[tally.rule] = f"not judged: {tally.undecided[0].why}"
        elif tally.checked:
            right[tally.rule] = tally.checked
    figures = {
        (what, room): measure(what, seen, [seen.rooms[room]])
        for what in KINDS
        for room in seen.rooms
    }
    whole = list(seen.rooms.values())
    figures |= {(what, ""): measure(what, seen, whole) for what in KINDS if KINDS[what].adds_up}
    changes = tuple(change.said for change in looked.restored.changes)
    return Model(
        name=name,
        plan=reading.plan,
        right=right,
        open=left_open,
        figures=figures,
        brief_changes=changes,
    )
