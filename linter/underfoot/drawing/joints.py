"""Where leads join strips, numbered in the order in which the current comes to them."""

import math
from collections import Counter

from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.drawing import pens
from underfoot.drawing.labels import Label, size_of
from underfoot.drawing.occupancy import Patch, patch_of
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Look, Point, circle
from underfoot.plan import Lead, Stop

DOT = 0.9
_AWAY = 1.0
_DIRECTIONS = 12

End = tuple[str, str]


class Join(Struct, frozen=True, kw_only=True):
    """An end of a strip at its place on paper; `number` is None where no lead comes to it."""

    element: str
    circuit: str | None
    at: Point
    number: int | None


def find_order(facts: RoomFacts) -> dict[End, int]:
    """Number the joints of each circuit from the junction box on, along its leads."""
    waiting = list(facts.drawn.leads)
    order: dict[End, int] = {}
    counts: Counter[str] = Counter()
    while waiting:
        lead, route = _next(waiting, order)
        waiting.remove(lead)
        for stop in route:
            end = _end_of(stop)
            if end is not None and end not in order:
                counts[lead.circuit] += 1
                order[end] = counts[lead.circuit]
    return order


def _next(waiting: list[Lead], order: dict[End, int]) -> tuple[Lead, tuple[Stop, ...]]:
    """Choose the lead that goes on from the box or from a strip that has its number."""
    reached = {element for element, _ in order}
    for known in (lambda stop: stop.kind == "box", lambda stop: stop.element in reached):
        for lead in waiting:
            if lead.route and known(lead.route[0]):
                return lead, lead.route
            if lead.route and known(lead.route[-1]):
                return lead, lead.route[::-1]
    return waiting[0], waiting[0].route


def _end_of(stop: Stop) -> End | None:
    if stop.kind != "strip" or stop.element is None:
        return None
    return stop.element, stop.end or "start"


def find_joins(scene: Scene) -> list[Join]:
    """Find every end of a strip that a lead joins, and those that wait for one."""
    if not scene.names_strips:
        return []
    facts = scene.facts
    order = find_order(facts)
    joins = []
    for place, element in enumerate(facts.elements):
        wanted = element.connected or "start"
        for which, end in enumerate(("start", "end")):
            number = order.get((element.id, end))
            if number is None and (end != wanted or (element.id, _other(end)) in order):
                continue
            at = scene.view.place(facts.connections[place][which].tolist())
            joins.append(Join(element=element.id, circuit=element.circuit, at=at, number=number))
    return joins


def _other(end: str) -> str:
    return "end" if end == "start" else "start"


def draw_joins(scene: Scene) -> str:
    """Draw a dot on each joint; a ring where a strip is to be joined and no lead comes."""
    drawn = []
    for join in find_joins(scene):
        ink = pens.circuit_colours(scene.circuit_place(join.circuit))[0]
        fill = ink if join.number is not None else pens.PAPER
        look: Look = {"fill": fill, "stroke": ink, "stroke_width": pens.FINE, "class_": "joint"}
        drawn.append(circle(join.at, DOT, **look))
    return "".join(drawn)


def taken_by_joins(scene: Scene) -> list[Patch]:
    """Return the patches that the joints cover."""
    return [
        patch_of(join.at[0] - DOT, join.at[1] - DOT, 2 * DOT, 2 * DOT, 0.15)
        for join in find_joins(scene)
    ]


def label_joins(scene: Scene) -> list[Label]:
    """Write its number beside each joint."""
    labels = []
    for join in find_joins(scene):
        if join.number is None:
            continue
        words = (str(join.number),)
        width, height = size_of(words, bold_first=True)
        middles = []
        for away in (_AWAY, _AWAY + 1.5, _AWAY + 4.0):
            for step in range(_DIRECTIONS):
                angle = 2 * math.pi * (step + 0.5) / _DIRECTIONS
                across, down = math.cos(angle), math.sin(angle)
                middles.append(
                    (
                        join.at[0] + across * (width / 2 + DOT + away),
                        join.at[1] + down * (height / 2 + DOT + away - 0.6),
                    )
                )
        labels.append(
            Label(
                layer="leads",
                item=f"joint {join.number} at {join.element}",
                versions=(words,),
                middles=tuple(middles),
                colour=pens.circuit_colours(scene.circuit_place(join.circuit))[0],
                words=f"number {join.number} in the order of connection",
            )
        )
    return labels
