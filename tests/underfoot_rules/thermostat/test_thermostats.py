"""Thermostats: what they switch, over several rooms and circuits, and the limits of the floor."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import BASE, check, limit_of, measured, of_rule, tally_of

RULES = ("thermostat-height", "thermostat-rating", "thermostat-circuits", "floor-limit")
CABLE = {"size": "2.5 mm2", "length": "14 m", "method": "C", "ambient": "30 degC"}
# Each of the base plan's seven strips draws 80 W/m2 x 0.5 m x 2.75 m / 230 V = 0.478261 A.
STRIP_A = 110 / 230


def two_circuits(second: dict[str, Any], **thermostat: Any) -> dict[str, Any]:
    """Put A5 to A7 on a circuit C2."""
    lengths = [2750] * 4 + [{"length": 2750, "circuit": "C2"}] * 3
    leads = {
        "W1": {"route": ["junction-box", [30, 1500], [30, 30], "A1", "A2", "A3", "A4"]},
        "W2": {
            "circuit": "C2",
            "size": "1.5 mm2",
            "recessed": True,
            "route": ["junction-box", [15, 1500], [15, 15], [2310, 15], "A5", "A6", "A7"],
        },
    }
    room = {"rows": {"A": {"lengths": lengths}}, "leads": leads, "thermostat": thermostat}
    return {"rooms": {"room": room}, "circuits": {"C2": {"thermostat": "room", **second}}}


def thermostat(**change: Any) -> dict[str, Any]:
    return {"rooms": {"room": {"thermostat": change}}}


def second_room(**change: Any) -> dict[str, Any]:
    """Copy the base plan's room, its strips renamed, on circuit C2."""
    room = BASE["rooms"]["room"]
    copy = {
        **room,
        "rows": {"B": {**room["rows"]["A"], "circuit": "C2"}},
        "leads": {
            "W2": {
                **room["leads"]["W1"],
                "circuit": "C2",
                "route": ["junction-box", [30, 1500], [30, 30], "B"],
            }
        },
    }
    return {**copy, **change}


OWN = {"breaker": "10 A", "rcd": "30 mA", "cable": CABLE}


@pytest.mark.parametrize(
    ("height", "found"), [(1299.9, True), (1300, False), (1500, False), (1500.1, True)]
)
def test_height_at_its_limits(height: float, found: bool) -> None:
    report = check(thermostat(height=height))
    assert bool(of_rule(report, "thermostat-height")) == found


def test_height_not_given() -> None:
    row = tally_of(check(thermostat(height=None)), "thermostat-height")
    assert (row.undecided, row.why) == (1, "the thermostat's height is not given")
    assert row.may_be_errors == 0


@pytest.mark.parametrize(
    ("switches_a", "found"), [(7 * STRIP_A - 1e-5, True), (7 * STRIP_A, False), (16, False)]
)
def test_rating_at_its_limit(switches_a: float, found: bool) -> None:
    report = check(thermostat(switches=f"{switches_a} A"))
    assert bool(of_rule(report, "thermostat-rating")) == found


def test_rating_of_both_circuits_together() -> None:
    (finding,) = of_rule(check(two_circuits(OWN, switches="3 A")), "thermostat-rating")
    assert measured(finding) == pytest.approx(7 * STRIP_A)
    assert finding.path == "rooms.room.thermostat"


@pytest.mark.parametrize(
    ("second", "poles_a"), [(OWN, 4 * STRIP_A), ({"shares": "C1"}, 7 * STRIP_A)]
)
def test_contactor_carries_a_circuit_a_pole(second: dict[str, Any], poles_a: float) -> None:
    # Circuits that share protection go through one pole together.
    contactor = {"poles": 2, "rating": f"{poles_a} A"}
    assert not of_rule(check(two_circuits(second, contactor=contactor)), "thermostat-rating")
    contactor["rating"] = f"{poles_a - 1e-4} A"
    (finding,) = of_rule(check(two_circuits(second, contactor=contactor)), "thermostat-rating")
    assert measured(finding) == pytest.approx(poles_a)


@pytest.mark.parametrize("rule", ["thermostat-rating", "thermostat-circuits"])
def test_contactor_that_says_nothing_cannot_be_judged(rule: str) -> None:
    row = tally_of(check(two_circuits(OWN, contactor={"note": "in the board"})), rule)
    assert (row.found, row.undecided) == (0, 1)


@pytest.mark.parametrize(
    ("second", "contactor", "found"),
    [
        (OWN, None, True),
        (OWN, {"poles": 1, "rating": "20 A"}, True),
        (OWN, {"poles": 2, "rating": "20 A"}, False),
        ({"shares": "C1"}, None, False),
        ({"shares": "C1"}, {"poles": 1, "rating": "20 A"}, False),
    ],
)
def test_circuits_on_one_contact(
    second: dict[str, Any], contactor: dict[str, Any] | None, found: bool
) -> None:
    report = check(two_circuits(second, contactor=contactor))
    assert bool(of_rule(report, "thermostat-circuits")) == found


def test_a_room_switched_from_another_needs_no_thermostat_of_its_own() -> None:
    rooms = {"annexe": second_room(thermostat=None)}
    report = check({"rooms": rooms, "circuits.C2": {"thermostat": "room", "shares": "C1"}})
    assert not of_rule(report, "thermostat-missing")
    for rule in RULES:
        assert tally_of(report, rule).checked == 1  # the one thermostat
    (finding,) = of_rule(
        check(
            {
                "rooms": {
                    "annexe": second_room(thermostat=None),
                    **thermostat(switches="6 A")["rooms"],
                },
                "circuits.C2": {"thermostat": "room", "shares": "C1"},
            }
        ),
        "thermostat-rating",
    )
    assert measured(finding) == pytest.approx(14 * STRIP_A)  # 6.696 A


def test_missing_silences_what_is_asked_of_it() -> None:
    report = check({"rooms.room.thermostat": None})
    (finding,) = of_rule(report, "thermostat-missing")
    assert finding.path == "rooms.room"
    for rule in RULES:
        row = tally_of(report, rule)
        assert (row.checked, row.found, row.undecided) == (1, 0, 1)


def test_strips_on_no_circuit_leave_it_open() -> None:
    rows = {"A": {**BASE["rooms"]["room"]["rows"]["A"], "circuit": None}}
    report = check({"rooms.room.rows": rows})
    row = tally_of(report, "thermostat-missing")
    assert (row.may_be_errors, row.why) == (1, "its strips are on no known circuit")


@pytest.mark.parametrize(
    ("use", "limit_c", "found"),
    [
        ("living", 29, False),
        ("living", 29.1, True),
        ("bathroom", 33, False),
        ("bathroom", 33.1, True),
        (None, 29.1, True),
    ],
)
def test_floor_limit_of_the_kind_of_room(use: str | None, limit_c: float, found: bool) -> None:
    # 29 and 33 degC are the row's; the covering is made to bear more.
    change = {
        "materials": {"coverings": {"oak-14": {"warmest_surface": "40 degC"}}},
        "rooms": {"room": {"use": use, "thermostat": {"floor_limit": f"{limit_c} degC"}}},
    }
    assert bool(of_rule(check(change), "floor-limit")) == found


def test_floor_limit_of_coverings_over_strips_alone_counts() -> None:
    coverings: list[dict[str, Any]] = [
        {"covering": "cork", "over": [[3600, 0], [4000, 0], [4000, 3000], [3600, 3000]]},
        {"covering": "oak-14"},
    ]
    cork = {"kind": "cork", "warmest_surface": "24 degC"}
    change = {
        "materials": {"coverings": {"cork": cork}},
        "rooms": {"room": {"covering": None, "coverings": coverings}},
    }
    assert not of_rule(check(change), "floor-limit")  # no strip lies below x = 3560
    coverings[0]["over"] = [[3500, 0], [4000, 0], [4000, 3000], [3500, 3000]]
    (finding,) = of_rule(check(change), "floor-limit")
    assert limit_of(finding).most == 24


def test_floor_limit_keeps_to_every_room_that_the_thermostat_heats() -> None:
    annexe = second_room(thermostat=None, covering="cork")
    change = {
        "materials": {"coverings": {"cork": {"kind": "cork", "warmest_surface": "25 degC"}}},
        "rooms": {"annexe": annexe},
        "circuits": {"C2": {"thermostat": "room", "shares": "C1"}},
    }
    (finding,) = of_rule(check(change), "floor-limit")
    assert finding.room == "room"
    assert "covering cork in room annexe must not get warmer than 25 °C" in finding.message


def test_floor_limit_without_the_coverings_own_cannot_be_cleared() -> None:
    change: dict[str, Any] = {"materials": {"coverings": {"oak-14": {"warmest_surface": None}}}}
    row = tally_of(check(change), "floor-limit")
    assert row.why == "the warmest surface that oak-14 may have is not given"
    report = check({**change, **thermostat(floor_limit="30 degC")})
    assert of_rule(report, "floor-limit")  # above what any living room may have


def test_what_is_advised_would_do() -> None:
    # 80 degF is 26.67 degC: 26.7 would be too warm.
    change = {"materials": {"coverings": {"oak-14": {"warmest_surface": "80 degF"}}}}
    (finding,) = of_rule(check(change), "floor-limit")
    assert finding.remedy == "Set the dial to 26.6 °C or less."
    # 9.625 m2 at 79.87 W/m2: 768.75 W, 3.34239 A, which rounds to 3.34 A; 3.35 A are needed.
    change = {
        "materials": {"films": {"film-80": {"output": "79.87 W/m2"}}},
        "rooms": {"room": {"thermostat": {"switches": "3 A"}}},
        "circuits": {"C1": {"breaker": None}},
    }
    (finding,) = of_rule(check(change), "thermostat-rating")
    assert finding.remedy.startswith("Take one that switches at least 3.35 A, or")
    # Behind a breaker that would let more through the contact must bear that.
    (finding,) = of_rule(check({**change, "circuits": {}}), "thermostat-rating")
    assert finding.remedy.startswith("Take one that switches at least 10 A, as its breaker is")
