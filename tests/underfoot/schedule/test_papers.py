"""The papers in every format: what stands in them, that it is safe, and the same each time."""

import csv
import io
import json
import os
import re
from base64 import b64decode
from html import unescape
from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.demo_plans import PLANS
from tests.underfoot.asking import Ask
from tests.underfoot.schedule.making import checked_base, checked_demo, papers_of, table_of
from underfoot.schedule.document import (
    Column,
    Table,
    as_number,
    round_to,
    without_empty_columns,
    write_cell,
    write_number,
)
from underfoot.schedule.files import write_csv, write_json, write_xlsx
from underfoot.schedule.gathering import PARTS, gather_papers
from underfoot.schedule.page import write_page
from underfoot.schedule.sheets import draw_sheets
from underfoot.schedule.text import write_text

DATED = "schedule --today 2026-12-01"
EVIL = '=HYPERLINK("http://example.invalid","<script>alert(1)</script>")\u202e'


def evil_papers():
    job = {"title": EVIL, "site": '#import "x" $ \\ <b>', "reference": "+1"}
    tests = [{"circuit": "C1", "stage": "laid", "tested_by": EVIL}]
    underlay = {"thickness": 2, "material": EVIL}
    change = {"job": job, "tests": tests, "rooms": {"room": {"underlay": underlay}}}
    return gather_papers(checked_base(change))


def test_numbers_are_rounded_as_their_column_says() -> None:
    assert round_to(69.9735, 2, "up") == 69.98
    assert round_to(81.6358, 2, "down") == 81.63
    assert round_to(81.6358, 2, "near") == 81.64
    assert round_to(69.97, 2, "up") == 69.97  # 6996.999... hundredths are 6997
    assert write_number(-0.001, 2) == "0.00"
    assert write_number(-1.5, 1) == "-1.5"
    trimmed = Column(key="a", title="a", decimals=2, trims=True)
    assert [write_cell(value, trimmed) for value in (20.0, 7.3, 0.0)] == ["20", "7.3", "0"]
    for value in (2250.0, 2250.0000000000005):
        assert repr(as_number(value, Column(key="a", title="a", decimals=0))) == "2250"
    assert (
        write_cell("load_resistance", Column(key="a", title="a", spoken=True)) == "load resistance"
    )


def test_columns_with_nothing_in_them_are_left_out_but_blanks() -> None:
    columns = tuple(Column(key=key, title=key, blank=key == "c") for key in "abc")
    table = Table(key="t", title="t", columns=columns, rows=(("x", None, None), ("y", None, None)))
    kept = without_empty_columns(table)
    assert ([column.key for column in kept.columns], kept.rows[0]) == (["a", "c"], ("x", None))


@pytest.mark.parametrize("name", ["bedroom", "flat", "study", "wash-room", "as-laid/sewing-room"])
def test_text_keeps_to_its_width_and_ends_with_the_caution(name: str) -> None:
    papers = papers_of(name) if "/" not in name else papers_of("sewing-room")
    text = "".join(write_text(papers))
    assert max(map(len, text.splitlines())) <= 100
    assert "CAUTION  This check is an aid and certifies nothing." in text
    narrow = "".join(write_text(papers, 60))
    assert max(map(len, narrow.splitlines())) <= 60


def test_a_plan_that_is_not_in_order_says_so_at_the_head() -> None:
    for write in (lambda p: "".join(write_text(p)), lambda p: write_json(p, "0"),
                  lambda p: write_page(p, "0")):  # fmt: skip
        bad = " ".join(write(papers_of("study")).split())
        assert "This plan is not in order." in bad
        assert bad.lower().index("not in order") < bad.lower().index("strips and circuits")
        assert "not in order" not in write(papers_of("bedroom"))
    unsure = "".join(write_text(papers_of("box-room")))
    assert "It is not known whether this plan is in order" in " ".join(unsure.split())


def test_json_holds_numbers_as_numbers_and_every_table() -> None:
    data = json.loads(write_json(papers_of("flat"), "0.1"))
    assert (data["schedule_format"], data["plan"]["verdict"]) == (1, "no objection")
    assert [part["key"] for part in data["parts"]] == list(PARTS)
    tables = {table["key"]: table for part in data["parts"] for table in part["tables"]}
    assert tables["strips"]["rows"][0]["length_mm"] == 3990
    assert tables["strips"]["rows"][0]["rated_ohm"] == pytest.approx(
        52900 / (3.99 * 0.56 * 72), rel=1e-5
    )
    for table in tables.values():
        assert all(set(row) == {c["key"] for c in table["columns"]} for row in table["rows"])


def test_csv_is_one_table_with_its_keys_for_a_head() -> None:
    text = write_csv(table_of(papers_of("bedroom"), "strips"))
    rows = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))
    assert rows[0]["strip"] == "A1"
    assert float(rows[0]["current_a"]) == pytest.approx(90 / 230, abs=1e-4)


def test_no_text_of_a_plan_becomes_a_formula_or_markup() -> None:
    papers = evil_papers()
    for table in (table for part in papers.parts for table in part.tables):
        _, *lines = csv.reader(io.StringIO(write_csv(table).removeprefix("\ufeff")))
        for line, row in zip(lines, table.rows, strict=True):
            for written, cell in zip(line, row, strict=True):
                if isinstance(cell, str):
                    assert not written.startswith(("=", "+", "-", "@", "\t", "\r"))
                elif cell is not None:
                    assert float(written) == pytest.approx(cell, abs=0.5)
    page = write_page(papers, "0")
    assert "<script" not in page
    assert "&lt;script&gt;" in page
    assert "\u202e" not in page + "".join(write_text(papers)) + write_json(papers, "0")


def test_a_book_is_read_again_with_numbers_as_numbers() -> None:
    openpyxl = pytest.importorskip("openpyxl", reason="the extra 'schedule' is not installed")
    made = write_xlsx(papers_of("bedroom"))
    assert made == write_xlsx(papers_of("bedroom"))
    book = openpyxl.load_workbook(io.BytesIO(made))
    assert book.sheetnames[0] == "about"
    tables = [table.key for part in papers_of("bedroom").parts for table in part.tables]
    assert book.sheetnames[1:] == tables
    head, first, *_ = book["strips"].iter_rows(values_only=True)
    strip = dict(zip(head, first, strict=True))
    assert (strip["strip"], strip["length_mm"], strip["power_w"]) == ("A1", 2250, 90)
    assert strip["rated_ohm"] == pytest.approx(52900 / 90, abs=1e-3)

    evil = openpyxl.load_workbook(io.BytesIO(write_xlsx(evil_papers())))
    for sheet in evil:
        for line in sheet.iter_rows():
            for cell in line:
                assert cell.data_type != "f"
                assert not (isinstance(cell.value, str) and cell.value.startswith(("=", "+", "@")))


def test_a_pdf_is_set_of_whatever_a_plan_says() -> None:
    pytest.importorskip("typst", reason="the extra 'print' is not installed")
    from underfoot.schedule.print import print_papers

    for paper in ("A4", "A5"):
        made = print_papers(evil_papers(), paper)
        assert made.startswith(b"%PDF")
    assert print_papers(papers_of("bedroom"), "A4") == print_papers(papers_of("bedroom"), "A4")


def test_the_page_needs_nothing_from_elsewhere() -> None:
    page = unescape(write_page(papers_of("flat"), "0"))
    assert "default-src 'none'" in page
    assert not re.search(r'(?:src|href)="(?!#)', page)


@pytest.fixture
def plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    for name in ("bedroom.yaml", "catalogue.yaml"):
        (tmp_path / name).write_bytes((PLANS / name).read_bytes())
    monkeypatch.chdir(tmp_path)
    return "bedroom.yaml"


def test_a_format_goes_by_the_files_ending(plan: str, ask: Ask) -> None:
    assert ask(DATED, plan, "--output", "papers.json").out == ""
    assert json.loads(Path("papers.json").read_text("utf-8"))["schedule_format"] == 1
    assert ask(DATED, plan, "--output", "papers.html").out == ""
    assert Path("papers.html").read_text("utf-8").startswith("<!DOCTYPE html>")
    out = ask(DATED, plan, "--part", "strips").out
    assert "STRIPS AND CIRCUITS" in out
    assert "ORDER LIST" not in out


def test_the_page_shows_the_sheets_that_draw_gives(plan: str, ask: Ask) -> None:
    pictures = re.compile(r'<img class="sheet" src="data:image/svg\+xml;base64,([^"]+)"')
    ask(DATED, plan, "--output", "papers.html")
    page = Path("papers.html").read_text("utf-8")
    ask("draw --output bedroom.svg --today 2026-12-01", plan)
    # The room, what had no room beside it, then boards and membrane: in this order on the page.
    drawn = [
        Path("bedroom.svg"),
        *(each for kind in ("part-*", "boards*", "membrane*")
          for each in sorted(Path.cwd().glob(f"bedroom.{kind}.svg"), key=lambda at: at.stem)),
    ]  # fmt: skip
    assert {"bedroom.boards.svg", "bedroom.membrane.svg"} < {each.name for each in drawn}
    assert [b64decode(each) for each in pictures.findall(page)] == [
        each.read_bytes() for each in drawn
    ]
    assert "img-src data:;" in page
    assert not re.search(r'(?:src|href)="(?!#|data:image/svg)', page)
    # Several rooms: each picture has its own heading, and no id stands twice on the page.
    flat = checked_demo("flat")
    sheets = draw_sheets(flat)
    page = write_page(papers_of("flat"), "0", sheets)
    assert [b64decode(each).decode() for each in pictures.findall(page)] == [
        sheet.svg for sheet in sheets
    ]
    assert {"living-room", "bedroom", "hall", "bathroom", "hall, boards", "bedroom, membrane"} <= {
        sheet.title for sheet in sheets
    }
    names = re.findall(r' id="([^"]+)"', page)
    assert len(names) == len(set(names))
    assert '<a href="#sheets">Drawings</a>' in page
    # Parts without the hand-over go without.
    ask(DATED, plan, "--output", "strips.html", "--part", "strips")
    assert "<img" not in Path("strips.html").read_text("utf-8")


def test_csv_is_one_table_or_a_folder_of_them(plan: str, ask: Ask) -> None:
    command = [DATED, plan, "--format", "csv"]
    said = ask(*command, status=2).err
    assert "a CSV file holds one table: choose one with --part" in said
    assert ask(*command, "--part", "leads").out.startswith("\ufeffroom,lead,circuit")
    ask(*command, "--output", "tables/")
    names = sorted(file.name for file in Path("tables").iterdir())
    assert "bedroom-readings.csv" in names
    assert "bedroom-strips.csv" in names


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--part", "stripes"), "there is no part or table 'stripes'; did you mean `strips`"),
        (("--roll", "long"), "--roll long: "),
        (("--roll", "50"), "--roll 50: `50` has no unit: write for example `50 m`"),
        (("--roll", "film-80=50"), "`50` has no unit: write for example `50 m`"),
        (("--keep", "-1 m"), "--keep -1 m: "),
        (("--keep", "1"), "--keep 1: `1` has no unit: write for example `1 m`"),
        (("--stock", "none.csv"), "--stock none.csv: "),
        (("--output", "bedroom.yaml", "--format", "text"), "overwrite a plan"),
        (("--output", "no/papers.pdf"), "--output no/papers.pdf: there is no folder"),
        (("--output", "papers.doc"), "what is written is text, so name it papers.txt; --format"),
        (("--output", "papers.txt", "--format", "pdf"), "what is written is pdf, so name it pap"),
    ],
)
def test_what_is_asked_wrongly_is_said(
    plan: str, ask: Ask, arguments: tuple[str, ...], said: str
) -> None:
    before = sorted(os.listdir())
    assert said in ask(DATED, plan, *arguments, status=2).err
    assert sorted(os.listdir()) == before


def test_a_file_may_be_named_in_capitals_or_without_an_ending(plan: str, ask: Ask) -> None:
    for name in ("PAPERS.TXT", "papers", "/dev/null"):
        ask(DATED, plan, "--output", name, "--part", "strips")
    assert Path("PAPERS.TXT").read_text("utf-8") == Path("papers").read_text("utf-8")


def test_a_plan_that_cannot_be_read_is_told_as_elsewhere(plan: str, ask: Ask) -> None:
    Path(plan).write_text("plan_format: 1\nrooms: {}\n", "utf-8")
    said = ask(DATED, plan, status=2)
    assert said.out == ""
    assert said.err.startswith("underfoot: bedroom.yaml:")
    ask(DATED, "nowhere.yaml", status=2)
    assert "this is a folder; schedule takes one plan" in ask(DATED, ".", status=2).err


def test_checked_demo_plans_all_have_papers() -> None:
    for file in sorted(PLANS.glob("*.yaml")):
        if file.stem != "catalogue":
            papers = gather_papers(checked_demo(file.stem))
            assert "".join(write_text(papers))


def long_papers(notes: list[str]):
    """Papers with one table, of so many rows that several are set as one."""
    columns = tuple(Column(key=key, title=key, blank=key == "reading")
                    for key in ("strip", "note", "reading"))  # fmt: skip
    rows = tuple((f"S{number}", note, None) for number, note in enumerate(notes))
    table = Table(key="readings", title="Readings", columns=columns, rows=rows)
    papers = papers_of("bedroom")
    return replace(papers, parts=(replace(papers.parts[0], tables=(table,)),))


def pages_of(notes: list[str]) -> int:
    from underfoot.schedule.print import print_papers

    made = print_papers(long_papers(notes), "A4")
    assert made == print_papers(long_papers(notes), "A4")
    return max(int(count) for count in re.findall(rb"/Count (\d+)", made))


def test_no_row_of_a_very_long_table_is_lost_on_paper() -> None:
    pytest.importorskip("typst", reason="the extra 'print' is not installed")
    tall = "so long that it takes a second line of what the other columns leave it, " * 2
    # A4 less its margins is 263 mm, a line 4.8 mm: 45 to 55 rows of one line, with head and gaps.
    assert 1000 / 55 < pages_of(["short"] * 1000) < 1000 / 45
    # Of every ten rows one takes two lines.
    assert 1100 / 55 < pages_of([*["short"] * 9, tall] * 100) < 1200 / 45
    # Each is another, so that not all are measured; the table is set as any other.
    assert 1000 / 55 < pages_of([f"{tall}{number}" for number in range(500)]) < 1500 / 40
