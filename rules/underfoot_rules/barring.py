"""Fixtures that let neither a lead nor the sensor's conduit through, for the rules about both."""

from typing import Any

import shapely

from underfoot.api.plan import Fixture
from underfoot.api.rules import Finding, below


def why_it_bars(fixture: Fixture) -> str:
    """Say what of a fixture bars the way."""
    if fixture.kind == "fixings":
        return "whose fixings go through the floor"
    if fixture.kind == "structure":
        return "which is part of the building"
    return "which stands on the subfloor"


def find_too_near(
    what: str, line: Any, fixture: Fixture, polygon: Any, distance: float, least: float, take: str
) -> Finding | None:
    """Compare how near a lead or the conduit comes to what is screwed down; `take` says where to.

    Its rule has the limit `clear`.
    """
    if fixture.kind != "fixings" or not below(distance, least):
        return None
    return Finding(
        message=f"{what} lies {{measured}} from {fixture.id} ({fixture.kind}), "
        f"{why_it_bars(fixture)}; at least {{limit}} is needed.",
        remedy=f"{take}, or move {fixture.id}.",
        measured=distance,
        least=least,
        limit_key="clear",
        shape=shapely.shortest_line(line, polygon),
        related=(fixture.path,),
    )
