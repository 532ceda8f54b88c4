"""The order list, against counts of a demo plan that are made by hand here."""

from math import hypot
from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.demo_plans import PLANS
from tests.there import there
from tests.underfoot.schedule.making import checked_base, checked_demo, papers_of, rows_of, table_of
from underfoot.reading.plan_file import read_plan
from underfoot.schedule.document import Cell, Papers
from underfoot.schedule.gathering import Wishes, gather_papers
from underfoot.schedule.items import Item
from underfoot.schedule.packs import count_packs
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
    assert of["cable 2.5 mm²"] == 14
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


def test_a_covering_of_a_border_and_one_of_the_rest() -> None:
    of = amounts(papers_of("passage"))
    # The border is 4400 by 80 mm; what has no place of its own is all the rest.
    border, rest = (of[each] for each in of if each.startswith("covering "))
    assert border == pytest.approx(4.4 * 0.08)
    assert rest == pytest.approx(4.4 * 1.75 - 4.4 * 0.08)


def bought(papers: Papers, what: str) -> tuple[Cell, ...]:
    (row,) = [row for row in rows_of(papers, "order") if row["what"] == what]
    return tuple(row[key] for key in ("packs", "pack", "left"))


def test_rolls_are_those_of_the_cut_list() -> None:
    papers = gather_papers(checked_demo("flat"), Wishes(stock=Stock(rolls={"": 20_000.0})))
    of = amounts(papers)
    for film, rolls in (("film-72, 560 mm wide", 3), ("film-105, 540 mm wide", 1)):
        assert bought(papers, film) == (rolls, 20, pytest.approx(rolls * 20 - float(str(of[film]))))
    # A roll that is too short for a strip is no roll to order.
    short = gather_papers(checked_demo("flat"), Wishes(stock=Stock(rolls={"": 2_000.0})))
    assert bought(short, "film-72, 560 mm wide") == (None, None, None)


PACKED = {
    "materials": {
        "films": {"film-80": {"roll": "15 m"}},
        "boards": {"board-10": {"pack": 12}},
        "sheets": {"pe-02": {"roll": "5 m"}},
        "coverings": {"oak-14": {"pack": "2.2 m2"}},
    },
    "packs": {"connectors": 10, "connector_insulation": 28, "strip_tape": "60 m",
              "conductor": "4 m", "cable": "8 m"},
}  # fmt: skip


def test_packs_hold_what_is_needed() -> None:
    papers = gather_papers(checked_base(PACKED))
    of = amounts(papers)
    # 14 connectors in tens; insulated on both sides: 28, one pack to the last piece.
    assert bought(papers, "connectors") == (2, 10, 6)
    assert bought(papers, "insulating pieces for connectors") == (1, 28, 0)
    # Of what no pack is known none is counted.
    assert bought(papers, "insulating pieces for cut ends") == (None, None, None)
    # Two sheets of 4 m, each off a roll of 5 m.
    assert of["pe-02, 2 m wide"] == pytest.approx(8)
    assert bought(papers, "pe-02, 2 m wide") == (2, 5, pytest.approx(2))
    # 4 m by 3 m of covering: five packs of 2.2 m2 are 11 m2.
    assert bought(papers, "covering oak-14, 14 mm") == (6, 2.2, pytest.approx(6 * 2.2 - 12))
    # Seven strips of 2.75 m: five from one roll of 15 m, two from the next.
    assert bought(papers, "film-80, 500 mm wide") == (2, 15, pytest.approx(30 - 7 * 2.75))
    says = " ".join(table_of(papers, "order").says)
    assert "each is cut in one piece" in says
    assert "Longer than a pack holds: " in says
    assert "conductor 1.5 mm², line, brown" in says.partition("Longer than a pack holds: ")[2]
    (part,) = [part for part in papers.parts if part.key == "order"]
    assert "buy one more" in part.says[0]
    (part,) = [part for part in papers_of("bedroom").parts if part.key == "order"]
    assert "Neither the plan nor its catalogue says what packs hold" in part.says[0]


@pytest.mark.parametrize(
    ("amount", "whole", "pack", "packs", "joined"),
    [
        (12.0, (), 4.0, 3, False),
        (12.0001, (), 4.0, 4, False),
        (12.0, (), 100.0, 1, False),
        (0.0, (), 4.0, 0, False),
        # 18 m would go into two reels of 10 m, but not as three pieces of 6 m.
        (18.0, (6.0, 6.0, 6.0), 10.0, 3, False),
        (10.0, (10.0,), 10.0, 1, False),
        # Longest first where least is left takes four: 6 | 5 | 4 + 3 | 3 + 3 + ...; three will do.
        (30.0, (5.0, 5.0, 4.0, 4.0, 3.0, 3.0, 3.0, 3.0), 10.0, 3, False),
        (25.0, (12.0, 8.0, 5.0), 10.0, 3, True),
        (20.0, (20.0,), 10.0, 2, True),
    ],
)
def test_pieces_stay_whole(
    amount: float, whole: tuple[float, ...], pack: float, packs: int, joined: bool
) -> None:
    item = Item(group="g", what="w", amount=amount, unit="m", reckoned="", pack=pack, whole=whole)
    found = there(count_packs(item))
    assert (found.packs, found.joined) == (packs, joined)
    assert found.left == pytest.approx(packs * pack - amount)
    assert count_packs(replace(item, pack=None)) is count_packs(replace(item, amount=None)) is None


def test_packs_stand_in_a_catalogue_and_the_plan_comes_first(tmp_path: Path) -> None:
    text = (PLANS / "sun-room.yaml").read_text("utf-8")
    shared = (PLANS / "catalogue.yaml").read_text("utf-8")
    shared += "packs: {connectors: 7, conductor: 30 m, note: as sold}\n"
    (tmp_path / "catalogue.yaml").write_text(shared, "utf-8")
    reading = read_plan(
        f"{text}packs: {{connectors: 9}}\n".encode(), path="sun-room.yaml", folder=tmp_path
    )
    assert reading.plan is not None, reading.problems
    packs = there(reading.plan.packs)
    assert (packs.connectors, packs.conductor, packs.cable) == (9, 30_000, None)
    for wrong, said in (
        ("connectors: 0", "`0` is too small: write 1 or more"),
        ("connectors: 1000000", "`1000000` is too large: write 100000 or less"),
        ("conector: 5", "did you mean `connectors`"),
        ("cable: 5 kg", "a length is expected"),
    ):
        reading = read_plan(
            f"{text}packs: {{{wrong}}}\n".encode(), path="sun-room.yaml", folder=tmp_path
        )
        assert said in " ".join(problem.message for problem in reading.problems)


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


def test_what_earths_a_grid_is_not_forgotten() -> None:
    grid = {"mesh": 30, "earthed": True, "protective_conductor": "4 mm2"}
    of = amounts(gather_papers(checked_base({"rooms.room.grid": grid})))
    what = "protective conductor 4 mm², green and yellow, from the box to the grid"
    assert of[what] is None
    assert what not in amounts(papers_of("bedroom"))


def test_the_guest_bath_by_hand() -> None:
    papers = papers_of("guest-bath")
    of = amounts(papers)
    # Three strips of 2.21 m along x, joined at their starts by W1.
    assert of["film-24v, 530 mm wide"] == pytest.approx(3 * 2.21)
    assert of["connectors"] == 3 * 2
    assert of["insulating pieces for cut ends"] == 3 * 2
    # From the box at (0, 1285) off the wall and down it, to A1's start at (70, 340), the other two
    # 530 mm further each; and 430 mm down from the box.
    lead = (35 + 1245 + hypot(35, 300) + 2 * 530 + 430) / 1000
    assert of["conductor 4 mm², one conductor of the pair"] == pytest.approx(lead)
    assert of["conductor 4 mm², the other conductor"] == pytest.approx(lead)
    assert of["cable 6 mm²"] == 6
    # The sensor's way: 1190 mm in from the box, 425 mm down.
    assert of["conduit 13 × 7 mm"] == pytest.approx(1.615)
    # The bath stands on the subfloor: no covering below it.
    assert of["covering tile-9, 9 mm"] == pytest.approx(2.37 * 2.455 - 1.7 * 0.7)
    assert of["boards over the film, fibre cement board, 12 mm"] == pytest.approx(
        2.37 * 2.455 - 1.7 * 0.7
    )


def test_what_the_plan_does_not_tell_is_no_nought() -> None:
    change = {"circuits.C1.cable": None}
    (cable,) = [
        row
        for row in rows_of(gather_papers(checked_base(change)), "order")
        if row["group"] == "cable"
    ]
    assert cable["amount"] is None
    assert cable["reckoned"] == "the plan does not tell"
