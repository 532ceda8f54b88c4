"""The facts of branching: rings that leads close, and strips that feed others on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from underfoot.checking.facts.feed import BOX, list_joins, node_of
from underfoot.checking.facts.room import RoomFacts
from underfoot.plan import Lead


class Ring(NamedTuple):
    """Leads of one circuit and the strips that they feed on more than one way, by id."""

    leads: tuple[str, ...]
    strips: tuple[str, ...]


class FedOn(NamedTuple):
    """The strips that one strip's busbars feed, by id: for certain, and at most.

    They differ where leads form a ring, which may feed a strip the other way round.
    """

    surely: tuple[str, ...]
    at_most: tuple[str, ...]


def gather_leads(room: RoomFacts) -> dict[str, list[Lead]]:
    """Gather the leads of a room by their circuit."""
    found: dict[str, list[Lead]] = {}
    for lead in room.room.leads:
        found.setdefault(lead.circuit, []).append(lead)
    return found


def find_ring(leads: Iterable[Lead]) -> Ring | None:
    """Find what leads of one room and circuit feed on more than one way; None where nothing is.

    A strip joins its two ends through its busbars. A lead from the box to the box joins nothing.
    """
    joins: list[tuple[str, str, str]] = []
    group: dict[str, str] = {}
    closes = False
    for lead in leads:
        for first, second in list_joins(lead):
            start, end = first.element or BOX, second.element or BOX
            if start == end == BOX:
                continue
            joins.append((start, end, lead.id))
            here, there = _find_group(group, start), _find_group(group, end)
            closes = closes or here == there
            group[here] = there
    if not closes:
        return None
    left = _peel(joins)
    nodes = dict.fromkeys(node for start, end, _ in left for node in (start, end))
    return Ring(
        tuple(dict.fromkeys(lead for _, _, lead in left)),
        tuple(node for node in nodes if node != BOX),
    )


def _peel(joins: list[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    """Take away what hangs on a ring, from its loose ends inwards."""
    touching: dict[str, set[int]] = {}
    for at, (start, end, _) in enumerate(joins):
        touching.setdefault(start, set()).add(at)
        touching.setdefault(end, set()).add(at)
    loose = [node for node, at in touching.items() if len(at) == 1 and not _is_loop(joins, at)]
    while loose:
        node = loose.pop()
        if not touching[node]:
            continue
        at = touching[node].pop()
        start, end, _ = joins[at]
        other = end if start == node else start
        touching[other].discard(at)
        if len(touching[other]) == 1 and not _is_loop(joins, touching[other]):
            loose.append(other)
    left = set().union(*touching.values())
    return [join for at, join in enumerate(joins) if at in left]


def _is_loop(joins: list[tuple[str, str, str]], at: set[int]) -> bool:
    """Tell whether the one join of a node comes back to it."""
    (only,) = at
    return joins[only][0] == joins[only][1]


def _find_group(group: dict[str, str], node: str) -> str:
    while (further := group.get(node, node)) != node:
        group[node] = node = group.get(further, further)
    return node


def find_fed_on(leads: Sequence[Lead]) -> dict[str, FedOn]:
    """Find what strips joined at both ends feed on, among the leads of one room and circuit."""
    ends: dict[str, dict[str, None]] = {}
    touching: dict[str, list[str]] = {}
    for lead in leads:
        for stop in lead.route:
            if stop.element is not None:
                ends.setdefault(stop.element, {})[node_of(stop)] = None
        for start, end in (map(node_of, pair) for pair in list_joins(lead)):
            touching.setdefault(start, []).append(end)
            touching.setdefault(end, []).append(start)
    joined = {strip: tuple(nodes) for strip, nodes in ends.items() if len(nodes) > 1}
    busbars = {node: both for both in joined.values() for node in both}
    found = {}
    for strip, both in joined.items():
        others = {node: ends for node, ends in busbars.items() if node not in both}
        fed = _reach([BOX], touching, others)
        far = [end for end in both if end not in fed]
        surely = _reach(far, touching, others) if len(far) == 1 else {}
        at_most = surely if far else _reach(both, {**touching, BOX: []}, others)
        found[strip] = FedOn(_strips_of(surely, strip), _strips_of(at_most, strip))
    return found


def _reach(
    starts: Iterable[str],
    touching: Mapping[str, Sequence[str]],
    busbars: Mapping[str, Sequence[str]],
) -> dict[str, None]:
    """Find the nodes that leads and busbars lead to, nearest first."""
    reached = dict.fromkeys(starts)
    waiting = list(reached)
    for node in waiting:
        for further in (*touching.get(node, ()), *busbars.get(node, ())):
            if further not in reached:
                reached[further] = None
                waiting.append(further)
    return reached


def _strips_of(nodes: Iterable[str], but: str) -> tuple[str, ...]:
    strips = dict.fromkeys(node.partition(".")[0] for node in nodes)
    return tuple(strip for strip in strips if strip not in (but, BOX))


def find_all_fed_on(rooms: Iterable[RoomFacts]) -> dict[str, FedOn]:
    """Find what strips of the plan feed on through their busbars, by id."""
    found: dict[str, FedOn] = {}
    for room in rooms:
        for leads in gather_leads(room).values():
            # A strip is joined at both ends only where a route names the other one.
            if any(stop.named_end for lead in leads for stop in lead.route):
                found.update(find_fed_on(leads))
    return found
