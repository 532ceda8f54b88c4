"""The plan as drawn and wired: frozen values in the trade's words.

Lengths are millimetres; every other number says its unit in its name. `path` is the thing's place
in the plan's file (``rooms.hall.rows.A.lengths.0``). What the plan leaves out is ``None``.
"""

from underfoot.plan.circuits import EXTRA_LOW_V, Cable, Circuit, Source, Supply
from underfoot.plan.insulation import Courses, Insulation, Membrane, Piece, Pieces, Runs, Sheet
from underfoot.plan.materials import Board, Covering, Film, Materials, SheetKind
from underfoot.plan.plan import Job, Plan
from underfoot.plan.records import Handover, MethodStatement, Test, Waiver
from underfoot.plan.room import (
    BATHS,
    Contactor,
    CoveredArea,
    Element,
    Fabric,
    Fixture,
    Grid,
    Joint,
    JunctionBox,
    Lead,
    Overlay,
    Room,
    Row,
    Section,
    Sensor,
    Stop,
    Subfloor,
    SubfloorLayer,
    Surface,
    Thermostat,
    Underlay,
)

__all__ = [
    "BATHS",
    "EXTRA_LOW_V",
    "Board",
    "Cable",
    "Circuit",
    "Contactor",
    "Courses",
    "CoveredArea",
    "Covering",
    "Element",
    "Fabric",
    "Film",
    "Fixture",
    "Grid",
    "Handover",
    "Insulation",
    "Job",
    "Joint",
    "JunctionBox",
    "Lead",
    "Materials",
    "Membrane",
    "MethodStatement",
    "Overlay",
    "Piece",
    "Pieces",
    "Plan",
    "Room",
    "Row",
    "Runs",
    "Section",
    "Sensor",
    "Sheet",
    "SheetKind",
    "Source",
    "Stop",
    "Subfloor",
    "SubfloorLayer",
    "Supply",
    "Surface",
    "Test",
    "Thermostat",
    "Underlay",
    "Waiver",
]
