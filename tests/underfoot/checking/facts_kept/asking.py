"""Functions over a room, a circuit or a material, asked with other figures than the rules' own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from underfoot.api import facts as of
from underfoot.api.facts import Assumptions, Facts, RoomFacts

ASSUMED = Assumptions(
    inside_c=21.0, bathroom_c=23.0, heated_c=19.0, unheated_c=7.0, ground_c=9.0,
    space_m2k_w=0.18, open_air_m2k_w=0.05, ground_w_mk=1.9, wall=320.0,
)  # fmt: skip


def ask_plan(facts: Facts) -> Iterator[tuple[str, Any]]:
    """Ask about the circuits, their protection and the materials."""
    volts = facts.plan.supply.voltage_v
    yield "drops", [of.solve_drop(each, volts) for each in facts.wirings.values()]
    yield "currents", [of.find_currents(each, volts) for each in facts.wirings.values()]
    yield (
        "bounds",
        [
            of.bound_drop_v(each, facts.circuit_leads, facts.boxes[each.id])
            for each in facts.protections.values()
        ],
    )
    yield "leakages", [of.find_leakage(each) for each in facts.rcds]
    yield "powers", [
        (of.element_power_w(each), of.element_current_a(each, 207.0),
         of.element_conductance_band(each))
        for each in facts.elements.values()
    ]  # fmt: skip
    yield "outputs", [of.film_output(each, 207.0) for each in facts.films_in_use.values()]
    for circuit in facts.plan.circuits.values():
        if circuit.cable is not None:
            yield f"capacity {circuit.id}", of.find_cable_capacity(circuit.cable, circuit.id)
    materials = facts.plan.materials
    yield "boards", [of.board_resistance(each) for each in materials.boards.values()]
    yield "coverings", [of.resist_covering(each) for each in materials.coverings.values()]


def ask_room(facts: Facts, room: RoomFacts) -> Iterator[tuple[str, Any]]:
    """Ask about what lies in a room and how."""
    yield "gaps", of.find_strip_gaps(room, 1.5, 300.0, 40.0, 90.0)
    yield "joints under", of.find_joints_under(room)
    yield "fixtures over", of.find_fixtures_over(room, 90.0)
    yield "coverage", of.measure_coverage(room, 45.0, 55.0, 90.0)
    yield "low", [fixture.id for fixture, _ in room.low_fixtures(150.0)]
    yield "laps", room.sheet_laps(190.0)
    yield "stagger", of.find_stagger(room, 330.0)
    yield "circuits", [each.id for each in of.find_circuits_in(room, facts.circuits)]
    yield "unswitched", [each.id for each in of.find_unswitched(room, facts.circuits, facts.plan)]
    yield from _ask_leads(room)
    yield from _ask_floor(room)
    if room.elements:
        yield "moves", [room.clearing_move(place, 95.0) for place in range(len(room.elements))]
        shifted = room.corners[None, 0] + np.arange(-6, 7)[:, None, None] * np.array((110.0, 45.0))
        yield "may lie", of.may_lie(room, shifted, 45.0, 55.0, apart_from=range(1, 3))
        yield (
            "sensor places",
            [
                of.find_sensor_place(room, 180.0, 700.0, 60.0, near, 40.0)
                for near in (None, room.connections[0, 0].tolist())
            ],
        )
    yield from _ask_grid(room)


def _ask_leads(room: RoomFacts) -> Iterator[tuple[str, Any]]:
    yield "under strips", of.find_under_strips(room)
    yield "leads outside", of.find_lengths_outside(room)
    yield "joints crossed", of.find_joints_crossed(room)
    yield "rings", of.find_ring(each.lead for each in room.leads)
    for each in room.leads:
        yield (
            f"lead {each.lead.id}",
            (
                of.strips_of(each.lead),
                of.size_lead(each.lead),
                of.find_lead_capacity(each.lead, "C", 35.0),
                len(list(of.list_joins(each.lead))),
            ),
        )
    sources = of.list_heat_sources(room)
    yield "heat sources", [fixture.id for fixture, _ in sources]
    standing = [polygon for _, polygon in of.obstacles(room)]
    if standing and room.leads:
        yield "within", of.find_lengths_within(room, standing)
        yield "distances", of.find_distances(room, standing, 900.0)
    if room.room.sensor is not None:
        yield "to sensor", of.resist_to_sensor(room.room.sensor)
    if len(room.sensor_way) > 1:
        yield "conduit outside", of.find_conduit_outside(room)
        if standing:
            way = of.find_conduit_way(room)
            yield "conduit", (way.lengths_within(standing), way.distances(standing, 900.0))
        yield "near leads", of.find_near_leads(room, room.sensor_way, 160.0)
        yield "layers below", of.count_layers_below(room, room.sensor_way)
        yield "insulation below", of.find_insulation_below(room, room.sensor_way)


def _ask_floor(room: RoomFacts) -> Iterator[tuple[str, Any]]:
    yield "temperature", of.room_temperature(room.room, ASSUMED)
    for kind in ("outside", "ground", "unheated", "heated"):
        yield f"beyond {kind}", of.temperature_beyond(kind, room.room, ASSUMED)
    for number, part in enumerate(room.heated_parts):
        for name, build in (("floor", of.build_stack), ("insulated", of.build_insulated)):
            stack = build(room, part, ASSUMED)
            if isinstance(stack, of.FloorStack):
                settled = [stack.settle(output_w_m2) for output_w_m2 in (40.0, 133.0)]
                yield f"{name} {number}", (stack, settled)
                yield f"ends {number}", [end.settle(90.0) for end in stack.ends]
            else:
                yield f"{name} {number}", stack
    if room.room.underlay is not None:
        yield "underlay", of.resist_underlay(room.room.underlay)
    if room.room.overlay is not None:
        yield "overlay", of.resist_overlay(room.room.overlay)


def _ask_grid(room: RoomFacts) -> Iterator[tuple[str, Any]]:
    left, low, right, high = shapely.bounds(room.outline).tolist()
    places = [
        (left - 100.0 + (right - left + 200.0) * i / 8, low - 100.0 + (high - low + 200.0) * j / 8)
        for i in range(9)
        for j in range(9)
    ]
    yield "to walls", [of.measure_to_wall(room, place) for place in places]
    yield "outside by", [of.measure_outside(room, place) for place in places]
    yield "before", [of.find_before(room, place, 300.0, 50.0, 600.0) for place in places]
    if room.elements:
        yield "strips over", [of.find_strips_over(room, place) for place in places]
        yield "seams", [of.find_seam(room, place, 120.0) for place in places]
