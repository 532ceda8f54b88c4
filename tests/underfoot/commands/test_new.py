"""`underfoot new`: a plan with blanks, that reads as it stands and with its examples put in."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest
from shapely import Polygon

from tests.underfoot.beginning.drawings import ROOM, closed, new_drawing, saved, text
from underfoot.__main__ import main
from underfoot.plan import Plan
from underfoot.reading.plan_file import read_plan

pytestmark = pytest.mark.usefixtures("folder")

Said = pytest.CaptureFixture[str]
DEMO_CATALOGUE = Path(__file__).parents[3] / "plans" / "catalogue.yaml"
KEPT = Path(__file__).parent / "begun_hall.txt"
DAY = ("--today", "2026-11-29")


def begun(name: str = "hall.yaml") -> Plan:
    reading = read_plan(Path(name).read_bytes(), path=name, folder=Path.cwd())
    assert reading.problems == ()
    assert reading.plan is not None
    return reading.plan


def put_catalogue() -> None:
    Path("catalogue.yaml").write_bytes(DEMO_CATALOGUE.read_bytes())


def test_a_tape_is_enough(capsys: Said) -> None:
    assert main(["new", "hall.yaml", "--size", "4.2mx3.1m", *DAY]) == 0
    said = capsys.readouterr()
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
    assert main(["check", "hall.yaml"]) == 1
    assert "nothing-heated" in capsys.readouterr().out


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
        assert main(["new", "a.yaml", "--size", "4.2mx3.1m", "--film", "film-140", *DAY]) == 0
    else:
        assert main(["new", "a.yaml", "--size", "4.2mx3.1m", *DAY]) == 0
    source = uncommented(Path("a.yaml").read_text())
    source = source.replace("junction_box: ", "junction_box: {at: [0, 1500], height: 450} ")
    if not stocked:
        source = source.replace("board:  ", "board: my-board")
    Path("b.yaml").write_text(source)
    plan = begun("b.yaml")
    (room,) = plan.rooms.values()
    # 3100 less 60 at either wall leaves 2980, of which 11 cuts of 250 are 2750; 4080 / 500 = 8.
    assert [element.length for element in room.elements] == [2750] * (8 if stocked else 2)
    assert set(room.fixtures) == {"wardrobe", "bed"}
    assert room.sensor is not None
    assert len(room.leads) == 1
    assert plan.circuits["C1"].thermostat == room.id
    assert room.subfloor is not None
    assert len(room.subfloor.layers) == 1
    assert room.insulation is not None
    assert set(plan.materials.films) == (
        {"film-80", "film-140", "film-100"} if stocked else {"my-film"}
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


def test_with_a_catalogue_what_there_is_no_choice_of_is_filled_in(capsys: Said) -> None:
    put_catalogue()
    asked = ["--film", "film-140", "--covering", "laminate-8", "--use", "living", "--room", "Den"]
    assert main(["new", "den.yaml", "--size", "3650x3120", *asked]) == 0
    assert "materials are taken from catalogue.yaml, which stands beside the plan" in (
        capsys.readouterr().err
    )
    plan = begun("den.yaml")
    room = plan.rooms["den"]
    assert room.use == "living"
    assert room.coverings[0].covering.id == "laminate-8"
    assert room.membrane is not None
    assert room.membrane.sheet is not None
    assert room.membrane.sheet.id == "pe-02"
    assert plan.method_statement is not None
    assert plan.method_statement.steps["elements_taped"] is True
    written = Path("den.yaml").read_text()
    assert "board:                   # a board, by its name: board-10 or board-20\n" in written


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


def test_several_rooms(capsys: Said) -> None:
    rooms = ["--room", "Kitchen", "--size", "3mx4m", "--room", "Living room", "--size", "5mx4m"]
    assert main(["new", "flat.yaml", *rooms]) == 0
    plan = begun("flat.yaml")
    assert {name: room.use for name, room in plan.rooms.items()} == {
        "kitchen": "kitchen",
        "living-room": "living",
    }
    assert plan.rooms["living-room"].outline[2] == (5000, 4000)
    assert main(["new", "one.yaml", *rooms[:4], "--room", "hall"]) == 2
    assert "there are 2 rooms and 1 sizes: give each --room its --size" in capsys.readouterr().err


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
        assert read.job is not None
        assert read.job.measured == "from a drawing"
    assert [f.kind for f in begun("c.yaml").rooms["hall"].fixtures.values()] == ["structure"]
    capsys.readouterr()


def test_what_stands_there_stays(capsys: Said) -> None:
    Path("hall.yaml").write_text("mine")
    os.symlink("nowhere", "link.yaml")
    for name in ("hall.yaml", "link.yaml"):
        assert main(["new", name, "--size", "3mx3m"]) == 2
        assert "there is a file of this name already, which stays" in capsys.readouterr().err
    assert Path("hall.yaml").read_text() == "mine"
    assert sorted(os.listdir()) == ["hall.yaml", "link.yaml"]


def test_what_comes_meanwhile_stays(capsys: Said, monkeypatch: pytest.MonkeyPatch) -> None:
    from underfoot.commands import new, output_files

    write = output_files.write_new_file

    def late(place: str, content: str) -> None:
        Path(place).write_text("somebody else's")
        write(place, content)

    monkeypatch.setattr(new, "write_new_file", late)
    assert main(["new", "hall.yaml", "--size", "3mx3m"]) == 2
    assert Path("hall.yaml").read_text() == "somebody else's"
    assert os.listdir() == ["hall.yaml"]
    # The same where a file cannot have two names.
    os.unlink("hall.yaml")

    def no_links(*_: object) -> None:
        raise PermissionError(1, "no links here")

    monkeypatch.setattr(os, "link", no_links)
    assert main(["new", "hall.yaml", "--size", "3mx3m"]) == 2
    assert Path("hall.yaml").read_text() == "somebody else's"
    monkeypatch.setattr(new, "write_new_file", write)
    assert main(["new", "room.yaml", "--size", "3mx3m"]) == 0
    assert sorted(os.listdir()) == ["hall.yaml", "room.yaml"]
    capsys.readouterr()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["hall.yaml"], "say how large the room is, such as --size 4.2mx3.1m, or where its"),
        (["hall.txt", "--size", "3mx3m"], "a plan's name ends in .yaml, such as hall.yaml"),
        (["no/hall.yaml", "--size", "3mx3m"], "there is no folder"),
        (["hall.yaml", "--size", "4.2m"], "is no size: write width by depth, such as 4.2mx3.1m"),
        (["hall.yaml", "--size", "4,2mx3m"], "write 4.2m with a point"),
        (["hall.yaml", "--size", "4.2x3.1"], "measures 4.2 mm by 3.1 mm, which is no room: write"),
        (["hall.yaml", "--size", "0mx3m"], "both sides must be longer than nothing"),
        (["hall.yaml", "--size", "3mx-3m"], "both sides must be longer than nothing"),
        (["hall.yaml", "--size", "3mx3kg"], "a length is expected"),
        (["hall.yaml", "--size", "3mx3m", "--outline", "a.dxf"], "not both"),
        (["hall.yaml", "--outline", "a.dxf"], "--outline a.dxf: No such file or directory"),
        (["hall.yaml", "--outline", "b.geojson"], "add --unit, such as --unit mm"),
        (["hall.yaml", "--outline", "b.svg"], "none of the files that an outline can come from"),
        (["hall.yaml", "--outline", "b.geojson", "--layer", "A"], "GeoJSON has no layers: leave"),
        (["hall.yaml", "--outline", "c.ifc", "--unit", "mm"], "says its unit: leave out --unit"),
        (["hall.yaml", "--size", "3mx3m", "--catalogue", "no.yaml"], "there is no such file"),
        (["hall.yaml", "--size", "3mx3m", "--catalogue", "b.geojson"], "b.geojson:1:"),
        (["hall.yaml", "--size", "3mx3m", "--film", "a b"], "an id is made of letters, digits"),
        (["hall.yaml", "--size", "3mx3m", "--use", "hall", "--use", "hall"], "1 rooms and 2 uses"),
        (["hall.yaml", "--size", "3mx3m", "--voltage", "230"], "has no unit: write 230 V"),
        (["hall.yaml", "--size", "3mx3m", "--voltage", "0 V"], "must be more than 0 V"),
        (["hall.yaml", "--size", "3mx3m", "--chord-error", "0.4"], "from 0.5 to 20 mm"),
        (["hall.yaml", "--size", "3mx3m", "--chord-error", "21mm"], "from 0.5 to 20 mm"),
    ],
)
def test_what_cannot_be_is_told(arguments: list[str], says: str, capsys: Said) -> None:
    Path("b.geojson").write_text("{}")
    Path("b.svg").write_text("<svg/>")
    Path("c.ifc").write_text("")
    assert main(["new", *arguments]) == 2
    said = capsys.readouterr().err
    assert says in said
    assert said.count("\n") == 1
    assert not Path(arguments[0]).exists()


def test_a_film_that_the_catalogue_has_not_is_told(capsys: Said) -> None:
    put_catalogue()
    assert main(["new", "hall.yaml", "--size", "3mx3m", "--film", "film-81"]) == 2
    assert "the catalogue has none of that name; did you mean `film-80`?" in capsys.readouterr().err
    assert main(["new", "hall.yaml", "--size", "3mx3m", "--covering", "zzz"]) == 2
    assert "there are laminate-8, oak-14" in capsys.readouterr().err


def test_a_hostile_name_stays_in_its_remark(capsys: Said) -> None:
    name = "x\r\nplan_format: 2\u2028\u202eevil\x07" + "y" * 3000
    Path("a.geojson").write_text(
        json.dumps(
            {
                "type": "Feature",
                "properties": {"name": name},
                "geometry": {"type": "Polygon", "coordinates": [[[0, 0], [4, 0], [4, 3], [0, 0]]]},
            }
        )
    )
    assert main(["new", "a.yaml", "--outline", "a.geojson", "--unit", "m"]) == 0
    plan = begun("a.yaml")
    assert list(plan.rooms) == ["x-plan-format-2-evil-yyyyyyyyyyyyyyyyyyy"]
    source = Path("a.yaml").read_text()
    assert source.isprintable() or set(source) - {"\n"} == {m for m in source if m.isprintable()}
    assert max(map(len, source.splitlines())) < 320
    capsys.readouterr()


def talk(arguments: list[str], answers: str) -> tuple[int, str]:
    """Run the command at a terminal of its own, and answer its questions."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "underfoot", *arguments]
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs) as process:
        os.close(theirs)
        os.write(ours, answers.encode())
        said = b""
        while True:
            try:
                piece = os.read(ours, 4096)
            except OSError:  # the other end is closed
                break
            if not piece:
                break
            said += piece
        process.wait(timeout=30)
    os.close(ours)
    return process.returncode, said.decode().replace("\r\n", "\n")


@pytest.mark.process
def test_at_a_terminal_it_asks() -> None:
    put_catalogue()
    answers = "4.2m\n4.2mx3.1m\n\nlivin\n\n\n\nfilm-80\noak-14\n\n"
    status, said = talk(["new", "study.yaml"], answers)
    assert status == 0, said
    assert "is no size: write width by depth, such as 4.2mx3.1m" in said
    assert "did you mean `living`?" in said
    assert "What is the room called [study]:" in said
    assert "What is it used for [office]:" in said
    plan = begun("study.yaml")
    assert plan.rooms["study"].use == "office"
    assert plan.rooms["study"].coverings[0].covering.id == "oak-14"
    # Ctrl-D ends it without a plan, and without a traceback.
    status, said = talk(["new", "other.yaml"], "\x04")
    assert status == 130
    assert "Traceback" not in said
    assert not Path("other.yaml").exists()
