"""Rooms drawn on sheets, by layers: the demo rooms, and odd ones with what is wrong with them."""

import json
from collections.abc import Iterator

from tests.demo_plans import PLANS
from tests.outputs_kept.shortened import shorten_drawing, shorten_lines
from tests.underfoot.checking.facts_kept.odd_rooms import odd_plan
from tests.underfoot.drawing import demo_sheets
from tests.underfoot.drawing.rooms import right
from tests.underfoot_rules.plans import BENCH
from underfoot.checking.check import examine
from underfoot.checking.facts import RoomFacts
from underfoot.checking.report import PlanReport
from underfoot.drawing import LAYERS, SheetOptions, draw_linings, draw_sheets
from underfoot.drawing.dxf import draw_dxf
from underfoot.drawing.sheets import Format
from underfoot.marking.exercise import read_data
from underfoot.plan import Plan

PAPERS: tuple[Format, ...] = ("auto", "A4", "A3", "A3")
ODD = (0, 3, 6, 7)
# A plan that says much of itself, on either paper.
WORDY = ("flat", "wash-room")
# Every so many-th demo room is drawn as DXF, too, every so many-th from another one by its boards
# and sheets: two layers, and boards laid one by one, are among those.
DXF_OF = 8
LININGS_OF, FIRST_LINED = 4, 1


def list_names() -> list[str]:
    """Name the drawings."""
    demo = [f"{place} {name}" for place, (name, *_) in enumerate(demo_sheets.ROOMS)]
    wordy = [f"wordy {plan} {paper}" for plan in WORDY for paper in ("A4", "A3")]
    return [*demo, *(f"odd room {seed}" for seed in ODD), *wordy]


def say(name: str) -> str:
    """Write the layers of a room's drawings."""
    first, _, last = name.partition(" ")
    if first == "wordy":
        return "\n".join(_wordy(*last.split(" ")))
    lines = _odd(int(last.rpartition(" ")[2])) if first == "odd" else _demo(int(first))
    return "\n".join(lines)


def _wordy(name: str, paper: Format) -> Iterator[str]:
    data = read_data((PLANS / f"{name}.yaml").read_bytes(), PLANS)
    long = "no further than the lift goes, by the stair at the back and then along the gallery "
    for place, key in enumerate(("title", "reference", "site", "client", "drawn_by")):
        data["job"][key] = f"{key} {long * (3 - place % 3)}".strip()
    for id_, room in data["rooms"].items():
        room["name"] = f"{id_}, {long}".strip()
    checked = examine(json.dumps(data).encode(), BENCH, path="plan.yaml")
    assert checked.facts is not None, checked.report.problems
    options = SheetOptions(paper=paper)
    for id_, facts in checked.facts.rooms.items():
        sheets = draw_sheets(facts, checked.facts.plan, checked.report, options)
        for number, sheet in enumerate(sheets, 1):
            yield f"-- {id_}, sheet {number}"
            yield shorten_drawing(sheet)


def _demo(place: int) -> Iterator[str]:
    _, plan, facts = demo_sheets.ROOMS[place]
    yield "-- nothing found"
    yield shorten_drawing(demo_sheets.plain(place))
    yield "-- very much found"
    yield shorten_drawing(demo_sheets.crowded_whole(place))
    if place % LININGS_OF == FIRST_LINED:
        yield from _linings(facts, plan, right(plan), SheetOptions())
    if place % DXF_OF == 0:
        yield "-- DXF"
        dxf = draw_dxf(facts, plan, right(plan), SheetOptions())
        yield shorten_lines(dxf.replace("\n", " ").replace("SECTION", "\n"))


def _odd(seed: int) -> Iterator[str]:
    checked = examine(json.dumps(odd_plan(seed)).encode(), BENCH, path="plan.yaml")
    assert checked.facts is not None
    (room,) = checked.facts.rooms.values()
    plan = checked.facts.plan
    options = SheetOptions(paper=PAPERS[seed % len(PAPERS)], layers=LAYERS)
    sheets = dict(enumerate(draw_sheets(room, plan, checked.report, options), 1))
    for number, sheet in sheets.items():
        yield f"-- sheet {number}"
        yield shorten_drawing(sheet)
    yield from _linings(room, plan, checked.report, options)


def _linings(
    facts: RoomFacts, plan: Plan, report: PlanReport, options: SheetOptions
) -> Iterator[str]:
    for kind, drawn in draw_linings(facts, plan, report, options).items():
        for sheet in drawn:
            yield f"-- {kind}"
            yield shorten_drawing(sheet)
