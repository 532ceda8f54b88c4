"""Bare rooms for tests of laying: an outline, strips, and nothing that other rules need."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tests.underfoot_rules.plans import BASE, BENCH, change_plan, check, of_rule
from underfoot.checking.facts import Facts
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.reading.plan_file import read_plan
from underfoot_rules.laying.free_places import Clearances, find_offers, main_film

Strips = Mapping[str, Mapping[str, Any]]


def lay(
    rule: str, strips: Strips, room: Mapping[str, Any] | None = None, **film: Any
) -> tuple[ReportedFinding, ...]:
    """Check strips laid in a room and give what one rule finds. Films 500 mm wide unless told."""
    return of_rule(report_on(strips, room, **film), rule)


def report_on(strips: Strips, room: Mapping[str, Any] | None = None, **film: Any) -> PlanReport:
    """Check strips laid in a room, 6 x 6 m unless told."""
    return check(change_of(strips, room, **film))


def change_of(strips: Strips, room: Mapping[str, Any] | None, **film: Any) -> dict[str, Any]:
    """Return what strips laid in a room change of the base plan."""
    elements = {
        name: {"film": "film-80", "along": "y", "length": 1000, "circuit": "C1", **strip}
        for name, strip in strips.items()
    }
    return {
        "materials.films.film-80": film,
        "rooms.room": {
            "outline": [[0, 0], [6000, 0], [6000, 6000], [0, 6000]],
            "rows": None,
            "leads": None,
            "sensor": None,
            "elements": elements,
            **(room or {}),
        },
    }


def offered(change: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the strips that are found to fit, as a plan writes them, by the limits of the base."""
    text = json.dumps(change_plan(BASE, change))
    reading = read_plan(text.encode(), path="plan.yaml", folder=Path())
    assert reading.plan is not None, reading.problems
    facts = Facts(reading.plan, BENCH.settings.numbers)
    limits = facts.limits
    clear = Clearances(
        wall=limits["wall-clearance"]["planned"],
        fixture=limits["fixture-clearance"]["minimum"],
        legs=limits["covered-floor"]["clear"],
    )
    room = facts.rooms["room"]
    found = find_offers(room, main_film(room), limits["cold-area"]["least_length"], clear)
    return [
        {
            "film": main_film(room).id,
            "at": [*each.at],
            "along": each.along,
            "length": each.length,
        }
        for each in found
    ]
