"""Rings: leads that feed the same strips on more than one way."""

from collections.abc import Iterable

from msgspec import Struct

from underfoot.api.facts import BOX, list_joins
from underfoot.api.plan import Lead


class Ring(Struct, frozen=True, kw_only=True):
    """Leads of one circuit and the strips that they feed on more than one way, by id."""

    leads: tuple[str, ...]
    strips: tuple[str, ...]


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
        leads=tuple(dict.fromkeys(lead for _, _, lead in left)),
        strips=tuple(node for node in nodes if node != BOX),
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
