"""Bare rooms for tests of laying: an outline, strips, and nothing that other rules need."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tests.underfoot_rules.plans import check, of_rule
from underfoot.checking.report import PlanReport, ReportedFinding

Strips = Mapping[str, Mapping[str, Any]]


def lay(
    rule: str, strips: Strips, room: Mapping[str, Any] | None = None, **film: Any
) -> tuple[ReportedFinding, ...]:
    """Check strips laid in a room and give what one rule finds. Films 500 mm wide unless told."""
    return of_rule(report_on(strips, room, **film), rule)


def report_on(strips: Strips, room: Mapping[str, Any] | None = None, **film: Any) -> PlanReport:
    """Check strips laid in a room, 6 x 6 m unless told."""
    elements = {
        name: {"film": "film-80", "along": "y", "length": 1000, "circuit": "C1", **strip}
        for name, strip in strips.items()
    }
    change = {
        "materials": {"films": {"film-80": film}},
        "rooms": {
            "room": {
                "outline": [[0, 0], [6000, 0], [6000, 6000], [0, 6000]],
                "rows": None,
                "leads": None,
                "sensor": None,
                "elements": elements,
                **(room or {}),
            }
        },
    }
    return check(change)
