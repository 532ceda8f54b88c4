"""Strips, leads, circuits: held against schedules of three demo plans that are worked by hand here.

Nothing of the program's is used to work them; film and copper are as the plans and IEC 60228 say
(1.5 mm2 12.1 ohm/km, 2.5 mm2 7.41, 4 mm2 4.61, 6 mm2 3.08, at 20 degC).
"""

from math import hypot

import pytest

from tests.underfoot.schedule.making import checked_base, papers_of, rows_of, table_of
from underfoot.schedule.gathering import gather_papers

CLOSE = 1e-9


def ladder(legs: list[tuple[float, float]]) -> float:
    """Fold strips fed one after the other, far end first: (ohm of the way there, strip's ohm)."""
    ohm = float("inf")
    for way, strip in reversed(legs):
        ohm = way + 1 / (1 / strip + 1 / ohm)
    return ohm


def read_at(papers: str, circuit: str, at: str) -> tuple[float, float, float]:
    (row,) = [
        row
        for row in rows_of(papers_of(papers), "resistances")
        if (row["circuit"], row["at"]) == (circuit, at)
    ]
    return row["rated_ohm"], row["least_ohm"], row["most_ohm"]  # type: ignore[return-value]


def test_the_bedroom_by_hand() -> None:
    # 80 W/m2 x 0.5 m = 40 W/m: 2.25 m are 90 W, 3 m are 120 W; 4 x 90 + 3 x 120 = 720 W.
    strips = {row["strip"]: row for row in rows_of(papers_of("bedroom"), "strips")}
    assert list(strips) == ["A1", "A2", "A3", "A4", "A5", "A6", "A7"]
    for name, power_w in (("A4", 90.0), ("A5", 120.0)):
        strip = strips[name]
        assert strip["power_w"] == pytest.approx(power_w, CLOSE)
        assert strip["current_a"] == pytest.approx(power_w / 230, CLOSE)
        assert strip["rated_ohm"] == pytest.approx(230 * 230 / power_w, CLOSE)
        # The film gives -10 to +5 %: the most power is the least resistance.
        assert strip["least_ohm"] == pytest.approx(230 * 230 / (1.05 * power_w), CLOSE)
        assert strip["most_ohm"] == pytest.approx(230 * 230 / (0.90 * power_w), CLOSE)
    (circuit,) = rows_of(papers_of("bedroom"), "circuits")
    assert circuit["film_m"] == pytest.approx(4 * 2.25 + 3 * 3.0, CLOSE)
    assert circuit["power_w"] == pytest.approx(720, CLOSE)
    assert circuit["current_a"] == pytest.approx(720 / 230, CLOSE)
    alone = (52900 / 720, 52900 / 756, 52900 / 648)
    assert read_at("bedroom", "C1", "strips alone") == pytest.approx(alone, CLOSE)

    # W1: 30 mm off the wall, 1470 mm along it, to A1's middle at (310, 60), then 500 mm a strip.
    first, step = 30 + 1470 + hypot(310 - 30, 60 - 30), 500
    pair = 2 * 12.1 / 1e6  # ohm of 1 mm of both conductors, 1.5 mm2
    ways = [first * pair, *[step * pair] * 6]
    powers = [90, 90, 90, 90, 120, 120, 120]
    at_box = [
        ladder([(way, 52900 / (w * share)) for way, w in zip(ways, powers, strict=True)])
        for share in (1.00, 1.05, 0.90)
    ]
    assert read_at("bedroom", "C1", "the box") == pytest.approx(at_box, CLOSE)
    (lead,) = rows_of(papers_of("bedroom"), "leads")
    assert [lead["rated_ohm"], lead["least_ohm"], lead["most_ohm"]] == pytest.approx(at_box, CLOSE)
    assert lead["length_m"] == pytest.approx((first + 6 * step) / 1000, CLOSE)
    assert lead["strips"] == "A1 to A7"
    cable = 2 * 7.41 * 14 / 1000  # 14 m of 2.5 mm2
    at_board = [ohm + cable for ohm in at_box]
    assert read_at("bedroom", "C1", "the board") == pytest.approx(at_board, CLOSE)


def test_the_flat_by_hand() -> None:
    # Living room: 4 strips of 3.99 m on each of C1 and C2, which share a cable.
    # W1 goes from (2310, 0) 35 mm up, then to A4's middle at (70 + 3.5 x 560, 70) = (2030, 70).
    pair = 2 * 12.1 / 1e6
    way = 35 + hypot(2310 - 2030, 70 - 35)
    watts = 3.99 * 0.56 * 72
    strip = 52900 / watts
    c1 = ladder([(way * pair, strip), *[(560 * pair, strip)] * 3])
    assert read_at("flat", "C1", "the box")[0] == pytest.approx(c1, CLOSE)
    # B1's middle is at (2590, 70): the way is as long, so C2 reads the same.
    assert read_at("flat", "C2", "the box")[0] == pytest.approx(c1, CLOSE)
    # Both at the board: side by side, behind 12 m of 2.5 mm2.
    board = 1 / (1 / c1 + 1 / c1) + 2 * 7.41 * 12 / 1000
    assert read_at("flat", "C1, C2", "the board")[0] == pytest.approx(board, CLOSE)
    # The drop is reckoned hot: copper at 70 degC has 1 + 0.00393 x 50 of its resistance.
    hot = 1 + 0.00393 * 50
    (shared, *_) = rows_of(papers_of("flat"), "protection")
    assert shared["circuits"] == "C1, C2"
    assert shared["current_a"] == pytest.approx(8 * watts / 230, CLOSE)
    legs = [(way * pair * hot, strip), *[(560 * pair * hot, strip)] * 3]
    cable = 2 * 7.41 * 12 / 1000 * hot
    one = ladder(legs)
    volts = 230 * (one / 2) / (one / 2 + cable)
    for at, (ohm, _) in enumerate(legs):
        beyond = ladder([(0.0, strip), *legs[at + 1 :]])
        volts *= beyond / (ohm + beyond)
    assert shared["drop_percent"] == pytest.approx(100 * (230 - volts) / 230, CLOSE)
    assert shared["farthest"] == "A1"


def test_the_guest_bath_at_extra_low_voltage_by_hand() -> None:
    # 24 x 24 V by the strip's power, which may be 6 % more or less; three side by side.
    watts = 58 * 0.53 * 2.21
    alone = (576 / watts, 576 / (1.06 * watts), 576 / (0.94 * watts))
    assert read_at("guest-bath", "C1", "strips alone") == pytest.approx(
        tuple(ohm / 3 for ohm in alone), CLOSE
    )
    # W1, 4 mm2: 35 + 1245 mm, to A1's end at (70, 340), then 530 mm a strip; 6 m of 6 mm2 beyond.
    pair = 2 * 4.61 / 1e6
    first = 35 + 1245 + hypot(70 - 35, 340 - 40)
    box = [ladder([(first * pair, ohm), (530 * pair, ohm), (530 * pair, ohm)]) for ohm in alone]
    assert read_at("guest-bath", "C1", "the box") == pytest.approx(box, CLOSE)
    board = [ohm + 2 * 3.08 * 6 / 1000 for ohm in box]
    assert read_at("guest-bath", "C1", "the board") == pytest.approx(board, CLOSE)


def test_the_rule_and_the_papers_hold_readings_against_the_same_band() -> None:
    # Seven strips of 2.75 m x 40 W/m: 770 W, and at most 10 % less.
    most = 52900 / (770 * 0.9)
    for off, found in ((1.001, True), (0.999, False)):
        test = {"circuit": "C1", "stage": "laid", "load_resistance": f"{most * off} ohm"}
        checked = checked_base({"tests": [test]})
        rows = rows_of(gather_papers(checked), "resistances")
        (alone,) = [row for row in rows if row["at"] == "strips alone"]
        assert alone["most_ohm"] == pytest.approx(most, CLOSE)
        rules = [f.rule for f in checked.report.findings if f.severity == "error"]
        assert ("load-resistance" in rules) == found


def test_of_two_leads_each_is_read_by_itself() -> None:
    # A1 and A2 on W1, the rest on W2; both begin at the box.
    start = ["junction-box", [30, 1500], [30, 30]]
    change = {"rooms": {"room": {"leads": {
        "W1": {"route": [*start, "A1", "A2"]},
        "W2": {"circuit": "C1", "size": "1.5 mm2", "route": [*start, "A3", "A4", "A5", "A6", "A7"]},
        "W3": {"circuit": "C1", "size": "1.5 mm2", "route": ["A7", "A7.end"]},
    }}}}  # fmt: skip
    rows = {row["lead"]: row for row in rows_of(gather_papers(checked_base(change)), "leads")}
    assert (rows["W1"]["strips"], rows["W2"]["strips"]) == ("A1, A2", "A3 to A7")
    assert rows["W1"]["rated_ohm"] > rows["W2"]["rated_ohm"]  # type: ignore[operator]
    assert rows["W3"]["rated_ohm"] is None


def test_what_the_plan_leaves_out_is_said() -> None:
    change = {
        "rooms.room.leads.W1": {"size": None, "route": ["junction-box", "A1", "A2"]},
        "circuits.C1.cable": None,
    }
    papers = gather_papers(checked_base(change))
    says = table_of(papers, "resistances").says
    assert "Taken as nothing: the size of lead W1 is not given." in says
    assert "Taken as nothing: no cable is given for circuit C1." in says
    assert "No lead joins A3 to A7 of circuit C1 to its box." in says


def test_a_film_without_tolerance_has_the_band_of_the_standard_and_says_so() -> None:
    change = {"materials.films.film-80.tolerance": None}
    papers = gather_papers(checked_base(change))
    assert any("film-80 gives no tolerance" in said for said in table_of(papers, "strips").says)
    strip = rows_of(papers, "strips")[0]
    assert strip["power_w"] == pytest.approx(80 * 0.5 * 2.75, CLOSE)  # 110 W
    # From 25 to 200 W ten percent either way.
    assert strip["least_ohm"] == pytest.approx(52900 / (110 * 1.1), CLOSE)
    assert "tolerance" not in " ".join(table_of(papers_of("bedroom"), "strips").says)
