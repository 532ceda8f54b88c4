"""Nothing runs through a sign's letters or a figure, and the legend shows what is there."""

from itertools import pairwise
from xml.etree import ElementTree

import pytest
import shapely
from msgspec.structs import replace

from tests.underfoot.drawing.rooms import (
    PLANS,
    SVG,
    crowd,
    demo_room,
    every_room,
    finding,
    parse,
    places_of,
    read,
    right,
    rooms_of,
    wrong,
)
from underfoot.checking.report import NO_OBJECTION, PlanReport
from underfoot.drawing import USUAL_LAYERS, SheetOptions, choose_layers, draw_room, draw_sheets
from underfoot.drawing.chains import is_turned
from underfoot.drawing.lettering import SMALL
from underfoot.drawing.sheets import Format

ROOMS = tuple(every_room())
EACH_ROOM = pytest.mark.parametrize("place", range(len(ROOMS)), ids=[name for name, *_ in ROOMS])


def wrapped(sheets: tuple[str, ...]) -> str:
    """Make one document of a room's sheets."""
    return f"<sheets>{''.join(sheets)}</sheets>"


def legend_of(svg: str) -> ElementTree.Element:
    (legend,) = [each for each in parse(svg).iter(f"{SVG}g") if each.get("class") == "legend"]
    return legend


@pytest.mark.slow
@EACH_ROOM
def test_signs_lie_over_leader_lines_and_dimensions(place: int) -> None:
    _, plan, facts = ROOMS[place]
    order = [
        each.get("class")
        for each in parse(draw_room(facts, plan, crowd(facts))).iter(f"{SVG}g")
        if each.get("class") in {"sign", "leader", "chain"}
    ]
    assert set(order) >= ({"leader"} if is_turned(facts) else {"leader", "chain"})
    # The crowd's findings are about strips, and about a thermostat where one hangs in the room.
    signed = bool(facts.elements) or facts.drawn.thermostat is not None
    assert ("sign" in order) == signed
    if signed:
        assert set(order[order.index("sign") :]) == {"sign"}


@pytest.mark.slow
@EACH_ROOM
def test_no_line_of_a_dimension_runs_through_a_figure(place: int) -> None:
    _, plan, facts = ROOMS[place]
    root = parse(draw_room(facts, plan, right(plan)))
    chains = [each for each in root.iter(f"{SVG}g") if each.get("class") == "chain"]
    lines = shapely.MultiLineString(
        [line for each in chains for path in each for line in places_of(path.get("d") or "")]
    )
    figures = [each for each in root.iter(f"{SVG}text") if each.get("class") == "figure"]
    assert figures
    for figure in figures:
        x, y = float(figure.get("x") or 0), float(figure.get("y") or 0)
        half = float(figure.get("textLength") or 0) / 2
        # Digits of the family are 0.688 of the size high and stand on the base line.
        high = 0.688 * float(figure.get("font-size") or 0)
        patch = shapely.box(x - half, y - high, x + half, y)
        if figure.get("transform"):
            patch = shapely.box(x - high, y - half, x, y + half)
        assert not patch.intersects(lines), figure.text


def test_a_line_at_fault_shows_beside_the_lead_over_it() -> None:
    plan, facts = demo_room("bedroom")
    lead = facts.leads[0]
    report = wrong(finding(1, room="bedroom", shape=lead.line))
    root = parse(draw_room(facts, plan, report))
    (fault,) = [each for each in root.iter(f"{SVG}g") if each.get("class") == "fault"]
    (way,) = [each for each in root.iter(f"{SVG}g") if each.get("data-item") == lead.lead.id]
    widest = max(float(path.get("stroke-width") or 0) for path in way)
    assert float(fault[0].get("stroke-width") or 0) > widest + 0.5


def test_the_legend_shows_a_severity_as_it_stands_on_the_sheet() -> None:
    plan, facts = demo_room("bedroom")
    waived = finding(1, "warning", room="bedroom", items=("A1",), waived=True)
    report = PlanReport(path="p", verdict=NO_OBJECTION, findings=(waived,))
    legend = legend_of(wrapped(draw_sheets(facts, plan, report)))
    words = {text.text for text in legend.iter(f"{SVG}text")}
    assert "waived warning" in words
    assert "warning" not in words
    open_ = finding(2, "error", room="bedroom", items=("A2",))
    report = wrong(open_, waived)
    legend = legend_of(wrapped(draw_sheets(facts, plan, report)))
    words = {text.text for text in legend.iter(f"{SVG}text")}
    assert {"error", "waived warning"} <= words
    assert "warning" not in words


def test_the_legend_shows_the_colours_of_the_room_s_own_circuit() -> None:
    plan, facts = demo_room("flat", "hall")
    svg = draw_room(facts, plan, right(plan))
    (lead,) = [each for each in parse(svg).iter(f"{SVG}path") if each.get("class") == "lead"]
    colours = {
        path.get("stroke")
        for path in legend_of(wrapped(draw_sheets(facts, plan, right(plan)))).iter(f"{SVG}path")
    }
    assert lead.get("stroke") in colours


@pytest.mark.parametrize("paper", ["auto", "A4", "A3"])
def test_every_message_is_whole_on_the_room_s_sheet_or_a_further_one(paper: Format) -> None:
    plan, facts = demo_room("bedroom")
    message = "The strip lies so near to the wall that " + "the skirting's fixings reach it " * 9
    findings = tuple(finding(at, room="bedroom", message=message) for at in range(1, 15))
    report = wrong(*findings)
    sheets = draw_sheets(facts, plan, report, SheetOptions(paper=paper))
    assert len(sheets) > 1
    said = " ".join(
        " ".join(each.itertext())
        for sheet in sheets
        for each in parse(sheet).iter()
        if each.get("class") == "findings-list"
    )
    assert " ".join(said.split()).count(" ".join(message.split())) == 14
    assert "…" not in said
    titles = [[text.text for text in parse(sheet).iter(f"{SVG}text")] for sheet in sheets]
    assert [f"{place} of {len(sheets)}" in each for place, each in enumerate(titles, 1)] == [
        True for _ in sheets
    ]
    assert {"Findings", "Findings and tables"} & set(titles[1])


@pytest.mark.parametrize(
    ("name", "items", "more"),
    [
        ("utility-room", ("B1", "B2"), {"boards"}),
        ("dining-room", ("M1", "M2"), {"membrane"}),
        ("dining-room", ("A1",), set()),
    ],
)
def test_a_layer_that_a_finding_names_is_drawn(
    name: str, items: tuple[str, ...], more: set[str]
) -> None:
    facts = rooms_of(read(PLANS / f"{name}.yaml"))[name]
    report = wrong(finding(1, room=name, items=items))
    assert set(choose_layers(facts, report)) == {*USUAL_LAYERS, *more}
    elsewhere = wrong(finding(1, room="another", items=items))
    assert choose_layers(facts, elsewhere) == USUAL_LAYERS


@pytest.mark.parametrize("paper", ["A4", "A3"])
def test_a_long_name_is_written_smaller_at_the_head_and_whole(paper: Format) -> None:
    name = "Kitchen and dining (ground floor)"
    plan = read(PLANS / "bedroom.yaml")
    plan = replace(plan, rooms={"bedroom": replace(plan.rooms["bedroom"], name=name)})
    first = draw_room(rooms_of(plan)["bedroom"], plan, right(plan), SheetOptions(paper=paper))
    (head,) = [each for each in parse(first).iter() if each.get("class") == "head"]
    assert name in " ".join(text.text or "" for text in head.iter(f"{SVG}text"))
    # Within the frame (10 mm from the edge of the paper; capitals are 0.72 of their size tall), and
    # no line on another.
    lines = [(float(text.get("y", 0)), text) for text in head.iter(f"{SVG}text")]
    assert min(y - 0.72 * float(text.get("font-size", 0)) for y, text in lines) > 10.0
    left = min(float(text.get("x", 0)) for _, text in lines)
    downwards = sorted(y for y, text in lines if float(text.get("x", 0)) == left)
    assert all(after - before > SMALL for before, after in pairwise(downwards))
