"""Cuts strips at cut lines, longer or shorter, and turns a row about that was counted wrongly."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.physics import rectangles
from underfoot.api.plan import Element
from underfoot.api.rules import Edit, Mender, Proposal, ToMend, above, format_quantity, point_text
from underfoot_rules.laying.may_lie import find_fixtures_over, may_lie
from underfoot_rules.menders.laid import is_cut
from underfoot_rules.menders.layout import (
    LEADS,
    MOST_STRIPS,
    Fault,
    lay_out,
    list_brought,
    list_faults,
)
from underfoot_rules.menders.written import (
    Path,
    find_strip,
    length_of,
    look_up,
    write_length,
    write_point,
)
from underfoot_rules.openings.doorways import list_screwed

# What is left of a strip must be worth its two connections.
_SHORTEST = 500.0
# A cut after which a lead must go another way is worth it where so much more is left.
_MUCH_MORE = 1.5


class Cut(Struct, frozen=True, kw_only=True):
    """A strip cut shorter, and what that brings: leads alone that would lie under strips."""

    strip: Element
    brings: frozenset[Fault]


def list_cuts(found: ToMend) -> list[Cut]:
    """List how a strip may be cut shorter: those cuts first that leave its leads as they are.

    Another is listed after one of these only where much more is left by it.
    """
    facts, room = found.facts, found.room_facts
    before = list_faults(facts, room)
    target: Fault = (found.rule, found.items)
    tried: list[Cut] = []
    for name in found.items:
        if name not in room.place_of:
            continue
        for shorter in _list_cuts(facts, room, room.place_of[name]):
            faults = list_faults(facts, lay_out(room, {name: shorter}))
            brings = list_brought(before, faults)
            if target in faults or any(rule != LEADS for rule, _ in brings):
                continue
            tried.append(Cut(strip=shorter, brings=brings))
    tried.sort(key=lambda each: (bool(each.brings), -each.strip.length))
    return [
        cut
        for cut in tried[:2]
        if cut is tried[0] or cut.strip.length > _MUCH_MORE * tried[0].strip.length
    ]


def cut_on_line(found: ToMend) -> Iterator[Proposal]:
    """Propose the next cut line for a strip cut between two, the longer where it may lie."""
    facts, room = found.facts, found.room_facts
    if is_cut(facts, room.id) or len(room.elements) > MOST_STRIPS:
        return
    element = room.elements[room.place_of[found.items[0]]]
    every, longest = element.film.cut_every, element.film.longest_strip
    if every is None:
        return
    before = list_faults(facts, room)
    alike = _list_alike(found, room, element)
    sections = math.floor(element.length / every + 1e-6)
    for count in (sections + 1, sections):
        if count < 1 or (longest is not None and above(count * every, longest)):
            continue
        others = {each.id: change_far(each, count * every) for each in alike}
        if list_brought(before, list_faults(facts, lay_out(room, others))):
            continue
        if len(others) == 1:
            yield propose_cut(found, others[element.id])
            continue
        path: Path = ("rooms", room.id, "rows", element.row or "", "length")
        length = write_length(count * every, look_up(found.data, path))
        yield Proposal(
            says=f"Make the strips of row {element.row} {format_quantity(count * every, 'mm')} "
            "long.",
            edits=(Edit(op="replace", path=path, value=length),),
        )


def _list_alike(found: ToMend, room: RoomFacts, element: Element) -> list[Element]:
    """List the strips whose length is written once for all of a row that starts where it does."""
    path: Path = ("rooms", room.id, "rows", element.row or "", "length")
    if look_up(found.data, path) is None or element.connected != "start":
        return [element]
    return [each for each in room.elements if each.row == element.row]


def cut_to_longest(found: ToMend) -> Iterator[Proposal]:
    """Propose to cut a strip to the longest that its maker allows; what is left is another's."""
    room = found.room_facts
    element = room.elements[room.place_of[found.items[0]]]
    every, longest = element.film.cut_every or 1.0, element.film.longest_strip
    if is_cut(found.facts, room.id) or longest is None or not above(element.length, longest):
        return
    most = math.floor(longest / every + 1e-6) * every
    if most >= _SHORTEST:
        yield propose_cut(found, change_far(element, most))


def turn_lengths(found: ToMend) -> Iterator[Proposal]:
    """Propose a row's lengths the other way round, where that puts right all of the row."""
    facts, room = found.facts, found.room_facts
    row = room.elements[room.place_of[found.items[0]]].row
    path = ("rooms", room.id, "rows", row or "", "lengths")
    lengths = look_up(found.data, path)
    own = [each for each in room.elements if each.row == row]
    if row is None or not lengths or len(own) != len(lengths) or lengths == lengths[::-1]:
        return
    if any(isinstance(each, Mapping) for each in lengths):
        return
    turned = {
        each.id: replace(each, length=other.length)
        for each, other in zip(own, own[::-1], strict=True)
    }
    left = list_faults(facts, lay_out(room, turned))
    if not any(name in items for _, items in left for name in turned):
        yield Proposal(
            says=f"Write the lengths of row {row} the other way round: they were counted from the "
            "wrong end.",
            edits=(Edit(op="replace", path=path, value=lengths[::-1]),),
        )


def corners_of(element: Element) -> np.ndarray:
    """Return a strip's corners (4, 2)."""
    corners: np.ndarray = rectangles.corners(
        np.array([element.at]),
        element.length,
        element.film.width,
        element.angle_deg,
        element.along == "y",
    )[0]
    return corners


def change_far(element: Element, length: float) -> Element:
    """Give a strip another length, its connected end left where it is."""
    if element.connected == "start":
        return replace(element, length=length)
    corners = corners_of(element)
    along = (corners[1] - corners[0]) / element.length
    x, y = (np.array(element.at) + (element.length - length) * along).round(3).tolist()
    return replace(element, at=(x, y), length=length)


def _list_cuts(facts: Facts, room: RoomFacts, place: int) -> Iterator[Element]:
    """List the longest that may be left of a strip, cut on a cut line at its end or its start."""
    element = room.elements[place]
    every = element.film.cut_every
    if every is None:
        return
    most = math.ceil(element.length / every - 1e-6) - 1
    lengths = every * np.arange(most, 0, -1)
    lengths = lengths[lengths >= min(_SHORTEST, every * 2)]
    old = room.corners[place]
    along = (old[1] - old[0]) / element.length
    wall, limits = facts.limits["wall-clearance"], facts.limits
    legs = limits["covered-floor"]["clear"]
    threshold = limits["threshold-fixing"]["apart"]
    low = [
        room.fixtures[which][1] for strip, which in find_fixtures_over(room, legs) if strip == place
    ]
    for at_start in (False, True):
        corners = np.repeat(old[None], len(lengths), 0)
        less = (element.length - lengths)[:, None] * along
        if at_start:
            corners[:, [0, 3]] += less[:, None]
        else:
            corners[:, 1:3] -= less[:, None]
        good = may_lie(
            room,
            corners,
            max(wall["planned"], wall["minimum"]),
            limits["fixture-clearance"]["minimum"],
            (place,),
            low,
        )
        for _, floor in list_screwed(room):
            good &= shapely.distance(rectangles.polygons(corners), floor) >= threshold
        if good.any():
            which = int(np.argmax(good))
            x, y = (np.array(element.at) + (less[which] if at_start else 0.0)).round(3).tolist()
            yield replace(element, at=(x, y), length=float(lengths[which]))


def propose_cut(found: ToMend, cut: Element) -> Proposal:
    """Write a strip's other length; at its start it then also begins later."""
    room = found.room_facts
    element = room.elements[room.place_of[cut.id]]
    corners = corners_of(element)
    along = (corners[1] - corners[0]) / element.length
    later = round(float((np.array(cut.at) - element.at) @ along), 3)
    shorter = element.length > cut.length
    said = f"{'Cut' if shorter else 'Make'} {cut.id} {'to ' if shorter else ''}"
    said += format_quantity(cut.length, "mm") + ("" if shorter else " long")
    if later:
        said += f", at its start, so that it begins at {point_text(*cut.at)}"
    return Proposal(says=f"{said}.", edits=tuple(_write_cut(found, room, element, cut, later)))


def _write_cut(
    found: ToMend, room: RoomFacts, element: Element, cut: Element, later: float
) -> Iterator[Edit]:
    strip = find_strip(room.id, element)
    told = look_up(found.data, strip.path)
    if strip.place is None:
        if later:
            at = write_point(*cut.at, told["at"])
            yield Edit(op="replace", path=(*strip.path, "at"), value=at)
        length = write_length(cut.length, told["length"])
        yield Edit(op="replace", path=(*strip.path, "length"), value=length)
        return
    if "lengths" not in told:
        all_alike = [told["length"]] * told["count"]
        all_alike[strip.place] = _write_place(told["length"], cut.length, later)
        yield Edit(op="remove", path=(*strip.path, "length"))
        yield Edit(op="remove", path=(*strip.path, "count"))
        yield Edit(op="add", path=(*strip.path, "lengths"), value=all_alike)
        return
    place = told["lengths"][strip.place]
    path: Path = (*strip.path, "lengths", strip.place)
    if isinstance(place, Mapping) and not later:
        length = write_length(cut.length, place["length"])
        yield Edit(op="replace", path=(*path, "length"), value=length)
        return
    yield Edit(op="replace", path=path, value=_write_place(place, cut.length, later))


def _write_place(place: Any, length: float, later: float) -> Any:
    """Write a place of a row with another length, begun so much later."""
    if isinstance(place, Mapping):
        begins = length_of(place.get("from", 0)) + later
        changed = {**place, "length": write_length(length, place["length"])}
        if later:
            changed["from"] = write_length(begins, place.get("from"))
        return changed
    written = write_length(length, place)
    return {"length": written, "from": write_length(later)} if later else written


MENDERS = (
    Mender(rule="cut-length", propose=cut_on_line),
    Mender(rule="strip-length", propose=cut_to_longest),
)
