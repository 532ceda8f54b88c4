"""The cut list and the marks on the floor of whole plans."""

import re

import pytest

from tests.underfoot.schedule.making import checked_base, checked_demo, rows_of, table_of
from underfoot.schedule.document import Papers
from underfoot.schedule.gathering import Wishes, gather_papers
from underfoot.schedule.stock import Offcut, Stock, read_roll, read_stock
from underfoot.schedule.table_rows import TableError


def cut_papers(name: str, **stock: object) -> Papers:
    return gather_papers(checked_demo(name), Wishes(stock=Stock(**stock)))  # type: ignore[arg-type]


def test_every_strip_is_cut_once_and_rests_add_up() -> None:
    papers = cut_papers("flat", rolls={"": 20_000.0})
    cuts = rows_of(papers, "cuts")
    strips = rows_of(papers, "strips")
    assert sorted(row["strip"] for row in cuts) == sorted(row["strip"] for row in strips)
    lengths = {row["strip"]: row["length_mm"] for row in strips}
    assert {row["strip"]: row["length_mm"] for row in cuts} == lengths
    # 8 + 2 strips of 3.99 m and 6 of 2.94 m of film-72 are 57.54 m: three rolls of 20 m, and
    # 2.46 m left.
    rolls = [row for row in rows_of(papers, "sources") if row["film"] == "film-72"]
    assert [row["used_m"] for row in rolls] == [19.95, 19.95, 17.64]
    assert [row["becomes"] for row in rolls] == ["waste", "waste", "kept"]
    assert any("57.54 m in all; 3 new rolls of 20 m" in s for s in table_of(papers, "sources").says)


def test_each_cut_says_where_on_the_roll_it_ends() -> None:
    cuts = rows_of(cut_papers("bedroom", rolls={"film-80": 25_000.0}), "cuts")
    assert [row["end_mm"] for row in cuts] == [2250, 4500, 6750, 9000, 12000, 15000, 18000]
    assert [row["left_mm"] for row in cuts][-1] == 7000
    assert [row["cut"] for row in cuts] == [1, 2, 3, 4, 5, 6, 7]


def test_without_a_roll_length_all_comes_from_one_without_end() -> None:
    papers = cut_papers("bedroom")
    assert {row["source"] for row in rows_of(papers, "cuts")} == {"roll"}
    assert [row["length_m"] for row in rows_of(papers, "sources")] == [None]
    assert "How long a roll is was not said" in table_of(papers, "sources").says[0]


def test_offcuts_are_cut_at_their_lines_alone() -> None:
    # 2.4 m hold nine cuts of 250 mm, 2.25 m: A1's; what is left of it is waste.
    offcuts = (Offcut(name="shed", film="film-80", length=2400.0),)
    papers = cut_papers("bedroom", rolls={"": 25_000.0}, offcuts=offcuts)
    first = rows_of(papers, "sources")[0]
    assert (first["source"], first["used_m"], first["becomes"]) == ("shed", 2.25, "waste")
    assert first["rest_m"] == pytest.approx(0.15)
    assert "0.15 m is waste, in rests too short for a cut" in table_of(papers, "sources").says[0]


def test_what_is_at_hand_of_a_film_that_no_strip_is_of_is_said() -> None:
    offcuts = (Offcut(name="shed", film="film-8", length=2400.0),)
    papers = cut_papers("bedroom", rolls={"": 25_000.0, "film-9": 9_000.0}, offcuts=offcuts)
    (part,) = (part for part in papers.parts if part.key == "cuts")
    said = "no strip is of that film: shed of film-8, a roll of film-9."
    assert part.says[1].endswith(said)


def test_what_nothing_is_long_enough_for_is_said() -> None:
    papers = cut_papers("bedroom", rolls={"": 2_500.0})
    missing = [row for row in rows_of(papers, "cuts") if row["cut"] is None]
    assert [row["strip"] for row in missing] == ["A5", "A6", "A7"]
    assert any("nothing is long enough for A5 to A7" in s for s in table_of(papers, "sources").says)


def test_a_strip_off_the_cut_lines_is_cut_at_the_next() -> None:
    checked = checked_base({"rooms.room.rows.A.lengths": [2600, 2750]})
    papers = gather_papers(checked)
    assert rows_of(papers, "cuts")[0]["length_mm"] == 2750
    assert "A1 of film-80 would end between two cut lines" in table_of(papers, "cuts").says[0]


def test_marks_are_measured_from_two_walls() -> None:
    # The bathroom's row begins at (75, 70) along x: G2 lies 540 mm above G1.
    marks = {row["strip"]: row for row in rows_of(cut_papers("flat"), "marks")}
    assert [*marks["G2"].values()] == [
        "bathroom", 2, "G2", "lower wall", 610.0, "left wall", 75.0, 75.0 + 2200,
    ]  # fmt: skip
    assert [*marks["A3"].values()][3:] == ["left wall", 1190.0, "lower wall", 70.0, 4060.0]


def test_a_turned_strip_is_measured_in_line_and_square() -> None:
    # Turned by atan(3/4) about (2000, 1000): back along (-0.8, -0.6) the lower wall is 1000 / 0.6
    # away; beside it the way is (0.6, -0.8), and the lower wall 1000 / 0.8.
    change = {"rooms": {"room": {"rows": None, "leads": None, "elements": {
        "E1": {"film": "film-80", "at": [2000, 1000], "along": "36.86989764584402 deg",
               "length": 1000, "circuit": "C1"}}}}}  # fmt: skip
    (mark,) = rows_of(gather_papers(checked_base(change)), "marks")
    assert mark["behind_wall"] == mark["beside_wall"] == "lower wall"
    assert mark["start_mm"] == pytest.approx(1000 / 0.6)
    assert mark["beside_mm"] == pytest.approx(1000 / 0.8)


def test_a_wall_at_an_angle_is_named_by_its_corners() -> None:
    change = {"rooms.room.outline": [[0, 0], [4000, 0], [4000, 3000], [500, 3000]]}
    marks = rows_of(gather_papers(checked_base(change)), "marks")
    # Strip A2 begins at (560, 60), the wall there at x = 500 x 60 / 3000 = 10.
    assert marks[1]["beside_wall"] == "wall from [500, 3000] to [0, 0]"
    assert marks[1]["beside_mm"] == pytest.approx(550)


def test_stock_is_read_from_tables_and_yaml() -> None:
    table = b"\xef\xbb\xbffilm;length;count;name\nfilm-80;4,5;;\n"
    with pytest.raises(TableError, match="line 2"):
        read_stock(table, "csv")
    wanted = (
        Offcut(name="shed", film="film-80", length=4500.0),
        Offcut(name="offcut 2", film="film-140", length=2300.0),
        Offcut(name="offcut 3", film="film-140", length=2300.0),
    )
    csv = b"film,length,count,name\nfilm-80,4.5 m,,shed\nfilm-140,2300,2,\n"
    yaml = (
        b"- {film: film-80, length: 4.5 m, name: shed}\n"
        b"- {film: film-140, length: 2300, count: 2}\n"
    )
    assert read_stock(csv, "csv") == wanted
    assert read_stock(yaml, "yaml") == wanted
    assert read_stock(b"stock:\n" + yaml, "yml") == wanted


@pytest.mark.parametrize(
    ("source", "ending", "said"),
    [
        (b"", "csv", "it is empty"),
        (b"film,lenght\n", "csv", "there is no column `lenght`"),
        (b"film\nfilm-80\n", "csv", "names no column `length`"),
        (b"film,length\n,4 m\n", "csv", "line 2: `film` is empty"),
        (b"film,length\nfilm-80,4 kg\n", "csv", "line 2"),
        (b"film,length\nfilm-80,-4\n", "csv", "line 2"),
        (b"film,length\nfilm-80,4\n", "csv", "line 2: `4` has no unit, and would be millimetres"),
        (b"- {film: film-80, length: 99.5}\n", "yaml", "line 1: `99.5` has no unit"),
        (b"film,lenght\nfilm-80,4 m\n", "csv", "no column `lenght`; did you mean `length`?"),
        (b"film,length,colour\n", "csv", "no column `colour`: the columns are `film`"),
        (b"film,length\nfilm-80,2 km\n", "csv", "line 2"),
        (b"film,length,count\nfilm-80,4 m,0\n", "csv", "is no number of pieces"),
        ("film,length,count\nfilm-80,4 m,²\n".encode(), "csv", "`count` `²` is no number"),
        ("film,length\nfilm-80,²\n".encode(), "csv", "line 2: `²` is not a number with a unit"),
        (b"film,length,count\nfilm-80,4 m,201\n", "csv", "`count` `201`"),
        (b"film,length,name\nfilm-80,4 m,a\nfilm-80,4 m,a\n", "csv", "two offcuts are called `a`"),
        (b'film,length\n"film-80,4 m\n', "csv", "quotation mark"),
        (b"film,length\n\xff,4 m\n", "csv", "not UTF-8"),
        (b"PK\x03\x04nonsense", "xlsx", "cannot be read as XLSX"),
        (b"film: film-80\n", "yaml", "it is no list"),
        (b"- {film: film-80, long: 4 m}\n", "yaml", "line 1: there is no key `long`"),
        (b"- 4 m\n", "yaml", "line 1: write each offcut"),
        (b"- {film: [a], length: 4 m}\n", "yaml", "`film` is neither text nor a number"),
        (b"- {film: a, length: &a 4 m}\n", "yaml", "line 1"),
    ],
)
def test_a_stock_file_that_is_wrong_says_where(source: bytes, ending: str, said: str) -> None:
    with pytest.raises(TableError, match=re.escape(said)):
        read_stock(source, ending)


def test_a_roll_is_read_with_its_film() -> None:
    assert read_roll("50m") == ("", 50_000.0)
    assert read_roll("film-80=25 m") == ("film-80", 25_000.0)
    for text in ("fifty", "0 m", "2 km", "film-80="):
        with pytest.raises(TableError):
            read_roll(text)
