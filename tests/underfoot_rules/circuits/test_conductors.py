"""Cables and leads under load: what each carries, what it loses, and which breaker suits."""

from typing import Any

import pytest

from tests.there import there
from tests.underfoot_rules.plans import BASE, check, measured, of_rule, tally_of
from underfoot.checking.facts import wiring

START = ("junction-box", [30, 1500], [30, 30])
A_LEAD = BASE["rooms"]["room"]["leads"]["W1"]
# Each of the base plan's seven strips draws 80 W/m2 x 0.5 m x 2.75 m / 230 V.
STRIP_A = 110 / 230
STRIP_OHM = 230**2 / 110
# 1.5 mm2, out and back, at 70 degC: 2 x 12.1 ohm/km x (1 + 0.00393 x 50) (IEC 60228, IEC 60028).
OHM_PER_M = 2 * 0.0121 * 1.1965


def leads(**changes: dict[str, Any]) -> dict[str, Any]:
    return {
        "rooms": {"room": {"leads": {name: {**A_LEAD, **one} for name, one in changes.items()}}}
    }


def all_measured(change: dict[str, Any], rule: str) -> dict[tuple[str, ...], float]:
    found = of_rule(check(change), rule)
    return {f.items: f.measured.value for f in found if f.measured is not None}


@pytest.mark.parametrize("spare", [1e-5, -1e-5])
def test_a_branch_carries_what_lies_beyond_it(spare: float) -> None:
    # W1 carries all seven strips; W2 goes on from A4 and carries three.
    change = leads(
        W1={"route": [*START, "A1", "A2", "A3", "A4"], "capacity": f"{7 * STRIP_A + spare} A"},
        W2={"route": ["A4", "A5", "A6", "A7"], "capacity": f"{3 * STRIP_A + spare} A"},
    )
    found = all_measured(change, "cable-capacity")
    assert set(found) == (set() if spare > 0 else {("C1", "W1"), ("C1", "W2")})


@pytest.mark.parametrize(("spare", "found"), [(-1e-3, True), (1e-3, False)])
def test_leads_in_a_ring_share_by_their_resistance(spare: float, found: bool) -> None:
    # Two ways to one strip of 4.5 A: 1.5 mm2 straight there, 1 mm2 with a loop up the wall and
    # back. The straight one carries the other's share of the resistance (IEC 60228).
    straight = 30 + 1470 + (280**2 + 30**2) ** 0.5
    looped = straight + 2 * 1470
    carried_a = 4.5 * 18.1 * looped / (12.1 * straight + 18.1 * looped)
    change = leads(
        W1={"route": [*START, "A1"], "capacity": f"{carried_a + spare} A"},
        W2={"route": [*START, [30, 1500], [30, 30], "A1"], "size": "1 mm2", "capacity": "4.5 A"},
    )
    change["rooms"]["room"]["rows"] = {"A": {"lengths": [1000]}}
    change["materials"] = {"films": {"film-80": {"output": f"{4.5 * 230} W/m"}}}
    assert (("C1", "W1") in all_measured(change, "cable-capacity")) == found


def test_circuits_that_share_a_cable_count_together() -> None:
    lengths = [2750] * 4 + [{"length": 2750, "circuit": "C2"}] * 3
    change = leads(
        W1={"route": [*START, "A1", "A2", "A3", "A4"]},
        W2={"circuit": "C2", "route": ["junction-box", [3900, 30], "A7", "A6", "A5"]},
    )
    change["rooms"]["room"]["rows"] = {"A": {"lengths": lengths}}
    change["circuits"] = {
        "C1": {"breaker": "3 A", "cable": {"capacity": "3 A"}},
        "C2": {"thermostat": "room", "shares": "C1"},
    }
    assert all_measured(change, "cable-capacity") == {("C1",): 3}
    (breaker,) = of_rule(check(change), "breaker-rating")
    assert breaker.items == ("C1",)
    assert measured(breaker) == pytest.approx(7 * STRIP_A)
    assert "circuit C1 (shared by C2)" in breaker.message
    assert tally_of(check(change), "rcd").checked == 1


@pytest.mark.parametrize(
    ("cable", "capacity_a"),
    [
        # IEC 60364-5-52, tables B.52.2 and B.52.14 (CONFIRMED B)
        ({"size": "1.5 mm2", "method": "C", "ambient": "30 degC"}, 19.5),
        ({"size": "1.5 mm2", "method": "C"}, 19.5),
        ({"size": "2.5 mm2", "method": "A1", "ambient": "40 degC"}, 19.5 * 0.87),
        # 2.08 mm2, between 1.5 and 2.5 mm2: at most what the larger carries
        ({"size": "14 AWG", "method": "A2", "ambient": "30 degC"}, 18.5),
        ({"size": "10 mm2", "method": "B1", "ambient": "50 degC"}, 57 * 0.71),
    ],
)
def test_capacity_of_a_cable(cable: dict[str, Any], capacity_a: float) -> None:
    change: dict[str, Any] = {
        "materials": {"films": {"film-80": {"output": "9000 W/m"}}},
        "circuits": {"C1": {"cable": {"length": "1 m", "method": None, "ambient": None, **cable}}},
    }
    found = all_measured(change, "cable-capacity")
    assert found["C1",] == pytest.approx(capacity_a)


@pytest.mark.parametrize(
    ("cable", "why"),
    [
        (None, "no cable is given for circuit C1"),
        ({"size": None}, "the size of the cable of circuit C1 is not given"),
        ({"method": None}, "how the cable of circuit C1 is laid (`method`) is not given"),
        ({"size": "1 mm2"}, "is smaller than 1.5 mm², the smallest of the table"),
    ],
)
def test_a_cable_of_which_too_little_is_said(cable: dict[str, Any] | None, why: str) -> None:
    report = check({"circuits.C1.cable": cable})
    for rule in ("cable-capacity", "breaker-rating"):
        row = tally_of(report, rule)
        assert (row.found, row.undecided) == (0, 1)
        assert why in there(row.why)


@pytest.mark.parametrize(
    ("breaker_a", "remedy"),
    [
        # 3.348 A of strips; the lead of 1.5 mm2 (A1, 40 degC) carries 14.5 x 0.87 = 12.6 A.
        (3.3, "Use a breaker rated 6 A, or up to 10 A."),
        (3.349, None),
        (12.6, None),
        (22.1, "Use a breaker rated 6 A, or up to 10 A."),  # above the best case for 1.5 mm2
        (None, "Use a breaker rated 6 A, or up to 10 A."),
    ],
)
def test_breaker_between_current_and_conductors(
    breaker_a: float | None, remedy: str | None
) -> None:
    breaker = None if breaker_a is None else f"{breaker_a} A"
    found = of_rule(check({"circuits.C1.breaker": breaker}), "breaker-rating")
    assert [f.remedy for f in found] == ([] if remedy is None else [remedy])


def test_no_rating_suits_a_weak_conductor() -> None:
    change = leads(W1={"capacity": "5 A"})
    (finding,) = of_rule(check(change), "breaker-rating")
    assert "lead W1 can carry only 5 A" in finding.remedy


def test_drop_falls_off_strip_by_strip() -> None:
    """Fold the ladder of two strips by hand: cable, lead to A1, lead on to A2."""
    cable_ohm = 200 * OHM_PER_M
    first_ohm = (30 + 1470 + (280**2 + 30**2) ** 0.5) / 1000 * OHM_PER_M
    second_ohm = 0.5 * OHM_PER_M
    beyond = 1 / (1 / STRIP_OHM + 1 / (second_ohm + STRIP_OHM))
    at_first_v = 230 * beyond / (cable_ohm + first_ohm + beyond)
    at_second_v = at_first_v * STRIP_OHM / (second_ohm + STRIP_OHM)
    change = leads(W1={"route": [*START, "A1", "A2"]})
    change["rooms"]["room"]["rows"] = {"A": {"lengths": [2750, 2750]}}
    change["circuits"] = {"C1": {"cable": {"size": "1.5 mm2", "length": "200 m"}}}
    report = check(change, limits={"voltage-drop": {"maximum": 2.0}})
    (finding,) = of_rule(report, "voltage-drop")
    assert measured(finding) == pytest.approx(100 * (230 - at_second_v) / 230, abs=1e-6)
    assert "strip A2" in finding.message


@pytest.mark.parametrize("busbar", [None, "0.2 ohm/m"])
def test_busbars_of_strips_fed_through(busbar: str | None) -> None:
    """Compare with A1 as a hundred short strips in a row, each with its piece of busbar."""
    change = leads(W1={"route": [*START, "A1", "A1.end", "A2.end"]})
    change["rooms"]["room"]["rows"] = {"A": {"lengths": [2750, 2750]}}
    change["materials"] = {"films": {"film-80": {"busbar_resistance": busbar}}}
    change["circuits"] = {"C1": {"cable": {"size": "1.5 mm2", "length": "300 m"}}}
    (finding,) = of_rule(check(change, limits={"voltage-drop": {"maximum": 1.0}}), "voltage-drop")
    pieces = 400
    piece_ohm = 2.75 * (0.2 if busbar else 0.0) / pieces
    beyond = 0.5 * OHM_PER_M + STRIP_OHM  # A2 behind the lead from A1.end to A2.end
    shares = []
    for _ in range(pieces):
        inner = 1 / (1 / (beyond + piece_ohm / 2) + 1 / (STRIP_OHM * pieces))
        shares.append(beyond / (beyond + piece_ohm / 2) * inner / (inner + piece_ohm / 2))
        beyond = inner + piece_ohm / 2
    way = 300 * OHM_PER_M + (30 + 1470 + (280**2 + 30**2) ** 0.5) / 1000 * OHM_PER_M
    voltage_v = 230 * beyond / (beyond + way)
    for share in shares:
        voltage_v *= share
    voltage_v *= STRIP_OHM / (0.5 * OHM_PER_M + STRIP_OHM)
    assert measured(finding) == pytest.approx(100 * (230 - voltage_v) / 230, abs=1e-4)
    assert ("left out" in dict(finding.details)) == (busbar is None)


def test_what_is_not_known_is_said_unless_the_rest_is_too_much() -> None:
    change = leads(W1={"size": None})
    row = tally_of(check(change), "voltage-drop")
    assert row.why == "the size of lead W1 is not given"
    change["circuits"] = {"C1": {"cable": {"size": "1.5 mm2", "length": "150 m"}}}
    (finding,) = of_rule(check(change), "voltage-drop")
    assert ("taken as nothing", "the size of lead W1 is not given") in finding.details
    assert finding.remedy.endswith("What is taken as nothing here adds to the drop.")


def test_the_size_offered_would_do_and_the_next_smaller_would_not() -> None:
    cable = {"size": "1.5 mm2", "length": "260 m"}
    change: dict[str, Any] = {"circuits": {"C1": {"cable": cable}}}
    (finding,) = of_rule(check(change), "voltage-drop")
    assert finding.remedy.startswith("A cable of 4 mm² would do")
    assert of_rule(check({"circuits.C1.cable": {**cable, "size": "2.5 mm2"}}), "voltage-drop")
    assert not of_rule(check({"circuits.C1.cable": {**cable, "size": "4 mm2"}}), "voltage-drop")


def test_the_share_is_told_only_where_it_is_not_the_whole() -> None:
    # 7 x 110 W at 230 V: 3.3478 A, which times 100 over 100 is another number in its last bits.
    weak = {"rooms": {"room": {"leads": {"W1": {"capacity": "2 A"}}}}}
    (whole,) = of_rule(check(weak), "cable-capacity")
    assert whole.message == "Lead W1 can carry 2 A, but the strips beyond it draw 3.35 A."
    (share,) = of_rule(
        check(weak, limits={"cable-capacity": {"of_current": 125}}), "cable-capacity"
    )
    assert share.message.endswith("draw 3.35 A × 125 % = 4.18 A.")


@pytest.mark.parametrize(
    ("cable", "most_percent", "advised"),
    [
        # Two strips of 110 W at 230 V draw 0.4783 A each. Of 1.5 mm2, 28.96 mohm/m out and back,
        # 1.7816 m carry both (49.4 mV) and 0.5 m one (6.9 mV): 56.3 mV. A metre of cable takes
        # 17.0 mV at 2.5 mm2, 10.6 mV at 4 mm2, 2.6 mV at 16 mm2. 0.02 % of 230 V is 46 mV.
        # 58.9 mV are too many; leads of 2.5 mm2 take 7.41 / 12.1 of 56.3 mV: 37.1 mV in all.
        ("16 mm2", 0.02, "Leads of 2.5 mm² and a cable of 16 mm² would do"),
        # 23 mV: of 4 mm2 leads 24.1 mV in all, of 6 mm2 16.9 mV.
        ("16 mm2", 0.01, "Leads of 6 mm² and a cable of 16 mm² would do"),
        # No cable makes up for 56.3 mV; leads of 2.5 mm2 leave 51.5 mV with this, 45.1 mV with 4.
        ("2.5 mm2", 0.02, "Leads of 2.5 mm² and a cable of 4 mm² would do"),
        # Of no size known: leads of 2.5 mm2 take 34.5 mV.
        (None, 0.02, "Leads of 2.5 mm² would do"),
        # 4.6 mV: even 16 mm2 leads take 5.4 mV.
        ("16 mm2", 0.002, "Divide the strips over more circuits"),
    ],
)
def test_larger_leads_are_advised_where_no_cable_would_do(
    cable: str | None, most_percent: float, advised: str
) -> None:
    change = leads(W1={"route": [*START, "A1", "A2"]})
    change["rooms"]["room"]["rows"] = {"A": {"lengths": [2750, 2750]}}
    change["circuits"] = {"C1": {"cable": {"size": cable, "length": "1 m"}}}
    report = check(change, limits={"voltage-drop": {"maximum": most_percent}})
    (finding,) = of_rule(report, "voltage-drop")
    assert finding.remedy.startswith(advised)


def test_the_leads_of_a_circuit_are_worked_out_together(monkeypatch: pytest.MonkeyPatch) -> None:
    # Each may carry 1 A, less than all seven strips draw: each is looked at closely.
    solved = []
    plain = wiring.find_currents

    def counted(*given: Any) -> dict[str, float]:
        solved.append(given)
        return plain(*given)

    monkeypatch.setattr(wiring, "find_currents", counted)
    change = leads(
        **{f"W{n}": {"route": [*START, f"A{n}"], "capacity": "1 A"} for n in range(1, 8)}
    )
    assert all_measured(change, "cable-capacity") == {}
    assert len(solved) == 1
