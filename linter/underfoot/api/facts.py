"""What follows from a plan, worked out once for all rules and only when it is asked for.

A rule is handed `Facts`, of the whole plan; `Facts.rooms` are `RoomFacts`, of one room each.
Lengths are millimetres; other numbers say their unit in their name.
"""

from underfoot.checking.facts import (
    CircuitFacts,
    Facts,
    LaidBoards,
    LaidLead,
    LaidSheets,
    RoomFacts,
    element_conductance_band,
    element_current_a,
    element_power_w,
)
from underfoot.checking.facts.branching import (
    Ring,
    find_ring,
    gather_leads,
)
from underfoot.checking.facts.capacity import (
    METHODS,
    TABLE_AMBIENT_C,
    Carrying,
    Unknown,
    find_cable_capacity,
    find_lead_capacity,
    find_size,
    no_cable,
    written_size,
)
from underfoot.checking.facts.feed import (
    list_joins,
    strips_of,
)
from underfoot.checking.facts.hanging import (
    find_before,
    measure_outside,
    measure_reach_outside,
    measure_to_wall,
)
from underfoot.checking.facts.heated_parts import (
    HeatedPart,
    find_heated_parts,
    find_part_at,
)
from underfoot.checking.facts.layers import (
    FloorStack,
    Layer,
)
from underfoot.checking.facts.laying import (
    Coverage,
    StripGap,
    find_fixtures_over,
    find_joints_under,
    find_strip_gaps,
    may_lie,
    measure_coverage,
)
from underfoot.checking.facts.lead_bodies import (
    LeadSize,
    size_lead,
)
from underfoot.checking.facts.leads import (
    Outside,
    find_conduit_outside,
    find_conduit_way,
    find_distances,
    find_floor_under,
    find_joints_crossed,
    find_lengths_outside,
    find_lengths_within,
    find_under_strips,
    list_heat_sources,
    obstacles,
)
from underfoot.checking.facts.linking import (
    Boxes,
    Link,
)
from underfoot.checking.facts.protection import (
    ProtectionFacts,
)
from underfoot.checking.facts.residual import (
    Leakage,
    RcdFacts,
    find_leakage,
)
from underfoot.checking.facts.room import Place
from underfoot.checking.facts.sensor import (
    AT_THE_BOX,
    NearLead,
    Seam,
    SensorPlace,
    ToSensor,
    count_layers_below,
    find_insulation_below,
    find_near_leads,
    find_seam,
    find_sensor_place,
    find_strips_over,
    is_below_strip,
    is_under,
    resist_to_sensor,
)
from underfoot.checking.facts.stack import (
    NO_OUTSIDE,
    Assumptions,
    board_resistance,
    build_insulated,
    build_stack,
    film_output,
    resist_covering,
    resist_overlay,
    resist_underlay,
    room_temperature,
    temperature_beyond,
)
from underfoot.checking.facts.stagger import (
    LayerStagger,
    WorstJoint,
    course_offset,
    find_stagger,
)
from underfoot.checking.facts.thermostats import (
    Reading,
    find_circuits_in,
    find_unswitched,
)
from underfoot.checking.facts.wiring import (
    Drop,
    Sizes,
    Wiring,
    bound_drop_v,
    find_currents,
    solve_drop,
)
from underfoot.checking.waivers import WaiverState
from underfoot.physics.laps import Lap

__all__ = [
    "AT_THE_BOX",
    "METHODS",
    "NO_OUTSIDE",
    "TABLE_AMBIENT_C",
    "Assumptions",
    "Boxes",
    "Carrying",
    "CircuitFacts",
    "Coverage",
    "Drop",
    "Facts",
    "FloorStack",
    "HeatedPart",
    "LaidBoards",
    "LaidLead",
    "LaidSheets",
    "Lap",
    "Layer",
    "LayerStagger",
    "LeadSize",
    "Leakage",
    "Link",
    "NearLead",
    "Outside",
    "Place",
    "ProtectionFacts",
    "RcdFacts",
    "Reading",
    "Ring",
    "RoomFacts",
    "Seam",
    "SensorPlace",
    "Sizes",
    "StripGap",
    "ToSensor",
    "Unknown",
    "WaiverState",
    "Wiring",
    "WorstJoint",
    "board_resistance",
    "bound_drop_v",
    "build_insulated",
    "build_stack",
    "count_layers_below",
    "course_offset",
    "element_conductance_band",
    "element_current_a",
    "element_power_w",
    "film_output",
    "find_before",
    "find_cable_capacity",
    "find_circuits_in",
    "find_conduit_outside",
    "find_conduit_way",
    "find_currents",
    "find_distances",
    "find_fixtures_over",
    "find_floor_under",
    "find_heated_parts",
    "find_insulation_below",
    "find_joints_crossed",
    "find_joints_under",
    "find_lead_capacity",
    "find_leakage",
    "find_lengths_outside",
    "find_lengths_within",
    "find_near_leads",
    "find_part_at",
    "find_ring",
    "find_seam",
    "find_sensor_place",
    "find_size",
    "find_stagger",
    "find_strip_gaps",
    "find_strips_over",
    "find_under_strips",
    "find_unswitched",
    "gather_leads",
    "is_below_strip",
    "is_under",
    "list_heat_sources",
    "list_joins",
    "may_lie",
    "measure_coverage",
    "measure_outside",
    "measure_reach_outside",
    "measure_to_wall",
    "no_cable",
    "obstacles",
    "resist_covering",
    "resist_overlay",
    "resist_to_sensor",
    "resist_underlay",
    "room_temperature",
    "size_lead",
    "solve_drop",
    "strips_of",
    "temperature_beyond",
    "written_size",
]
