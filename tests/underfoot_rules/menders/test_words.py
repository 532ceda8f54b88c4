"""Steps, figures, grids, supplies and waivers: what is written is put right, never a fact."""

from typing import Any

import pytest

from tests.underfoot_rules.menders.asking import judge, mended, mends, plan, says
from underfoot.api.rules import Data


@pytest.mark.parametrize(
    ("key", "wrong", "right"),
    [
        ("floor_cleaned", False, True),
        ("busbars", "up", "down"),
        ("elements_taped", None, True),
        ("connector_tool", "pliers", "ratchet"),
        ("connectors_insulated", "one side", "both sides"),
        ("bare_conductor", 12, 6),
        ("bare_conductor", "1.2 cm", "0.6 cm"),
        ("bare_conductor", None, 6),
        ("sensor_taped", False, True),
    ],
)
def test_a_step_is_stated_as_it_is_to_be_done(key: str, wrong: Any, right: Any) -> None:
    data = plan({"method_statement": {key: wrong}})
    (mend,) = mends(data, "method-statement")
    assert [(edit.path, edit.value) for edit in mend.patch] == [(("method_statement", key), right)]
    assert mend.says.endswith(", and state it.")


@pytest.mark.parametrize("status", ["laid", "covered", "handed over"])
def test_a_step_that_is_done_is_a_record(status: str) -> None:
    wrong = {"status": status, "method_statement": {"connector_tool": "pliers"}}
    assert says(plan(wrong), "method-statement") == []


def test_a_step_done_when_the_strips_were_joined_is_a_record() -> None:
    tests = [{"circuit": "C1", "stage": "made up"}]
    joined = {"tests": tests, "method_statement.connector_tool": "pliers"}
    assert says(plan(joined), "method-statement") == []
    taped = {"tests": tests, "method_statement.elements_taped": None}
    assert len(says(plan(taped), "method-statement")) == 1


@pytest.mark.parametrize(
    ("change", "path", "right"),
    [
        ({"circuits.C1.rcd": "0.03 mA"}, ("circuits", "C1", "rcd"), "30 mA"),
        ({"circuits.C1.cable.size": "25 mm2"}, ("circuits", "C1", "cable", "size"), "2.5 mm2"),
        ({"rooms.room.thermostat.height": 14}, ("rooms", "room", "thermostat", "height"), 1400),
        ({"circuits.C1.cable.length": 14}, ("circuits", "C1", "cable", "length"), 14000),
        (
            {"rooms.room.sensor.channel.width": 1.3},
            ("rooms", "room", "sensor", "channel", "width"),
            13,
        ),
        ({"circuits.C1.breaker": "11 A"}, ("circuits", "C1", "breaker"), "6 A"),
    ],
)
def test_a_slip_that_leaves_no_doubt_is_put_right(
    change: Data, path: tuple[str, ...], right: Any
) -> None:
    mend = mends(plan(change), "odd-figure")[0]
    assert [(edit.path, edit.value) for edit in mend.patch] == [(path, right)]


@pytest.mark.parametrize(
    "change",
    [
        {"supply.available": "4000 A"},
        {"rooms.room.heat_loss": "5 W"},
        {"rooms.room.height": 240},
        {"materials.sheets.pe-02.thickness": 0.02},
        {"materials.boards.board-10.thickness": 0.01},
        {"rooms": {"room": {"sensor": {"channel": {"width": 1.3}}}}, "status": "laid"},
        {"circuits.C1.cable.size": "70 mm2"},
        {"circuits.C1.cable.size": "100 mm2"},  # 10 mm² is made, and 1 mm², too
        {"circuits.C1.rcd": "4 A"},
        {"job.date": "2126-09-14"},
    ],
)
def test_what_records_a_fact_or_leaves_a_doubt_is_left_to_who_knows(change: Data) -> None:
    assert says(plan(change), "odd-figure") == []


def test_a_grid_is_laid_earthed_until_it_is_covered() -> None:
    bare = {"materials.films.film-80.protection_class": "I"}
    data = plan(bare)
    assert mended(data, "protective-grid")["rooms"]["room"]["grid"] == {
        "mesh": 30, "earthed": True, "protective_conductor": "4 mm2"
    }  # fmt: skip
    assert says(plan({**bare, "status": "covered"}), "protective-grid") == []


@pytest.mark.parametrize(
    ("grid", "after"),
    [
        ({"mesh": 20}, {"mesh": 20, "earthed": True, "protective_conductor": "4 mm2"}),
        (
            {"mesh": 20, "earthed": True, "protective_conductor": "1 mm2"},
            {"mesh": 20, "earthed": True, "protective_conductor": "4 mm2"},
        ),
    ],
)
def test_a_grid_is_earthed_or_left_out(grid: Data, after: Data) -> None:
    data = plan({"rooms.room.grid": grid})
    assert mended(data, "protective-grid")["rooms"]["room"]["grid"] == after
    assert says(data, "protective-grid")[1] == (
        "Leave out the grid of room room, which nothing asks for."
    )


def test_a_wide_mesh_is_closed() -> None:
    wide = {"mesh": "5 cm", "earthed": True, "protective_conductor": "4 mm2"}
    data = plan({"materials": {"films": {"film-80": {"protection_class": "I"}}},
                 "rooms": {"room": {"grid": wide}}})  # fmt: skip
    assert mended(data, "protective-grid")["rooms"]["room"]["grid"]["mesh"] == "3 cm"


def test_no_grid_makes_class_iii_safe_on_the_mains() -> None:
    data = plan({"materials.films.film-80.protection_class": "III"})
    assert says(data, "protective-grid") == []


def test_the_mains_are_called_the_mains() -> None:
    data = plan({"supply.system": "SELV"})
    assert says(data, "selv-source") == ["Write `system: mains`: 230 V is no extra-low voltage."]
    assert mended(data, "selv-source")["supply"]["voltage"] == "230 V"


def selv(**source: Any) -> Data:
    return plan({
        "supply": {"voltage": "24 V", "system": "SELV", "source": source or None},
        "materials": {"films": {"film-80": {"voltage": "24 V", "output": "20 W/m2",
                                            "largest_current": "20 A"}}},
        "circuits": {"C1": {"breaker": "16 A", "cable": {"size": "10 mm2", "length": "3 m"}}},
        "rooms": {"room": {"heat_loss": "100 W", "leads": {"W1": {"size": "2.5 mm2"}}}},
    })  # fmt: skip


def test_extra_low_voltage_comes_out_of_a_source_made_for_it() -> None:
    # Seven strips of 2.75 m by 0.5 m at 20 W/m2 ask for 192.5 VA.
    assert says(selv(), "selv-source") == [
        "Feed it out of a safety isolating transformer to IEC 61558-2-6, rated 200 VA."
    ]
    other = selv(kind="autotransformer", standard="IEC 61558-2-13", rating="300 VA")
    assert mended(other, "selv-source")["supply"]["source"] == {
        "kind": "safety isolating transformer", "standard": "IEC 61558-2-6", "rating": "300 VA"
    }  # fmt: skip


def test_what_stands_on_a_plate_is_guessed_by_nobody() -> None:
    unread = selv(kind="safety isolating transformer", rating="300 VA")
    assert says(unread, "selv-source") == []


def test_a_stronger_source_is_taken() -> None:
    weak = selv(kind="safety isolating transformer", standard="IEC 61558-2-6", rating="0.1 kVA")
    assert mended(weak, "source-rating")["supply"]["source"]["rating"] == "0.2 kVA"


def test_a_fuller_supply_is_never_written() -> None:
    assert says(plan({"supply.available": "2 A"}), "supply-capacity") == []


def test_a_waiver_that_does_not_hold_is_taken_out() -> None:
    data = plan({"waivers": [{"rule": "rcd-type", "reason": "old", "agreed_by": "office",
                              "until": "2020-01-01"},
                             {"rule": "wall-clearance", "item": "A1", "reason": "old",
                              "agreed_by": "office"}]})  # fmt: skip
    (mend,) = mends(data, "waiver-lapsed", "wall-clearance")
    assert [(edit.op, edit.path) for edit in mend.patch] == [("remove", ("waivers", 1))]


def test_menders_leave_what_was_read_and_signed_alone() -> None:
    record = {
        "circuit": "C1", "stage": "laid", "date": "2026-10-01", "load_resistance": "10 ohm",
        "insulation_resistance": "0.1 Mohm", "test_voltage": "500 V", "rcd_trip_time": "600 ms",
        "tested_by": "electrician",
    }  # fmt: skip
    data = plan({"status": "laid", "tests": [record], "job": {"reference": None}})
    _, state = judge(data)
    rules = {each.rule.id for each in state.standing}
    assert {"load-resistance", "insulation-resistance", "rcd-trip", "paperwork"} <= rules
    for rule in rules & {"load-resistance", "insulation-resistance", "rcd-trip", "paperwork",
                         "test-stages"}:  # fmt: skip
        assert says(data, rule) == []
