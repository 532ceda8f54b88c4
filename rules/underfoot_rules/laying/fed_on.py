"""Strips that feed others on through their busbars."""

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from underfoot.api.facts import BOX, Facts, gather_leads, list_joins, node_of
from underfoot.api.plan import Lead


class FedOn(Struct, frozen=True, kw_only=True):
    """The strips that one strip's busbars feed, by id: for certain, and at most.

    They differ where leads form a ring, which may feed a strip the other way round.
    """

    surely: tuple[str, ...]
    at_most: tuple[str, ...]


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
        found[strip] = FedOn(surely=_strips_of(surely, strip), at_most=_strips_of(at_most, strip))
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


def find_all_fed_on(facts: Facts) -> dict[str, FedOn]:
    """Find what strips of the plan feed on through their busbars, by id."""
    found: dict[str, FedOn] = {}
    for room in facts.heated_rooms:
        for leads in gather_leads(room).values():
            # A strip is joined at both ends only where a route names the other one.
            if any(stop.named_end for lead in leads for stop in lead.route):
                found.update(find_fed_on(leads))
    return found
