"""What leads on from junction box to junction box, and where the plan leaves it out."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import (
    BASE,
    cannot_tell,
    check,
    limit_of,
    measured,
    of_rule,
    tally_of,
)
from underfoot.checking.page import merge_patch

ROOM: dict[str, Any] = dict(BASE["rooms"]["room"])
A_LEAD: dict[str, Any] = dict(ROOM["leads"]["W1"])
START = ("junction-box", [30, 1500], [30, 30])
# Each strip draws 80 W/m2 x 0.5 m x 2.75 m / 230 V.
STRIP_A = 110 / 230
STRIP_OHM = 230**2 / 110
# 1.5 and 2.5 mm2, out and back, at 70 degC: 2 x 12.1 and 7.41 ohm/km x (1 + 0.00393 x 50)
# (IEC 60228, IEC 60028).
THIN, THICK = 2 * 0.0121 * 1.1965, 2 * 0.00741 * 1.1965
LEAD_OHM = (30 + 1470 + (280**2 + 30**2) ** 0.5) / 1000 * THIN
LINK = {"size": "1.5 mm2", "length": "50 m", "method": "C", "ambient": "30 degC"}


def room_of(circuit: str, row: str, lead: str, strips: int = 1) -> dict[str, Any]:
    """Return the base plan's room with so many strips of its row and one lead to them."""
    told = {**ROOM["rows"]["A"], "circuit": circuit, "lengths": [2750] * strips}
    names = [f"{row}{number + 1}" for number in range(strips)]
    leads = {lead: {**A_LEAD, "circuit": circuit, "route": [*START, *names]}}
    return {**ROOM, "rows": {row: told}, "leads": leads}


def two_rooms(second: dict[str, Any], circuit: str = "C2", **first: Any) -> dict[str, Any]:
    """Return strip A1 on C1 in a room and B1 in another, on a circuit of which this is said."""
    rooms = {
        "room": {"rows": {"A": {"lengths": [2750]}}, "leads": {"W1": {"route": [*START, "A1"]}}},
        "other": room_of(circuit, "B", "W2"),
    }
    circuits = {"C1": first} if circuit == "C1" else {"C1": first, circuit: second}
    return {"rooms": rooms, "circuits": circuits}


SHARING = {"thermostat": "other", "shares": "C1"}


@pytest.mark.parametrize(
    "change",
    [
        two_rooms({**SHARING, "cable": LINK}, cable={"length": "100 m"}),
        two_rooms({**SHARING, "links": [{"from": "room", "to": "other", **LINK}]},
                  cable={"length": "100 m"}),
        two_rooms({}, "C1", cable={"length": "100 m"},
                  links=[{"from": "room", "to": "other", **LINK}]),
    ],
    ids=["cable of the one that shares", "its link", "link of one circuit"],
)  # fmt: skip
def test_the_drop_in_a_link_is_that_of_a_piece_in_series(change: dict[str, Any]) -> None:
    """Fold it by hand: cable to the first box, from there its strip and the link to the second."""
    first = LEAD_OHM + STRIP_OHM
    beyond = 50 * THIN + LEAD_OHM + STRIP_OHM
    both = 1 / (1 / first + 1 / beyond)
    box_v = 230 * both / (100 * THICK + both)
    strip_v = box_v * STRIP_OHM / beyond
    (finding,) = of_rule(check(change, limits={"voltage-drop": {"maximum": 0.5}}), "voltage-drop")
    assert measured(finding) == pytest.approx(100 * (230 - strip_v) / 230, abs=1e-6)
    assert "strip B1" in finding.message
    assert dict(finding.details)["lost in links and leads"] == f"{box_v - strip_v:.1f} V"


def test_three_boxes_in_a_row_add_up() -> None:
    links = [{"from": "room", "to": "other", **LINK}, {"from": "other", "to": "last", **LINK}]
    change = two_rooms({}, "C1", cable={"length": "100 m"}, links=links)
    change["rooms"]["last"] = room_of("C1", "D", "W3")
    strip = LEAD_OHM + STRIP_OHM
    last = 50 * THIN + strip
    second = 1 / (1 / strip + 1 / last)
    first = 1 / (1 / strip + 1 / (50 * THIN + second))
    strip_v = 230 * first / (100 * THICK + first)
    strip_v *= second / (50 * THIN + second) * STRIP_OHM / last
    (finding,) = of_rule(check(change, limits={"voltage-drop": {"maximum": 0.5}}), "voltage-drop")
    assert measured(finding) == pytest.approx(100 * (230 - strip_v) / 230, abs=1e-6)
    # The first link carries two strips, the second one.
    for number, strips in ((0, 2), (1, 1)):
        for spare, found in ((1e-3, False), (-1e-3, True)):
            tight = [dict(link) for link in links]
            tight[number]["capacity"] = f"{strips * STRIP_A + spare} A"
            report = check({**change, "circuits": {"C1": {"links": tight}}})
            items = [each.items for each in of_rule(report, "cable-capacity")]
            ends = ("room", "other") if number == 0 else ("other", "last")
            assert items == ([("C1", *ends)] if found else [])


@pytest.mark.parametrize(("spare", "found"), [(1e-3, False), (-1e-3, True)])
def test_a_link_carries_the_strips_beyond_it(spare: float, found: bool) -> None:
    link = {**LINK, "capacity": f"{STRIP_A + spare} A"}
    report = check(two_rooms({**SHARING, "cable": link}))
    assert [each.items for each in of_rule(report, "cable-capacity")] == (
        [("C2",)] if found else []
    )


@pytest.mark.parametrize(
    ("link", "rule", "severity"),
    [
        ({"size": "1 mm2"}, "conductor-size", "error"),
        ({"capacity": "40 A"}, "cable-capacity", "error"),
        ({"capacity": "6 A"}, "breaker-rating", "warning"),
        ({"length": "900 m"}, "voltage-drop", "warning"),
    ],
)
def test_a_link_is_judged_as_a_cable_is(link: dict[str, Any], rule: str, severity: str) -> None:
    report = check(two_rooms({**SHARING, "cable": {**LINK, **link}}))
    assert [each.severity for each in of_rule(report, rule)] == [severity]


RULES = ("cable-capacity", "breaker-rating", "voltage-drop")


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize(
    ("change", "write"),
    [
        (two_rooms(SHARING), "Write the `cable` of circuit C2 that leads on from the junction box "
         "in room to that in other: size, length, method and ambient."),
        (two_rooms({}, "C1"), "Write under `links` of circuit C1 what leads on from the junction "
         "box in room to that in other: size, length, method and ambient."),
    ],
    ids=["circuits that share", "one circuit"],
)  # fmt: skip
def test_a_link_that_is_missing_is_asked_for(change: dict[str, Any], write: str, rule: str) -> None:
    (point,) = cannot_tell(change, rule)
    assert point.write == write
    assert not of_rule(check(change), rule)


@pytest.mark.parametrize("rule", RULES)
def test_one_box_needs_no_link(rule: str) -> None:
    lengths = [2750] * 6 + [{"length": 2750, "circuit": "C2"}]
    leads = {
        "W1": {"route": [*START, "A1", "A2", "A3", "A4", "A5", "A6"]},
        "W2": {**A_LEAD, "circuit": "C2", "route": ["junction-box", [3310, 30], "A7"]},
    }
    room = {"rows": {"A": {"lengths": lengths}}, "leads": leads}
    circuits = {"C2": {"thermostat": "room", "shares": "C1"}}
    assert cannot_tell({"rooms.room": room, "circuits": circuits}, rule) == ()


@pytest.mark.parametrize("rule", RULES)
def test_circuits_with_cables_of_their_own_need_no_link(rule: str) -> None:
    own = {**BASE["circuits"]["C1"], "thermostat": "other"}
    assert cannot_tell(two_rooms(own), rule) == ()


@pytest.mark.parametrize("key", ["size", "length"])
def test_a_link_of_which_too_little_is_said(key: str) -> None:
    link = {name: value for name, value in LINK.items() if name != key}
    points = cannot_tell(two_rooms({**SHARING, "cable": link}), "voltage-drop")
    assert [point.write for point in points] == [f"Write the `{key}` of the link to circuit C2."]
    for rule in ("conductor-size", "cable-capacity"):
        assert len(cannot_tell(two_rooms({**SHARING, "cable": link}), rule)) == (key == "size")


def test_a_link_from_a_box_that_nothing_feeds_does_not_help() -> None:
    change = two_rooms({}, "C1", links=[{"from": "last", "to": "other", **LINK}])
    change["rooms"]["last"] = {**room_of("C3", "D", "W3"), "rows": {}, "leads": {}}
    (point,) = cannot_tell(change, "cable-capacity")
    assert point.why == (
        "what leads on from the junction box in room to that in other is not given"
    )


def test_a_third_circuit_in_the_second_room_goes_through_its_box() -> None:
    # C2's link carries C3's strip too: both lie beyond the same box.
    change = two_rooms({**SHARING, "cable": {**LINK, "capacity": f"{1.5 * STRIP_A} A"}})
    other = change["rooms"]["other"]
    other["rows"]["B"]["lengths"] = [2750, {"length": 2750, "circuit": "C3"}]
    other["leads"]["W3"] = {**A_LEAD, "circuit": "C3", "route": [*START, "B2"]}
    change["circuits"]["C3"] = {"thermostat": "other", "shares": "C1"}
    (finding,) = of_rule(check(change), "cable-capacity")
    assert finding.items == ("C2",)
    assert limit_of(finding).least == pytest.approx(2 * STRIP_A)


def test_a_circuit_that_shares_may_have_a_box_of_its_own_in_the_same_room() -> None:
    change = two_rooms({**SHARING, "cable": LINK}, cable={"length": "100 m"})
    lengths = [2750, {"length": 2750, "circuit": "C2"}]
    w2 = {**A_LEAD, "circuit": "C2", "route": [*START, "A2"]}
    change["rooms"] = {"room": {**change["rooms"]["room"], "rows": {"A": {"lengths": lengths}}}}
    change["rooms"]["room"]["leads"]["W2"] = w2
    change["circuits"]["C2"]["thermostat"] = "room"
    with_link = of_rule(check(change, limits={"voltage-drop": {"maximum": 0.5}}), "voltage-drop")
    assert "strip A2" in with_link[0].message
    assert tally_of(check(change), "cable-capacity").checked == 4
    weak = {"circuits": {"C2": {"cable": {"capacity": f"{STRIP_A - 1e-3} A"}}}}
    found = of_rule(check(merge_patch(change, weak)), "cable-capacity")
    assert [each.items for each in found] == [("C2",)]
    assert cannot_tell(change, "cable-capacity") == ()


def test_the_cable_goes_to_the_box_that_no_link_feeds() -> None:
    # The thermostat hangs in the other room than the box that is fed first.
    for spare, found in ((1e-3, []), (-1e-3, [("C1", "other", "room")])):
        link = {"from": "other", "to": "room", **LINK, "capacity": f"{STRIP_A + spare} A"}
        change = two_rooms({}, "C1", links=[link])
        change["rooms"]["other"] = room_of("C1", "B", "W2", strips=2)
        items = [each.items for each in of_rule(check(change), "cable-capacity")]
        assert items == found


def test_of_boxes_that_nothing_links_the_thermostats_is_first() -> None:
    (point,) = cannot_tell(two_rooms({}, "C1", thermostat="other"), "cable-capacity")
    assert "from the junction box in other to that in room" in point.why


def test_a_box_beyond_one_that_lacks_its_link_is_not_asked_for_again() -> None:
    change = two_rooms({}, "C1", links=[{"from": "other", "to": "last", **LINK}])
    change["rooms"]["last"] = room_of("C1", "D", "W3")
    (point,) = cannot_tell(change, "cable-capacity")
    assert "from the junction box in room to that in other" in point.why


def test_leads_that_begin_at_no_box_need_no_link() -> None:
    change = two_rooms(SHARING)
    change["rooms"]["other"]["leads"]["W2"]["route"] = [[30, 30], "B1"]
    assert cannot_tell(change, "cable-capacity") == ()
    assert of_rule(check(change), "circuit-feed")


def test_where_the_breakers_circuit_has_no_strips_the_cable_goes_to_the_next() -> None:
    change = two_rooms({**SHARING, "cable": {**LINK, "capacity": f"{STRIP_A - 1e-3} A"}})
    lead = {**A_LEAD, "circuit": "C3", "route": [*START, "A1"]}
    row = {"lengths": [2750], "circuit": "C3"}
    change["rooms"]["room"] = {"rows": {"A": row}, "leads": {"W1": None, "W3": lead}}
    change["circuits"]["C3"] = {"thermostat": "room", "shares": "C1"}
    assert cannot_tell(change, "cable-capacity") == ()
    assert [each.items for each in of_rule(check(change), "cable-capacity")] == [("C2",)]


def test_the_cable_offered_takes_its_links_along() -> None:
    change = two_rooms({**SHARING, "cable": {**LINK, "length": "500 m"}}, cable={"length": "100 m"})
    (finding,) = of_rule(check(change, limits={"voltage-drop": {"maximum": 2.0}}), "voltage-drop")
    assert finding.remedy.startswith("A cable of 4 mm² and links no smaller would do")


def test_no_cable_is_offered_below_the_least_size() -> None:
    # 30 m of 0.5 mm2 lose 30 x 2 x 0.036 x 1.1965 x 3.35 A = 8.7 V, 3.8 %; of 0.75 mm2 2.6 %.
    change = {"circuits": {"C1": {"cable": {"size": "0.5 mm2", "length": "30 m"}}}}
    (finding,) = of_rule(check(change, limits={"voltage-drop": {"maximum": 3.0}}), "voltage-drop")
    assert finding.remedy.startswith("A cable of 1.5 mm² would do")
