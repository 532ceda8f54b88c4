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
    allow_side_by_side,
    element_conductance_band,
    element_current_a,
    element_power_w,
    rate_side_by_side,
)
from underfoot.checking.facts.bath_zones import find_floor_between_walls
from underfoot.checking.facts.coverage import (
    Coverage,
    OpenFloor,
    keep_off,
    low_fixtures,
    measure_coverage,
    open_floor,
)
from underfoot.checking.facts.doorways import floor_behind, floor_in, list_leaves
from underfoot.checking.facts.facts import each_circuit, each_element, each_protection, each_room
from underfoot.checking.facts.feed import (
    BOX,
    gather_leads,
    list_joins,
    node_of,
    strips_of,
)
from underfoot.checking.facts.heat_loss import (
    HeatLoss,
    bound_heat_loss,
    find_heat_loss,
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
from underfoot.checking.facts.lead_bodies import (
    LeadSize,
    cut_leads,
    make_lead_bodies,
    size_lead,
)
from underfoot.checking.facts.leads import (
    Outside,
    find_conduit_outside,
    find_conduit_way,
    find_distances,
    find_lengths_outside,
    find_lengths_within,
    obstacles,
)
from underfoot.checking.facts.linking import (
    Link,
    Unknown,
    find_all_boxes,
    gather_circuit_leads,
    no_cable,
)
from underfoot.checking.facts.once import hangs_on
from underfoot.checking.facts.protection import (
    ProtectionFacts,
)
from underfoot.checking.facts.room import (
    Place,
    cut_out,
)
from underfoot.checking.facts.sensor import (
    AT_THE_BOX,
    ToSensor,
    count_layers_below,
    find_insulation_below,
    resist_to_sensor,
)
from underfoot.checking.facts.stack import (
    NO_OUTSIDE,
    Assumptions,
    board_resistance,
    build_insulated,
    build_stack,
    build_stacks,
    film_output,
    resist_covering,
    resist_overlay,
    resist_underlay,
    room_temperature,
    temperature_beyond,
)
from underfoot.checking.facts.thermostats import (
    Reading,
)
from underfoot.checking.facts.visits import (
    STAGES,
    list_tests,
    visit_of,
)
from underfoot.checking.facts.wiring import (
    Drop,
    Sizes,
    Wiring,
    bound_drop_v,
    find_all_wirings,
    find_currents_behind,
    solve_drop,
)
from underfoot.checking.waivers import (
    WaiverState,
)

__all__ = [
    "AT_THE_BOX",
    "BOX",
    "NO_OUTSIDE",
    "STAGES",
    "Assumptions",
    "CircuitFacts",
    "Coverage",
    "Drop",
    "Facts",
    "FloorStack",
    "HeatLoss",
    "HeatedPart",
    "LaidBoards",
    "LaidLead",
    "LaidSheets",
    "Layer",
    "LeadSize",
    "Link",
    "OpenFloor",
    "Outside",
    "Place",
    "ProtectionFacts",
    "Reading",
    "RoomFacts",
    "Sizes",
    "ToSensor",
    "Unknown",
    "WaiverState",
    "Wiring",
    "allow_side_by_side",
    "board_resistance",
    "bound_drop_v",
    "bound_heat_loss",
    "build_insulated",
    "build_stack",
    "build_stacks",
    "count_layers_below",
    "cut_leads",
    "cut_out",
    "each_circuit",
    "each_element",
    "each_protection",
    "each_room",
    "element_conductance_band",
    "element_current_a",
    "element_power_w",
    "film_output",
    "find_all_boxes",
    "find_all_wirings",
    "find_conduit_outside",
    "find_conduit_way",
    "find_currents_behind",
    "find_distances",
    "find_floor_between_walls",
    "find_heat_loss",
    "find_heated_parts",
    "find_insulation_below",
    "find_lengths_outside",
    "find_lengths_within",
    "find_part_at",
    "floor_behind",
    "floor_in",
    "gather_circuit_leads",
    "gather_leads",
    "hangs_on",
    "keep_off",
    "list_joins",
    "list_leaves",
    "list_tests",
    "low_fixtures",
    "make_lead_bodies",
    "measure_coverage",
    "no_cable",
    "node_of",
    "obstacles",
    "open_floor",
    "rate_side_by_side",
    "resist_covering",
    "resist_overlay",
    "resist_to_sensor",
    "resist_underlay",
    "room_temperature",
    "size_lead",
    "solve_drop",
    "strips_of",
    "temperature_beyond",
    "visit_of",
]
