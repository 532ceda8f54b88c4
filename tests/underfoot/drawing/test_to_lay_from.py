"""A room can be laid from its sheet alone: all is told once, whole, and nothing hides it."""

import math
import random
from collections.abc import Callable
from functools import cache
from statistics import median

import pytest
import shapely
from msgspec import Struct
from msgspec.structs import replace

from tests.effort import seeds
from tests.underfoot.drawing.measured import Measured, find_overlaps, line_lengths
from tests.underfoot.drawing.rooms import SVG, crowd, every_room, read_text, rooms_of
from underfoot.checking.facts import RoomFacts
from underfoot.drawing import USUAL_LAYERS, draw_sheets
from underfoot.drawing.chains import find_chains, find_guests
from underfoot.drawing.setting_out import find_wanted
from underfoot.plan import Plan

ROOMS = tuple(every_room())
EACH_ROOM = pytest.mark.parametrize("place", range(len(ROOMS)), ids=[name for name, *_ in ROOMS])
# As many findings as a plan may have that somebody wants to lay from.
_FINDINGS = 5
Make = Callable[[int], tuple[Plan, RoomFacts]]


class Sheets(Struct, frozen=True, kw_only=True):
    """A room's sheets, measured."""

    facts: RoomFacts
    plan: Plan
    all: tuple[Measured, ...]

    @property
    def first(self) -> Measured:
        """The drawing."""
        return self.all[0]

    @property
    def untold(self) -> list[str]:
        """What is written in the table of what had no room in the drawing."""
        return [
            " ".join("".join(text.itertext()) for text in entry.iter(f"{SVG}text"))
            for sheet in self.all
            for table in sheet.of_class("untold")
            for entry in table
        ]


def sheets_of(facts: RoomFacts, plan: Plan) -> Sheets:
    """Draw a room's sheets with some findings, and measure them."""
    report = crowd(facts)
    report = replace(report, findings=report.findings[:: max(1, len(report.findings) // _FINDINGS)])
    drawn = tuple(Measured(svg) for svg in draw_sheets(facts, plan, report))
    return Sheets(facts=facts, plan=plan, all=drawn)


@cache
def demo(place: int) -> Sheets:
    """Measure a demo room's sheets."""
    _, plan, facts = ROOMS[place]
    return sheets_of(facts, plan)


def look(sheets: Sheets) -> None:
    """See that nothing lies on anything, and that all is told once."""
    assert [each for sheet in sheets.all for each in find_overlaps(sheet)] == []
    facts, first, untold = sheets.facts, sheets.first, sheets.untold
    beside: dict[str, list[str]] = {}
    for text in first.texts:
        if "label" in text.within:
            beside.setdefault(text.within[-1], []).append(text.words)
    for element in facts.elements:
        length = f"{element.length:.0f}"
        on_it = " ".join(beside.get(element.id, [])).split(" ").count(length)
        listed = sum(line.startswith(f"{element.id}: {length} long") for line in untold)
        assert on_it + listed == 1, (element.id, beside.get(element.id), untold)
        assert element.id in " ".join(beside.get(element.id, [])), "which strip it is"
    # Each dimension that is wanted stands on the drawing, or else in the table.
    wanted = find_wanted(facts, USUAL_LAYERS)
    drawn = [each.what for each in first.dimensions]
    for what in {each.what for each in wanted}:
        listed = sum(line.startswith(f"{what}: ") and " to " in line for line in untold)
        assert drawn.count(what) + listed == sum(each.what == what for each in wanted), what
    lengths = {round(way.length, 1) for each in wanted for way in each.ways}
    for each, long in line_lengths(first):
        assert long == pytest.approx(float(each.figure), abs=0.6 + 0.002 * first.scale)
        assert any(abs(long - known) < 0.6 + 0.002 * first.scale for known in lengths)
    rows = find_chains(facts, tuple(find_guests(sheets.plan, facts).values()))
    figures = [
        text for text in first.texts if "figure" in text.within and "measure" not in text.within
    ]
    listed = sum(" along " in line for line in untold)
    assert len(figures) + listed == sum(len(row.stops) - 1 for row in rows)


@EACH_ROOM
def test_a_room_can_be_laid_from_its_sheet(place: int) -> None:
    look(demo(place))


def test_rooms_fill_a_quarter_of_the_paper_and_more() -> None:
    shares = [demo(place).first.share for place in range(len(ROOMS))]
    assert median(shares) >= 0.25


def random_room(seed: int) -> tuple[Plan, RoomFacts]:
    """Draw a room with a row that stops short, a fixture, a box, a sensor and a lead, by a seed."""
    chance = random.Random(seed)
    count, length = chance.randint(2, 9), chance.randint(3, 16) * 250
    wide, high = count * 500 + 60 + chance.randint(60, 400), length + chance.randint(120, 500)
    notch = chance.randint(100, 400)
    outline = [[0, 0], [wide, 0], [wide, high], [0, high]]
    if chance.random() < 0.5 and length >= 1500:
        outline[2:3] = [[wide, high - notch], [wide - notch, high - notch], [wide - notch, high]]
    short = chance.randint(0, count - 1)
    lengths = [length - 250 * (place == short and length > 750) for place in range(count)]
    box = chance.randrange(100, high - 100, 10)
    off = chance.choice((30, 40))
    sensor = [310 + 500 * chance.randint(0, count - 1), 60 + length // 2]
    route = f"junction-box, [{off}, {box}], [{off}, {off}], A"
    text = (
        "plan_format: 1\nmaterials:\n"
        "  films: {film: {width: 500, output: 80 W/m2, voltage: 230 V}}\n"
        "supply: {voltage: 230 V}\ncircuits: {C1: {}}\nrooms:\n  room:\n"
        f"    outline: {outline}\n"
        f"    fixtures: {{desk: {{at: [{chance.randint(0, wide // 2)}, "
        f"{chance.randint(0, high // 2)}], size: [{chance.randint(300, 900)}, 400], "
        "kind: on legs, clear: 600}}\n"
        f"    rows: {{A: {{film: film, at: [60, 60], along: y, lengths: {lengths}, "
        "circuit: C1}}\n"
        f"    junction_box: {{at: [0, {box}]}}\n    thermostat: {{}}\n"
        f"    sensor: {{at: {sensor}, route: [junction-box, [{sensor[0]}, {box}]]}}\n"
        f"    leads: {{W1: {{circuit: C1, route: [{route}]}}}}\n"
    )
    plan = read_text(text)
    return plan, rooms_of(plan)["room"]


def turned_room(seed: int) -> tuple[Plan, RoomFacts]:
    """Draw a room that is turned with its row, whose strips stop short at either end, by a seed."""
    chance = random.Random(seed)
    turn = math.radians(angle := chance.randint(1, 89))
    count, length = chance.randint(3, 8), chance.randint(6, 14) * 250
    long, wide = length + chance.randint(120, 500), count * 500 + 60 + chance.randint(60, 400)
    shy = [250 * chance.choice((0, 0, 1, 2)) for _ in range(count)]

    def at(x: float, y: float) -> list[float]:
        cosine, sine = math.cos(turn), math.sin(turn)
        return [round(x * cosine - y * sine, 1), round(x * sine + y * cosine, 1)]

    outline = [at(0, 0), at(long, 0), at(long, wide), at(0, wide)]
    if chance.random() < 0.4:
        # A wall askew to all others before some of the stops.
        outline[2:3] = [at(long, wide - 900), at(long - 200, wide)]
    shifted = chance.random() < 0.5
    strips = "".join(
        f"      E{place}: {{film: film, at: {at(60 + (less if shifted else 0), 60 + 500 * place)}, "
        f"along: {angle} deg, length: {length - less}, circuit: C1}}\n"
        for place, less in enumerate(shy)
    )
    box = chance.randrange(100, wide - 100, 10)
    sensor = (60 + length // 2, 310 + 500 * chance.randint(0, count - 1))
    plan = read_text(
        "plan_format: 1\nmaterials:\n"
        "  films: {film: {width: 500, output: 80 W/m2, voltage: 230 V}}\n"
        "supply: {voltage: 230 V}\ncircuits: {C1: {}}\nrooms:\n  room:\n"
        f"    outline: {outline}\n    elements:\n{strips}"
        f"    junction_box: {{at: {at(0, box)}}}\n    thermostat: {{}}\n"
        f"    sensor: {{at: {at(*sensor)}, route: [junction-box, {at(sensor[0], box)}]}}\n"
        f"    leads: {{W1: {{circuit: C1, route: [junction-box, {at(30, box)}, E0]}}}}\n"
    )
    return plan, rooms_of(plan)["room"]


def slanted_room(seed: int) -> tuple[Plan, RoomFacts]:
    """Draw a room between slanted walls, whose strips and lead end along them, by a seed."""
    chance = random.Random(seed)
    count = chance.randint(2, 7)
    wide = count * 500 + 60 + chance.randint(60, 400)
    foot, eaves, ridge = chance.randint(50, 500), chance.randint(2200, 3200), chance.randint(2, 8)
    top = chance.randint(3300, 4200)
    lean = chance.choice((0, 0, 150))
    outline = [[0, 0], [wide, foot], [wide + lean, eaves], [wide * ridge // 10, top], [0, eaves]]
    floor = shapely.Polygon(outline)

    def free(x: int) -> tuple[float, float]:
        """Return how low and how high a strip may reach that begins there."""
        lines = [shapely.LineString([(each, -9999), (each, 9999)]) for each in (x, x + 500)]
        ways = [shapely.intersection(floor, line).bounds for line in lines]
        return max(way[1] for way in ways) + 60, min(way[3] for way in ways) - 60

    strips = ""
    for place in range(count):
        low, high = free(60 + 500 * place)
        start = math.ceil(low) + chance.choice((0, 0, 120))
        strips += (
            f"      E{place}: {{film: film, at: [{60 + 500 * place}, {start}], along: y, "
            f"length: {(high - start) // 250 * 250}, circuit: C1}}\n"
        )
    long = math.hypot(wide, foot)

    def beside(along: float, off: float) -> list[float]:
        """Return a place so far along the lower wall, and so far off it."""
        x, y = (along * wide - off * foot) / long, (along * foot + off * wide) / long
        return [round(x, 1), round(y, 1)]

    box, bend = chance.uniform(0.5, 0.8) * long, chance.uniform(0.1, 0.4) * long
    sensor = [310 + 500 * chance.randint(0, count - 1), eaves // 2]
    plan = read_text(
        "plan_format: 1\nmaterials:\n"
        "  films: {film: {width: 500, output: 80 W/m2, voltage: 230 V}}\n"
        "supply: {voltage: 230 V}\ncircuits: {C1: {}}\nrooms:\n  room:\n"
        f"    outline: {outline}\n    elements:\n{strips}"
        f"    junction_box: {{at: {beside(box, 0)}}}\n    thermostat: {{}}\n"
        f"    sensor: {{at: {sensor}, route: [junction-box, {beside(box, 150)}]}}\n"
        f"    leads: {{W1: {{circuit: C1, route: [junction-box, {beside(box, 30)}, "
        f"{beside(bend, 30)}, E0]}}}}\n"
    )
    return plan, rooms_of(plan)["room"]


RANDOM = pytest.mark.parametrize("make", [random_room, turned_room, slanted_room])


@RANDOM
@seeds(4, long=range(100, 200))
def test_a_random_room_can_be_laid_from_its_sheet(make: Make, seed: int) -> None:
    plan, facts = make(seed)
    look(sheets_of(facts, plan))
