"""Networks of conductor pairs and strips, against circuits by hand and a full solution."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from underfoot.physics.network import (
    Flow,
    Load,
    Segment,
    compute_drop_percent,
    model_strip_line,
    solve_network,
)


def pair(name: str, start: str, end: str, loop_ohm: float) -> Segment:
    return Segment(name=name, start=start, end=end, loop_ohm=loop_ohm)


def load(name: str, node: str, ohm: float) -> Load:
    return Load(name=name, node=node, ohm=ohm)


def feed(segments: list[Segment], loads: list[Load], source: str = "board") -> Flow:
    return solve_network(source, 230.0, segments, loads)


def solve_by_nodes(
    source: str, supply_v: float, segments: list[Segment], loads: list[Load]
) -> dict[str, float]:
    """Return every node's voltage from one dense system, rings or not; zero ohm not allowed."""
    nodes = list(dict.fromkeys([source, *(n for s in segments for n in (s.start, s.end))]))
    place = {node: index for index, node in enumerate(nodes)}
    matrix = np.zeros((len(nodes), len(nodes)))
    for segment in segments:
        i, j = place[segment.start], place[segment.end]
        matrix[[i, j], [i, j]] += 1.0 / segment.loop_ohm
        matrix[[i, j], [j, i]] -= 1.0 / segment.loop_ohm
    for load in loads:
        matrix[place[load.node], place[load.node]] += 1.0 / load.ohm
    matrix[0] = 0.0
    matrix[0, 0] = 1.0
    right = np.zeros(len(nodes))
    right[0] = supply_v
    return dict(zip(nodes, np.linalg.solve(matrix, right).tolist(), strict=True))


@st.composite
def networks(draw: st.DrawFn, rings: bool = False) -> tuple[list[Segment], list[Load]]:
    count = draw(st.integers(1, 12))
    ohm = st.floats(0.001, 2.0)
    segments = [
        pair(f"s{i}", f"n{draw(st.integers(0, i - 1))}", f"n{i}", draw(ohm))
        for i in range(1, count + 1)
    ]
    if rings:
        ends = st.integers(0, count)
        for i in range(draw(st.integers(1, 4))):
            first, second = draw(ends), draw(ends)
            if first != second:
                segments.append(pair(f"r{i}", f"n{first}", f"n{second}", draw(ohm)))
    # Turned about, so that no solution leans on segments pointing away from the source.
    turned = [
        pair(s.name, s.end, s.start, s.loop_ohm) if draw(st.booleans()) else s for s in segments
    ]
    loads = [
        load(f"l{i}", f"n{draw(st.integers(0, count))}", draw(st.floats(20.0, 2000.0)))
        for i in range(draw(st.integers(0, 12)))
    ]
    return turned, loads


def check_laws(flow: Flow, supply_v: float, segments: list[Segment], loads: list[Load]) -> None:
    for node in flow.node_v:
        if node == "n0":
            continue
        arriving_a = math.fsum(flow.segment_a[s.name] for s in segments if s.end == node)
        leaving_a = math.fsum(flow.segment_a[s.name] for s in segments if s.start == node)
        taken_a = math.fsum(flow.load_a[x.name] for x in loads if x.node == node)
        assert arriving_a - leaving_a == pytest.approx(taken_a, abs=1e-9)
    lost_w = math.fsum(flow.segment_a[s.name] ** 2 * s.loop_ohm for s in segments)
    heating_w = math.fsum(flow.load_v[x.name] ** 2 / x.ohm for x in loads)
    assert supply_v * flow.source_a == pytest.approx(lost_w + heating_w, rel=1e-9, abs=1e-9)


@given(networks())
def test_tree(network: tuple[list[Segment], list[Load]]) -> None:
    segments, loads = network
    flow = feed(segments, loads, "n0")
    assert flow.node_v == pytest.approx(solve_by_nodes("n0", 230.0, segments, loads), rel=1e-9)
    assert flow.unfed == ()
    check_laws(flow, 230.0, segments, loads)


@given(networks(rings=True))
def test_rings(network: tuple[list[Segment], list[Load]]) -> None:
    segments, loads = network
    flow = feed(segments, loads, "n0")
    assert flow.node_v == pytest.approx(solve_by_nodes("n0", 230.0, segments, loads), rel=1e-9)
    check_laws(flow, 230.0, segments, loads)


@given(networks(), st.floats(1.1, 3.0))
def test_thicker_conductors_never_drop_more(
    network: tuple[list[Segment], list[Load]], factor: float
) -> None:
    segments, loads = network
    thin = feed(segments, loads, "n0")
    thick = feed([pair(s.name, s.start, s.end, s.loop_ohm / factor) for s in segments], loads, "n0")
    for name, voltage_v in thin.load_v.items():
        assert thick.load_v[name] >= voltage_v - 1e-9


def test_ladder_by_hand() -> None:
    # Two strips of 22 ohm behind 1 ohm each: 22 + 1 = 23; 22 || 23 = 11.2444; + 1 = 12.2444 ohm.
    # 230 V: 18.784 A; first strip 211.216 V, second 211.216 x 22 / 23 = 202.032 V.
    flow = feed(
        [pair("cable", "board", "A1", 1.0), pair("lead", "A1", "A2", 1.0)],
        [load("A1", "A1", 22.0), load("A2", "A2", 22.0)],
    )
    assert flow.source_a == pytest.approx(18.784, abs=0.001)
    assert flow.load_v == pytest.approx({"A1": 211.216, "A2": 202.032}, abs=0.001)
    assert flow.segment_a == pytest.approx({"cable": 18.784, "lead": 9.1833}, abs=0.001)
    assert flow.find_lowest_load() == ("A2", flow.load_v["A2"])
    assert compute_drop_percent(230.0, flow.load_v["A2"]) == pytest.approx(12.160, abs=0.001)


@pytest.mark.parametrize("ring", [False, True])
def test_strips_that_touch(ring: bool) -> None:
    segments = [
        pair("cable", "board", "A1", 0.5),
        pair("first", "A1", "A2", 0.0),
        pair("second", "A2", "A3", 0.0),
    ]
    back = [pair("third", "A3", "A1", 0.0)]
    flow = feed(segments + ring * back, [load("A2", "A2", 50.0), load("A3", "A3", 50.0)])
    # 25 ohm together behind 0.5: 230 x 25 / 25.5.
    assert flow.load_v == pytest.approx({"A2": 225.490, "A3": 225.490}, abs=0.001)
    # In a ring of no resistance either way will do.
    if not ring:
        assert flow.segment_a["second"] == pytest.approx(225.490 / 50.0, abs=0.001)


def test_what_nothing_feeds_is_named() -> None:
    flow = feed(
        [pair("cable", "board", "A1", 0.5), pair("stray", "A8", "A9", 0.5)],
        [load("A1", "A1", 50.0), load("A9", "A9", 50.0), load("B1", "B1", 50.0)],
    )
    assert flow.unfed == ("A9", "B1")
    assert set(flow.load_v) == {"A1"}
    assert set(flow.segment_a) == {"cable"}
    assert set(flow.node_v) == {"board", "A1"}


def test_nothing_to_feed() -> None:
    flow = feed([], [])
    assert flow.find_lowest_load() is None
    assert flow.source_a == 0.0


def test_segment_back_to_its_own_node_carries_nothing() -> None:
    flow = feed(
        [pair("cable", "board", "A1", 0.5), pair("loop", "A1", "A1", 0.1)],
        [load("A1", "A1", 50.0)],
    )
    assert flow.segment_a["loop"] == 0.0


def test_ten_thousand_strips_in_a_chain() -> None:
    # So long a chain is deeper than any recursion, and its far end has all but no voltage.
    segments = [pair(f"s{i}", f"n{i}", f"n{i + 1}", 1e-6) for i in range(10_000)]
    loads = [load(f"l{i}", f"n{i + 1}", 300.0) for i in range(10_000)]
    flow = feed(segments, loads, "n0")
    # A long even chain is a line: V(end) = V / cosh(sqrt(10000 x 1e-6 x 10000 / 300)).
    assert flow.load_v["l9999"] == pytest.approx(230.0 / math.cosh(math.sqrt(1 / 3)), rel=1e-4)


@given(st.floats(0.01, 20.0), st.floats(5.0, 500.0))
def test_strip_line_against_many_pieces(busbar_ohm: float, load_ohm: float) -> None:
    line = model_strip_line(busbar_ohm, load_ohm)
    whole = solve_network(
        "n0",
        230.0,
        [pair("busbars", "n0", "far", line.busbar_ohm)],
        [load("near", "n0", line.end_ohm), load("end", "far", line.end_ohm), load("B", "far", 60)],
    )
    pieces = 200
    cut = solve_network(
        "n0",
        230.0,
        [pair(f"s{i}", f"n{i}", f"n{i + 1}", busbar_ohm / pieces) for i in range(pieces)],
        [
            *(
                load(
                    f"l{i}",
                    f"n{i}",
                    load_ohm * pieces * (2 if i in (0, pieces) else 1),
                )
                for i in range(pieces + 1)
            ),
            load("B", f"n{pieces}", 60),
        ],
    )
    assert whole.load_v["B"] == pytest.approx(cut.load_v["B"], rel=1e-3)
    assert whole.source_a == pytest.approx(cut.source_a, rel=1e-3)


def test_strip_line_with_perfect_busbars() -> None:
    line = model_strip_line(0.0, 80.0)
    assert (line.busbar_ohm, line.end_ohm) == (0.0, 160.0)


def test_order_of_the_parts_is_kept() -> None:
    segments = [
        pair("b", "A1", "A2", 0.1),
        pair("a", "board", "A1", 0.1),
    ]
    loads = [load("z", "A2", 50.0), load("y", "A1", 50.0)]
    flow = feed(segments, loads)
    assert list(flow.segment_a) == ["b", "a"]
    assert list(flow.load_v) == ["z", "y"]


@pytest.mark.parametrize(
    ("segments", "loads", "said"),
    [
        (
            [
                pair("s", "a", "b", 1.0),
                pair("s", "b", "c", 1.0),
            ],
            [],
            "s stands twice",
        ),
        (
            [],
            [load("l", "a", 1.0), load("l", "a", 1.0)],
            "l stands twice",
        ),
        ([pair("s", "a", "b", -1.0)], [], "less than none"),
        ([pair("s", "a", "b", math.nan)], [], "s has nan ohm"),
        ([], [load("l", "a", 0.0)], "more than none"),
    ],
)
def test_refused(segments: list[Segment], loads: list[Load], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        solve_network("a", 230.0, segments, loads)


def test_refused_strip_line() -> None:
    with pytest.raises(ValueError, match="above zero"):
        model_strip_line(1.0, 0.0)


def test_divider() -> None:
    # One strip at the end of a cable: 230 V x 37 / (37 + 0.5) = 226.933 V.
    flow = feed([pair("cable", "board", "strip", 0.5)], [load("s", "strip", 37.0)])
    assert flow.load_v["s"] == pytest.approx(226.9333, abs=1e-4)
