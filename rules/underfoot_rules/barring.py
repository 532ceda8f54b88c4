"""Why a fixture lets neither a lead nor the sensor's conduit through, for the rules about both."""

from __future__ import annotations

from underfoot.api.plan import Fixture


def why_it_bars(fixture: Fixture) -> str:
    """Say what of a fixture bars the way."""
    if fixture.kind == "fixings":
        return "whose fixings go through the floor"
    if fixture.kind == "structure":
        return "which is part of the building"
    return "which stands on the subfloor"
