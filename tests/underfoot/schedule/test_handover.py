"""What is left with the customer."""

import pytest

from tests.underfoot.schedule.making import checked_base, papers_of, rows_of
from underfoot.schedule.document import Papers
from underfoot.schedule.gathering import gather_papers


def room_of(papers: Papers, name: str):
    (row,) = [row for row in rows_of(papers, "floor_limits") if row["room"] == name]
    return row


def test_limits_are_as_planned_with_a_blank_for_what_was_set() -> None:
    row = room_of(papers_of("flat"), "bathroom")
    assert (row["covering"], row["bears_c"], row["limit_c"]) == ("tile-9", 34, 32)
    assert row["set_c"] is None


@pytest.mark.parametrize(
    ("room", "thick"),
    [
        # 0.15 in all less laminate's 0.055: 0.095 m2 K/W x 0.06 W/m/K are 5.7 mm.
        ("living-room", 5),
        # Tile 0.009 and a board of 0.04: 0.101 x 0.06 are 6.1 mm.
        ("bathroom", 6),
        # Oak's 0.086 leaves 0.064 x 0.06 = 3.8 mm: no rug is so thin.
        ("bedroom", 0),
    ],
)
def test_rugs_by_hand(room: str, thick: float) -> None:
    assert room_of(papers_of("flat"), room)["rug_mm"] == thick


def test_no_rug_where_a_resistance_is_not_known() -> None:
    for change in (
        {"rooms": {"room": {"underlay": {"thickness": 2, "resistance": None}}}},
        {"materials": {"coverings": {"oak-14": {"resistance": None}}}},
        {"rooms": {"room": {"covering": None}}},
    ):
        row = room_of(gather_papers(checked_base(change)), "room")
        assert row["rug_mm"] == 0
        assert str(row["rug_because"]).endswith("none")


def test_joints_stand_where_strips_are_joined_each_once() -> None:
    rows = rows_of(papers_of("bedroom"), "joints")
    assert [row["strip"] for row in rows] == [f"A{n}" for n in range(1, 8)]
    # A3's end is 500 mm wide from x = 60 + 2 x 500 on, at y = 60.
    third = rows[2]
    assert (third["left_mm"], third["lower_mm"]) == (60 + 2 * 500 + 250, 60)


def test_the_form_has_blanks_and_certifies_nothing() -> None:
    papers = papers_of("bedroom")
    form = rows_of(papers, "form")
    assert all(row["done"] is None for row in form)
    assert {"signature", "licensed electrician: name"} <= {row["what"] for row in form}
    (part,) = [part for part in papers.parts if part.key == "handover"]
    assert "certifies nothing by itself" in part.closing[0]
    said = " ".join(part.says)
    for must in ("No furniture without feet", "at least 60 mm", "No nail", "No rug thicker"):
        assert must in said


def test_no_room_is_named_where_none_is_heated() -> None:
    papers = gather_papers(checked_base({"rooms.room.rows": None, "rooms.room.leads": None}))
    (part,) = [part for part in papers.parts if part.key == "handover"]
    assert "on the heated floor: only on" in " ".join(part.says)


def test_selv_has_no_rcd_to_try() -> None:
    assert "RCD tried with its button" in {r["what"] for r in rows_of(papers_of("flat"), "form")}
    bath = {row["what"] for row in rows_of(papers_of("guest-bath"), "form")}
    assert "RCD tried with its button" not in bath
