"""One cause, one voice: who falls silent when another speaks, and who must not."""

from __future__ import annotations

from typing import Any

from tests.underfoot_rules.plans import BASE, check, of_rule, tally_of

ROOM: dict[str, Any] = dict(BASE["rooms"]["room"])
LEAD: dict[str, Any] = dict(ROOM["leads"]["W1"])


def other_room(circuit: str, **change: Any) -> dict[str, Any]:
    """Give the base plan's room once more, its row named B, with no thermostat of its own."""
    room = {key: value for key, value in ROOM.items() if key != "thermostat"}
    row = {**ROOM["rows"]["A"], "circuit": circuit}
    lead = {**LEAD, "circuit": circuit, "route": [*LEAD["route"][:-1], "B"]}
    return {**room, "rows": {"B": row}, "leads": {"W2": lead}, **change}


def test_a_missing_floor_limit_silences_every_room_that_the_thermostat_heats() -> None:
    # 150 W/m2 would pass the oak's 27 degC in both rooms (the page has 28 degC at 100 W/m2).
    subfloor = {"layers": [{"thickness": 60, "resistance": "3 m2 K/W"}]}
    report = check(
        {
            "materials": {"films": {"film-80": {"output": "150 W/m2"}}},
            "rooms": {
                "room": {"thermostat": {"floor_limit": None}, "subfloor": subfloor},
                "other": other_room("C1", subfloor={**ROOM["subfloor"], **subfloor}),
            },
        }
    )
    assert [finding.items for finding in of_rule(report, "floor-limit")] == [("thermostat",)]
    tally = tally_of(report, "floor-temperature")
    assert (tally.checked, tally.found, tally.undecided) == (2, 0, 2)
    assert tally.why == "no floor limit is set (floor-limit)"


def test_a_film_for_another_voltage_silences_what_it_feeds_and_no_more() -> None:
    # Circuit C2 shares C1's cable, so cable and breaker carry the wrong film too; C2's own
    # current, 7 x 2.75 m of 500 mm at 300 W/m2 = 2887.5 W, 12.55 A, has nothing to do with it.
    film = BASE["materials"]["films"]["film-80"]
    report = check(
        {
            "materials": {
                "films": {
                    "film-80": {"voltage": "115 V"},
                    "film-300": {**film, "output": "300 W/m2"},
                }
            },
            "rooms": {
                "other": other_room(
                    "C2",
                    rows={"B": {**ROOM["rows"]["A"], "circuit": "C2", "film": "film-300"}},
                )
            },
            "circuits": {"C2": {"thermostat": "room", "shares": "C1"}},
            "tests": [{"circuit": "C2", "stage": "laid", "load_resistance": "99 ohm"}],
        }
    )
    assert [finding.items for finding in of_rule(report, "film-voltage")] == [("film-80",)]
    (own,) = of_rule(report, "circuit-current")
    assert (own.items, own.measured and round(own.measured.value, 2)) == (("C2",), 12.55)
    (reading,) = of_rule(report, "load-resistance")
    assert reading.items == ("C2", "laid")
    assert tally_of(report, "circuit-current").undecided == 1
    for rule in ("breaker-rating", "voltage-drop"):
        tally = tally_of(report, rule)
        assert (tally.checked, tally.undecided) == (1, 1)
    capacity = tally_of(report, "cable-capacity")
    # The cable, C1's lead and the link that is not given are silent. C2's lead, 1.5 mm2, method A1
    # at 40 degC, carries 14.5 A x 0.87 = 12.615 A, enough.
    assert (capacity.checked, capacity.found, capacity.undecided) == (4, 0, 3)
