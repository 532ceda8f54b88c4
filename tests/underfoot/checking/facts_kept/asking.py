"""Functions over a room, a circuit or a material, asked with other figures than the rules' own."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from underfoot.api import facts as of
from underfoot.api.facts import Assumptions, Facts, RoomFacts
from underfoot.checking.facts import linking, wiring
from underfoot_rules.build_up import giving
from underfoot_rules.circuits import capacity, residual
from underfoot_rules.insulation.stagger import find_stagger
from underfoot_rules.laying import (
    fed_on,
    joint_crossing,
    may_lie,
    mending,
    strip_gap,
    wall_clearance,
)
from underfoot_rules.leads import lead_joint, lead_under_element, rings
from underfoot_rules.sensor import (
    sensor_advice,
    sensor_near_lead,
    sensor_seam,
    sensor_way,
    under_strips,
)
from underfoot_rules.thermostat import at_walls, switching, way_over_floor

ASSUMED = Assumptions(
    inside_c=21.0, bathroom_c=23.0, heated_c=19.0, unheated_c=7.0, ground_c=9.0,
    space_m2k_w=0.18, open_air_m2k_w=0.05, ground_w_mk=1.9, wall=320.0,
)  # fmt: skip


def ask_plan(facts: Facts) -> Iterator[tuple[str, Any]]:
    """Ask about the circuits, their protection and the materials."""
    volts = facts.plan.supply.voltage_v
    leads = facts.once(linking.gather_circuit_leads)
    boxes = facts.once(linking.find_all_boxes)
    yield "thermostat_subjects", switching.list_thermostats(facts)
    yield "rcds", facts.once(residual.find_rcds)
    yield "rcd_of", facts.once(residual.find_rcd_of)
    yield "circuit_leads", leads
    yield "boxes", boxes
    wirings = facts.once(wiring.find_all_wirings)
    yield "wirings", wirings
    if feeding := facts.once(fed_on.find_all_fed_on):
        yield "fed_on", feeding
    yield (
        "drops",
        [wiring.solve_drop(each, volts) for each in wirings.values()],
    )
    yield (
        "currents",
        [wiring.find_currents(each, volts) for each in wirings.values()],
    )
    yield (
        "bounds",
        [wiring.bound_drop_v(each, leads, boxes[each.id]) for each in facts.protections.values()],
    )
    yield "leakages", [residual.find_leakage(each) for each in facts.once(residual.find_rcds)]
    yield "powers", [
        (of.element_power_w(each), of.element_current_a(each, 207.0),
         of.element_conductance_band(each))
        for each in facts.elements.values()
    ]  # fmt: skip
    yield "outputs", [of.film_output(each, 207.0) for each in facts.films_in_use.values()]
    for circuit in facts.plan.circuits.values():
        if circuit.cable is not None:
            yield f"capacity {circuit.id}", capacity.find_cable_capacity(circuit.cable, circuit.id)
    materials = facts.plan.materials
    yield "boards", [of.board_resistance(each) for each in materials.boards.values()]
    yield "coverings", [of.resist_covering(each) for each in materials.coverings.values()]


def ask_room(facts: Facts, room: RoomFacts) -> Iterator[tuple[str, Any]]:
    """Ask about what lies in a room and how."""
    yield "lead_pieces", of.cut_leads(room)
    yield "lead_bodies", of.make_lead_bodies(room)
    yield "heated_parts", of.find_heated_parts(room)
    yield "wall_distances", wall_clearance.measure_to_walls(room)
    yield "sensor_to_strips", under_strips.measure_to_strips(room)
    yield "free_floor", giving.find_free_floor(room)
    yield "between_walls", way_over_floor.find_floor_between_walls(room)
    if room.elements:
        found = under_strips.find_deepest(room)
        yield "deepest", (found.x, found.y, found.distance)
    yield "gaps", strip_gap.find_strip_gaps(room, 1.5, 300.0, 40.0, 90.0)
    yield "joints under", joint_crossing.find_joints_under(room)
    yield "fixtures over", may_lie.find_fixtures_over(room, 90.0)
    yield "coverage", of.measure_coverage(room, 45.0, 55.0, 90.0)
    yield "low", [fixture.id for fixture, _ in of.low_fixtures(room, 150.0)]
    yield "laps", room.sheet_laps(190.0)
    yield "stagger", find_stagger(room, 330.0)
    yield "circuits", [each.id for each in switching.find_circuits_in(room, facts.circuits)]
    yield (
        "unswitched",
        [each.id for each in switching.find_unswitched(room, facts.circuits, facts.plan)],
    )
    yield from _ask_leads(room)
    yield from _ask_floor(room)
    if room.elements:
        yield (
            "moves",
            [mending.clearing_move(room, place, 95.0) for place in range(len(room.elements))],
        )
        shifted = room.corners[None, 0] + np.arange(-6, 7)[:, None, None] * np.array((110.0, 45.0))
        yield "may lie", may_lie.may_lie(room, shifted, 45.0, 55.0, apart_from=range(1, 3))
        yield (
            "sensor places",
            [
                sensor_advice.find_sensor_place(room, 180.0, 700.0, 60.0, near, 40.0)
                for near in (None, room.connections[0, 0].tolist())
            ],
        )
    yield from _ask_grid(room)


def _ask_leads(room: RoomFacts) -> Iterator[tuple[str, Any]]:
    yield "under strips", lead_under_element.find_under_strips(room)
    yield "leads outside", of.find_lengths_outside(room)
    yield "joints crossed", lead_joint.find_joints_crossed(room)
    yield "rings", rings.find_ring(each.lead for each in room.leads)
    for each in room.leads:
        yield (
            f"lead {each.lead.id}",
            (
                of.strips_of(each.lead),
                of.size_lead(each.lead),
                capacity.find_lead_capacity(each.lead, "C", 35.0),
                len(list(of.list_joins(each.lead))),
            ),
        )
    sources = sensor_way.list_heat_sources(room)
    yield "heat sources", [fixture.id for fixture, _ in sources]
    standing = [polygon for _, polygon in of.obstacles(room)]
    if standing and room.leads:
        yield "within", of.find_lengths_within(room, standing)
        yield "distances", of.find_distances(room, standing, 900.0)
    if room.drawn.sensor is not None:
        yield "to sensor", of.resist_to_sensor(room.drawn.sensor)
    if len(room.sensor_way) > 1:
        yield "conduit outside", of.find_conduit_outside(room)
        if standing:
            way = of.find_conduit_way(room)
            yield "conduit", (way.lengths_within(standing), way.distances(standing, 900.0))
        yield "near leads", sensor_near_lead.find_near_leads(room, room.sensor_way, 160.0)
        yield "layers below", of.count_layers_below(room, room.sensor_way)
        yield "insulation below", of.find_insulation_below(room, room.sensor_way)


def _ask_floor(room: RoomFacts) -> Iterator[tuple[str, Any]]:
    yield "temperature", of.room_temperature(room.drawn, ASSUMED)
    for kind in ("outside", "ground", "unheated", "heated"):
        yield f"beyond {kind}", of.temperature_beyond(kind, room.drawn, ASSUMED)
    for number, part in enumerate(of.find_heated_parts(room)):
        for name, build in (("floor", of.build_stack), ("insulated", of.build_insulated)):
            stack = build(room, part, ASSUMED)
            if isinstance(stack, of.FloorStack):
                settled = [stack.settle(output_w_m2) for output_w_m2 in (40.0, 133.0)]
                yield f"{name} {number}", (stack, settled)
                yield f"ends {number}", [end.settle(90.0) for end in stack.ends]
            else:
                yield f"{name} {number}", stack
    if room.drawn.underlay is not None:
        yield "underlay", of.resist_underlay(room.drawn.underlay)
    if room.drawn.overlay is not None:
        yield "overlay", of.resist_overlay(room.drawn.overlay)


def _ask_grid(room: RoomFacts) -> Iterator[tuple[str, Any]]:
    left, low, right, high = shapely.bounds(room.outline).tolist()
    places = [
        (left - 100.0 + (right - left + 200.0) * i / 8, low - 100.0 + (high - low + 200.0) * j / 8)
        for i in range(9)
        for j in range(9)
    ]
    yield "to walls", [at_walls.measure_to_wall(room, place) for place in places]
    yield "outside by", [at_walls.measure_outside(room, place) for place in places]
    yield "before", [at_walls.find_before(room, place, 300.0, 50.0, 600.0) for place in places]
    if room.elements:
        yield "strips over", [under_strips.find_strips_over(room, place) for place in places]
        yield "seams", [sensor_seam.find_seam(room, place, 120.0) for place in places]
