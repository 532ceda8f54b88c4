"""Which sensor a thermostat reads, which floor it heats, and whether the two are one."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import BASE, check, of_rule, tally_of

ROOM: dict[str, Any] = dict(BASE["rooms"]["room"])
LEAD: dict[str, Any] = dict(ROOM["leads"]["W1"])
C1: dict[str, Any] = dict(BASE["circuits"]["C1"])
HUNG = {"height": 1400, "switches": "16 A", "floor_limit": "27 degC"}


def bare_hall(**thermostat: Any) -> dict[str, Any]:
    """Draw a hall with nothing but a thermostat on its wall."""
    outline = [[0, 0], [2000, 0], [2000, 1200], [0, 1200]]
    return {"outline": outline, "thermostat": {**HUNG, "at": [1000, 0], **thermostat}}


def copy_room(row: str, circuit: str, **change: Any) -> dict[str, Any]:
    """Give the base plan's room once more, with a row and a lead of another name."""
    lead = {**LEAD, "circuit": circuit, "route": [*LEAD["route"][:-1], row]}
    rows = {row: {**ROOM["rows"]["A"], "circuit": circuit}}
    return {**ROOM, "rows": rows, "leads": {f"W{row}": lead}, **change}


def two_zones(
    thermostat: str, *, sensor: list[float] | None = None, hall: dict[str, Any] | None = None
) -> dict[str, Any]:
    """Put A5 to A7 (x from 2060) on C2, which a thermostat somewhere switches."""
    lengths = [2750] * 4 + [{"length": 2750, "circuit": "C2"}] * 3
    leads = {
        "W1": {"route": ["junction-box", [30, 1500], [30, 30], "A1", "A2", "A3", "A4"]},
        "W2": {**LEAD, "circuit": "C2", "route": ["junction-box", [15, 1500], [15, 15], [2310, 15],
                                                  "A5", "A6", "A7"]},
    }  # fmt: skip
    room: dict[str, Any] = {"rows": {"A": {"lengths": lengths}}, "leads": leads}
    if sensor is not None:
        room["sensor"] = {"at": sensor, "cable": "20 m"}
    return {
        "rooms": {"room": room, "hall": hall or bare_hall()},
        "circuits": {"C2": {"thermostat": thermostat, "shares": "C1"}},
    }


def unlimited(change: dict[str, Any]) -> list[tuple[str | None, tuple[str, ...]]]:
    return [(f.room, f.items) for f in of_rule(check(change), "floor-unlimited")]


def misplaced(change: dict[str, Any]) -> list[str | None]:
    return [f.room for f in of_rule(check(change), "sensor-other-strip")]


def idle(change: dict[str, Any]) -> list[str | None]:
    return [f.room for f in of_rule(check(change), "thermostat-idle")]


def test_one_room_with_its_own() -> None:
    report = check({})
    for rule in ("floor-unlimited", "sensor-other-strip", "thermostat-idle"):
        tally = tally_of(report, rule)
        assert (tally.checked, tally.found, tally.undecided) == (1, 0, 0)


def test_a_thermostat_that_hangs_elsewhere_keeps_its_sensor() -> None:
    change = {"rooms": {"hall": bare_hall(), "room": {"thermostat": {"room": "hall"}}}}
    change["rooms"]["hall"].pop("thermostat")
    assert (unlimited(change), misplaced(change), idle(change)) == ([], [], [])


def test_a_thermostat_without_a_sensor_reads_that_of_the_room_it_switches() -> None:
    change = {"rooms.hall": bare_hall(), "rooms.room.thermostat": None}
    change["circuits.C1.thermostat"] = "hall"
    assert (unlimited(change), misplaced(change), idle(change)) == ([], [], [])


def test_a_sensor_in_the_hall_is_the_one_that_its_thermostat_reads() -> None:
    hall = {**bare_hall(), "sensor": {"at": [1000, 600]}}
    change = {"rooms.hall": hall, "rooms.room.thermostat": None}
    change["circuits.C1.thermostat"] = "hall"
    assert unlimited(change) == [("room", ("C1",))]
    (finding,) = of_rule(check(change), "floor-unlimited")
    assert finding.message == (
        "Circuit C1 heats room room through the thermostat of room hall, which reads the floor "
        "sensor of room hall: nothing limits the floor here."
    )


def test_two_rooms_each_with_its_own_are_in_order() -> None:
    change = {"rooms.other": copy_room("B", "C2"), "circuits.C2": {**C1, "thermostat": "other"}}
    assert (unlimited(change), misplaced(change), idle(change)) == ([], [], [])


def test_thermostats_swapped() -> None:
    change = {"rooms.other": copy_room("B", "C2"), "circuits.C1.thermostat": "other"}
    change["circuits.C2"] = {**C1, "thermostat": "room"}
    assert sorted(unlimited(change)) == [("other", ("C2",)), ("room", ("C1",))]
    # The sensors lie below strips that their thermostats do not switch: the same cause.
    assert misplaced(change) == []
    tally = tally_of(check(change), "sensor-other-strip")
    assert tally.why == "another thermostat switches the room (floor-unlimited)"
    assert idle(change) == []


@pytest.mark.parametrize("own", [True, False])
@pytest.mark.parametrize("sensor", [True, False])
def test_a_circuit_through_two_rooms_limits_one_of_them(own: bool, sensor: bool) -> None:
    other = copy_room("B", "C1")
    if not own:
        other.pop("thermostat")
    if not sensor:
        other.pop("sensor")
    change = {"rooms": {"other": other}}
    assert unlimited(change) == [("other", ("C1",))]
    assert idle(change) == (["other"] if own else [])
    (finding,) = of_rule(check(change), "floor-unlimited")
    assert "Put the strips of room other on a circuit of their own" in finding.remedy
    assert ("Draw a thermostat in room other" in finding.remedy) == (not own)


def test_a_thermostat_that_reads_both_rooms_limits_both() -> None:
    other = copy_room("B", "C1", thermostat=None)
    change = {"rooms": {"other": other, "room": {"thermostat": {"reads": ["room", "other"]}}}}
    assert (unlimited(change), misplaced(change), idle(change)) == ([], [], [])
    change["rooms"]["room"]["thermostat"]["reads"] = ["other"]
    assert unlimited(change) == [("room", ("C1",))]
    change["rooms"]["room"]["thermostat"]["reads"] = []
    assert sorted(unlimited(change)) == [("other", ("C1",)), ("room", ("C1",))]


def test_of_two_sensors_one_thermostat_reads_one() -> None:
    # The hall's thermostat has no sensor of its own; both rooms have one, and no thermostat.
    change = {
        "rooms": {
            "hall": bare_hall(),
            "room": {"thermostat": None},
            "other": copy_room("B", "C2", thermostat=None),
        },
        "circuits": {"C1": {"thermostat": "hall"}, "C2": {"thermostat": "hall", "shares": "C1"}},
    }
    assert sorted(unlimited(change)) == [("other", ("C2",)), ("room", ("C1",))]
    (finding, _) = of_rule(check(change), "floor-unlimited")
    assert "takes one floor sensor, while rooms " in finding.message
    assert "Or say which sensors the thermostat of room hall reads (`reads`)." in finding.remedy
    change["rooms"]["hall"]["thermostat"]["reads"] = ["room", "other"]
    assert unlimited(change) == []


def test_without_any_sensor_sensor_missing_speaks() -> None:
    report = check({"rooms.room.sensor": None})
    assert [f.room for f in of_rule(report, "sensor-missing")] == ["room"]
    tally = tally_of(report, "floor-unlimited")
    assert (tally.found, tally.undecided, tally.why) == (0, 1, "there is no floor sensor")


def test_one_zone_of_a_room_on_a_thermostat_that_feels_nothing() -> None:
    assert unlimited(two_zones("hall")) == [("room", ("C2",))]
    (finding,) = of_rule(check(two_zones("hall")), "floor-unlimited")
    assert "heats a part of room room (A5, A6 and A7)" in finding.message
    assert "which reads no floor sensor" in finding.message
    assert unlimited(two_zones("room")) == []
    assert idle(two_zones("room")) == ["hall"]


@pytest.mark.parametrize(
    ("x", "found"),
    [
        (810, False),  # below A2, on C1
        (2060, False),  # the seam of A4 (C1) and A5 (C2) is below both
        (2060.5, True),
        (2810, True),  # below A6, on C2
        (30, False),  # in the border: sensor-under-element speaks
    ],
)
def test_the_sensor_below_another_thermostats_strip(x: float, found: bool) -> None:
    change = two_zones("hall", sensor=[x, 1500])
    assert misplaced(change) == (["room"] if found else [])
    # The same sensor is in order where one thermostat switches both.
    assert misplaced(two_zones("room", sensor=[x, 1500])) == []


def test_the_place_offered_is_below_a_strip_of_its_own() -> None:
    (finding,) = of_rule(check(two_zones("hall", sensor=[2810, 1500])), "sensor-other-strip")
    assert "lies below strip A6 (circuit C2), which the thermostat of room hall switches" in (
        finding.message
    )
    x, y = (float(v) for v in finding.remedy.split("[")[1].split("]")[0].split(", "))
    assert 60 <= x < 2060
    change = two_zones("hall", sensor=[x, y])
    report = check(change)
    for rule in ("sensor-other-strip", "sensor-depth", "sensor-under-element"):
        assert not of_rule(report, rule)


def test_a_sensor_read_by_two_thermostats() -> None:
    change = two_zones("hall", hall=bare_hall(reads=["room"]))
    assert misplaced(change) == ["room"]
    assert unlimited(change) == []
    (finding,) = of_rule(check(change), "sensor-other-strip")
    assert "is read by the thermostats of rooms room and hall" in finding.message


def test_a_sensor_below_a_strip_on_no_thermostat_is_not_called_in_order() -> None:
    change = two_zones("hall", sensor=[2810, 1500])
    change["circuits"]["C2"]["thermostat"] = None
    tally = tally_of(check(change), "sensor-other-strip")
    assert tally.why == "strip A6 over the sensor is on no thermostat"
    change = two_zones("hall", sensor=[2810, 1500])
    change["rooms"]["hall"]["thermostat"] = None
    tally = tally_of(check(change), "sensor-other-strip")
    assert tally.why == "strip A6 over the sensor is on no thermostat"


def test_a_thermostat_that_is_not_drawn_reads_nothing() -> None:
    report = check({"rooms.room.thermostat": None})
    tally = tally_of(report, "sensor-other-strip")
    assert tally.why == "no thermostat is drawn that reads the sensor"
    assert of_rule(report, "thermostat-missing")


def test_a_thermostat_that_switches_nothing() -> None:
    change: dict[str, Any] = {"rooms": {"hall": bare_hall()}}
    assert idle(change) == ["hall"]
    (finding,) = of_rule(check(change), "thermostat-idle")
    assert finding.message == "The thermostat of room hall switches nothing: no circuit names it."
    change["circuits"] = {"C2": {**C1, "thermostat": "hall"}}
    (finding,) = of_rule(check(change), "thermostat-idle")
    assert finding.message.endswith("circuit C2, which names it, has no strips.")
    change["circuits"]["C3"] = {**C1, "thermostat": "hall"}
    (finding,) = of_rule(check(change), "thermostat-idle")
    assert finding.message.endswith("circuits C2 and C3, which name it, have no strips.")


def test_an_idle_thermostat_names_the_circuits_that_heat_its_room() -> None:
    change = {"rooms": {"hall": bare_hall()}, "circuits": {"C1": {"thermostat": "hall"}}}
    (finding,) = of_rule(check(change), "thermostat-idle")
    assert finding.room == "room"
    assert finding.remedy.startswith("Write `thermostat: room` in circuit C1, which heats")
    both = two_zones("hall")
    both["circuits"]["C1"] = {"thermostat": "hall"}
    (finding,) = of_rule(check(both), "thermostat-idle")
    assert "in circuits C1 and C2, which heat this room" in finding.remedy


def test_a_circuit_on_no_thermostat_speaks_for_the_idle_one() -> None:
    report = check({"circuits.C1.thermostat": None})
    assert [f.room for f in of_rule(report, "thermostat-missing")] == ["room"]
    tally = tally_of(report, "thermostat-idle")
    assert tally.why == "circuits of the room are on no thermostat (thermostat-missing)"


def remedies(change: dict[str, Any], rule: str = "floor-unlimited") -> list[str]:
    return [finding.remedy for finding in of_rule(check(change), rule)]


def test_what_to_do_about_a_room_on_the_thermostat_next_door() -> None:
    # C2 heats the other room alone, which has a thermostat of its own.
    change = {"rooms.other": copy_room("B", "C2"), "circuits.C2": {**C1, "thermostat": "room"}}
    takes_two = (
        "Only where the thermostat of room room takes a floor sensor in each room and cuts off at "
        "the warmest: write `reads: [room, other]` there instead."
    )
    assert remedies(change) == [f"Write `thermostat: other` in circuit C2. {takes_two}"]
    # C1 heats both rooms, so that its strips here need a circuit first.
    assert remedies({"rooms": {"other": copy_room("B", "C1", thermostat=None)}}) == [
        "Put the strips of room other on a circuit of their own: circuit C1 heats other rooms, "
        "too. Draw a thermostat in room other, which reads the sensor there. Write "
        f"`thermostat: other` there. {takes_two}"
    ]


def test_what_to_do_about_a_zone_whose_thermostat_reads_nothing() -> None:
    assert remedies(two_zones("hall")) == ["Write `thermostat: room` in circuit C2."]


def test_several_circuits_and_strips_of_one_thermostat_are_one_finding() -> None:
    change = two_zones("hall")
    change["circuits"]["C1"] = {"thermostat": "hall"}
    (finding,) = of_rule(check(change), "floor-unlimited")
    assert finding.items == ("C1", "C2")
    assert finding.message.startswith("Circuits C1 and C2 heat room room through the thermostat")
    assert finding.remedy == "Write `thermostat: room` in circuits C1 and C2."
    assert finding.related == ("circuits.C2",)


def test_many_strips_are_counted() -> None:
    strips = {
        f"E{number}": {"film": "film-80", "at": [60 + 500 * (number - 1), 60], "along": "y",
                       "length": 2750, "circuit": "C2" if number > 1 else "C1"}
        for number in range(1, 8)
    }  # fmt: skip
    change = two_zones("hall")
    change["rooms"]["room"].update(
        rows=None,
        elements=strips,
        leads={
            "W1": {"route": ["junction-box", [30, 1500], [30, 30], "E1"]},
            "W2": {**LEAD, "circuit": "C2", "route": ["junction-box", [15, 1500], [15, 15],
                                                      *list(strips)[1:]]},
        },
    )  # fmt: skip
    (finding,) = of_rule(check(change), "floor-unlimited")
    assert "a part of room room (6 strips, E2 and on)" in finding.message
    strips["E2"]["circuit"] = "C1"
    (finding,) = of_rule(check(change), "floor-unlimited")
    assert "a part of room room (E3, E4, E5, E6 and E7)" in finding.message


def test_a_thermostat_that_is_not_drawn_is_no_other_rooms() -> None:
    report = check({"rooms.room.thermostat": None})
    assert not of_rule(report, "floor-unlimited")
    assert tally_of(report, "floor-unlimited").checked == 0


def test_below_the_seam_of_two_foreign_strips() -> None:
    (finding,) = of_rule(check(two_zones("hall", sensor=[2560, 1500])), "sensor-other-strip")
    assert (
        "lies below strips A5 (circuit C2) and A6 (circuit C2), which the thermostat of room "
        in (finding.message)
    )
    assert ": below a strip of circuit C1, " in finding.remedy


def test_a_thermostat_told_not_to_read_its_own_sensor() -> None:
    change: dict[str, Any] = {"rooms": {"room": {"thermostat": {"reads": []}}}}
    assert remedies(change) == [
        "Let the thermostat of room room read the sensor of its own room: leave `reads` out of it, "
        "or name room there as well if it takes several."
    ]


def test_a_thermostat_that_reads_a_sensor_where_it_switches_nothing() -> None:
    # The room's own thermostat reads none and has no strips; the other room's reads both sensors.
    change = {
        "rooms": {
            "other": copy_room("B", "C2", thermostat={**HUNG, "reads": ["room", "other"]}),
            "room": {"thermostat": {"reads": []}},
        },
        "circuits": {"C2": {**C1, "thermostat": "other"}},
    }
    report = check(change)
    assert [f.room for f in of_rule(report, "floor-unlimited")] == ["room"]
    tally = tally_of(report, "sensor-other-strip")
    assert (tally.found, tally.undecided) == (0, 1)
