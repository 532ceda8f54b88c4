"""Boards and membrane can be cut and laid from their sheets: measured on what is drawn."""

import random
from functools import cache

import pytest
import shapely

from tests.effort import seeds
from tests.underfoot.drawing.lined import Lined
from tests.underfoot.drawing.measured import line_lengths
from tests.underfoot.drawing.rooms import (
    PLANS,
    demo_room,
    every_room,
    finding,
    parse,
    read_text,
    right,
    rooms_of,
    wrong,
)
from underfoot.checking.facts import Facts, RoomFacts
from underfoot.drawing import draw_linings, draw_room
from underfoot.drawing.chains import is_turned
from underfoot.drawing.lining.boards import MOST_LAYERS
from underfoot.plan import Courses, Plan
from underfoot.schedule.order_floor import list_floor_items

ROOMS = tuple(every_room())
EACH_ROOM = pytest.mark.parametrize("place", range(len(ROOMS)), ids=[name for name, *_ in ROOMS])
# A place on paper is written to a thousandth of a millimetre.
_WRITTEN = 0.001


@cache
def demo(place: int) -> dict[str, Lined]:
    _, plan, facts = ROOMS[place]
    return linings_of(plan, facts)


def linings_of(plan: Plan, facts: RoomFacts) -> dict[str, Lined]:
    return {name: Lined(drawn) for name, drawn in draw_linings(facts, plan, right(plan)).items()}


def floor_of(facts: RoomFacts) -> shapely.Geometry:
    """Work out the floor that boards must cover from the plan as written."""
    floor = shapely.Polygon(facts.drawn.outline)
    for fixture in facts.drawn.fixtures.values():
        if fixture.kind == "structure" or fixture.stands_on == "subfloor":
            floor = floor.difference(shapely.Polygon(fixture.outline))
    return floor


def look_at_boards(facts: RoomFacts, place: int, drawn: Lined) -> None:
    """See that a layer's drawing and its cut list say the same, and that it can be cut so."""
    insulation = facts.drawn.insulation
    assert insulation is not None
    layer, floor = insulation.layers[place], floor_of(facts)
    scale = drawn.first.scale
    if isinstance(layer, Courses) and layer.over is None:
        # All of the floor, and nothing twice: the written places are off by a thousandth each.
        slack = _WRITTEN * scale * sum(piece.length for piece in drawn.pieces.values())
        areas = sum(piece.area for piece in drawn.pieces.values())
        assert areas == pytest.approx(floor.area, abs=slack + 1.0)
        together = shapely.union_all(list(drawn.pieces.values()), grid_size=1e-4)
        assert together.area == pytest.approx(floor.area, abs=slack + 1.0)
    # Each piece is named on the drawing, or else told.
    untold = drawn.entries("untold")
    for name in drawn.pieces:
        told = sum(texts[0].startswith(f"{name}: ") for texts in untold)
        assert drawn.names.count(name) + told == 1, name
    assert insulation.board is not None
    long, wide = insulation.board.size
    cut = {name: piece for name, piece in drawn.pieces.items() if piece.area < long * wide - 1.0}
    assert sorted(each.piece for each in drawn.cuts) == sorted(cut)
    along_y = isinstance(layer, Courses) and layer.along == "y"
    by_board: dict[int | None, float] = {}
    for each in drawn.cuts:
        low_x, low_y, high_x, high_y = cut[each.piece].bounds
        size = (high_y - low_y, high_x - low_x) if along_y else (high_x - low_x, high_y - low_y)
        if isinstance(layer, Courses):
            assert (each.long, each.wide) == pytest.approx(size, abs=0.55 + _WRITTEN * scale)
        assert each.long <= long + 0.5
        assert each.wide <= wide + 0.5
        # What is no rectangle has its corners told.
        is_box = cut[each.piece].area > size[0] * size[1] * (1 - 1e-4) - 1.0
        assert is_box or not isinstance(layer, Courses) or each.more
        by_board[each.board] = by_board.get(each.board, 0.0) + each.long
    # What comes from one board fits on it: roundings of whole millimetres apart.
    assert all(total <= long + 0.5 * len(drawn.cuts) for total in by_board.values())
    said = drawn.says("boards-list")
    whole = len(drawn.pieces) - len(cut)
    assert f"{whole} of them laid whole" in said
    begun = len(by_board)
    assert said.startswith(f"Boards {whole + begun} board")
    begun = {"joint to begin with"} if is_turned(facts) else set()
    look_at_dimensions(drawn, {each.piece for each in drawn.cuts} | begun, untold)
    # A length is told of what is shorter than a board, and of no other.
    told = {each.what for each in drawn.first.dimensions} | {
        texts[0].split(": ")[0] for texts in untold
    }
    for each in drawn.cuts:
        if each.long > long - 0.5:
            assert f"{each.piece}, length" not in told
        elif not each.more and drawn.first.svg.count("too small for names") == 0:
            assert f"{each.piece}, length" in told, each.piece
        assert each.wide < wide - 0.5 or f"{each.piece}, width" not in told


def look_at_dimensions(drawn: Lined, things: set[str], untold: list[list[str]]) -> None:
    """See that each dimension is as long as it says, and told once."""
    whats = [each.what for each in drawn.first.dimensions]
    assert len(set(whats)) == len(whats)
    assert not set(whats) & {texts[0].split(": ")[0] for texts in untold}
    for each, long in line_lengths(drawn.first):
        assert long == pytest.approx(float(each.figure), abs=0.6 + 0.003 * drawn.first.scale)
        assert each.what.split(",")[0] in things


def look_at_membrane(facts: RoomFacts, drawn: Lined) -> None:
    """See that each lap is dimensioned with the plan's overlap, each sheet named and listed."""
    membrane = facts.drawn.membrane
    assert membrane is not None
    untold = drawn.entries("untold")
    said = drawn.says("cut-list")
    for name in facts.sheets.names:
        told = sum(texts[0].startswith(f"{name}: ") for texts in untold)
        shown = sum(words in (name, f"sheet {name}") for words in drawn.names)
        assert shown + told == 1, name
        assert f" {name} " in said
    whats = [each.what for each in drawn.first.dimensions]
    assert len(set(whats)) == len(whats)
    for each, long in line_lengths(drawn.first):
        assert long == pytest.approx(float(each.figure), abs=0.6 + 0.003 * drawn.first.scale)
    if len(membrane.runs) == 1 and not membrane.pieces and membrane.runs[0].over is None:
        (runs,) = membrane.runs
        count = len(facts.sheets.names)
        if runs.overlap:
            told = sum(texts[0].startswith("lap of") for texts in untold)
            laps = [each for each in drawn.first.dimensions if each.what.startswith("lap of")]
            assert len(laps) + told == count - 1
            assert {float(each.figure) for each in laps} <= {runs.overlap}
            assert (len(laps) < len(whats)) == (is_turned(facts) and count > 1)


def look(plan: Plan, facts: RoomFacts, drawn: dict[str, Lined]) -> None:
    for name, lined in drawn.items():
        assert lined.find_faults() == []
        if name == "membrane":
            look_at_membrane(facts, lined)
        else:
            look_at_boards(facts, int(name.partition("-")[2] or 1) - 1, lined)


@EACH_ROOM
def test_boards_and_membrane_can_be_laid_from_their_sheets(place: int) -> None:
    _, plan, facts = ROOMS[place]
    drawn = demo(place)
    insulation, membrane = facts.drawn.insulation, facts.drawn.membrane
    layers = len(insulation.layers) if insulation is not None else 0
    assert [name for name in drawn if name != "membrane"] == ["boards", "boards-2"][:layers]
    assert ("membrane" in drawn) == (membrane is not None)
    look(plan, facts, drawn)


@EACH_ROOM
def test_the_order_takes_as_many_boards(place: int) -> None:
    _, plan, facts = ROOMS[place]
    ordered = [
        item.amount
        for item in list_floor_items(Facts(plan, {}))
        if item.group == "insulation" and item.rooms == (facts.id,)
    ]
    said = [lined.says("boards-list") for name, lined in demo(place).items() if name != "membrane"]
    if facts.elements:
        assert [int(words.split()[1]) for words in said] == ordered


@pytest.mark.parametrize("name", ["dining-room", "wash-room", "kitchen"])
def test_every_sheet_of_a_room_gives_the_same_floor(name: str) -> None:
    """What a chimney or a partition stands on is no floor: neither for strips nor for boards."""
    ((_, plan, facts),) = [each for each in ROOMS if each[2].id == name]
    said = f"floor {floor_of(facts).area / 1e6:.2f} m²"
    linings = draw_linings(facts, plan, right(plan))
    for svg in (draw_room(facts, plan, right(plan)), *(sheets[0] for sheets in linings.values())):
        # Where the head is a narrow column its words are in two lines.
        (head,) = [each for each in parse(svg).iter() if each.get("class") == "head"]
        assert said in " ".join(head.itertext())


def test_most_cut_pieces_carry_their_length_on_the_drawing() -> None:
    drawn = [lined for place in range(len(ROOMS)) for name, lined in demo(place).items()
             if name != "membrane"]  # fmt: skip
    lengths = sum(each.what.endswith("length") for one in drawn for each in one.first.dimensions)
    wanted = lengths + sum(
        "length: " in texts[0] for one in drawn for texts in one.entries("untold")
    )
    assert lengths > 0.9 * wanted > 200


def random_floor(seed: int) -> tuple[Plan, RoomFacts]:
    """Draw a room with boards and a membrane by a seed: notches, a slanted wall, a column."""
    chance = random.Random(seed)
    wide, high = chance.randrange(900, 7000, 10), chance.randrange(900, 5000, 10)
    outline = [[0, 0], [wide, 0], [wide, high], [0, high]]
    kind = chance.choice(("plain", "notch", "slant"))
    if kind == "notch":
        x, y = chance.randrange(200, wide - 200, 10), chance.randrange(200, high - 200, 10)
        outline[2:3] = [[wide, y], [x, y], [x, high]]
    elif kind == "slant":
        outline[2] = [wide - chance.randrange(0, wide // 2, 10), high]
    length = chance.choice((800, 900, 1000, 1200, 1250))
    width = chance.choice((500, 600))
    layers = [
        f"{{courses: {chance.choice('xy')}, stagger: {chance.choice((0, 300, length // 2))}}}"
        for _ in range(chance.randint(1, 2))
    ]
    column = ""
    if chance.random() < 0.4:
        at = [chance.randrange(0, wide // 2, 10), chance.randrange(0, high // 2, 10)]
        column = f"    fixtures: {{column: {{kind: structure, at: {at}, size: [300, 250]}}}}\n"
    text = (
        "plan_format: 1\nmaterials:\n"
        f"  boards: {{board: {{size: [{length}, {width}], thickness: 10}}}}\n"
        f"  sheets: {{foil: {{width: {chance.choice((1500, 2000))}}}}}\n"
        "supply: {voltage: 230 V}\ncircuits: {C1: {}}\nrooms:\n  room:\n"
        f"    outline: {outline}\n{column}"
        f"    insulation: {{board: board, joints_taped: true, layers: [{', '.join(layers)}]}}\n"
        f"    membrane: {{sheet: foil, runs: {{along: {chance.choice('xy')}, "
        f"overlap: {chance.choice((100, 150, 200))}}}}}\n"
    )
    plan = read_text(text)
    return plan, rooms_of(plan)["room"]


@seeds(4, long=range(100, 200))
def test_a_random_floor_can_be_laid_from_its_sheets(seed: int) -> None:
    plan, facts = random_floor(seed)
    look(plan, facts, linings_of(plan, facts))


def test_a_finding_about_boards_stands_on_their_sheet_alone() -> None:
    plan, facts = demo_room("conservatory")
    joint = shapely.box(600, 0, 620, 600)
    about = finding(1, room="conservatory", items=("2-1-1",), shape=joint, message="Too near.")
    report = wrong(about)
    said = {name: "".join(sheets) for name, sheets in draw_linings(facts, plan, report).items()}
    assert {name for name, svg in said.items() if "Too near." in svg} == {"boards-2"}
    assert 'class="balloon"' in said["boards-2"]


def test_of_very_many_layers_the_first_are_drawn_and_the_rest_is_told() -> None:
    layers = ", ".join(["{courses: x}"] * (MOST_LAYERS + 1))
    plan = read_text(
        "plan_format: 1\nmaterials: {boards: {board: {size: [1200, 600]}}}\n"
        "supply: {voltage: 230 V}\nrooms:\n  room:\n"
        "    outline: [[0, 0], [2400, 0], [2400, 1200], [0, 1200]]\n"
        f"    insulation: {{board: board, layers: [{layers}]}}\n"
    )
    linings = linings_of(plan, rooms_of(plan)["room"])
    assert len(linings) == MOST_LAYERS
    for drawn in linings.values():
        assert f"Layers after the {MOST_LAYERS}th have no sheet" in drawn.says("boards-list")


def test_thousands_of_sheets_bear_no_names() -> None:
    text = (PLANS / "bedroom.yaml").read_text(encoding="utf-8")
    plan = read_text(text.replace("overlap: 150", "overlap: 1999"))
    facts = rooms_of(plan)["bedroom"]
    assert len(facts.sheets.names) > 1000
    drawn = draw_linings(facts, plan, right(plan), of=("membrane",))["membrane"]
    assert ">sheet " not in drawn[0]
    assert 'data-layer="membrane"' in drawn[0]
