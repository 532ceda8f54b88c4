"""What an apprentice was free to choose in a plan, as places and figures that can be compared."""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct

from underfoot.marking.content import Spot
from underfoot.marking.turns import Turn, turn_place
from underfoot.plan import Element, Plan, Room

MOST = 2000


class RoomTraits(Struct, frozen=True, kw_only=True):
    """A room's own things: `rects` are (kind, centre, half size), `spots` are (kind, place).

    Places are measured from the middle of the room.
    """

    rects: tuple[tuple[str, Spot, Spot], ...]
    spots: tuple[tuple[str, Spot], ...]

    def turned(self, turn: Turn) -> RoomTraits:
        """Return the room as it is when it is turned about its middle."""
        stays = turn[1] == 0
        return RoomTraits(
            rects=tuple(
                (kind, turn_place(turn, at), half if stays else (half[1], half[0]))
                for kind, at, half in self.rects
            ),
            spots=tuple((kind, turn_place(turn, at)) for kind, at in self.spots),
        )


class Traits(Struct, frozen=True, kw_only=True):
    """A plan's rooms, the largest first, and the figures that it gives; ids are left out."""

    rooms: tuple[RoomTraits, ...]
    figures: tuple[tuple[str, float], ...]

    @property
    def number(self) -> int:
        """How many traits there are."""
        return len(self.figures) + sum(len(r.rects) + len(r.spots) for r in self.rooms)


def list_traits(plan: Plan) -> Traits | None:
    """List a plan's traits; None where there are more than any person draws."""
    rooms = sorted(plan.rooms.values(), key=lambda room: (-_area(room), room.path))
    traits = Traits(
        rooms=tuple(_room_traits(room) for room in rooms),
        figures=tuple(sorted(_list_figures(plan))),
    )
    return traits if traits.number <= MOST else None


def sum_up(traits: Traits) -> str:
    """Return a text that is the same where every strip, place and figure is."""
    rooms = [
        (
            sorted((kind, _near(at), _near(half)) for kind, at, half in room.rects),
            sorted((kind, _near(at)) for kind, at in room.spots),
        )
        for room in traits.rooms
    ]
    return repr((rooms, traits.figures))


def _near(spot: Spot) -> Spot:
    return round(spot[0]) + 0.0, round(spot[1]) + 0.0


def _area(room: Room) -> float:
    corners = room.outline
    total = sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)
    )
    return round(abs(total) / 2, 3)


def _room_traits(room: Room) -> RoomTraits:
    xs = [x for x, _ in room.outline]
    ys = [y for _, y in room.outline]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)

    def place(spot: Spot) -> Spot:
        return spot[0] - middle[0], spot[1] - middle[1]

    rects = []
    for element in room.elements:
        centre, half = _rectangle(element)
        rects.append(("strip", place(centre), half))
    spots: list[tuple[str, Spot]] = []
    if room.junction_box is not None:
        spots.append(("junction box", place(room.junction_box.at)))
    if room.thermostat is not None and room.thermostat.at is not None:
        spots.append(("thermostat", place(room.thermostat.at)))
    if room.sensor is not None:
        spots.append(("sensor", place(room.sensor.at)))
        spots += [
            ("sensor's bend", place(stop.at))
            for stop in room.sensor.route
            if stop.kind == "bend" and stop.at is not None
        ]
    spots += [
        ("lead's bend", place(stop.at))
        for lead in room.leads
        for stop in lead.route
        if stop.kind == "bend" and stop.at is not None
    ]
    return RoomTraits(rects=tuple(rects), spots=tuple(spots))


def _rectangle(element: Element) -> tuple[Spot, Spot]:
    length, width = element.length, element.film.width
    x, y = element.at
    if element.along == "y":
        return (x + width / 2, y + length / 2), (width / 2, length / 2)
    if element.along == "x":
        return (x + length / 2, y + width / 2), (length / 2, width / 2)
    angle = math.radians(element.angle_deg)
    cosine, sine = math.cos(angle), math.sin(angle)
    centre = (
        x + length / 2 * cosine - width / 2 * sine,
        y + length / 2 * sine + width / 2 * cosine,
    )
    if abs(cosine) < 1e-9:
        return centre, (width / 2, length / 2)
    return centre, (length / 2, width / 2)


def _list_figures(plan: Plan) -> Iterator[tuple[str, float]]:
    for circuit in plan.circuits.values():
        yield from _given("breaker", circuit.breaker_a)
        for cable in (circuit.cable, *circuit.links):
            if cable is not None:
                yield from _given("cable's length", cable.length)
                yield from _given("cable's size", cable.size_mm2)
    for room in plan.rooms.values():
        if room.junction_box is not None:
            yield from _given("junction box's height", room.junction_box.height)
        if room.thermostat is not None:
            yield from _given("thermostat's height", room.thermostat.height)
        if room.sensor is not None:
            yield from _given("sensor's cable", room.sensor.cable)
            sections = (("channel", room.sensor.channel), ("conduit", room.sensor.conduit))
            for name, section in sections:
                if section is not None:
                    yield from _given(f"{name}'s width", section.width)
                    yield from _given(f"{name}'s depth", section.depth)
        if room.membrane is not None:
            for run in room.membrane.runs:
                yield "sheets' overlap", round(run.overlap, 3)
        for lead in room.leads:
            yield from _given("lead's size", lead.size_mm2)
    for test in plan.tests:
        yield from _given("load resistance", test.load_resistance_ohm)
        yield from _given("insulation resistance", test.insulation_resistance_mohm)


def _given(name: str, value: float | None) -> Iterator[tuple[str, float]]:
    if value is not None:
        yield name, round(value, 3)
