"""An installer lays strips, box, thermostat, sensor and leads within 5 mm from the sheet alone."""

from collections.abc import Sequence

import numpy as np
import pytest

from tests.effort import seeds
from tests.underfoot.drawing.by_tape import Array, ByTape
from tests.underfoot.drawing.test_to_lay_from import (
    EACH_ROOM,
    RANDOM,
    Make,
    Sheets,
    demo,
    sheets_of,
    turned_room,
)
from underfoot.plan import Stop


def not_laid(sheets: Sheets, without: tuple[str, ...] = ()) -> list[str]:
    """Name what no tape finds, where the dimensions of some things are taken away."""
    for group in sheets.first.of_class("measure"):
        if without and (group.get("data-dimension") or "").startswith(without):
            group.set("class", "taken away")
            del group.attrib["data-dimension"]
    untold = [line for line in sheets.untold if not (without and line.startswith(without))]
    tape = ByTape(sheets.facts, sheets.all, untold)
    return [*tape.wrong, *_strips(tape), *_hung(tape), *_sensor(tape), *_leads(tape)]


def _strips(tape: ByTape) -> list[str]:
    """Go from strips that are laid to those that touch them, and to those that end with them."""
    facts = tape.facts
    names = [element.id for element in facts.elements]
    if not names:
        return []
    corners = [np.array(each) for each in facts.corners]
    along = [each[1] - each[0] for each in map(np.array, facts.connections)]
    along = [each / np.hypot(*each) for each in along]
    across = [np.array([-each[1], each[0]]) for each in along]

    def ends(place: int, way: Array) -> tuple[float, float]:
        spots = corners[place] @ way
        return float(spots.min()), float(spots.max())

    def laid(place: int, way: Array) -> bool:
        kinds = ("row strips", "strip ", "stop of ", "row corners")
        return any(tape.is_laid(way, at, *kinds) for at in ends(place, way))

    wide = {place for place in range(len(names)) if laid(place, across[place])}
    long = {place for place in range(len(names)) if laid(place, along[place])}
    fixed = {place for place, spots in enumerate(corners) if any(tape.is_taped(at) for at in spots)}
    touching = []
    for one in range(len(names)):
        for other in range(len(names)):
            (low, high), (least, most) = ends(one, across[one]), ends(other, across[one])
            (near, far), (start, end) = ends(one, along[one]), ends(other, along[one])
            if (
                one != other
                and min(abs(high - least), abs(most - low)) <= 1.0
                and (min(far, end) > max(near, start))
            ):
                touching.append((one, other, min(abs(near - start), abs(far - end)) <= 1.0))
    # A row with two corners that are taped lies fast.
    if len(fixed) > 1:
        wide |= fixed
        long |= fixed
    for _ in names:
        for one, other, is_flush in touching:
            wide |= {other} if one in wide else set()
            long |= {other} if one in long and is_flush else set()
    return [name for place, name in enumerate(names) if place not in wide & long]


def _hung(tape: ByTape) -> list[str]:
    facts = tape.facts
    thermostat = facts.drawn.thermostat
    own = thermostat is not None and thermostat.room in (None, facts.id)
    places = {
        "junction box": facts.box,
        "thermostat": thermostat.at if thermostat is not None and own else None,
    }
    missing = []
    for name, place in places.items():
        if place is None:
            continue
        at = np.array(place, float)
        kinds = ("row box or thermostat", "junction box", "thermostat")
        on_walls = [
            tape.is_laid(way, float(at @ way), *kinds)
            or min((at - start) @ way, long - (at - start) @ way) <= 1.5
            for start, way, long in tape.faces_at(at, 100.0)
        ]
        if not any(on_walls) and _missing(tape, at, kinds, []):
            missing.append(name)
    return missing


def _axes(tape: ByTape) -> tuple[Array, Array]:
    """The way of the longest run of walls, and that square to it."""
    runs: dict[float, float] = {}
    for _, way, long in tape.faces:
        angle = round(float(np.degrees(np.arctan2(way[1], way[0]))) % 90.0, 1) % 90.0
        runs[angle] = runs.get(angle, 0.0) + long
    angle = np.radians(max(runs, key=lambda each: (round(runs[each], 3), each == 0.0, -each)))
    return np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])


def _missing(tape: ByTape, at: Array, kinds: Sequence[str], beside: Sequence[Array]) -> bool:
    """Tell whether a place is not laid: neither measured, nor level with one beside it.

    It is measured along the walls of the room, or off the wall that it lies beside and along it.
    """
    frames = [_axes(tape)]
    frames += [(way, np.array([-way[1], way[0]])) for _, way, _ in tape.faces_at(at, 200.0)]
    return not tape.is_taped(at) and not any(
        all(
            tape.is_laid(way, float(at @ way), *kinds)
            or tape.is_on_face(way, at)
            or any(abs((each - at) @ way) <= 1.01 for each in beside)
            for way in frame
        )
        for frame in frames
    )


def _route(tape: ByTape, stops: Sequence[Stop], kinds: Sequence[str], end: object) -> list[str]:
    found = [(tape.facts.place_of_stop(stop), stop.kind != "bend") for stop in stops]
    places = [(np.array(at, float), known) for at, known in found if at is not None]
    if end is not None:
        places.append((np.array(end, float), False))
    missing = []
    for place, (at, known) in enumerate(places):
        beside = [each for each, _ in places[max(0, place - 1) : place]]
        beside += [each for each, is_known in places[place + 1 : place + 2] if is_known]
        if not known and _missing(tape, at, kinds, beside):
            missing.append(f"{kinds[0]} at {at.round(1)}")
    return missing


def _sensor(tape: ByTape) -> list[str]:
    sensor = tape.facts.drawn.sensor
    return [] if sensor is None else _route(tape, sensor.route, ["sensor"], sensor.at)


def _leads(tape: ByTape) -> list[str]:
    leads = [laid.lead for laid in tape.facts.leads]
    # What several leads share is told once.
    return [
        each
        for lead in leads
        for each in _route(tape, lead.route, [f"lead {lead.id}", "lead "], None)
    ]


@EACH_ROOM
def test_a_demo_room_is_laid_by_tape(place: int) -> None:
    assert not_laid(demo(place)) == []


@RANDOM
@seeds(2, long=range(300, 400))
def test_a_random_room_is_laid_by_tape(make: Make, seed: int) -> None:
    plan, facts = make(seed)
    assert not_laid(sheets_of(facts, plan)) == []


@pytest.mark.parametrize(
    ("kinds", "missed"),
    [
        (("strip ", "stop "), "E0"),
        (("sensor",), "sensor at"),
        (("lead ",), "lead W1 at"),
        (("junction box",), "junction box"),
    ],
)
def test_what_a_sheet_does_not_say_is_missed(kinds: tuple[str, ...], missed: str) -> None:
    plan, facts = turned_room(3)
    assert not_laid(sheets_of(facts, plan)) == []
    missing = not_laid(sheets_of(facts, plan), without=kinds)
    assert any(each.startswith(missed) for each in missing)
