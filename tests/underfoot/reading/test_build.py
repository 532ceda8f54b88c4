"""The whole format, key by key."""

import re
from collections.abc import Iterator, Mapping
from typing import Any

import pint
import pytest
from msgspec import Struct

from tests.there import there
from tests.underfoot.reading.samples import FULL, SMALL, change, read
from underfoot import plan as model
from underfoot.plan import Plan
from underfoot.reading.syntax import parse

PINT = pint.UnitRegistry()
# What the end of a field's name says, as pint writes it; without an end it is mm.
UNITS = {
    "": "mm", "deg": "deg", "a": "A", "ma": "mA", "v": "V", "va": "V*A", "w": "W", "c": "degC",
    "ma_m": "mA/m", "ma_m2": "mA/m**2", "w_m": "W/m", "w_m2": "W/m**2", "w_m2k": "W/m**2/K",
    "w_mk": "W/m/K", "m2k_w": "m**2*K/W", "kg_m3": "kg/m**3", "ohm": "ohm", "ohm_m": "ohm/m",
    "mohm": "megaohm", "m2": "m**2", "mm2": "mm**2", "ms": "ms", "per_h": "1/h",
}  # fmt: skip


def things_in(value: Any) -> Iterator[Any]:
    """Yield all of a plan that stands at a path."""
    if isinstance(value, Struct):
        if getattr(value, "path", None) is not None and not isinstance(value, model.OwnEntry):
            yield value
        value = [getattr(value, name) for name in value.__struct_fields__]
    elif isinstance(value, Mapping):
        value = list(value.values())
    for inner in value if isinstance(value, list | tuple) else ():
        yield from things_in(inner)


def written_at(path: str) -> Any:
    """Return what the full plan's text has at a path."""
    data = parse(FULL.encode()).data
    for part in path.split("."):
        data = data[int(part)] if isinstance(data, list) else data[part]
    return data


def is_read(written: Any, read_as: Any, unit: str) -> bool:
    """Tell whether a figure or word is what was read, as pint has it in the field's unit."""
    if isinstance(written, list):
        return isinstance(read_as, tuple) and all(
            is_read(*pair, unit) for pair in zip(written, read_as, strict=True)
        )
    number, _, own = str(written).partition(" ")
    if own and own != "AWG" and isinstance(read_as, float):
        own = re.sub(r"(?<=[a-z])(\d)", r"**\1", own.replace("Mohm", "megaohm")).replace(" ", "*")
        return PINT.Quantity(float(number), own).m_as(UNITS[unit]) == pytest.approx(read_as)
    return written in (read_as, getattr(read_as, "id", None)) or written == str(read_as)


def full() -> Plan:
    reading = read(FULL)
    assert reading.problems == ()
    return there(reading.plan)


def test_every_key_is_read_into_the_field_of_its_name_in_the_unit_of_its_end() -> None:
    read_so: set[str] = set()
    worked_in: set[str] = set()
    for thing in things_in(full()):
        written = written_at(thing.path)
        for key, value in written.items() if isinstance(written, dict) else ():
            fields = {
                end: getattr(thing, f"{key}{end}")
                for end in ("", *(f"_{unit}" for unit in UNITS if unit))
                if getattr(thing, f"{key}{end}", None) is not None
            }
            if any(is_read(value, read_as, end[1:]) for end, read_as in fields.items()):
                read_so.add(f"{thing.path}.{key}")
            elif not [*things_in([*fields.values()])]:
                worked_in.add(f"{thing.path}.{key}")
    assert len(read_so) > 230
    # What becomes something else: further down; strips and leads in the tests of rows and routes.
    room = "rooms.day-room."
    elsewhere = ("method_statement.", *(f"{room}{key}." for key in ("elements", "rows", "leads")))
    assert {p.removeprefix(room) for p in worked_in - read_so if not p.startswith(elsewhere)} == {
        "fixtures.bench.at", "fixtures.bench.size", "fixtures.sofa.at", "fixtures.sofa.size",
        "openings.door.from", "openings.door.to", "openings.window.from", "openings.window.to",
        "grid.protective_conductor", "subfloor.moisture", "insulation.layers.0.courses",
        "insulation.layers.1.courses", "insulation.layers.2.pieces.P2.along", "tests.0.strips",
    }  # fmt: skip


def test_what_becomes_something_else() -> None:
    plan = full()
    room = plan.rooms["day-room"]
    assert [fixture.outline for fixture in room.fixtures.values()] == [
        ((5000, 0), (5800, 0), (5800, 600), (5000, 600)),
        ((3000, 3000), (4800, 3000), (4800, 3800), (3000, 3800)),
        ((0, 3000), (900, 3000), (900, 3900)),
    ]
    assert room.joints["J1"].line == ((4800, 0), (4800, 4000))
    assert [opening.line for opening in room.openings.values()] == [
        ((600, 0), (1400, 0)),
        ((6000, 1000), (6000, 2500)),
    ]
    assert room.grid is not None
    assert (room.grid.conductor_mm2, room.grid.conductor_text) == (4, "4 mm2")
    floor = there(room.subfloor)
    assert (floor.moisture_percent, floor.moisture_method, floor.moisture_note) == (
        1.8, "CM", "in two places",
    )  # fmt: skip
    assert [area.covering.id for area in room.coverings] == ["tile-10", "oak-14"]
    assert plan.tests[0].strips_ohm == {"A1": 275}


def test_layers_of_boards_and_sheets() -> None:
    room = full().rooms["day-room"]
    below, above, by_hand = there(room.insulation).layers
    assert isinstance(below, model.Courses)
    assert isinstance(above, model.Courses)
    assert isinstance(by_hand, model.Pieces)
    assert [(layer.along, layer.stagger) for layer in (below, above)] == [("x", 600), ("y", 0)]
    path = "rooms.day-room.insulation.layers.2.pieces"
    whole, cut = by_hand.pieces
    assert whole == model.BoardPiece(
        id="P1", path=f"{path}.P1", at=(2000, 0), along="x", length=1200, width=600
    )
    assert (cut.id, cut.path, cut.along, cut.angle_deg) == ("P2", f"{path}.P2", "angle", 90)
    assert room.membrane is not None
    # Where it is not cut, a piece is as wide as the roll.
    assert [sheet.width for sheet in room.membrane.pieces] == [2000, 1250]
    assert [runs.path for runs in room.membrane.runs] == ["rooms.day-room.membrane.runs"]


def test_the_method_statement() -> None:
    method = there(full().method_statement)
    written = written_at("method_statement")
    assert method.note == written.pop("note")
    assert method.steps == written
    assert method.paths == {step: f"method_statement.{step}" for step in method.steps}


def test_what_a_small_plan_leaves_out_is_none() -> None:
    plan = there(read(SMALL).plan)
    assert plan.status == "for review"
    room = plan.rooms["study"]
    for name in ("use", "height", "subfloor", "insulation", "membrane", "sensor", "thermostat"):
        assert getattr(room, name) is None
    assert (plan.job, plan.method_statement, plan.handover, plan.catalogue) == (None,) * 4
    assert (room.fixtures, room.leads, plan.tests, plan.waivers) == ({}, (), (), ())


def test_every_path_has_its_position() -> None:
    reading = read(FULL)
    paths = [thing.path for thing in things_in(reading.plan)]
    assert [path for path in paths if path not in reading.positions] == []
    assert len(paths) > 80


def test_a_single_covering_is_an_area_without_bounds() -> None:
    text = change(
        SMALL,
        "supply:",
        "  coverings: {oak: {kind: laminate}}\nsupply:",
    )
    plan = there(read(change(text, "    rows:", "    covering: oak\n    rows:")).plan)
    (area,) = plan.rooms["study"].coverings
    assert (area.path, area.covering.id, area.over) == ("rooms.study.covering", "oak", None)


def test_an_element_may_be_on_an_unknown_circuit_and_a_waiver_about_nothing() -> None:
    text = change(SMALL, "circuit: C1", "circuit: C7")
    text += "waivers: [{rule: no-such-rule, item: nothing}]\n"
    reading = read(text)
    assert reading.problems == ()
    assert {strip.circuit for strip in there(reading.plan).rooms["study"].elements} == {"C7"}
