"""The order list, against counts of a demo plan that are made by hand here."""

from __future__ import annotations

from math import hypot

import pytest

from tests.underfoot.schedule.making import checked_base, checked_demo, papers_of, rows_of
from underfoot.schedule.document import Cell, Papers
from underfoot.schedule.gathering import Wishes, gather_papers
from underfoot.schedule.stock import Stock


def amounts(papers: Papers) -> dict[str, Cell]:
    return {str(row["what"]): row["amount"] for row in rows_of(papers, "order")}


def test_the_bedroom_by_hand() -> None:
    of = amounts(papers_of("bedroom"))
    # Seven strips, each joined at one end: 2 connectors there, each insulated on both sides, and 2
    # cut busbars at the other end.
    assert of["connectors"] == 7 * 2
    assert of["insulating pieces for connectors"] == 7 * 2 * 2
    assert of["insulating pieces for cut ends"] == 7 * 2
    assert of["film-80, 500 mm wide"] == 4 * 2.25 + 3 * 3.0
    # The lead's way, and 450 mm down from the box; a line and a neutral.
    lead = (30 + 1470 + hypot(280, 30) + 6 * 500 + 450) / 1000
    assert of["conductor 1.5 mm², line, brown"] == pytest.approx(lead)
    assert of["conductor 1.5 mm², neutral, blue"] == pytest.approx(lead)
    # Sheets of 2 m lap 150 mm: two over 3120 mm, each 3650 mm long.
    assert of["pe-02, 2 m wide"] == pytest.approx(2 * 3.65)
    # They lap along 3650 mm; the lap has two edges, of which one lies on the other sheet, and the
    # sheet below ends under it on one line.
    assert of["tape for sheets to walls"] == pytest.approx(2 * (3.65 + 3.12))
    assert of["covering oak-14, 14 mm"] == pytest.approx(3.65 * 3.12)
    assert of["cable 2.5 mm², circuit C1"] == 14
    assert of["conduit 12 × 7 mm"] == pytest.approx(0.81)
    # Strips: four of 2250, three of 3000 side by side: 7 gaps' worth of long edges, and the ends.
    shared = 3 * 2.25 + 2.25 + 2 * 3.0
    edges = 4 * 2 * (2.25 + 0.5) + 3 * 2 * (3.0 + 0.5) - shared
    assert of["tape for strips"] == pytest.approx(edges)


def test_boards_of_the_bedroom_by_hand() -> None:
    # 3650 x 3120: courses of 600 along x, five whole in width and a sixth of 120. Odd courses:
    # three boards of 1200 and 50 mm; even: 600, two of 1200, 650 mm. Three courses are odd, two of
    # the even ones are whole in width; the sixth, even, is all cut: 600, 1200, 1200, 650.
    # Whole: 3 x 3 + 2 x 2 = 13. Cut: 3 of 50, 2 x (600, 650), and (600, 1200, 1200, 650).
    # Longest first out of 1200: 1200 | 1200 | 650 + 50 x 3 | 650 | 650 | 600 + 600 | 600: seven.
    # Each 650 leaves 550: no 600 goes there.
    assert amounts(papers_of("bedroom"))["boards board-10, 1200 × 600 mm, 10 mm"] == 13 + 7


def test_rolls_are_those_of_the_cut_list() -> None:
    papers = gather_papers(checked_demo("flat"), Wishes(stock=Stock(rolls={"": 20_000.0})))
    of = amounts(papers)
    assert of["new rolls of film-80, 500 mm wide, 20 m"] == 3
    assert of["new rolls of film-100, 500 mm wide, 20 m"] == 1
    assert "new rolls" not in " ".join(amounts(papers_of("flat")))


def test_colours_go_by_the_phase() -> None:
    of = amounts(papers_of("flat"))
    assert {"conductor 1.5 mm², line, brown", "conductor 1.5 mm², line, black",
            "conductor 1.5 mm², line, grey"} <= set(of)  # fmt: skip
    assert not any("brown" in what for what in amounts(papers_of("guest-bath")))


def test_what_several_rooms_ask_for_is_added_up() -> None:
    rows = {str(row["what"]): row for row in rows_of(papers_of("flat"), "order")}
    assert rows["connectors"]["amount"] == 2 * (8 + 6 + 2 + 3)
    assert rows["connectors"]["rooms"] == "living-room, bedroom, hall, bathroom"
    groups = [row["group"] for row in rows.values()]
    assert groups == sorted(groups, key=groups.index)


def test_one_group_has_one_rcd() -> None:
    group = {"rcd": "30 mA", "rcd_group": "R1", "breaker": "10 A", "thermostat": "room"}
    change = {
        "rooms": {"room": {"rows": {"A": {"lengths": [
            2750, 2750, 2750, {"length": 2750, "circuit": "C2"}]}}}},
        "circuits": {"C1": group, "C2": group},
    }  # fmt: skip
    of = amounts(gather_papers(checked_base(change)))
    assert of["RCD 30 mA"] == 1
    assert of["breaker 10 A"] == 2


def test_what_the_plan_does_not_tell_is_no_nought() -> None:
    change = {"circuits": {"C1": {"cable": None}}}
    (cable,) = [
        row
        for row in rows_of(gather_papers(checked_base(change)), "order")
        if row["group"] == "cable"
    ]
    assert cable["amount"] is None
    assert cable["reckoned"] == "the plan does not tell"
