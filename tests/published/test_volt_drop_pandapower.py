"""Voltage drop against a power-flow program, in an environment of its own.

    python -m pytest -m pandapower tests/published/test_volt_drop_pandapower.py

pandapower asks for other versions of pandas than the project's tests may have, so that this file is
left out of the everyday run. The program solves three balanced phases: a loop of out and return
conductor of resistance r at 230 V is a phase of resistance r at 230 V to the star point, and a
strip a load whose power goes with the square of its voltage.
"""

import math
import warnings

import pytest

from underfoot.physics.conductors import compute_loop_resistance
from underfoot.physics.network import Flow, Load, Segment, model_strip_line, solve_network

SUPPLY_V = 230.0

pytestmark = [pytest.mark.pandapower, pytest.mark.filterwarnings("default")]


def solve_by_power_flow(segments: list[Segment], loads: list[Load]) -> dict[str, float]:
    """Return the voltage in V at every node but the board, by Newton's power flow."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pandapower

        net = pandapower.create_empty_network(f_hz=50.0)
        nodes = dict.fromkeys(["board"])
        for segment in segments:
            nodes |= dict.fromkeys([segment.start, segment.end])
        vn_kv = SUPPLY_V * math.sqrt(3.0) / 1e3
        bus = {node: pandapower.create_bus(net, vn_kv=vn_kv, name=node) for node in nodes}
        pandapower.create_ext_grid(net, bus["board"], vm_pu=1.0)
        for segment in segments:
            pandapower.create_line_from_parameters(
                net,
                bus[segment.start],
                bus[segment.end],
                length_km=1.0,
                r_ohm_per_km=segment.loop_ohm,
                x_ohm_per_km=1e-9,
                c_nf_per_km=0.0,
                max_i_ka=1.0,
            )
        for load in loads:
            power_mw = 3.0 * SUPPLY_V**2 / load.ohm / 1e6
            pandapower.create_load(
                net, bus[load.node], p_mw=power_mw, const_z_p_percent=100, const_z_q_percent=100
            )
        pandapower.runpp(
            net, voltage_depend_loads=True, tolerance_mva=1e-12, max_iteration=50, numba=False
        )
        return {node: float(net.res_bus.vm_pu[bus[node]]) * SUPPLY_V for node in nodes}


def lay_chain(strips: int, lead_mm2: float) -> tuple[list[Segment], list[Load]]:
    """A circuit of ours: 14 m of 2.5 mm2 to the box, 3 m of lead, strips 500 mm apart."""
    segments = [
        Segment(
            name="cable", start="board", end="box", loop_ohm=compute_loop_resistance(2.5, 14_000.0)
        ),
        Segment(
            name="lead", start="box", end="A1", loop_ohm=compute_loop_resistance(lead_mm2, 3_000.0)
        ),
    ]
    segments += [
        Segment(
            name=f"to A{i + 1}",
            start=f"A{i}",
            end=f"A{i + 1}",
            loop_ohm=compute_loop_resistance(lead_mm2, 500.0),
        )
        for i in range(1, strips)
    ]
    loads = [
        Load(name=f"A{i}", node=f"A{i}", ohm=230.0**2 / (150.0 + 10.0 * i))
        for i in range(1, strips + 1)
    ]
    return segments, loads


@pytest.mark.parametrize("loop_ohm", [0.25, 0.5, 1.0])
def test_one_strip(loop_ohm: float) -> None:
    segments, loads = (
        [Segment(name="cable", start="board", end="A1", loop_ohm=loop_ohm)],
        [Load(name="A1", node="A1", ohm=23.0)],
    )
    ours = solve_network("board", SUPPLY_V, segments, loads)
    theirs = solve_by_power_flow(segments, loads)
    assert ours.load_v["A1"] == pytest.approx(theirs["A1"], abs=1e-5)
    assert ours.load_v["A1"] == pytest.approx(230.0 * 23.0 / (23.0 + loop_ohm), abs=1e-9)


def solve_alike(segments: list[Segment], loads: list[Load]) -> Flow:
    """Solve a network, and see that the power flow has the same voltage at every node."""
    ours = solve_network("board", SUPPLY_V, segments, loads)
    theirs = solve_by_power_flow(segments, loads)
    for node, voltage_v in ours.node_v.items():
        assert voltage_v == pytest.approx(theirs[node], abs=1e-5)
    return ours


@pytest.mark.parametrize(("strips", "lead_mm2"), [(6, 1.5), (11, 1.5), (11, 2.5), (20, 4.0)])
def test_chain(strips: int, lead_mm2: float) -> None:
    segments, loads = lay_chain(strips, lead_mm2)
    ours = solve_alike(segments, loads)
    assert ours.find_lowest_load() == (f"A{strips}", ours.load_v[f"A{strips}"])


def test_tree() -> None:
    segments, loads = lay_chain(5, 1.5)
    segments += [
        Segment(name="second", start="box", end="B1", loop_ohm=0.11),
        Segment(name="to B2", start="B1", end="B2", loop_ohm=0.04),
        Segment(name="to B3", start="B1", end="B3", loop_ohm=0.06),
    ]
    loads += [
        Load(name="B1", node="B1", ohm=300.0),
        Load(name="B2", node="B2", ohm=250.0),
        Load(name="B3", node="B3", ohm=220.0),
    ]
    solve_alike(segments, loads)


def test_ring() -> None:
    segments, loads = lay_chain(8, 1.5)
    segments.append(Segment(name="back", start="A8", end="box", loop_ohm=0.15))
    solve_alike(segments, loads)


def test_strip_fed_through() -> None:
    busbar_ohm, strip_ohm, pieces = 0.8, 75.0, 100
    line = model_strip_line(busbar_ohm, strip_ohm)
    ours = solve_network(
        "board",
        SUPPLY_V,
        [
            Segment(name="cable", start="board", end="A1", loop_ohm=0.4),
            Segment(name="busbars", start="A1", end="far", loop_ohm=line.busbar_ohm),
        ],
        [
            Load(name="near", node="A1", ohm=line.end_ohm),
            Load(name="end", node="far", ohm=line.end_ohm),
            Load(name="B", node="far", ohm=90.0),
        ],
    )
    names = ["A1", *(f"cut {i}" for i in range(1, pieces)), "far"]
    segments = [Segment(name="cable", start="board", end="A1", loop_ohm=0.4)]
    segments += [
        Segment(name=f"piece {i}", start=names[i], end=names[i + 1], loop_ohm=busbar_ohm / pieces)
        for i in range(pieces)
    ]
    loads = [Load(name="B", node="far", ohm=90.0)]
    for i, name in enumerate(names):
        share = 0.5 if i in (0, pieces) else 1.0
        loads.append(Load(name=f"part {i}", node=name, ohm=strip_ohm * pieces / share))
    theirs = solve_by_power_flow(segments, loads)
    assert ours.node_v["A1"] == pytest.approx(theirs["A1"], abs=1e-4)
    assert ours.node_v["far"] == pytest.approx(theirs["far"], abs=1e-4)
