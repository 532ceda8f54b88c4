"""Voltage drop: a network of conductor pairs and strips, solved as the resistances they are.

The out and the return conductor of a pair are alike and carry the same current, so a pair is one
segment with the resistance of both, and a strip is one resistance at its node. A strip is a fixed
resistance: it takes less current where less voltage arrives, which a sum of rated currents leaves
out.
"""

import math
from collections import deque
from collections.abc import Iterable, Mapping

from msgspec import Struct

# In a ring a segment without resistance leaves the current's way open; a micro-ohm settles it,
# and drops 10 uV at 10 A.
_LEAST_RING_OHM = 1e-6


class Segment(Struct, frozen=True, kw_only=True):
    """A pair of conductors between two nodes; `loop_ohm` is both together, 0 where they touch."""

    name: str
    start: str
    end: str
    loop_ohm: float


class Load(Struct, frozen=True, kw_only=True):
    """A strip, or another fixed resistance, between the two conductors at a node."""

    name: str
    node: str
    ohm: float


class StripLine(Struct, frozen=True, kw_only=True):
    """A strip that others are fed through, as two loads at its ends with its busbars between.

    `busbar_ohm` is the resistance of the segment from start to end, `end_ohm` that of the load at
    each of the two.
    """

    busbar_ohm: float
    end_ohm: float


class Flow(Struct, frozen=True, kw_only=True):
    """Voltages and currents of a solved network, in the order in which its parts were given.

    `node_v` has the nodes that are connected to the source; `load_v` and `load_a` the loads at
    them; `segment_a` the current from a segment's start to its end (negative the other way).
    `unfed` names the loads that nothing feeds.
    """

    node_v: Mapping[str, float]
    segment_a: Mapping[str, float]
    load_v: Mapping[str, float]
    load_a: Mapping[str, float]
    source_a: float
    unfed: tuple[str, ...]

    def find_lowest_load(self) -> tuple[str, float] | None:
        """Return the load with the lowest voltage, the first of equals, and that voltage in V."""
        return min(self.load_v.items(), key=lambda item: item[1], default=None)


def solve_network(
    source: str, supply_v: float, segments: Iterable[Segment], loads: Iterable[Load]
) -> Flow:
    """Return the voltage at every strip and the current in every segment.

    Branches are folded from their ends towards the source, which alone solves a network without
    rings, exactly and in a time that grows with its size. Only what rings leave over is solved by
    nodes, with numpy.

    Raises ValueError for a name given twice, a load without resistance, or a segment with less
    than none.
    """
    pairs, strips = tuple(segments), tuple(loads)
    _check(pairs, strips)
    touching: dict[str, list[int]] = {source: []}
    for index, pair in enumerate(pairs):
        touching.setdefault(pair.start, []).append(index)
        touching.setdefault(pair.end, []).append(index)
    fed = _reach(source, pairs, touching)

    siemens = dict.fromkeys(fed, 0.0)
    for strip in strips:
        if strip.node in siemens:
            siemens[strip.node] += 1.0 / strip.ohm
    open_pairs = {
        index
        for index, pair in enumerate(pairs)
        if pair.start in siemens and pair.start != pair.end
    }
    folds = _fold_branches(source, pairs, touching, siemens, open_pairs)

    node_v = {source: supply_v}
    if open_pairs:
        rings = [pairs[index] for index in sorted(open_pairs)]
        node_v.update(_solve_rings(source, supply_v, rings, siemens))
    for fold in reversed(folds):
        ohm = pairs[fold.segment].loop_ohm
        node_v[fold.leaf] = node_v[fold.parent] / (1.0 + ohm * siemens[fold.leaf])

    leaf_of = {fold.segment: fold.leaf for fold in folds}
    segment_a: dict[str, float] = {}
    for index, pair in enumerate(pairs):
        if index in leaf_of:
            leaf = leaf_of[index]
            outward_a = node_v[leaf] * siemens[leaf]
            segment_a[pair.name] = outward_a if pair.end == leaf else -outward_a
        elif index in open_pairs:
            drop_v = node_v[pair.start] - node_v[pair.end]
            segment_a[pair.name] = drop_v / max(pair.loop_ohm, _LEAST_RING_OHM)
        elif pair.start in siemens:
            segment_a[pair.name] = 0.0

    load_v = {strip.name: node_v[strip.node] for strip in strips if strip.node in siemens}
    load_a = {s.name: load_v[s.name] / s.ohm for s in strips if s.name in load_v}
    return Flow(
        node_v={node: node_v[node] for node in fed},
        segment_a=segment_a,
        load_v=load_v,
        load_a=load_a,
        source_a=math.fsum(load_a.values()),
        unfed=tuple(strip.name for strip in strips if strip.name not in load_v),
    )


def model_strip_line(busbar_ohm: float, load_ohm: float) -> StripLine:
    """Return the segment and the two loads that stand for a strip whose busbars feed others on.

    `busbar_ohm` is the resistance of both busbars together over the strip's length, `load_ohm`
    the strip's own. The heating between the busbars is spread evenly, so the strip is a line with
    loss by every metre; seen from its ends it is exactly this circuit, with no cutting into
    pieces: sqrt(busbar x load) times sinh(g) between the ends and over tanh(g / 2) at each, g
    being sqrt(busbar / load). With busbars of no resistance it is the load, half at either end.

    Raises ValueError where the load is not positive or the busbars are negative.
    """
    if not load_ohm > 0.0 or not busbar_ohm >= 0.0:
        raise ValueError("a strip needs a load above zero ohm, and busbars of no less than zero")
    if busbar_ohm == 0.0:
        return StripLine(busbar_ohm=0.0, end_ohm=2.0 * load_ohm)
    wave_ohm = math.sqrt(busbar_ohm * load_ohm)
    growth = math.sqrt(busbar_ohm / load_ohm)
    return StripLine(
        busbar_ohm=wave_ohm * math.sinh(growth), end_ohm=wave_ohm / math.tanh(growth / 2.0)
    )


def compute_drop_percent(supply_v: float, voltage_v: float) -> float:
    """Return how far a voltage lies below the supply's, in percent of the supply's."""
    return 100.0 * (supply_v - voltage_v) / supply_v


class _Fold(Struct, frozen=True, kw_only=True):
    leaf: str
    parent: str
    segment: int


def _check(pairs: tuple[Segment, ...], strips: tuple[Load, ...]) -> None:
    for names in ([pair.name for pair in pairs], [strip.name for strip in strips]):
        if len(set(names)) < len(names):
            twice = next(name for index, name in enumerate(names) if name in names[:index])
            raise ValueError(f"{twice} stands twice in the network")
    for pair in pairs:
        if not pair.loop_ohm >= 0.0:
            raise ValueError(f"{pair.name} has {pair.loop_ohm} ohm, less than none")
    for strip in strips:
        if not strip.ohm > 0.0:
            raise ValueError(f"{strip.name} has {strip.ohm} ohm: a load must have more than none")


def _reach(source: str, pairs: tuple[Segment, ...], touching: Mapping[str, list[int]]) -> list[str]:
    """Return the nodes connected to the source, nearest first."""
    fed = {source: None}
    waiting = deque([source])
    while waiting:
        node = waiting.popleft()
        for index in touching[node]:
            far = _far_end(pairs[index], node)
            if far not in fed:
                fed[far] = None
                waiting.append(far)
    return list(fed)


def _far_end(pair: Segment, node: str) -> str:
    return pair.end if pair.start == node else pair.start


def _fold_branches(
    source: str,
    pairs: tuple[Segment, ...],
    touching: Mapping[str, list[int]],
    siemens: dict[str, float],
    open_pairs: set[int],
) -> list[_Fold]:
    """Fold every node with one open segment into its neighbour, until rings or the source are left.

    Adds to `siemens` what hangs on each node, takes the folded segments out of `open_pairs`, both
    the caller's own, and returns the folds, outermost first.
    """
    degree = {node: sum(index in open_pairs for index in touching[node]) for node in siemens}
    waiting = deque(node for node, count in degree.items() if count == 1 and node != source)
    folds = []
    while waiting:
        leaf = waiting.popleft()
        segment = next((index for index in touching[leaf] if index in open_pairs), None)
        if segment is None:
            continue
        parent = _far_end(pairs[segment], leaf)
        siemens[parent] += siemens[leaf] / (1.0 + pairs[segment].loop_ohm * siemens[leaf])
        open_pairs.discard(segment)
        folds.append(_Fold(leaf=leaf, parent=parent, segment=segment))
        degree[parent] -= 1
        if degree[parent] == 1 and parent != source:
            waiting.append(parent)
    return folds


def _solve_rings(
    source: str, supply_v: float, rings: list[Segment], siemens: Mapping[str, float]
) -> dict[str, float]:
    """Return the voltages of the nodes that rings join, by Kirchhoff's law of currents at each."""
    import numpy as np

    nodes = dict.fromkeys(end for pair in rings for end in (pair.start, pair.end))
    place = {node: index for index, node in enumerate(n for n in nodes if n != source)}
    matrix = np.zeros((len(place), len(place)))
    inflow_a = np.zeros(len(place))
    for node, index in place.items():
        matrix[index, index] = siemens[node]
    for pair in rings:
        conductance = 1.0 / max(pair.loop_ohm, _LEAST_RING_OHM)
        for near, far in ((pair.start, pair.end), (pair.end, pair.start)):
            if near == source:
                continue
            matrix[place[near], place[near]] += conductance
            if far == source:
                inflow_a[place[near]] += conductance * supply_v
            else:
                matrix[place[near], place[far]] -= conductance
    solved = np.linalg.solve(matrix, inflow_a)
    return {node: float(solved[index]) for node, index in place.items()}
