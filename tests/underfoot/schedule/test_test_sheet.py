"""The test sheet, and readings that come back from it into a plan."""

import csv
import io
import re
from datetime import datetime
from pathlib import Path

import pytest

from tests.demo_plans import PLANS
from tests.underfoot.asking import Ask
from tests.underfoot.schedule.making import checked_base, checked_demo, papers_of, rows_of, table_of
from underfoot.reading.syntax import parse
from underfoot.reporting.spreadsheet import write_book
from underfoot.schedule.files import write_csv, write_xlsx
from underfoot.schedule.gathering import gather_papers
from underfoot.schedule.readings import make_edits, read_readings
from underfoot.schedule.stock import read_stock
from underfoot.schedule.table_rows import TableError

HEAD = "circuit,stage,what,strip,reading\n"


def read(text: str | bytes, plan: str = "bedroom"):
    facts = checked_demo(plan).facts
    assert facts is not None
    return read_readings(text if isinstance(text, bytes) else (HEAD + text).encode(), facts)


def fill(readings: dict[tuple[str, str], str]) -> bytes:
    """Fill in the bedroom's sheet, as a person would in a spreadsheet."""
    rows = list(csv.reader(io.StringIO(write_csv(table_of(papers_of("bedroom"), "readings")))))
    head = [name.removeprefix("\ufeff") for name in rows[0]]
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(head)
    for row in rows[1:]:
        cells = dict(zip(head, row, strict=True))
        key = (cells["stage"], cells["strip"] or cells["what"])
        writer.writerow([*row[:-1], readings.get(key, "")])
    return out.getvalue().encode()


def test_the_sheet_asks_for_every_reading_with_its_band() -> None:
    rows = rows_of(papers_of("bedroom"), "readings")
    asked = {(row["stage"], row["strip"] or row["what"]): row for row in rows}
    assert len(asked) == len(rows)
    made_up = {what for stage, what in asked if stage == "made up"}
    assert made_up == {"date", "tested_by", "load_resistance", *(f"A{n}" for n in range(1, 8))}
    for stage in ("laid", "covered"):
        load = asked[stage, "load_resistance"]
        assert (load["least"], load["most"]) == pytest.approx((52900 / 756, 52900 / 648))
        assert asked[stage, "insulation_resistance"]["least"] == 1
        assert asked[stage, "test_voltage"]["least"] == 500
        assert asked[stage, "rcd_trip_time"]["most"] == 300
    assert all(row["reading"] is None for row in rows)


def test_selv_is_tested_at_its_own_voltage_and_has_no_rcd() -> None:
    asked = {(r["stage"], r["what"]): r for r in rows_of(papers_of("guest-bath"), "readings")}
    assert asked["laid", "insulation_resistance"]["least"] == 0.5
    assert asked["laid", "test_voltage"]["least"] == 250
    assert ("laid", "rcd_trip_time") not in asked


def test_what_is_printed_lies_within_the_band() -> None:
    lines = write_csv(table_of(papers_of("bedroom"), "readings")).splitlines()
    (laid,) = [line for line in lines if line.startswith("C1,laid,load_resistance")]
    least, most = (float(cell) for cell in laid.split(",")[4:6])
    assert 52900 / 756 <= least < 52900 / 756 + 0.001
    assert 52900 / 648 - 0.001 < most <= 52900 / 648


def test_what_is_recorded_stands_beside_its_blank() -> None:
    tests = [
        {"circuit": "C1", "stage": "laid", "date": "2026-09-20", "load_resistance": "68.5 ohm"},
        {"circuit": "C1", "stage": "laid", "date": "2026-09-22", "tested_by": "the electrician",
         "thermostat_disconnected": True},
        {"circuit": "C1", "stage": "made up", "strips": {"A2": "481 ohm"}},
    ]  # fmt: skip
    rows = rows_of(gather_papers(checked_base({"tests": tests})), "readings")
    recorded = {(r["stage"], r["strip"] or r["what"]): r["recorded"] for r in rows if r["recorded"]}
    assert recorded == {
        ("laid", "date"): "2026-09-22",
        ("laid", "tested_by"): "the electrician",
        ("laid", "load_resistance"): "68.5",
        ("laid", "thermostat_disconnected"): "yes",
        ("made up", "A2"): "481",
    }


def test_a_filled_sheet_becomes_tests_of_the_plan() -> None:
    sheet = fill({
        ("made up", "A1"): "588", ("made up", "A5"): "0.441 kohm",
        ("laid", "date"): "2026-10-01", ("laid", "load_resistance"): "73.5",
        ("laid", "insulation_resistance"): "210", ("laid", "test_voltage"): "500 V",
        ("laid", "against"): "Earth", ("laid", "thermostat_disconnected"): "yes",
        ("laid", "rcd_trip_time"): "24", ("laid", "tested_by"): "=1+1",
    })  # fmt: skip
    first, second = read(sheet)
    assert first.data == {
        "circuit": "C1", "stage": "made up", "strips": {"A1": "588 ohm", "A5": "0.441 kohm"},
    }  # fmt: skip
    assert second.data == {
        "circuit": "C1", "stage": "laid", "date": "2026-10-01", "load_resistance": "73.5 ohm",
        "insulation_resistance": "210 Mohm", "test_voltage": "500 V", "against": "earth",
        "thermostat_disconnected": True, "rcd_trip_time": "24 ms", "tested_by": "=1+1",
    }  # fmt: skip


def test_a_book_comes_back_with_numbers_as_numbers() -> None:
    pytest.importorskip("openpyxl", reason="the extra 'schedule' is not installed")
    book = write_book({
        "about": [["what"], ["nothing"]],
        "readings": [
            ["circuit", "stage", "what", "strip", "reading"],
            ["C1", "laid", "load_resistance", None, 73.5],
            ["C1", "laid", "test_voltage", None, 500],
            ["C1", "laid", "ambient", None, -2.25],
        ],
    })  # fmt: skip
    (visit,) = read(book)
    assert visit.readings == {
        "load_resistance": "73.5 ohm", "test_voltage": "500 V", "ambient": "-2.25 degC",
    }  # fmt: skip


def test_the_book_that_is_written_comes_back_filled_in() -> None:
    openpyxl = pytest.importorskip("openpyxl", reason="the extra 'schedule' is not installed")
    book = openpyxl.load_workbook(io.BytesIO(write_xlsx(papers_of("bedroom"))))
    head, *rows = book["readings"].iter_rows()
    places = {cell.value: at for at, cell in enumerate(head)}
    for row in rows:
        stage, what, strip = (row[places[key]].value for key in ("stage", "what", "strip"))
        if (stage, what) == ("covered", "date"):
            row[places["reading"]].value = datetime(2026, 10, 3)
        if (stage, what) == ("covered", "load_resistance") or strip == "A7":
            row[places["reading"]].value = 74 if strip is None else 441.5
    filled = io.BytesIO()
    book.save(filled)
    made_up, covered = read(filled.getvalue())
    assert made_up.data == {"circuit": "C1", "stage": "made up", "strips": {"A7": "441.5 ohm"}}
    assert covered.readings == {"date": "2026-10-03", "load_resistance": "74 ohm"}


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("C9,laid,load_resistance,,73", "line 2: `circuit` `C9` is not known"),
        (
            "C1,lain,load_resistance,,73",
            "line 2: `stage` `lain` is not known; did you mean `laid`?",
        ),
        ("C1,laid,load,,73", "line 2: `what` `load` is not known"),
        ("C1,laid,strip,B1,73", "line 2: `strip` `B1` is not known"),
        ("C1,laid,strip,,73", "line 2: `strip`"),
        ("C1,laid,load_resistance,,seventy", "line 2: "),
        ("C1,laid,load_resistance,,73 V", "line 2: "),
        ("C1,laid,load_resistance,,-73", "line 2: `-73` is less than nothing"),
        ("C1,laid,insulation_resistance,,>999", "the meter came to its end: write what it reaches"),
        ("C1,laid,against,,wall", "line 2: `reading` `wall` is not known"),
        ("C1,laid,thermostat_disconnected,,perhaps", "write yes or no"),
        ("C1,laid,date,,2026-02-30", "there is no day `2026-02-30`"),
        ("C1,laid,date,,1.10.2026", "write year-month-day"),
        ("C1,laid,date,,2026-10-01\nC1,laid,date,,2026-10-02", "line 3: `date` of circuit C1"),
        ('C1,laid,load_resistance,,"73,5"', "line 2: "),
    ],
)
def test_a_reading_that_is_wrong_says_where(row: str, said: str) -> None:
    with pytest.raises(TableError, match=re.escape(said)) as caught:
        read(row + "\n")
    assert "?:" not in str(caught.value)


def test_a_reading_before_narrows_the_band() -> None:
    # Seven strips of 110 W at 230 V: 68.70 ohm, 65.43 to 76.34 by the film's tolerance.
    def asked(*tests: tuple[str, str]) -> dict[str, tuple[float, float, str]]:
        recorded = [
            {"circuit": "C1", "stage": stage, "load_resistance": ohm} for stage, ohm in tests
        ]
        rows = rows_of(gather_papers(checked_base({"tests": recorded})), "readings")
        return {
            str(row["stage"]): (row["least"], row["most"], str(row["note"]))  # type: ignore[misc]
            for row in rows
            if row["what"] == "load_resistance"
        }

    film = (pytest.approx(52900 / 770 / 1.05), pytest.approx(52900 / 770 / 0.90))
    none = asked()
    assert all(found[:2] == film for found in none.values())
    assert "within 5 % of the stage before" in none["laid"][2]
    one = asked(("made up", "66 ohm"))
    assert one["made up"][:2] == film
    assert one["laid"][:2] == one["covered"][:2] == (film[0], pytest.approx(66 * 1.05))
    assert "within 5 % of 66 Ω (made up)" in one["covered"][2]
    both = asked(("made up", "72 ohm"), ("laid", "75 ohm"))
    assert both["covered"][:2] == (pytest.approx(75 * 0.95), pytest.approx(72 * 1.05))
    assert "of 72 Ω (made up) and 75 Ω (laid)" in both["covered"][2]
    # What lies too far off leaves nothing between: then the film's own band stands.
    assert asked(("made up", "100 ohm"))["laid"][:2] == film


def test_all_rows_that_cannot_be_taken_are_told_at_once() -> None:
    rows = [f"C1,laid,ambient,,warm{place}" for place in range(14)]
    with pytest.raises(TableError, match=r"^14 rows cannot be taken$") as told:
        read("\n".join(rows) + "\n")
    assert len(told.value.rows) == 12
    assert told.value.rows[1].startswith("line 3: `warm1` is not a number with a unit")


def test_a_comma_is_a_decimal_mark_where_semicolons_divide_columns() -> None:
    semicolons = "circuit;stage;what;strip;reading\n"
    typed = (
        f"{semicolons}C1;laid;load_resistance;;73,5\nC1;laid;rcd_trip_time;;24,25 ms\n"
        "C1;laid;tested_by;;Moor, E.\nC1;laid;ambient;;-2,5\n"
    )
    (visit,) = read(typed.encode())
    assert visit.readings == {
        "load_resistance": "73.5 ohm", "rcd_trip_time": "24.25 ms", "ambient": "-2.5 degC",
        "tested_by": "Moor, E.",
    }  # fmt: skip
    with pytest.raises(TableError, match=re.escape("line 2: `1,234,5`")):
        read(f"{semicolons}C1;laid;load_resistance;;1,234,5\n".encode())
    (offcut,) = read_stock(b"film;length\nfilm-80;4,5 m\n", "csv")
    assert offcut.length == 4500


def test_a_formula_that_nothing_has_worked_out_is_no_blank() -> None:
    openpyxl = pytest.importorskip("openpyxl", reason="the extra 'schedule' is not installed")
    book = openpyxl.Workbook()
    for row in (["circuit", "stage", "what", "strip", "reading"],
                ["C1", "laid", "load_resistance", None, "=73+0.5"]):  # fmt: skip
        book.active.append(row)
    made = io.BytesIO()
    book.save(made)
    with pytest.raises(TableError, match=re.escape("line 2: `=73+0.5` is a formula that nothing")):
        read(made.getvalue())


def test_nothing_recorded_is_changed_and_nothing_is_recorded_twice() -> None:
    visits = read("C1,laid,load_resistance,,73.5\n")
    recorded = {"circuit": "C1", "stage": "laid", "load_resistance": "70 ohm"}
    (edit,), stood = make_edits(visits, {"tests": [recorded]})
    assert (edit.op, edit.path, stood) == ("add", ("tests", "-"), 0)
    assert make_edits(visits, {"tests": [edit.value]}) == ((), 1)
    (edit,), _ = make_edits(visits, {})
    assert (edit.op, edit.path, len(edit.value)) == ("add", ("tests",), 1)
    (edit,), _ = make_edits(visits, {"tests": []})
    assert edit.op == "replace"


def put_plan(folder: Path) -> Path:
    for name in ("bedroom.yaml", "catalogue.yaml"):
        (folder / name).write_bytes((PLANS / name).read_bytes())
    return folder / "bedroom.yaml"


def test_readings_are_shown_checked_and_written_on_request_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    monkeypatch.chdir(tmp_path)
    plan = put_plan(tmp_path)
    before = plan.read_bytes()
    Path("sheet.csv").write_bytes(fill({("laid", "load_resistance"): "90"}))
    asked = ["schedule", "bedroom.yaml", "--today", "2026-12-01", "--readings", "sheet.csv"]
    said = ask(*asked, status=1)
    assert "load-resistance" in said.out
    assert "+  - {circuit: C1, stage: laid, load_resistance: 90 ohm}" in said.out
    assert said.err == "underfoot: nothing is written: --write does it\n"
    assert plan.read_bytes() == before

    told = ask(*asked, "--write", status=1).err
    assert told == "underfoot: bedroom.yaml: 1 test added, and written\n"
    after = plan.read_bytes()
    assert after.startswith(before.rstrip())
    assert parse(after).data["tests"] == [
        {"circuit": "C1", "stage": "laid", "load_resistance": "90 ohm"}
    ]
    told = ask(*asked, "--write", status=1).err
    assert "1 test of the sheet stood in the plan already" in told
    assert plan.read_bytes() == after


def test_readings_that_cannot_be_used_change_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    monkeypatch.chdir(tmp_path)
    put_plan(tmp_path)
    Path("empty.csv").write_bytes(fill({}))
    for options, said in (
        (["--readings", "empty.csv"], "no row has a reading"),
        (["--readings", "none.csv"], "none.csv"),
        (["--write"], "name them by --readings"),
        (["--readings", "empty.csv", "--part", "tests"], "leave --part"),
    ):
        assert said in ask("schedule bedroom.yaml", *options, status=2).err
