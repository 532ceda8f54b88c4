"""`underfoot draw`, run through its own front door."""

import re
import struct
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.underfoot.asking import Ask
from underfoot.__main__ import main

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]

ROOM = """
  {name}:
    outline: [[0, 0], [{wide}, 0], [{wide}, 3000], [0, 3000]]
    height: {height}
"""


def put_plan(*names: str, height: str = "2400", wide: str = "4000") -> str:
    rooms = "".join(ROOM.format(name=name, height=height, wide=wide) for name in names)
    text = (
        'plan_format: 1\njob: {title: Hall & stair, date: "2026-09-28"}\nmaterials: {}\n'
        f"supply: {{voltage: 230 V}}\nrooms:{rooms}"
    )
    Path("plan.yaml").write_text(text, "utf-8")
    return "plan.yaml"


def test_one_room_goes_to_standard_output(ask: Ask) -> None:
    said = ask("draw", put_plan("hall"))
    assert ElementTree.fromstring(said.out).get("width") == "420mm"
    assert said.err == ""


def test_output_is_the_same_in_a_file(capsys: Said, ask: Ask) -> None:
    plan = put_plan("hall")
    shown = ask("draw", plan).out
    assert main(["draw", plan, "--output", "hall.svg"]) == 0
    assert Path("hall.svg").read_text("utf-8") == shown
    assert capsys.readouterr().out == ""


def test_several_rooms_want_a_folder_or_a_choice(ask: Ask) -> None:
    plan = put_plan("hall", "stair")
    assert ask("draw", plan, status=2).err == (
        "underfoot: the plan has 2 rooms (hall, stair), a sheet each: choose one with --room, or "
        "name a folder with --output\n"
    )
    ask("draw", plan, "--output", "both.svg", status=2)
    assert not Path("both.svg").exists()


def test_a_folder_gets_a_file_for_each_room() -> None:
    assert main(["draw", put_plan("hall", "stair"), "--output", "sheets/"]) == 0
    assert sorted(path.name for path in Path("sheets").iterdir()) == [
        "plan-hall.svg",
        "plan-stair.svg",
    ]
    text = Path("sheets/plan-stair.svg").read_text("utf-8")
    assert ">Room 2 of 2<" in text
    assert ">1 of 1<" in text


def test_a_room_is_chosen_and_a_near_miss_is_suggested(ask: Ask) -> None:
    plan = put_plan("hall", "stair")
    assert ">stair<" in ask("draw", plan, "--room", "stair").out
    assert ask("draw", plan, "--room", "stairs", status=2).err == (
        "underfoot: --room stairs: the plan has no such room; did you mean `stair`?\n"
    )
    assert ask("draw", plan, "--room", "loft", status=2).err == (
        "underfoot: --room loft: the plan has no such room; there are hall, stair\n"
    )


def test_findings_are_those_of_the_check(ask: Ask) -> None:
    drawn = ask("draw", put_plan("hall", height="1900")).out
    assert "room-height" in drawn
    assert "revise and resubmit" in drawn


def test_sheet_and_layers_are_as_asked(ask: Ask) -> None:
    plan = put_plan("hall")
    drawn = ask("draw", plan, "--sheet", "A3", "--layers", "fixtures, dimensions").out
    assert ElementTree.fromstring(drawn).get("width") == "420mm"
    assert set(re.findall('data-layer="([a-z]+)"', drawn)) == {"walls", "dimensions"}


def test_an_unknown_layer_is_refused_with_the_nearest(ask: Ask) -> None:
    assert ask("draw", put_plan("hall"), "--layers", "usual,board", status=2).err == (
        "underfoot: --layers usual,board: there is no layer 'board'; did you mean `boards`?\n"
    )
    said = ask("draw", put_plan("hall"), "--layers", "xyzzy", status=2).err
    assert "no layer 'xyzzy'; there are boards, membrane, " in said


def test_an_unreadable_plan_is_told_with_its_place(ask: Ask) -> None:
    said = ask("draw", put_plan("hall", height="tall"), status=2)
    assert said.out == ""
    assert said.err.splitlines()[:4] == [
        "underfoot: plan.yaml: unreadable: 1 problem",
        " 1  plan.yaml:8:5",
        "    8 |     height: tall",
        "      |     ^^^^^^",
    ]


def test_an_absent_plan_and_a_folder_are_refused(ask: Ask) -> None:
    assert "none.yaml" in ask("draw none.yaml", status=2).err
    assert "this is a folder; draw takes one plan" in ask("draw .", status=2).err


def test_a_plan_is_never_overwritten(capsys: Said) -> None:
    plan = put_plan("hall")
    before = Path(plan).read_bytes()
    assert main(["draw", plan, "--output", plan, "--format", "svg"]) == 2
    assert Path(plan).read_bytes() == before


def test_a_name_without_an_ending_gets_one(capsys: Said) -> None:
    plan = put_plan("hall")
    assert main(["draw", plan, "--output", "sheet"]) == 0
    assert ElementTree.fromstring(Path("sheet.svg").read_text("utf-8")).get("width") == "420mm"
    assert capsys.readouterr().err == "underfoot: drawn: sheet.svg\n"
    assert not Path("sheet").exists()


def test_a_png_or_pdf_gets_its_ending(capsys: Said) -> None:
    pytest.importorskip("resvg_py", reason="the extra 'print' is not installed")
    plan = put_plan("hall")
    for form, begins in (("png", b"\x89PNG"), ("pdf", b"%PDF-")):
        assert main(["draw", plan, "--format", form, "--output", "sheet"]) == 0
        assert Path(f"sheet.{form}").read_bytes().startswith(begins)
        assert capsys.readouterr().err == f"underfoot: drawn: sheet.{form}\n"


def test_a_name_without_an_ending_is_a_folder_where_there_are_several_rooms() -> None:
    assert main(["draw", put_plan("hall", "stair"), "--output", "sheets"]) == 0
    assert sorted(path.name for path in Path("sheets").iterdir()) == [
        "plan-hall.svg",
        "plan-stair.svg",
    ]


@pytest.mark.parametrize(
    ("name", "form", "right"), [("hall.jpg", "svg", "hall.svg"), ("hall.svg", "png", "hall.png")]
)
def test_the_ending_of_something_else_is_refused(
    name: str, form: str, right: str, ask: Ask
) -> None:
    assert ask("draw", put_plan("hall"), "--format", form, "--output", name, status=2).err == (
        f"underfoot: --output {name}: what is written is {form}, so name it {right}; "
        "--format can be svg, pdf, png, dxf\n"
    )
    assert not Path(name).exists()


def test_a_device_takes_any_format() -> None:
    assert main(["draw", put_plan("hall"), "--output", "/dev/null"]) == 0


def test_pdf_holds_every_room_at_its_size() -> None:
    pytest.importorskip("typst", reason="the extra 'print' is not installed")
    assert main(["draw", put_plan("hall", "stair"), "--output", "all.pdf"]) == 0
    made = Path("all.pdf").read_bytes()
    assert made.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type\s*/Page\b", made)) == 2
    # A3 across: 420 and 297 mm in points of 1/72 inch.
    boxes = re.findall(rb"/MediaBox\s*\[0 0 ([0-9.]+) ([0-9.]+)\]", made)
    assert [tuple(map(float, box)) for box in boxes] == [
        pytest.approx((420 / 25.4 * 72, 297 / 25.4 * 72), abs=0.01)
    ] * 2


def test_png_has_eight_pixels_a_millimetre() -> None:
    pytest.importorskip("resvg_py", reason="the extra 'print' is not installed")
    assert main(["draw", put_plan("hall"), "--output", "hall.png"]) == 0
    made = Path("hall.png").read_bytes()
    assert made[:8] == b"\x89PNG\r\n\x1a\n"
    wide, high = struct.unpack(">II", made[16:24])
    assert (wide, high) == (420 * 8, 297 * 8)


def test_printing_gives_the_same_bytes_again() -> None:
    pytest.importorskip("typst", reason="the extra 'print' is not installed")
    plan = put_plan("hall")
    for name in ("one.pdf", "two.pdf"):
        assert main(["draw", plan, "--output", name]) == 0
    assert Path("one.pdf").read_bytes() == Path("two.pdf").read_bytes()


def test_without_the_extra_it_says_how_to_install_it(
    monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    assert ask("draw", put_plan("hall"), "--output", "hall.pdf", status=2).err == (
        "underfoot: PDF and PNG need the extra 'print', which is not installed: "
        "pip install 'underfoot[print]'\n"
    )
    assert not Path("hall.pdf").exists()


LINED = """
    insulation: {board: board, layers: [{courses: x, stagger: 600}, {courses: y}]}
    membrane: {sheet: foil, runs: {along: x, overlap: 150}}
"""
BARE = """
    insulation: {board: board}
    membrane: {sheet: foil}
"""


def put_lined(lining: str = LINED) -> str:
    plan = put_plan("hall")
    text = Path(plan).read_text("utf-8").rstrip() + lining
    stuff = "materials: {boards: {board: {size: [1200, 600]}}, sheets: {foil: {width: 2000}}}"
    Path(plan).write_text(text.replace("materials: {}", stuff), "utf-8")
    return plan


def test_boards_and_membrane_have_sheets_of_their_own(capsys: Said, ask: Ask) -> None:
    plan = put_lined()
    assert main(["draw", plan, "--output", "hall.svg"]) == 0
    written = {path.name for path in Path.cwd().glob("hall*.svg")}
    assert {"hall.svg", "hall.boards.svg", "hall.boards-2.svg", "hall.membrane.svg"} <= written
    assert "underfoot: drawn: hall.membrane.svg" in capsys.readouterr().err
    assert ">Boards, layer 2 of 2<" in Path("hall.boards-2.svg").read_text("utf-8")
    assert main(["draw", plan, "--output", "sheets/"]) == 0
    assert {f"plan-{name}" for name in written} == {path.name for path in Path("sheets").iterdir()}
    said = ask("draw", plan)
    assert said.out == Path("hall.svg").read_text("utf-8")
    assert "boards and membrane are on " in said.err


def test_sheets_are_chosen(ask: Ask) -> None:
    plan = put_lined()
    said = ask("draw", plan, "--only", "membrane")
    assert ">Membrane<" in said.out
    assert said.err == ""
    # What is asked for alone has the name that was asked for.
    ask("draw", plan, "--only", "membrane", "--output", "foil.svg")
    assert Path("foil.svg").read_text("utf-8") == said.out
    for only in (["--only", "room"], ["--layers", "usual"]):
        ask("draw", plan, *only, "--output", f"{only[1]}/")
        names = [path.name for path in Path(only[1]).iterdir()]
        assert "plan-hall.svg" in names
        assert not any("boards" in name or "membrane" in name for name in names)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--only", "boards"], "--only boards: the plan does not say how the boards lie"),
        (["--only", "membrane", "--room", "hall"],
         "--only membrane: hall does not say how the membrane lies"),
        (["--only", "boards", "--layers", "all"],
         "--only boards: its sheets have no layers to choose; leave out --layers"),
        (["--only", "boards", "--format", "dxf"],
         "--only chooses sheets, and DXF has none: boards and membrane are layers"),
    ],
)  # fmt: skip
def test_what_cannot_be_drawn_is_refused(arguments: list[str], said: str, ask: Ask) -> None:
    assert ask("draw", put_lined(BARE), *arguments, status=2).err == f"underfoot: {said}\n"


def test_what_is_not_laid_out_is_told_on_the_room_s_sheets() -> None:
    assert main(["draw", put_lined(BARE), "--output", "hall.svg"]) == 0
    drawn = "".join(path.read_text("utf-8") for path in Path.cwd().glob("hall*.svg"))
    text = " ".join(re.sub(r"<[^>]+>", " ", drawn).split())
    assert "How the boards lie is not in the plan" in text
    assert "How the membrane&#39;s sheets lie is not in the plan" in text
