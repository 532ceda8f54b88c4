"""What is not there at all, which a rule of its own tells with all that can come of it.

Where somebody agreed to leave that, or switched that rule off, nothing is left to judge: so no more
than a note can come of these points.
"""

from __future__ import annotations

from underfoot.api.rules import CannotTell

NO_SENSOR = CannotTell("there is no floor sensor", "Draw the room's floor `sensor`.", "note")
NO_THERMOSTAT = CannotTell("there is no thermostat", "Draw the room's `thermostat`.", "note")
NO_INSULATION = CannotTell("there is no insulation", "Draw the room's `insulation`.", "note")
NO_MEMBRANE = CannotTell("there is no membrane", "Draw the room's `membrane`.", "note")
