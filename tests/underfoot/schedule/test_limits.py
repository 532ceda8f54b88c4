"""How much of a table is read, and no more."""

import pytest

from tests.underfoot.schedule.making import checked_demo, papers_of, rows_of
from underfoot.reporting.spreadsheet import write_book
from underfoot.schedule import table_rows
from underfoot.schedule.gathering import Wishes, gather_papers
from underfoot.schedule.stock import Stock, read_stock
from underfoot.schedule.table_rows import TableError, read_rows


def read(source: bytes) -> list[table_rows.Row]:
    return read_rows(source, needed=("film",), known=("film", "length"))


def test_rows_columns_and_cells_have_a_limit() -> None:
    assert len(read(b"film\n" + b"a\n" * 20_000)) == 20_000
    for source, said in (
        (b"film\n" + b"a\n" * 20_001, "more than the 20000 rows"),
        (b"film" + b"," * 64 + b"\n", "more than the 64 columns"),
        (b"film\n" + b"a" * 1001 + b"\n", "line 2: a cell is longer than 1000"),
    ):
        with pytest.raises(TableError, match=said):
            read(source)


def test_a_book_that_unpacks_to_too_much_is_not_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("openpyxl", reason="the extra 'schedule' is not installed")
    book = write_book({"one": [["film"], ["a"]]})
    assert read(book)[0].cells == {"film": "a"}
    monkeypatch.setattr(table_rows, "_MOST_UNPACKED_BYTES", 1000)
    with pytest.raises(TableError, match="it unpacks to more than"):
        read(book)


def test_offcuts_have_a_limit() -> None:
    listed = b"film,length,count\nfilm-80,4 m,100\nfilm-80,5 m,%d\n"
    assert len(read_stock(listed % 100, "csv")) == 200
    with pytest.raises(TableError, match="more than the 200 offcuts"):
        read_stock(listed % 101, "csv")


def test_a_rest_just_long_enough_is_kept() -> None:
    # The bedroom takes 18 m: of 19 m one metre is left.
    stock = Stock(rolls={"": 19_000.0})
    (roll,) = rows_of(gather_papers(checked_demo("bedroom"), Wishes(stock=stock)), "sources")
    assert (roll["rest_m"], roll["becomes"]) == (1.0, "kept")


def test_how_far_a_reading_may_move_is_said_once_there_is_one_before() -> None:
    loads = [r for r in rows_of(papers_of("bedroom"), "readings") if r["what"] == "load_resistance"]
    moved = {row["stage"]: "within 5 % of the stage before" in str(row["note"]) for row in loads}
    assert moved == {"made up": False, "laid": True, "covered": True}
