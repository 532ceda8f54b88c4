"""What a plan does not say, where several rules ask for it."""

from underfoot.api.rules import CannotTell

SUBFLOOR_KIND = CannotTell(
    why="what the subfloor is made of is not given (`subfloor.kind`)",
    write="Write what it is made of: `subfloor.kind`.",
)
SUBFLOOR_BELOW = CannotTell(
    why="what lies below the subfloor is not given (`subfloor.below`)",
    write="Write what lies below it: `subfloor.below`.",
)
USE = CannotTell(
    why="what the room is used for is not given (`use`)",
    write="Write what the room is used for: `use`.",
)
BOARD = CannotTell(
    why="the insulation's board is not given (`insulation.board`)",
    write="Name its board: `insulation.board`.",
)
LAYERS = CannotTell(
    why="how the insulation's boards lie is not given (`insulation.layers`)",
    write="Write how its boards lie: `insulation.layers`.",
)
SHEETS = CannotTell(
    why="how the membrane's sheets lie is not given",
    write="Write how its sheets lie: `membrane.runs` or `membrane.pieces`.",
)
SHEET = CannotTell(
    why="the membrane's sheet is not given, so its runs have no width",
    write="Name its sheet: `membrane.sheet`.",
)
TEST = CannotTell(
    why="no test is recorded", write="Test the circuit and write the readings under `tests`."
)
ROUTE = CannotTell(
    why="the route of the sensor is not given",
    write="Write the way of its conduit: `sensor.route`.",
)
SWITCHES = CannotTell(
    why="what the thermostat switches is not given",
    write="Write what it can switch: `thermostat.switches`.",
)
CONTACTOR_RATING = CannotTell(
    why="the contactor's rating is not given",
    write="Write what it is rated for: `contactor.rating`.",
)
