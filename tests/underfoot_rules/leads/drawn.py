"""Leads as plans write them, and what a rule finds of them."""

from typing import Any

from tests.underfoot_rules.plans import check, of_rule

BOX = "junction-box"
Found = dict[tuple[str, ...], tuple[str, float | None]]


def lead(*stops: Any, **more: Any) -> dict[str, Any]:
    return {"circuit": "C1", "size": "1.5 mm2", "recessed": True, "route": list(stops), **more}


def found(rule: str, room: dict[str, Any], **top: Any) -> Found:
    report = check({"rooms": {"room": room}, **top})
    return {
        each.items: (each.severity, None if each.measured is None else each.measured.value)
        for each in of_rule(report, rule)
    }


def boards(thickness: float, **more: Any) -> dict[str, Any]:
    return {"materials": {"boards": {"board-10": {"thickness": thickness}}, **more}}
