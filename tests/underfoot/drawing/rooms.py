"""Rooms of the demo plans and findings to draw on them, for the tests of the drawing."""

from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from tests.demo_plans import PLANS
from underfoot.checking.facts import Facts, RoomFacts
from underfoot.checking.finding import Basis
from underfoot.checking.geojson import geojson
from underfoot.checking.report import (
    NO_OBJECTION,
    REVISE,
    LimitUsed,
    Measure,
    PlanReport,
    ReportedFinding,
    WaiverUsed,
)
from underfoot.plan import Plan
from underfoot.reading import read_plan

DEMO_PLANS = tuple(
    sorted(
        path
        for path in PLANS.rglob("*.yaml")
        if path.name not in {"underfoot.yaml", "catalogue.yaml"}
        and path.read_text(encoding="utf-8").find("plan_format:") >= 0
    )
)
SVG = "{http://www.w3.org/2000/svg}"


def read(path: Path) -> Plan:
    """Read a plan that is known to be readable."""
    return read_text(path.read_text(encoding="utf-8"), path.parent)


def read_text(text: str, folder: Path = PLANS) -> Plan:
    """Read a plan's text."""
    reading = read_plan(text.encode(), path="plan.yaml", folder=folder)
    assert reading.plan is not None, reading.problems[:3]
    return reading.plan


def rooms_of(plan: Plan) -> dict[str, RoomFacts]:
    """Return the facts of every room."""
    return Facts(plan, {}).rooms


def demo_room(plan: str, room: str | None = None) -> tuple[Plan, RoomFacts]:
    """Read a demo plan, with the facts of the room of this name, or of that named as the plan."""
    demo = read(PLANS / f"{plan}.yaml")
    return demo, rooms_of(demo)[room or plan]


def every_room() -> Iterator[tuple[str, Plan, RoomFacts]]:
    """Yield every room of every demo plan."""
    for path in DEMO_PLANS:
        plan = read(path)
        for facts in rooms_of(plan).values():
            yield f"{path.stem}/{facts.id}", plan, facts


def finding(
    number: int,
    severity: str = "error",
    *,
    room: str | None = "room",
    items: tuple[str, ...] = (),
    shape: object = None,
    rule: str = "wall-clearance",
    message: str = "A1 lies 42 mm from the wall; the least allowed is 50 mm.",
    waived: bool = False,
) -> ReportedFinding:
    """Make a finding by hand."""
    return ReportedFinding(
        number=number,
        rule=rule,
        severity=severity,  # type: ignore[arg-type]
        message=message,
        room=room,
        items=items,
        measured=Measure(value=42.0, unit="mm"),
        limit=LimitUsed(least=50.0, most=None, unit="mm"),
        line=1,
        column=1,
        path="",
        shape=None if shape is None else geojson(shape),
        remedy="Move it 8 mm to the right (+x).",
        why="",
        basis=Basis(kind="common practice", text=""),
        waiver=WaiverUsed(reason="agreed on site", agreed_by="design lead", until=None)
        if waived
        else None,
    )


def crowd(facts: RoomFacts) -> PlanReport:
    """Report on a room whose every strip, fixture, lead and point has a fault, and itself too.

    Severities go round, every fifth is waived: far more balloons than a plan should ever need.
    """
    room = facts.id
    things: list[tuple[tuple[str, ...], object]] = (
        [
            ((element.id,), strip)
            for element, strip in zip(facts.elements, facts.strips, strict=True)
        ][:24]
        if facts.elements
        else []
    )
    things += [((fixture.id,), None) for fixture, _ in facts.fixtures]
    things += [((laid.lead.id,), None) for laid in facts.leads]
    things += [(("junction-box",), None), (("thermostat",), None), (("sensor",), None), ((), None)]
    findings = tuple(
        finding(
            number,
            ("error", "warning", "note")[number % 3],
            room=room,
            items=items,
            shape=shape,
            waived=number % 5 == 0,
        )
        for number, (items, shape) in enumerate(things, 1)
    )
    return wrong(*findings)


def wrong(*findings: ReportedFinding) -> PlanReport:
    """Report these findings."""
    return PlanReport(path="plan.yaml", verdict=REVISE, findings=findings)


def right(plan: Plan) -> PlanReport:
    """Report that nothing was found."""
    return PlanReport(path="plan.yaml", verdict=NO_OBJECTION, status=plan.status)


def parse(svg: str) -> ElementTree.Element:
    """Parse a drawing; it must be well-formed."""
    return ElementTree.fromstring(svg)


def places_of(path: str) -> list[list[tuple[float, float]]]:
    """Read the lines of a path that consists of M, L and z alone."""
    lines = []
    for part in path.replace("z", "").split("M"):
        if part:
            lines.append(
                [(float(x), float(y)) for x, y in (place.split(" ") for place in part.split("L"))]
            )
    return lines
