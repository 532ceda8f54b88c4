"""`underfoot new`: a plan with blanks, that reads as it stands and with its examples put in."""

import json
import os
import re
from pathlib import Path

import pytest
from shapely import Polygon

from tests.there import there
from tests.underfoot.asking import Ask
from tests.underfoot.beginning.begun import DEMO_CATALOGUE, begun, put_catalogue
from tests.underfoot.beginning.drawings import ROOM, closed, new_drawing, saved, text
from underfoot.__main__ import main
from underfoot.reading.plan_file import read_plan

pytestmark = pytest.mark.usefixtures("folder")

Said = pytest.CaptureFixture[str]
KEPT = Path(__file__).parent / "begun_hall.txt"
DAY = ("--today", "2026-11-29")


def test_a_tape_is_enough(ask: Ask) -> None:
    said = ask("new hall.yaml --size 4.2mx3.1m", *DAY)
    assert said.out == ""
    assert said.err == (
        "underfoot: the supply is taken to be 230 V: change `voltage` where it is not\n"
        "underfoot: written: hall.yaml, with hall (13.0 m2)\n"
        "underfoot: now fill in its blanks, and run: underfoot check hall.yaml\n"
    )
    plan = begun()
    (room,) = plan.rooms.values()
    assert (room.id, room.use) == ("hall", "hall")
    assert room.outline == ((0, 0), (4200, 0), (4200, 3100), (0, 3100))
    assert room.height is None
    assert room.fixtures == {}
    assert plan.status == "draft"
    assert plan.job is not None
    # Nobody said where the measurements come from.
    assert (plan.job.date, plan.job.measured, plan.job.title) == ("2026-11-29", None, None)
    assert plan.supply.voltage_v == 230
    assert plan.circuits == {}
    # It checks: what it lacks is told, and nothing about how it is written.
    assert "nothing-heated" in ask("check hall.yaml", status=1).out


@pytest.mark.parametrize(
    ("size", "corner"),
    [
        ("4.2mx3.1m", (4200, 3100)),
        ("4200x3100", (4200, 3100)),
        ("4.2 x 3.1 m", (4200, 3100)),
        ("420cm × 3.1", (4200, 31)),
        (" 4.2m by 310 cm ", (4200, 3100)),
        ("12ft*10ft", (3657.6, 3048)),
        ("4200.04mmx3100", (4200, 3100)),
        ("4200.06x3100", (4200.1, 3100)),
    ],
)
def test_a_size_may_be_written_in_many_ways(size: str, corner: tuple[float, float]) -> None:
    if corner[1] < 300:
        assert main(["new", "hall.yaml", "--size", size]) == 2
        return
    assert main(["new", "hall.yaml", "--size", size]) == 0
    assert begun().rooms["hall"].outline[2] == corner


def uncommented(source: str) -> str:
    """Take the # away from each example, which is a line of YAML."""
    lines = []
    for line in source.splitlines():
        is_example = re.match(r" +# (- \{|[\w-]+: [\[{]|cable: | +[a-z_]+: )", line)
        lines.append(line.replace("# ", "", 1) if is_example else line)
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("stocked", [False, True])
def test_every_example_may_be_put_in_as_it_stands(stocked: bool) -> None:
    if stocked:
        put_catalogue()
        assert main(["new", "a.yaml", "--size", "4.2mx3.1m", "--film", "film-150", *DAY]) == 0
    else:
        assert main(["new", "a.yaml", "--size", "4.2mx3.1m", *DAY]) == 0
    source = uncommented(Path("a.yaml").read_text())
    source = source.replace("junction_box: ", "junction_box: {at: [0, 1500], height: 450} ")
    if not stocked:
        source = source.replace("board:  ", "board: my-board")
    Path("b.yaml").write_text(source)
    plan = begun("b.yaml")
    (room,) = plan.rooms.values()
    # 3100 less 60 at either wall leaves 2980, of which 11 cuts of 250 are 2750, 19 of the
    # catalogue's 150 are 2850; 4080 / 420 = 9.7.
    assert [element.length for element in room.elements] == ([2850] * 9 if stocked else [2750] * 2)
    assert set(room.fixtures) == {"wardrobe", "bed"}
    assert room.sensor is not None
    assert len(room.leads) == 1
    assert plan.circuits["C1"].thermostat == room.id
    assert len(there(room.subfloor).layers) == 1
    assert room.insulation is not None
    outputs = (65, 72, 85, 90, 105, 130, 150)
    assert set(plan.materials.films) == (
        {f"film-{output}" for output in outputs} if stocked else {"my-film"}
    )


def test_the_plan_is_as_it_was_kept(capsys: Said) -> None:
    drawing = new_drawing(4)
    closed(drawing.modelspace(), ROOM)
    closed(drawing.modelspace(), [(2000, 2000), (2300, 2000), (2300, 2300), (2000, 2300)])
    closed(drawing.modelspace(), [(3000, 2000), (3300, 2000), (3300, 2300)])
    Path("hall.dxf").write_bytes(saved(drawing))
    assert main(["new", "hall.yaml", "--outline", "hall.dxf", "--room", "hall", *DAY]) == 0
    assert max(map(len, Path("hall.yaml").read_text().splitlines())) <= 100
    # If the change is meant, copy the plan there, and read the difference. Which handles a library
    # gives is its own affair.
    written = re.sub(r"polyline #[0-9A-F]+ ", "polyline #2F ", Path("hall.yaml").read_text())
    assert written == KEPT.read_text()
    capsys.readouterr()


def test_blanks_name_keys_that_there_are() -> None:
    assert main(["new", "a.yaml", "--size", "3mx3m", "--covering", "my-oak"]) == 0
    # A key that is not known is an error; so each blank is filled with what its remark proposes.
    source = Path("a.yaml").read_text()
    blanks = re.findall(r"^ *([a-z_]+):  +# (.*)$", source, re.MULTILINE)
    assert len(blanks) > 40
    filled = re.sub(
        r"^( *[a-z_]+):( +# (?:.*such as |.*as measured: ))(\{.*\}|[^,;\n]+)$",
        r"\1: \3",
        source,
        flags=re.MULTILINE,
    )
    filled = re.sub(r"^( *[a-z_]+): +# .*true or false.*$", r"\1: true", filled, flags=re.MULTILINE)
    Path("b.yaml").write_text(filled)
    plan = begun("b.yaml")
    assert plan.rooms["a"].heat_loss_w == 1450
    assert plan.supply.available_a == 25
    assert plan.materials.coverings["my-oak"].thickness == 8


def test_with_a_catalogue_what_there_is_no_choice_of_is_filled_in(ask: Ask) -> None:
    put_catalogue()
    shared = Path("catalogue.yaml")
    only_one = re.sub(r" +pe-03: .*\n", "", shared.read_text("utf-8"))
    shared.write_text(only_one, "utf-8")
    asked = ["--film", "film-150", "--covering", "laminate-7", "--use", "living", "--room", "Den"]
    assert "materials are taken from catalogue.yaml, which stands beside the plan" in (
        ask("new den.yaml --size 3650x3120", *asked).err
    )
    plan = begun("den.yaml")
    room = plan.rooms["den"]
    assert room.use == "living"
    assert room.coverings[0].covering.id == "laminate-7"
    assert room.membrane is not None
    assert there(room.membrane.sheet).id == "pe-025"
    assert there(plan.method_statement).steps["elements_taped"] is True
    written = Path("den.yaml").read_text()
    assert "board:                   # a board, by its name: board-12 or board-18\n" in written


def test_the_catalogue_may_stand_elsewhere_below_the_root(capsys: Said) -> None:
    os.mkdir(".git")
    put_catalogue()
    os.makedirs("plots/3 ${x}")
    plan = "plots/3 ${x}/hall.yaml"
    assert main(["new", plan, "--size", "3mx3m", "--catalogue", "catalogue.yaml"]) == 0
    assert "catalogue: ../../catalogue.yaml\n" in Path(plan).read_text()
    assert "underfoot check 'plots/3 ${x}/hall.yaml'" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("asked", "volts", "beside", "said"),
    [
        ([], 230, "taken as usual", "the supply is taken to be 230 V: change"),
        (["--voltage", "0.24 kV"], 240, "between one phase and neutral", None),
        (["--film", "low"], 24, "taken as usual", "taken to be 24 V, that of low: change"),
    ],
)
def test_the_voltage_is_given_or_said_to_be_taken(
    asked: list[str], volts: float, beside: str, said: str | None, capsys: Said
) -> None:
    Path("catalogue.yaml").write_text(
        "catalogue_format: 1\n"
        "materials: {films: {low: {width: 500, output: 100 W/m2, voltage: 24 V}}}\n"
    )
    assert main(["new", "hall.yaml", "--size", "3mx3m", *asked]) == 0
    assert begun().supply.voltage_v == volts
    assert re.search(rf"  voltage: {volts} V +# {beside}", Path("hall.yaml").read_text())
    told = capsys.readouterr().err
    assert said in told if said else "taken to be" not in told


def test_what_is_drawn_comes_back(capsys: Said) -> None:
    plans = DEMO_CATALOGUE.parent
    assert main(["draw", str(plans / "flat.yaml"), "--output", "drawn/", "--format", "dxf"]) == 0
    flat = read_plan((plans / "flat.yaml").read_bytes(), path="", folder=plans).plan
    assert flat is not None
    for name, room in flat.rooms.items():
        outline = f"drawn/flat-{name}.dxf"
        assert main(["new", f"{name}.yaml", "--outline", outline, "--room", name,
                     "--layer", "outline"]) == 0  # fmt: skip
        again = begun(f"{name}.yaml").rooms[name]
        assert Polygon(again.outline).equals(Polygon(room.outline))
    capsys.readouterr()


def test_several_rooms(ask: Ask) -> None:
    rooms = ["--room", "Kitchen", "--size", "3mx4m", "--room", "Living room", "--size", "5mx4m"]
    ask("new flat.yaml", *rooms)
    plan = begun("flat.yaml")
    assert {name: room.use for name, room in plan.rooms.items()} == {
        "kitchen": "kitchen",
        "living-room": "living",
    }
    assert plan.rooms["living-room"].outline[2] == (5000, 4000)
    said = ask("new one.yaml", *rooms[:4], "--room", "hall", status=2).err
    assert "2 rooms and 1 size do not match: give each --room its --size" in said


def test_an_outline_from_each_kind_of_file(capsys: Said) -> None:
    drawing = new_drawing(4)
    closed(drawing.modelspace(), ROOM)
    text(drawing.modelspace(), "Hall: # [x]\\P", (2000, 2000))
    Path("a.dxf").write_bytes(saved(drawing))
    ring = [[x / 1000, y / 1000] for x, y in [*ROOM, ROOM[0]]]
    Path("b.geojson").write_text(json.dumps({"type": "Polygon", "coordinates": [ring]}))
    Path("c.wkt").write_text(
        "# the hall\nhall: POLYGON ((1 1, 5 1, 5 4,\n 1 4, 1 1),\n (2 2, 2.3 2, 2.3 2.3, 2 2))\n"
    )
    for name, options in (
        ("a.dxf", []),
        ("b.geojson", ["--unit", "m"]),
        ("c.wkt", ["--unit", "m"]),
    ):
        plan = f"{name[0]}.yaml"
        assert main(["new", plan, "--outline", name, "--room", "hall", *options]) == 0
        read = begun(plan)
        assert read.rooms["hall"].outline == ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
        assert there(read.job).measured == "from a drawing"
    assert [f.kind for f in begun("c.yaml").rooms["hall"].fixtures.values()] == ["structure"]
    capsys.readouterr()
