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
from underfoot.checking.facts.boards import (
    BoardOverlaps,
    find_board_overlaps,
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
from underfoot.checking.facts.cold_areas import (
    Clearances,
    Offer,
    find_offers,
    is_filled,
    main_film,
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
from underfoot.checking.facts.heat_loss import (
    HeatLoss,
    bound_heat_loss,
    find_heat_loss,
)
from underfoot.checking.facts.heated_parts import (
    HeatedPart,
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
from underfoot.checking.facts.leads_together import (
    LeadOnLeads,
    find_leads_together,
)
from underfoot.checking.facts.linking import (
    Boxes,
    Link,
)
from underfoot.checking.facts.protection import (
    ProtectionFacts,
)
from underfoot.checking.facts.reaching import (
    reach_over_floor,
)
from underfoot.checking.facts.residual import (
    Leakage,
    RcdFacts,
    find_leakage,
)
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
from underfoot.checking.facts.sheets import (
    SheetLaps,
    find_sheet_laps,
    runs_cover_floor,
)
from underfoot.checking.facts.stack import (
    Assumptions,
    board_resistance,
    build_insulated,
    build_stack,
    film_output,
    resist_covering,
    resist_overlay,
    resist_underlay,
    room_temperature,
)
from underfoot.checking.facts.stagger import (
    LayerStagger,
    WorstJoint,
    course_offset,
    find_stagger,
)
from underfoot.checking.facts.surface import (
    SurfaceLimit,
    find_surface_limit,
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
    "TABLE_AMBIENT_C",
    "Assumptions",
    "BoardOverlaps",
    "Boxes",
    "Carrying",
    "CircuitFacts",
    "Clearances",
    "Coverage",
    "Drop",
    "Facts",
    "FloorStack",
    "HeatLoss",
    "HeatedPart",
    "LaidBoards",
    "LaidLead",
    "LaidSheets",
    "Lap",
    "Layer",
    "LayerStagger",
    "LeadOnLeads",
    "LeadSize",
    "Leakage",
    "Link",
    "NearLead",
    "Offer",
    "Outside",
    "ProtectionFacts",
    "RcdFacts",
    "Reading",
    "Ring",
    "RoomFacts",
    "Seam",
    "SensorPlace",
    "SheetLaps",
    "Sizes",
    "StripGap",
    "SurfaceLimit",
    "ToSensor",
    "Unknown",
    "WaiverState",
    "Wiring",
    "WorstJoint",
    "board_resistance",
    "bound_drop_v",
    "bound_heat_loss",
    "build_insulated",
    "build_stack",
    "count_layers_below",
    "course_offset",
    "element_conductance_band",
    "element_current_a",
    "element_power_w",
    "film_output",
    "find_before",
    "find_board_overlaps",
    "find_cable_capacity",
    "find_circuits_in",
    "find_conduit_outside",
    "find_conduit_way",
    "find_currents",
    "find_distances",
    "find_fixtures_over",
    "find_floor_under",
    "find_heat_loss",
    "find_insulation_below",
    "find_joints_crossed",
    "find_joints_under",
    "find_lead_capacity",
    "find_leads_together",
    "find_leakage",
    "find_lengths_outside",
    "find_lengths_within",
    "find_near_leads",
    "find_offers",
    "find_part_at",
    "find_ring",
    "find_seam",
    "find_sensor_place",
    "find_sheet_laps",
    "find_size",
    "find_stagger",
    "find_strip_gaps",
    "find_strips_over",
    "find_surface_limit",
    "find_under_strips",
    "find_unswitched",
    "gather_leads",
    "is_below_strip",
    "is_filled",
    "is_under",
    "list_heat_sources",
    "list_joins",
    "main_film",
    "may_lie",
    "measure_coverage",
    "measure_outside",
    "measure_reach_outside",
    "measure_to_wall",
    "no_cable",
    "obstacles",
    "reach_over_floor",
    "resist_covering",
    "resist_overlay",
    "resist_to_sensor",
    "resist_underlay",
    "room_temperature",
    "runs_cover_floor",
    "size_lead",
    "solve_drop",
    "strips_of",
    "written_size",
]
