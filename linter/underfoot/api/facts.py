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
from underfoot.checking.facts.coverage import (
    Coverage,
    OpenFloor,
    keep_off,
    low_fixtures,
    measure_coverage,
    open_floor,
)
from underfoot.checking.facts.facts import each_circuit, each_element, each_protection, each_room
from underfoot.checking.facts.feed import (
    BOX,
    gather_leads,
    list_joins,
    node_of,
    strips_of,
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
from underfoot.checking.waivers import (
    WaiverState,
)

__all__ = [
    "AT_THE_BOX",
    "BOX",
    "NO_OUTSIDE",
    "Assumptions",
    "CircuitFacts",
    "Coverage",
    "Facts",
    "FloorStack",
    "HeatedPart",
    "LaidBoards",
    "LaidLead",
    "LaidSheets",
    "Layer",
    "LeadSize",
    "OpenFloor",
    "Outside",
    "Place",
    "ProtectionFacts",
    "Reading",
    "RoomFacts",
    "ToSensor",
    "WaiverState",
    "board_resistance",
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
    "find_conduit_outside",
    "find_conduit_way",
    "find_distances",
    "find_heated_parts",
    "find_insulation_below",
    "find_lengths_outside",
    "find_lengths_within",
    "find_part_at",
    "gather_leads",
    "keep_off",
    "list_joins",
    "low_fixtures",
    "make_lead_bodies",
    "measure_coverage",
    "node_of",
    "obstacles",
    "open_floor",
    "resist_covering",
    "resist_overlay",
    "resist_to_sensor",
    "resist_underlay",
    "room_temperature",
    "size_lead",
    "strips_of",
    "temperature_beyond",
]
