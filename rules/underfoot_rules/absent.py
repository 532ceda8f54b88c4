"""What is not there at all, which a rule of its own tells with all that can come of it.

Where somebody agreed to leave that, or switched that rule off, nothing is left to judge: so no more
than a note can come of these points.
"""

from underfoot.api.rules import CannotTell

NO_SENSOR = CannotTell(
    why="there is no floor sensor", write="Draw the room's floor `sensor`.", worst="note"
)
NO_THERMOSTAT = CannotTell(
    why="there is no thermostat", write="Draw the room's `thermostat`.", worst="note"
)
NO_INSULATION = CannotTell(
    why="there is no insulation", write="Draw the room's `insulation`.", worst="note"
)
NO_MEMBRANE = CannotTell(
    why="there is no membrane", write="Draw the room's `membrane`.", worst="note"
)
